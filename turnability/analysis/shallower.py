"""A groove or recess with its floor moved, fillets and all, between walls that stand square."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from turnability.features.model import Feature
from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.part.model import Profile, Segment
from turnability.part.profile import Piece, make_profile

_SAME_MM = 1e-6


def with_floor_moved(
    profile: Profile, hollow: Feature, by_mm: float, radius_mm: float | None = None
) -> Profile | None:
    """The profile with all between the hollow's two walls moved by so much across the axis.

    With its floor's fillets of another radius, where that is given. None where its ends are no
    walls across the axis, where one of them is no longer than that, or where something beside it
    lies between them.
    """
    loops: list[list[Piece]] = []
    moved = False
    for loop in profile.loops:
        run = _run(loop.segments, hollow)
        pieces: list[Piece] = [(s.curve, s.faces) for s in loop.segments]
        if run:
            curves = _moved([loop.segments[i].curve for i in run], by_mm)
            if curves is not None and radius_mm is not None:
                curves = _filleted(curves, radius_mm)
            if curves is None:
                return None
            for i, curve in zip(run, curves, strict=True):
                pieces[i] = (curve, loop.segments[i].faces)
            moved = True
        loops.append(pieces)
    if not moved:
        return None
    try:
        return make_profile(loops)
    except ValueError:
        return None


def _run(segments: Sequence[Segment], hollow: Feature) -> list[int]:
    """Places, one after another, from wall to wall of the hollow, fillets between; [] if not."""
    n = len(segments)
    own = [i for i in range(n) if segments[i].id in hollow.segments]
    if len(own) < len(hollow.segments):
        return []
    # the way round that leaves the longest stretch between two of its segments out
    gaps = [(own[(k + 1) % len(own)] - own[k]) % n or n for k in range(len(own))]
    begin = own[(max(range(len(own)), key=lambda k: gaps[k]) + 1) % len(own)]
    run = [(begin + k) % n for k in range(n - max(gaps) + 1)]
    low, high = hollow.z_mm
    within = all(
        low - _SAME_MM <= z <= high + _SAME_MM
        for i in run
        for z, _ in (segments[i].curve.start, segments[i].curve.end)
    )
    return run if within else []


def _moved(curves: Sequence[Curve], by: float) -> list[Curve] | None:
    first, last = curves[0], curves[-1]
    if len(curves) < 3 or not (_is_wall(first) and _is_wall(last)):
        return None
    if min(_rise(first), _rise(last)) <= abs(by):
        return None
    made: list[Curve] = []
    for curve in curves[1:-1]:
        if isinstance(curve, Arc):
            made.append(
                replace(
                    curve,
                    start=_up(curve.start, by),
                    end=_up(curve.end, by),
                    centre=_up(curve.centre, by),
                )
            )
        elif isinstance(curve, Line):
            made.append(Line(_up(curve.start, by), _up(curve.end, by)))
        else:
            return None
    return [Line(first.start, _up(first.end, by)), *made, Line(_up(last.start, by), last.end)]


def _filleted(curves: Sequence[Curve], radius: float) -> list[Curve] | None:
    """Wall, fillet, floor, fillet, wall with fillets of this radius."""
    if len(curves) != 5 or not isinstance(curves[2], Line):
        return None
    first, one, floor, other, last = curves
    if not isinstance(one, Arc) or not isinstance(other, Arc):
        return None
    r = floor.start[1]
    z0, z1 = first.start[0], last.end[0]
    side = 1.0 if z1 > z0 else -1.0
    up = 1.0 if r > first.start[1] else -1.0
    foot = r - up * radius
    a, b = (z0, foot), (z0 + side * radius, r)
    c, d = (z1 - side * radius, r), (z1, foot)
    return [
        Line(first.start, a),
        Arc(a, b, (b[0], foot), radius, one.clockwise),
        Line(b, c),
        Arc(c, d, (c[0], foot), radius, other.clockwise),
        Line(d, last.end),
    ]


def _is_wall(curve: Curve) -> bool:
    return isinstance(curve, Line) and abs(curve.start[0] - curve.end[0]) <= _SAME_MM


def _rise(curve: Curve) -> float:
    return abs(curve.end[1] - curve.start[1])


def _up(point: Point, by: float) -> Point:
    return (point[0], point[1] + by)
