"""Areas made exact again: what lies between the chords of a flattened region and its true arcs.

An edge of a result that is a chord of an arc, moved as a whole or where it was, has exactly the
circular segment beside it to add or to take away, and one that touches a hollow arc what is between
them. Chords of one arc that was moved tell where it stood, and so where its true arc rests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.flatten import CHORD_MM
from turnability.half_plane.resting import Touchable, rests_at

_SAME_MM = 6e-8
"""How far snapping can move a chord's vector."""
_ON_MM = 1e-7
_TIDY_MM = 5e-8
_ONE_CENTRE_MM = 2e-5
_WITHIN_MM = CHORD_MM + _ONE_CENTRE_MM


@dataclass(frozen=True, slots=True, eq=False)
class MovedChords:
    """Chords of arcs of outlines that were moved: vectors (n, 2), radii (n,), in running order."""

    vectors: Points
    radii: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class FixedEdges:
    """Straight edges for arcs that stay where they are: starts, ends (n, 2); radii (n,).

    Those of bulging arcs are chords. Those of hollow arcs, whose radii are negative, touch their
    arcs at `touch` (n,) mm from the start.
    """

    starts: Points
    ends: Points
    radii: NDArray[np.float64]
    touch: NDArray[np.float64]


def beyond_chords(starts: Points, ends: Points, areas: NDArray[np.float64]) -> tuple[float, float]:
    """What to add to area (mm2) and turned volume (mm3) of a region, of `beside_each` (m,)."""
    middle_r = (starts[:, 1] + ends[:, 1]) / 2.0
    return float(areas.sum()), float(2.0 * math.pi * (areas * middle_r).sum())


def beside_each(
    starts: Points, ends: Points, moved: MovedChords, fixed: FixedEdges, touched: Touchable
) -> NDArray[np.float64]:
    """What to add to the area (mm2) of a region for each of its edges that is an arc's, (m,).

    `starts`, `ends` (m, 2) are its edges, region on the left; what bounds it (the swept outlines
    and the fixed body, each with its own inside on its left) runs against them. `touched` are the
    curves on which outlines were moved to rest.
    """
    beside, chord = _beside_moved(starts - ends, moved)
    beside += _beside_fixed(starts, ends, fixed)
    if (chord >= 0).any():
        beside += _by_true_rests(starts, ends, chord, moved, touched)
    return beside


def bulged(starts: Points, ends: Points, areas: NDArray[np.float64], pieces: int = 8) -> Points:
    """A ring (n, 2) whose edges bulge by the areas (m,) given, where there are any.

    The flat arcs are drawn as parabolas of `pieces` chords, which miss 1/pieces² of the area.
    """
    points: list[Points] = []
    for start, end, area in zip(starts, ends, areas.tolist(), strict=True):
        step = end - start
        length = float(np.hypot(*step))
        if area == 0.0 or length == 0.0:
            points.append(start[None, :])
            continue
        t = np.arange(pieces)[:, None] / pieces
        # the region lies on the left, so it grows to the right
        out = np.array([step[1], -step[0]]) / length
        points.append(start + t * step + 6.0 * area / length * t * (1.0 - t) * out)
    return np.concatenate(points)


def tidied(ring: Points) -> Points:
    """The ring (n, 2) without the corners that snapping made: doubles, spikes, corners on edges."""
    points = [(float(z), float(r)) for z, r in ring]
    at, calm = 0, 0
    while len(points) > 3 and calm <= len(points):
        at %= len(points)
        (z0, r0), (z, r), (z1, r1) = points[at - 1], points[at], points[(at + 1) % len(points)]
        uz, ur, wz, wr = z - z0, r - r0, z1 - z, r1 - r
        u, w = math.hypot(uz, ur), math.hypot(wz, wr)
        # how far the shorter of its two edges leaves the line of the longer
        off = abs(uz * wr - ur * wz) / max(u, w) if max(u, w) > 0.0 else 0.0
        if min(u, w) <= _TIDY_MM or off <= _TIDY_MM:
            del points[at]
            at, calm = at - 1, 0
        else:
            at, calm = at + 1, calm + 1
    return np.array(points)


def _beside_moved(
    back: Points, moved: MovedChords
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Areas (m,), and the chord that each edge is the whole of (m,), -1 for none."""
    areas, whole_of = np.zeros(len(back)), np.full(len(back), -1)
    if len(moved.radii) == 0:
        return areas, whole_of
    chord, whole = _nearest(back, moved.vectors)
    length = np.hypot(back[:, 0], back[:, 1])
    areas[whole] = -_segment(length[whole], moved.radii[chord[whole]])
    whole_of[whole] = chord[whole]
    count, last = len(back), len(moved.radii) - 1
    for i in np.nonzero(whole)[0].tolist():
        # the region's edges run against the outline: the next edge is the chord before
        for neighbour, other in (((i + 1) % count, chord[i] - 1), ((i - 1) % count, chord[i] + 1)):
            if whole[neighbour] or not 0 <= other <= last:
                continue
            vector, radius = moved.vectors[other], moved.radii[other]
            full = float(np.hypot(*vector))
            x = float(length[neighbour])
            along = float(back[neighbour] @ vector) / full
            if radius == moved.radii[chord[i]] and x < full and x - along <= 1e-9 + 1e-6 * x:
                areas[neighbour] = -_part(np.array(full), np.array(x), np.array(radius))
    return areas, whole_of


def _nearest(steps: Points, vectors: Points) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """For each step (m, 2) the place of the nearest vector (n, 2), the first of several alike.

    And whether that is as near as snapping can move it, (m,); else its place says nothing.
    """
    order = vectors[:, 0].argsort(kind="stable")
    along = vectors[:, 0].take(order)
    # there are thousands of vectors, and few steps are as long along z as any of them
    first = along.searchsorted(steps[:, 0] - _SAME_MM, side="left")
    count = along.searchsorted(steps[:, 0] + _SAME_MM, side="right") - first
    step = np.arange(len(steps)).repeat(count)
    vector = order.take(np.arange(len(step)) + (first - count.cumsum() + count).repeat(count))
    gap = np.maximum.reduce(np.abs(steps[step] - vectors[vector]), axis=1, initial=0.0)
    # the farthest first, and of those alike the last: what is written last stays
    nearest_last = np.lexsort((-vector, -gap))
    place = np.zeros(len(steps), dtype=np.int64)
    least = np.full(len(steps), np.inf)
    place[step[nearest_last]] = vector[nearest_last]
    least[step[nearest_last]] = gap[nearest_last]
    return place, least <= _SAME_MM


def _by_true_rests(
    starts: Points,
    ends: Points,
    chord: NDArray[np.int64],
    moved: MovedChords,
    touched: Touchable,
) -> NDArray[np.float64]:
    """By how much a region changes along each edge (m,) as arcs go where they rest in truth."""
    areas = np.zeros(len(starts))
    along = ends - starts
    # the outline runs against the region's edges, round its centre on its left
    length = np.hypot(along[:, 0], along[:, 1])
    radii = np.where(chord >= 0, moved.radii[chord], np.inf)
    whole = np.nonzero(chord >= 0)[0]
    high = np.sqrt(np.maximum(radii[whole] ** 2 - length[whole] ** 2 / 4.0, 0.0)) / length[whole]
    across = along[whole][:, ::-1] * (1.0, -1.0)
    centres = (starts[whole] + ends[whole]) / 2.0 + across * high[:, None]
    todo = np.ones(len(whole), dtype=bool)
    while todo.any():
        first = int(todo.argmax())
        same = todo & (np.abs(centres - centres[first]).max(axis=1) <= _ONE_CENTRE_MM)
        same &= radii[whole] == radii[whole[first]]
        todo &= ~same
        centre = centres[same].mean(axis=0)
        shift = rests_at(centre, float(radii[whole[first]]), touched) - centre
        if shift.any():
            edges = _with_rest_of_chords(whole[same], starts, ends, centre, radii[whole[first]])
            areas[edges] += along[edges, 1] * shift[0] - along[edges, 0] * shift[1]
    return areas


def _with_rest_of_chords(
    edges: NDArray[np.int64], starts: Points, ends: Points, centre: Points, radius: float
) -> NDArray[np.int64]:
    """These whole chords of an arc, and the parts of chords that the region begins or ends with."""
    found = set(edges.tolist())
    for edge in edges.tolist():
        for beside, far in ((edge - 1, starts), ((edge + 1) % len(starts), ends)):
            within = math.dist(far[beside], centre) - radius
            if -_WITHIN_MM <= within <= _ONE_CENTRE_MM:
                found.add(beside % len(starts))
    return np.array(sorted(found))


def _beside_fixed(starts: Points, ends: Points, fixed: FixedEdges) -> NDArray[np.float64]:
    areas = np.zeros(len(starts))
    if len(fixed.radii) == 0:
        return areas
    step = fixed.ends - fixed.starts
    full = np.hypot(step[:, 0], step[:, 1])
    unit = step / full[:, None]
    normal = np.column_stack((-unit[:, 1], unit[:, 0]))
    offset = (fixed.starts * normal).sum(axis=1)
    begin = (fixed.starts * unit).sum(axis=1)
    near = (np.abs(starts @ normal.T - offset) <= _ON_MM) & (
        np.abs(ends @ normal.T - offset) <= _ON_MM
    )
    edge, chord = np.nonzero(near)
    a = np.clip((ends[edge] * unit[chord]).sum(axis=1) - begin[chord], 0.0, full[chord])
    b = np.clip((starts[edge] * unit[chord]).sum(axis=1) - begin[chord], 0.0, full[chord])
    radius, touch = fixed.radii[chord], fixed.touch[chord]
    bulging = _part(full[chord], b, np.abs(radius)) - _part(full[chord], a, np.abs(radius))
    hollow = _under(b - touch, np.abs(radius)) - _under(a - touch, np.abs(radius))
    # either way the body is larger than its edges
    np.subtract.at(areas, edge, np.maximum(np.where(radius > 0.0, bulging, hollow), 0.0))
    return areas


def _segment(chord: NDArray[np.float64], radius: NDArray[np.float64]) -> NDArray[np.float64]:
    """Area between a chord and its arc."""
    angle = 2.0 * np.arcsin(np.minimum(1.0, chord / (2.0 * radius)))
    return 0.5 * radius * radius * (angle - np.sin(angle))


def _part(
    chord: NDArray[np.float64], upto: NDArray[np.float64], radius: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The share of that area beside the chord's first `upto` mm."""
    x = np.clip(upto / chord, 0.0, 1.0)
    return _segment(chord, radius) * x * x * (3.0 - 2.0 * x)


def _under(x: NDArray[np.float64], radius: NDArray[np.float64]) -> NDArray[np.float64]:
    """Area between an arc and the first x mm of a line from where it touches; negative for x < 0.

    Bounded by the line on to the arc's centre.
    """
    return 0.5 * radius * (x - radius * np.arctan(x / radius))
