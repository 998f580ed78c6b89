"""Outlines with one measure changed: nose, width, bar, overhang or depth.

Every function takes outlines drawn as the shop draws them (part held at its low end) and gives
those of a like tool; None where the outlines have no such measure.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Point, Ring, line_ring
from turnability.half_plane.flatten import outline_points
from turnability.half_plane.regions import Region, box, union
from turnability.shop.model import Access, Below, Outlines

_LEVEL_MM = 1e-6
_FAR_MM = 1e5
_LEAST_OF_WIDTH = 0.4
"""Of its edge's width a blade curved round the axis has no less below it (our choice)."""


@dataclass(frozen=True, slots=True)
class Bar:
    """The round part of an inner tool's body: from `low` to `high` in r, clamped at `block_z`.

    `block_z` is None where nothing thicker holds it.
    """

    low: float
    high: float
    block_z: float | None


def largest_nose(cutting: tuple[Ring, ...]) -> float:
    """The largest radius of a corner or a round cutter of the outline; 0 where all are sharp."""
    radii = [
        arc.radius for ring in cutting for arc in ring if isinstance(arc, Arc) and _is_nose(arc)
    ]
    radii += [circle[1] for ring in cutting if (circle := circle_of(ring)) is not None]
    return max(radii, default=0.0)


def blunted(own: Outlines, radius_mm: float) -> Outlines | None:
    """No nose larger than `radius_mm`: corners drawn out toward their tips, discs made smaller."""
    if largest_nose(own.cutting) <= radius_mm:
        return None
    return replace(own, cutting=tuple(_with_nose(ring, radius_mm) for ring in own.cutting))


def narrowed(own: Outlines, access: Access, width_mm: float) -> Outlines | None:
    """A blade no wider than `width_mm`, though wide enough for its two corners.

    Its middle is taken out on the side away from its point, from the edge and from what is no
    wider of the body. Below its edge as much is taken out; where too little is left of it, it is
    less tall.
    """
    if not own.cutting:
        return None
    column, low, high = _across(own, access)
    width = max(width_mm, 2.0 * largest_nose(own.cutting) + 1e-3)
    if width >= high - low:
        return None
    middle = low + width / 2.0
    away = high - low - width
    kept = 0.0 if low + high >= 0.0 else away

    def thin(p: Point) -> Point:
        moved = kept + (min(p[column], middle) if p[column] < middle + away else p[column] - away)
        return (moved, p[1]) if column == 0 else (p[0], moved)

    body = []
    for ring in own.body:
        at = outline_points(ring)[:, column]
        slim = float(at.min()) >= low - _LEVEL_MM and float(at.max()) <= high + _LEVEL_MM
        body.append(mapped(ring, thin) if slim else ring)
    cutting = tuple(mapped(ring, thin) for ring in own.cutting)
    below = [_thinner(one, column, kept, away, width) for one in own.below]
    return replace(
        own, cutting=cutting, body=tuple(body), below=tuple(one for one in below if one.body)
    )


def _thinner(one: Below, column: int, kept: float, away: float, width: float) -> Below:
    """A section below a blade's edge with `away` taken out of its middle, and moved by `kept`."""
    rings = []
    for ring in one.body:
        at = outline_points(ring)[:, column]
        low, high = float(at.min()), float(at.max())
        middle = (low + high) / 2.0

        def thin(p: Point, middle: float = middle) -> Point:
            moved = kept + (p[column] if p[column] < middle else p[column] - away)
            return (moved, p[1]) if column == 0 else (p[0], moved)

        if high - low - away >= _LEAST_OF_WIDTH * width:
            rings.append(mapped(ring, thin))
    return replace(one, body=tuple(rings))


def squeezed(own: Outlines, access: Access, share: float) -> tuple[Ring, ...]:
    """The cutting outline at a share of its width, about its point."""
    column, low, high = _across(own, access)
    pin = min(max(0.0, low), high)

    def thin(p: Point) -> Point:
        moved = pin + (p[column] - pin) * share
        return (moved, p[1]) if column == 0 else (p[0], moved)

    return tuple(mapped(ring, thin) for ring in own.cutting)


def _across(own: Outlines, access: Access) -> tuple[int, float, float]:
    """Along which coordinate the edge's width lies, and its least and greatest there."""
    column = 1 if access == "end" else 0
    points = np.concatenate([outline_points(ring) for ring in own.cutting])
    return column, float(points[:, column].min()), float(points[:, column].max())


@lru_cache(maxsize=1024)
def bar_of(own: Outlines) -> Bar | None:
    """The bar of an inner tool's body."""
    if not own.body or not own.cutting:
        return None
    body = body_region(own)
    _, r0, _, r1 = body.bounds
    stops = np.unique(np.concatenate([outline_points(ring)[:, 0] for ring in own.body]))
    stops = stops[np.concatenate(([True], np.diff(stops) > 1e-3))]
    slices = []
    for a, b in zip(stops[:-1].tolist(), stops[1:].tolist(), strict=True):
        middle = (a + b) / 2.0
        piece = body & box(middle - 1e-4, r0 - 1.0, middle + 1e-4, r1 + 1.0)
        slices.append((a, (piece.bounds[1], piece.bounds[3]) if not piece.empty else (0.0, 0.0)))
    if not slices:
        return None
    last = slices[-1][1]
    start = len(slices) - 1
    while start > 0 and max(abs(slices[start - 1][1][k] - last[k]) for k in (0, 1)) < 1e-3:
        start -= 1
    if start == 0:
        return Bar(last[0], last[1], None)
    before = slices[start - 1][1]
    head = max(float(outline_points(ring)[:, 0].max()) for ring in own.cutting)
    if before[1] - before[0] > last[1] - last[0] or slices[start][0] <= head:
        return Bar(last[0], last[1], None)
    return Bar(before[0], before[1], slices[start][0])


def thinner_bar(own: Outlines, diameter_mm: float) -> Outlines | None:
    """The bar thinner on its far side, f - d/2 the same; the insert no taller than what is left."""
    bar = bar_of(own)
    if bar is None:
        return None
    nose = largest_nose(own.cutting)
    top = max(float(outline_points(ring)[:, 1].max()) for ring in own.cutting)
    floor = bar.high - diameter_mm
    return Outlines(
        _cut(own.cutting, box(-_FAR_MM, min(floor, top - 2.5 * nose), _FAR_MM, _FAR_MM)),
        _but_block(own, bar, box(-_FAR_MM, floor, _FAR_MM, _FAR_MM)),
    )


def standing_off_bar(own: Outlines, depth_mm: float) -> Outlines | None:
    """The bar thinner on its near side, so that it stays `depth_mm` behind the edge."""
    bar = bar_of(own)
    if bar is None:
        return None
    ceiling = max(-depth_mm, bar.low + 0.01 * (bar.high - bar.low))
    return Outlines(own.cutting, _but_block(own, bar, box(-_FAR_MM, -_FAR_MM, _FAR_MM, ceiling)))


def longer_bar(own: Outlines, by_mm: float) -> Outlines | None:
    """The bar standing out farther of what clamps it."""
    bar = bar_of(own)
    if bar is None or bar.block_z is None:
        return None
    at = bar.block_z - _LEVEL_MM
    return Outlines(own.cutting, tuple(mapped(r, _moved(0, at, by_mm)) for r in own.body))


def longer_drill(own: Outlines, by_mm: float) -> Outlines:
    """A drill with longer flutes."""
    at = max(float(outline_points(ring)[:, 0].max()) for ring in own.cutting) - _LEVEL_MM
    move = _moved(0, at, by_mm)
    cutting, body = (tuple(mapped(r, move) for r in rings) for rings in (own.cutting, own.body))
    return Outlines(cutting, body)


def deeper_blade(own: Outlines, access: Access, by_mm: float) -> Outlines:
    """A blade that sinks deeper, its edge as tall as it sinks."""
    along = 0 if access == "end" else 1
    tops = [float(outline_points(ring)[:, along].max()) for ring in own.cutting]
    cutting = tuple(
        mapped(ring, _moved(along, 0.5 * top, by_mm))
        for ring, top in zip(own.cutting, tops, strict=True)
    )
    move = _moved(along, -_FAR_MM, by_mm)
    return replace(own, cutting=cutting, body=tuple(mapped(ring, move) for ring in own.body))


def common_body(one: Outlines, other: Outlines) -> tuple[Ring, ...]:
    """What two bodies have in common."""
    if not one.body or not other.body:
        return ()
    return rings_of(body_region(one) & body_region(other))


def body_region(own: Outlines) -> Region:
    """The body as drawn."""
    return union([Region.of([outline_points(ring)]) for ring in own.body])


def rings_of(region: Region) -> tuple[Ring, ...]:
    """A region's outlines as rings of lines; holes are filled."""
    return tuple(line_ring(ring) for ring in region.rings())


def mapped(ring: Ring, to: Callable[[Point], Point]) -> Ring:
    """A ring with every corner moved; arcs become lines."""
    return line_ring([to((float(z), float(r))) for z, r in outline_points(ring)])


def circle_of(ring: Ring) -> tuple[Point, float] | None:
    """Centre and radius of a ring that is one full circle."""
    first = ring[0]
    if not isinstance(first, Arc):
        return None
    same = all(
        isinstance(curve, Arc)
        and math.dist(curve.centre, first.centre) <= _LEVEL_MM
        and abs(curve.radius - first.radius) <= _LEVEL_MM
        for curve in ring
    )
    return (first.centre, first.radius) if same else None


def disc(centre: Point, radius: float) -> Ring:
    """A full circle as a ring."""
    a, b = (centre[0] - radius, centre[1]), (centre[0] + radius, centre[1])
    return (Arc(a, b, centre, radius, False), Arc(b, a, centre, radius, False))


def _is_nose(arc: Arc) -> bool:
    return not arc.clockwise and arc.sweep() < math.pi - 0.05


def _with_nose(ring: Ring, radius: float) -> Ring:
    circle = circle_of(ring)
    if circle is not None:
        centre, own = circle
        return disc(centre, max(radius, 0.01 * own)) if own > radius else ring
    corners: list[Curve] = []
    for curve in ring:
        if not isinstance(curve, Arc) or not _is_nose(curve) or curve.radius <= radius:
            corners.append(curve)
            continue
        # a smaller arc between the same two edges is this one drawn smaller about their tip
        tip, share = _tip(curve), radius / curve.radius
        start, end, centre = (
            (tip[0] + share * (p[0] - tip[0]), tip[1] + share * (p[1] - tip[1]))
            for p in (curve.start, curve.end, curve.centre)
        )
        corners.append(Line(curve.start, start))
        if radius > 0.0:
            corners.append(Arc(start, end, centre, radius, False))
        corners.append(Line(end, curve.end))
    return tuple(corners)


def _tip(arc: Arc) -> Point:
    half = arc.sweep() / 2.0
    middle = arc.start_angle() + half
    far = arc.radius / math.cos(half)
    return (arc.centre[0] + far * math.cos(middle), arc.centre[1] + far * math.sin(middle))


def _cut(rings: tuple[Ring, ...], kept: Region) -> tuple[Ring, ...]:
    found: list[Ring] = []
    for ring in rings:
        whole = Region.of([outline_points(ring)])
        part = whole & kept
        # one that is not cut keeps its arcs
        found += [ring] if part.area >= whole.area * (1.0 - 1e-9) else rings_of(part)
    return tuple(found)


def _but_block(own: Outlines, bar: Bar, kept: Region) -> tuple[Ring, ...]:
    """The body cut down to a region, but for the block that clamps it."""
    if bar.block_z is not None:
        kept = kept | box(bar.block_z, -_FAR_MM, _FAR_MM, _FAR_MM)
    return _cut(own.body, kept)


def _moved(column: int, at: float, by: float) -> Callable[[Point], Point]:
    """Points beyond `at` moved along z (0) or r (1)."""

    def move(p: Point) -> Point:
        if p[column] < at:
            return p
        return (p[0] + by, p[1]) if column == 0 else (p[0], p[1] + by)

    return move
