"""Where the nearest tool would have to stand to cut what is left, and what it would hit there.

For people to look at: no judgement rests on it. The stand is one of the places from which the
cutting outline, without entering the part, covers the region's deepest corner (else the most of
the region); of these the one at which the body enters part and standing stock the least.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from turnability.half_plane.curves import Point, Points
from turnability.half_plane.distances import distances
from turnability.half_plane.regions import Region, both_sides, box, whole_rings
from turnability.half_plane.sums import Convex, minkowski, swept_over
from turnability.part.model import Profile
from turnability.reach.ground import Ground, ground_of
from turnability.reach.model import Left, Reach, Stand, Toward
from turnability.reach.outline import Mover, bare_outlines, mover_of
from turnability.shop.model import Tool

_MOST = 40
"""So many regions, the deepest first: nobody looks at more."""
_TRIED = 60
_POINT_MM = 1e-4
_DRAWN_MM = 0.005
_LEAST_MM2 = 1e-4
_ON_EDGE_MM = 2e-3
_AXIS_MM = 1e-3


def with_stands(reach: Reach, profile: Profile, tools: Sequence[Tool]) -> Reach:
    """The same with a stand for each of the left regions that has a nearest tool."""
    by_name = {tool.name: tool for tool in tools}
    deepest = sorted(reach.left, key=lambda one: -one.deepest_mm)[:_MOST]
    shown = {one.id for one in deepest if one.nearest_tool in by_name}
    if not shown:
        return reach
    among = _Among(ground_of(profile), reach.left)
    left = [
        replace(one, stand=_stand_of(one, by_name[one.nearest_tool or ""], among))
        if one.id in shown
        else one
        for one in reach.left
    ]
    return replace(reach, left=tuple(left))


class _Among:
    """What stands there: the part, and the stock that no tool removes."""

    def __init__(self, ground: Ground, all_left: Sequence[Left]) -> None:
        self.ground = ground
        stock = both_sides(Region.of([np.asarray(one.polygon) for one in all_left]))
        self.solid = both_sides(ground.part_half) | stock
        self._made: dict[tuple[str, Toward], tuple[Mover, Mover, Region]] = {}

    def made_ready(self, tool: Tool, toward: Toward) -> tuple[Mover, Mover, Region]:
        """The tool, its edge alone, and where that would enter the part."""
        key = (tool.name, toward)
        if key not in self._made:
            whole = mover_of(tool.outlines, tool.access, tool.on_axis, toward, self.ground)
            # the body may stand in the part here, so corners of the edge that it covers count, too
            alone = bare_outlines(tool.outlines.cutting)
            edge = mover_of(alone, tool.access, tool.on_axis, toward, self.ground)
            part = self.ground.part.traced(shaved=True)
            self._made[key] = (whole, edge, swept_over(part, edge.cutting_negated))
        return self._made[key]


def _stand_of(left: Left, tool: Tool, among: _Among) -> Stand | None:
    """The stand of one tool for one region, from the end that it hits less from; None if none."""
    region = Region.of([np.asarray(left.polygon)])
    at = _deepest(left, region, among.ground)
    ends: tuple[Toward, Toward] = ("low", "high")
    found = [
        stand for toward in ends if (stand := _stand(region, at, tool, toward, among)) is not None
    ]
    return min(found, key=lambda pair: pair[0])[1] if found else None


def _stand(
    region: Region, at: Point, tool: Tool, toward: Toward, among: _Among
) -> tuple[tuple[float, float], Stand] | None:
    mover, edge, blocked = among.made_ready(tool, toward)
    z, r = at
    point = box(z - _POINT_MM, r - _POINT_MM, z + _POINT_MM, r + _POINT_MM)
    tries: list[tuple[tuple[float, float], Point, Region]] = []
    for goal in (point, region):
        places = _places(minkowski(goal, edge.cutting_negated) - blocked, tool.on_axis)
        for place in places:
            hit = among.solid & _moved(mover.body, place)
            # the deep corner: whatever hits least there. Else first as much of it as can be had.
            want = 0.0
            if goal is not point:
                want = -round((region & _moved(edge.cutting, place)).area, 4)
            # what is alike but for rounding must not hang on it
            tries.append(((want, round(hit.area, 3)), place, hit))
        if tries:
            break
    if not tries:
        return None
    rank, place, hit = min(tries, key=lambda one: one[0])
    polygons = tuple(
        tuple((float(a), float(b)) for a, b in ring)
        for piece in hit.components()
        if piece.area > _LEAST_MM2
        for ring in whole_rings(piece.simplified(_DRAWN_MM))
    )
    return rank, Stand(tool.name, toward, place, polygons)


def _places(free: Region, on_axis: bool) -> list[Point]:
    """Corners of where the point may be, evenly chosen where there are many."""
    rings = free.rings()
    if not rings:
        return []
    corners: Points = np.concatenate(rings)
    if on_axis:
        low, high = corners[:, 1].min(), corners[:, 1].max()
        if low > _AXIS_MM or high < -_AXIS_MM:
            return []
        line = free & box(corners[:, 0].min() - 1.0, -_AXIS_MM, corners[:, 0].max() + 1.0, _AXIS_MM)
        corners = np.concatenate([*line.rings(), np.zeros((0, 2))]) * np.array([1.0, 0.0])
    step = max(1, len(corners) // _TRIED)
    return [(float(a), float(b)) for a, b in corners[::step]]


def _moved(pieces: Sequence[Convex], place: Point) -> Region:
    return Region.of([piece.corners + np.asarray(place) for piece in pieces])


def _deepest(left: Left, region: Region, ground: Ground) -> Point:
    """The region's corner that lies farthest from its open edges, which the part does not bound."""
    corners = np.asarray(left.polygon)
    starts, ends = region.edges()
    middles = 0.5 * (starts + ends)
    on_part = distances(middles, ground.edge_starts, ground.edge_ends) < _ON_EDGE_MM
    if on_part.all() or not on_part.any():
        z, r = corners.mean(axis=0).tolist()
        return z, r
    open_ = ~on_part
    deep = distances(corners, starts[open_], ends[open_]).round(6)
    # of corners equally deep the lowest, wherever the ring begins
    z, r = corners[np.lexsort((corners[:, 1], corners[:, 0], -deep))[0]].tolist()
    return z, r
