"""Where each tool is at the end of its work in a setup: for people to look at.

Of the places from which its cutting edge touches the surfaces it cuts there, and from which neither
of its outlines enters the finished part or what holds it, it is the one nearest to where the tool
feeds to: the chuck, or away from it for a left-hand one; of those at one height the deepest. No
judgement rests on it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.cited import Cited
from turnability.half_plane.curves import Line, Point, Points
from turnability.half_plane.regions import Region
from turnability.half_plane.sums import cycles
from turnability.part.model import Profile, Segment
from turnability.reach.ground import Ground, ground_of
from turnability.reach.model import Toward
from turnability.reach.outline import Mover, mover_of
from turnability.setups.bores.deepest import THROUGH_MM, blocked_places, deepest, pushed_out
from turnability.setups.bores.drilling import begins_at_mm
from turnability.setups.bores.reaming import least_end
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.setups.surfaces.edges import at_end
from turnability.setups.surfaces.finer import is_bore
from turnability.shop.model import Tool
from turnability.shop.told_apart import COUNTERSINK, diameter_of, is_flat, is_twist

Edges: TypeAlias = tuple[Points, Points]
"""Starts and ends (n, 2) of the edges of closed rings."""
_NEAR_MM = np.array([0.0, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0])
"""So far from a segment's ends it is looked at more closely: a nose stops short of a corner."""
_STEPS = 33
_LEVEL_MM = 1e-3
_SAME_MM = 1e-6
FLOOR_SHORT = Cited(
    0.3,
    "mm",
    "common practice",
    "what a drill's point leaves before a floor that is finished after it, from memory",
    verified=False,
)
_AT_ONCE = 12
"""Places that are looked at together, the likeliest first."""


def with_last_places(
    setups: Sequence[Setup],
    profile: Profile,
    tools: Sequence[Tool],
    beyond: Sequence[Mapping[str, float]] = (),
) -> tuple[Setup, ...]:
    """The same setups, each operation with where its tool ends; as it was where there is none.

    `beyond`: of each setup how far its drills, by name, must come out of the part for taps.
    """
    by_name = {tool.name: tool for tool in tools}
    by_id = {segment.id: segment for segment in profile.segments}
    made = []
    for n, setup in enumerate(setups):
        tapped = beyond[n] if beyond else {}
        ground = ground_of(profile, setup.kept_clear)
        known: dict[str, tuple[Mover, Region]] = {}
        edged: dict[str, tuple[Mover, list[Edges]]] = {}
        operations: list[Operation] = []
        begun: list[tuple[float, float]] | None = []
        for one in setup.operations:
            begun = None if one.kind == "bore" else begun
            tool = by_name.get(one.tool)
            if tool is None:
                operations.append(one)
                continue
            end: Point | None
            if tool.on_axis:
                if tool.name not in known:
                    known[tool.name] = blocked_places(tool, setup.toward_chuck, ground)
                mover, blocked = known[tool.name]
                own = [by_id[s] for s in one.segments if s in by_id]
                # a countersink makes its chamfer whole, a slot drill a floor that is its alone;
                # a drill leaves a floor to others
                others = {s for o in setup.operations if o.tool != one.tool for s in o.segments}
                floor = is_flat(tool) and any(
                    s.surface == "end" and s.id not in others for s in own
                )
                finishes = floor or tool.kind == COUNTERSINK or _reaches_axis(own)
                short = 0.0 if finishes else FLOOR_SHORT.value
                out = max(
                    THROUGH_MM, tapped.get(tool.name, 0.0), _for_reamers(tool, setup, by_name)
                )
                end = deepest(setup.toward_chuck, mover, blocked, profile.length_mm, short, out)
                bound = (
                    least_end(tool, one, setup.toward_chuck, operations, tools)
                    if one.kind == "ream"
                    else None
                )
                if bound is not None:
                    further = max if setup.toward_chuck == "low" else min
                    end = (further(end[0], bound[0]), end[1])
                if is_twist(tool) and begun is not None:
                    # before a bar has been in, the full lets it no deeper than its flutes
                    flutes = _within_flutes(tool, setup.toward_chuck, profile, end, begun)
                    if _is_through(setup.toward_chuck, mover, flutes, own):
                        end = flutes
                    throat = profile.through_bore_mm
                    if throat is not None and diameter_of(tool) <= throat + _SAME_MM:
                        end = pushed_out(tool, mover, setup.toward_chuck, ground, end, out)
                    free = profile.length_mm if setup.toward_chuck == "low" else 0.0
                    begun.append((diameter_of(tool), abs(free - end[0])))
            else:
                # a blade parts off along the part's end, though another tool may finish that
                names = one.segments or one.leaves
                if one.kind == "part off" and not names:
                    names = at_end(profile, setup.toward_chuck)
                if one.kind == ROUGH and not one.leaves:
                    turned = [o for o in setup.operations if o.kind == "turn"]
                    names = tuple(s for o in turned for s in o.segments)
                segments = [by_id[s] for s in names if s in by_id]
                away = tool.hand == "left" and one.kind == "turn"
                if tool.name not in edged:
                    mover = mover_of(tool.outlines, tool.access, False, setup.toward_chuck, ground)
                    edged[tool.name] = (mover, _blocking(mover, ground))
                end = _last(setup.toward_chuck, away, segments, *edged[tool.name])
            operations.append(replace(one, ends_at=end))
        made.append(replace(setup, operations=tuple(operations)))
    return tuple(made)


def _for_reamers(drill: Tool, setup: Setup, by_name: Mapping[str, Tool]) -> float:
    """How far a drill must come out for the lead of a reamer that follows it, and 1 mm more."""
    reamers = [by_name[o.tool] for o in setup.operations if o.kind == "ream" and o.tool in by_name]
    after = [t for t in reamers if is_twist(drill) and diameter_of(drill) < diameter_of(t)]
    return max((t.limits["lead_mm"] + 2.0 * THROUGH_MM for t in after), default=0.0)


def _last(
    toward: Toward, away: bool, segments: Sequence[Segment], mover: Mover, blocking: Sequence[Edges]
) -> Point | None:
    found = [_touching(segment, mover) for segment in segments]
    if not found:
        return None
    points: Points = np.concatenate(found)
    to_chuck = 1.0 if (toward == "low") != away else -1.0
    points = points[np.lexsort((points[:, 1], np.round(to_chuck * points[:, 0] / _LEVEL_MM)))]
    for some in np.split(points, range(_AT_ONCE, len(points), _AT_ONCE)):
        free = some[~np.any([_wound_round(some, *its) for its in blocking], axis=0)]
        if len(free):
            z, r = free[0].tolist()
            return (z, r)
    return None


def _blocking(mover: Mover, ground: Ground) -> list[Edges]:
    """Edges of the sums of its outlines with the part, and with what holds that.

    Where they wind round a place, one of its outlines would enter there: that is told of a few
    places sooner than the sums' own outline.
    """
    pieces = (*mover.cutting_negated, *mover.body_negated)
    solid = (ground.part,) if ground.added is None else (ground.part, ground.added)
    found = []
    for one in solid:
        rings = cycles(one.traced(shaved=True), pieces)
        if rings:
            starts, after = np.concatenate(rings), np.cumsum([len(ring) for ring in rings])
            ends = np.concatenate((starts[1:], starts[:1]))
            ends[after - 1] = starts[np.concatenate(([0], after[:-1]))]
            found.append((starts, ends))
    return found


def _wound_round(points: Points, starts: Points, ends: Points) -> NDArray[np.bool_]:
    """Which of the points (n, 2) closed rings of these edges wind round positively in all."""
    z, r = points[:, :1], points[:, 1:]
    up = (starts[:, 1] <= r).astype(np.int8) - (ends[:, 1] <= r)
    point, edge = up.nonzero()
    a, b = starts[edge], ends[edge]
    crossing = a[:, 0] + (r[point, 0] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    beyond = crossing > z[point, 0]
    winds = np.bincount(point[beyond], up[point, edge][beyond], minlength=len(points))
    wound: NDArray[np.bool_] = winds > 0.5
    return wound


def _touching(segment: Segment, mover: Mover) -> Points:
    """Places of the point at which the cutting edge touches the segment from outside, (n, 2)."""
    curve = segment.curve
    length = curve.length()
    near = _NEAR_MM[length / 2.0 > _NEAR_MM] / length
    shares = np.unique(np.concatenate((near, 1.0 - near, np.linspace(0.0, 1.0, _STEPS))))
    if isinstance(curve, Line):
        # alike all along
        run = np.array(curve.end) - curve.start
        at, along = curve.start + shares[:, None] * run, run[None, :]
    else:
        at = np.array([curve.at(t) for t in shares.tolist()])
        along = np.array([curve.direction(t) for t in shares.tolist()])
    along = along / np.hypot(along[:, :1], along[:, 1:])
    outward = np.stack([along[:, 1], -along[:, 0]], axis=1)  # the material lies on the left
    corners = np.concatenate([piece.corners for piece in mover.cutting])
    depth = corners @ outward.T
    touches = depth < depth.min(axis=0) + _SAME_MM
    # a straight edge that lies along the surface touches a wall with its tip, else with either end
    across = corners @ along.T
    first = np.where(touches, across, np.inf).argmin(axis=0)
    last = np.where(touches, across, -np.inf).argmax(axis=0)
    ends = [corners[first], corners[last]]
    places: Points = np.concatenate([at - end for end in ends])
    if segment.surface != "end":
        return places
    sign = -1.0 if mover.access == "inner" else 1.0
    lower = (sign * ends[1][:, 1] < sign * ends[0][:, 1])[:, None]
    at_tip: Points = at - np.where(lower, ends[1], ends[0])
    return at_tip


def _reaches_axis(segments: Sequence[Segment]) -> bool:
    """Whether a drill finishes the floor that its point comes to."""
    return any(p[1] <= _SAME_MM for s in segments for p in (s.curve.start, s.curve.end))


def _is_through(toward: Toward, mover: Mover, end: Point, own: Sequence[Segment]) -> bool:
    """Whether a drill that ends there has made all its surfaces, its bores at full diameter."""
    sign = 1.0 if toward == "low" else -1.0
    corners = np.concatenate([piece.corners for piece in mover.cutting])
    wide = np.abs(corners[:, 1])
    point = float((sign * corners[wide >= wide.max() - _SAME_MM, 0]).min())
    for s in own:
        far = min(sign * p[0] for p in (s.curve.start, s.curve.end))
        reaches = sign * end[0] + (point if is_bore(s) else 0.0)
        if reaches > far + _LEVEL_MM:
            return False
    return True


def _within_flutes(
    tool: Tool, toward: Toward, profile: Profile, end: Point, begun: Sequence[tuple[float, float]]
) -> Point:
    """No deeper than its usable length from the free end, or from the floor of a wide hole."""
    usable = tool.limits.get("usable_length_mm")
    if usable is None:
        return end
    depth = begins_at_mm(tool, begun) + usable
    z = max(end[0], profile.length_mm - depth) if toward == "low" else min(end[0], depth)
    return (z, end[1])
