"""What a turning tool gets at in the full only by being sunk there: behind what is larger.

A right-hand corner fed toward the chuck cuts down behind a collar no steeper than its trailing edge
stands free. Deeper stock it would meet with that edge all along: a form tool as wide as its insert,
which no machinist sinks. Where another has opened the place it may well finish there. A left-hand
corner does the same the other way round, behind what holds the part too; a boring bar outward,
behind an entry narrower than what lies beyond it.
"""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from turnability.half_plane.regions import Region, box, nothing
from turnability.half_plane.sums import Convex, convex_of, minkowski
from turnability.reach.removal import Work
from turnability.reach.stock import Standing
from turnability.setups.surfaces.cuts import thick
from turnability.shop.model import Tool
from turnability.shop.told_apart import is_blade

_OFF_MM = 0.01
"""Deeper than this in there it is sunk: what lies along the slope itself is not."""
_SHAVED_MM = 0.05
"""Stock that the trailing edge meets by no more than this it only slides along."""
_ROUNDS = 40


def sunk_by(work: Work) -> Region:
    """All that it would be sunk into in the full, seen past the finished part (r >= 0).

    Nothing for blades and what runs on the axis. A left-hand corner is seen past jaws and bar too.
    """
    tool = work.tool
    free_deg = tool.limits.get("trailing_angle_deg")
    if tool.access == "end" or tool.on_axis or is_blade(tool):
        return nothing()
    if free_deg is None or free_deg >= 90.0:
        return nothing()
    inside, away = tool.access == "inner", is_left(tool)
    ground = work.asked.ground
    held = ground.added.region if away and ground.added is not None else None
    memory = ground.memory if held is not None else (ground.bare or ground).memory
    key = ("sunk", work.toward, inside, away, free_deg, None if held is None else id(held))
    if key not in memory:
        far, down = ground.length + 1.0, ground.radius + 1.0
        z = -far if (work.toward == "low") != away else far
        deep = far * math.tan(math.radians(free_deg)) + _OFF_MM
        cone = np.array([[0.0, -_OFF_MM], [z, -deep], [z, -deep - down], [0.0, -down]])
        if inside:
            cone[:, 1] *= -1.0
        body = ground.part_half if held is None else ground.part_half | held
        memory[key] = (minkowski(body, [convex_of(cone)]), held)  # which keeps what it goes by
    return cast(Region, memory[key][0])


def sunk_in(work: Work, standing: Standing) -> Region:
    """Of the stock that stands, what the tool gets at now only by being sunk into it.

    It cuts with nose and leading edge, layer by layer: from a place where the trailing side of its
    insert lies in stock that stays for now it cuts nothing, and what is cut from such places alone
    stays as well.
    """
    doubtful = sunk_by(work) & standing.kept
    if not thick(doubtful):
        return nothing()
    asked = work.asked
    lead, trail = _sides(work)
    places, stays = asked.freed(), standing.kept - asked.limit()
    sunk = nothing()
    for _ in range(_ROUNDS):
        solid = (stays | sunk).grown(-_SHAVED_MM, "mitre")
        free = places - minkowski(solid, [piece.negated() for piece in trail])
        more = doubtful - minkowski(free, lead)
        if more.area - sunk.area <= _SHAVED_MM * _SHAVED_MM:
            break
        sunk = more
    return sunk


def _sides(work: Work) -> tuple[list[Convex], list[Convex]]:
    """The cutting outline up to where its nose ends, and behind that, as it is held."""
    tool, mover = work.tool, work.asked.mover
    inside = tool.access == "inner"
    behind = 1.0 if (work.toward == "low") != is_left(tool) else -1.0
    corners = np.concatenate([piece.corners for piece in mover.cutting])
    nose = behind * corners[(-corners[:, 1] if inside else corners[:, 1]).argmin(), 0]
    free = math.radians(tool.limits["trailing_angle_deg"])
    at = behind * (nose + tool.limits.get("nose_radius_mm", 0.0) * math.sin(free))
    far = mover.reach + 1.0
    back = box(at, -far, far, far) if behind > 0.0 else box(-far, -far, at, far)
    whole = [Region.of([piece.corners]) for piece in mover.cutting]
    lead, trail = ([one - back for one in whole], [one & back for one in whole])
    return _pieces(lead), _pieces(trail)


def _pieces(regions: list[Region]) -> list[Convex]:
    # a convex piece cut along a line
    return [convex_of(ring) for region in regions for ring in region.rings()]


def is_left(tool: Tool) -> bool:
    """Whether it feeds away from the chuck; bars of either hand feed toward it."""
    return tool.hand == "left" and tool.access == "outer"
