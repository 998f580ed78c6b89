"""How deep a tool on the axis goes: to a floor, or out of the part."""

from __future__ import annotations

import numpy as np

from turnability.half_plane.curves import Point
from turnability.half_plane.regions import Region, nothing, spans_at
from turnability.half_plane.sums import swept_over
from turnability.reach.ground import Ground
from turnability.reach.model import Toward
from turnability.reach.outline import Mover, mover_of
from turnability.shop.model import Outlines, Tool
from turnability.shop.told_apart import is_reamer
from turnability.shop.tools.drill import pushed_on
from turnability.shop.tools.reamer import led

THROUGH_MM = 1.0
"""So far a drill's full diameter goes out of a through hole, where no tap asks for more."""
_SAME_MM = 1e-6


def blocked_places(tool: Tool, toward: Toward, ground: Ground) -> tuple[Mover, Region]:
    """The tool made ready, and where its point cannot be: as tight as touching allows."""
    return _blocked(led(tool) if is_reamer(tool) else tool.outlines, tool, toward, ground)


def _blocked(
    outlines: Outlines, tool: Tool, toward: Toward, ground: Ground
) -> tuple[Mover, Region]:
    mover = mover_of(outlines, tool.access, tool.on_axis, toward, ground)
    pieces = (*mover.cutting_negated, *mover.body_negated)
    region = swept_over(ground.part.traced(shaved=True), pieces)
    if ground.added is not None:
        region = region | swept_over(ground.added.traced(shaved=True), pieces)
    return mover, region


def deepest(
    toward: Toward,
    mover: Mover,
    blocked: Region,
    length_mm: float,
    short_mm: float,
    out_mm: float,
) -> Point:
    """On the axis, as far in as the part lets it but for what it leaves before a floor.

    Through a bore until its full width is out, by `out_mm`.
    """
    sign = 1.0 if toward == "low" else -1.0
    corners = np.concatenate([piece.corners for piece in mover.cutting])
    wide = np.abs(corners[:, 1])
    point = float((sign * corners[wide >= wide.max() - _SAME_MM, 0]).min())
    stops = [sign * z for span in spans_at(blocked, _SAME_MM) for z in span]
    end = 0.0 if toward == "low" else -length_mm
    # a floor of the part, not what holds it beyond its end
    short = [stop + short_mm if stop > end else stop for stop in stops]
    return (sign * max([end - point - out_mm, *short]), 0.0)


def pushed_out(
    drill: Tool, mover: Mover, toward: Toward, ground: Ground, end: Point, out_mm: float
) -> Point:
    """`end`, or where a twist drill's full width is out of a through hole by `out_mm`.

    There it is pushed where it would not come out else, and a part of what is kept free of its
    flutes for chips lets it.
    """
    sign = 1.0 if toward == "low" else -1.0
    whole = deepest(toward, mover, nothing(), ground.length, 0.0, out_mm)
    if sign * end[0] <= sign * whole[0] + out_mm + _SAME_MM:
        return end
    pushed, blocked = _blocked(pushed_on(drill), drill, toward, ground)
    further = deepest(toward, pushed, blocked, ground.length, 0.0, out_mm)
    out = sign * further[0] <= sign * whole[0] + _SAME_MM
    spare = drill.limits["flute_length_mm"] - drill.limits["usable_length_mm"]
    near = abs(further[0] - end[0]) <= spare - drill.limits["diameter_mm"] + _SAME_MM
    return further if out and near else end


def reamed_to_mm(reamer: Tool, toward: Toward, ground: Ground) -> float:
    """To which z a reamer's full diameter gets at most, its end at a floor or out of the part."""
    mover, blocked = blocked_places(reamer, toward, ground)
    end = deepest(toward, mover, blocked, ground.length, 0.0, THROUGH_MM)
    lead = reamer.limits["lead_mm"]
    return end[0] + (lead if toward == "low" else -lead)
