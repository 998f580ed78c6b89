"""Loops of the half plane made into a profile that keeps the report's contract."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from turnability.half_plane.curves import (
    Arc,
    Curve,
    Line,
    Ring,
    Spline,
    line_ring,
    ring_area,
    ring_volume,
)
from turnability.half_plane.intersect import box
from turnability.part.model import Loop, Profile, Segment, Surface

ON_AXIS_MM = 1e-3
"""|r| up to this is 0 (report contract)."""
SAME_MM = 1e-6
"""Ends this close are one point; the report rounds to it."""
_LEVEL = 1e-6

Piece = tuple[Curve, tuple[int, ...]]
"""A curve and the faces it comes from."""


def make_profile(
    loops: Iterable[Sequence[Piece]],
    solid_volume_mm3: float | None = None,
    departures_volume_mm3: float | None = None,
) -> Profile:
    """Number the segments, name their surfaces and measure the body.

    `loops`: the outline first or anywhere (anticlockwise), cavities clockwise; curves with faces.
    They stand in the contract's frame already (the body begins at z = 0), neighbours on one line
    or arc merged (`merge_neighbours`). Raises ValueError when there is not exactly one outline.
    """
    cleaned = [[(_on_axis(curve), faces) for curve, faces in loop] for loop in loops]
    outlines = [loop for loop in cleaned if ring_area(tuple(c for c, _ in loop)) > 0.0]
    if len(outlines) != 1:
        raise ValueError(f"a profile has one outline, not {len(outlines)}")
    cavities = [loop for loop in cleaned if ring_area(tuple(c for c, _ in loop)) < 0.0]
    number = 0
    made: list[Loop] = []
    for loop in outlines + cavities:
        segments = []
        for curve, faces in _from_low_axis(loop):
            number += 1
            surface = surface_of(curve, faces)
            # No face lies on the axis; one that touches it there bounds nothing.
            owned = () if surface == "axis" else faces
            segments.append(Segment(f"S{number}", curve, surface, owned))
        made.append(Loop("cavity" if made else "outline", tuple(segments)))
    rings = [loop.ring for loop in made]
    boxes = [box(curve) for curve in rings[0]]
    return Profile(
        length_mm=max(high for _, _, high, _ in boxes),
        max_diameter_mm=2.0 * max(out for *_, out in boxes),
        through_bore_mm=_through_bore(rings[0]),
        volume_mm3=math.fsum(ring_volume(ring) for ring in rings),
        solid_volume_mm3=solid_volume_mm3,
        departures_volume_mm3=departures_volume_mm3,
        loops=tuple(made),
    )


def drawn_profile(points: Iterable[tuple[float, float]]) -> Profile:
    """A profile of straight lines through corners (z, r), in either sense, without faces."""
    ring = line_ring(points)
    if ring_area(ring) < 0.0:
        ring = tuple(curve.reversed() for curve in ring[::-1])
    return make_profile([[(curve, ()) for curve in ring]])


def surface_of(curve: Curve, faces: Sequence[int] = ()) -> Surface:
    """Which way the outward normal looks at mid-length: outer, inner, end or the axis itself."""
    if _lies_on_axis(curve):
        return "axis"
    dz, _ = curve.direction(0.5)
    if isinstance(curve, Arc):
        return "outer" if dz < -_LEVEL else "inner" if dz > _LEVEL else "end"
    if isinstance(curve, Line) and abs(curve.end[0] - curve.start[0]) <= SAME_MM:
        return "end"
    return "outer" if dz < -_LEVEL else "inner" if dz > _LEVEL else "end"


def merge_neighbours(loop: Sequence[Piece], tolerance_mm: float = SAME_MM) -> list[Piece]:
    """Join neighbours that lie on one line or one arc; a full circle stays two arcs."""
    pieces = list(loop)
    at = 0
    while len(pieces) > 2 and at < len(pieces):
        (first, faces), (second, more) = pieces[at], pieces[(at + 1) % len(pieces)]
        joined = _joined(first, second, tolerance_mm)
        if joined is None:
            at += 1
            continue
        piece = (joined, tuple(sorted({*faces, *more})))
        if at + 1 == len(pieces):
            pieces = [piece, *pieces[1:-1]]
        else:
            pieces[at : at + 2] = [piece]
    return pieces


def _joined(a: Curve, b: Curve, tolerance_mm: float) -> Curve | None:
    if isinstance(a, Line) and isinstance(b, Line):
        whole = Line(a.start, b.end)
        n = whole.length()
        if n <= tolerance_mm:
            return None
        (z0, r0), (z1, r1), (zm, rm) = whole.start, whole.end, a.end
        off = abs((z1 - z0) * (rm - r0) - (r1 - r0) * (zm - z0)) / n
        along = ((zm - z0) * (z1 - z0) + (rm - r0) * (r1 - r0)) / n
        return whole if off <= tolerance_mm and 0.0 <= along <= n else None
    if isinstance(a, Arc) and isinstance(b, Arc) and a.clockwise == b.clockwise:
        same = (
            math.dist(a.centre, b.centre) <= 10.0 * tolerance_mm
            and abs(a.radius - b.radius) <= 10.0 * tolerance_mm
        )
        if same and abs(a.sweep()) + abs(b.sweep()) < math.tau - 1e-6:
            return Arc(a.start, b.end, a.centre, a.radius, a.clockwise)
    return None


def _on_axis(curve: Curve) -> Curve:
    """Move ends within 1 µm of the axis onto it."""

    def fix(p: tuple[float, float]) -> tuple[float, float]:
        return (p[0], 0.0) if abs(p[1]) <= ON_AXIS_MM else p

    if isinstance(curve, Line):
        return Line(fix(curve.start), fix(curve.end))
    if isinstance(curve, Arc):
        return Arc(fix(curve.start), fix(curve.end), curve.centre, curve.radius, curve.clockwise)
    return Spline((fix(curve.start), *curve.points[1:-1], fix(curve.end)))


def _lies_on_axis(curve: Curve) -> bool:
    return (
        isinstance(curve, Line)
        and abs(curve.start[1]) <= ON_AXIS_MM
        and abs(curve.end[1]) <= ON_AXIS_MM
    )


def _from_low_axis(loop: Sequence[Piece]) -> list[Piece]:
    """Begin each loop at its point of least z, then least r, so that numbering is stable."""
    begin = min(
        range(len(loop)),
        key=lambda i: (round(loop[i][0].start[0], 6), round(loop[i][0].start[1], 6)),
    )
    return [*loop[begin:], *loop[:begin]]


def _through_bore(outline: Ring) -> float | None:
    """Smallest diameter of a bore right through, from the outline's distance to the axis."""
    nearest = min(box(curve)[1] for curve in outline)
    return 2.0 * nearest if nearest > ON_AXIS_MM else None
