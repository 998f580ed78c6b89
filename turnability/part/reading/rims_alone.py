"""Pointed faces of swept curves that are bounded by their rims alone.

Exporters without seams bound a nose by the circle that it begins at, and some leave its point out.
The kernel, which wants a bound there, loses the face. On which side of its rim the face is, and so
at which point it ends, the sense of the rim says: the face lies to the left of it, seen from where
the face looks (ISO 10303-42, face_bound).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from turnability.part.reading.ovals import Oval
from turnability.part.reading.placements import (
    Array,
    direction,
    origin_of,
    point_of,
    turned_about,
)
from turnability.part.reading.records import Records, Value, at, references, words_in

_NEAR = 1e-5
"""Share of the rim's radius by which its circles may leave it, and curves the axis."""
_CURVES = ("B_SPLINE_CURVE_WITH_KNOTS", "B_SPLINE_CURVE")
_JUST_BEGUN = 0.01
_MOST = 1.75 * math.pi
"""Of a circle that only touches the axis, what is kept from there on."""
_BEYOND = 2.0
"""A straight line is told from its point to so many times as far as the rim."""


class Alone(NamedTuple):
    """Where a face with nothing but its rim ends, and the part of its curve that it lies on.

    `ends`: of that part, where the curve itself is longer. `bare`: the file states no point.
    """

    tip: Array
    ends: tuple[Array, Array] | None
    bare: bool


def pointed_by_rim(records: Records, surface: int, face: int) -> Alone | None:
    """The point of a face on a surface of revolution that one circle bounds; None for others."""
    values = records.simple(surface, "SURFACE_OF_REVOLUTION")
    origin, about = origin_of(records, at(values, 2)), turned_about(records, at(values, 2))
    curves = tuple(references(at(values, 1)))
    rim = None if origin is None or len(curves) != 1 else _rim(records, face, origin, about)
    if rim is None or origin is None:
        return None
    found = _ends(records, curves[0], rim, origin, about)
    if found is None:
        return None
    low, high, cut = found
    if not (cut or rim.bare):
        return None
    return Alone(high if rim.onward else low, (low, high) if cut else None, rim.bare)


class _Rim(NamedTuple):
    """How far along the axis a circle lies and its radius.

    `onward`: whether the face runs from it along the curve that it is swept from, or against that.
    """

    height: float
    radius: float
    onward: bool
    bare: bool


def _rim(records: Records, face: int, origin: Array, about: Array) -> _Rim | None:
    """The one circle round the axis that bounds a face, whole or in arcs."""
    values = records.simple(face, "ADVANCED_FACE") or records.simple(face, "FACE_SURFACE")
    loops, points = [], 0
    for bound in references(at(values, 1)):
        for keyword in ("FACE_BOUND", "FACE_OUTER_BOUND"):
            stated = records.simple(bound, keyword)
            for loop in references(at(stated, 1)):
                points += bool(records.simple(loop, "VERTEX_LOOP"))
                if edges := records.simple(loop, "EDGE_LOOP"):
                    loops.append((_is_true(at(stated, 2)), tuple(references(at(edges, 1)))))
    if len(loops) != 1 or points > 1:
        return None
    ((along, uses),) = loops
    places = []
    ways = set()
    for use in uses:
        stated = records.simple(use, "ORIENTED_EDGE")
        for edge in references(at(stated, 3)):
            drawn = records.simple(edge, "EDGE_CURVE")
            oval = next((Oval.of(records, c) for c in references(at(drawn, 3))), None)
            if oval is None:
                return None
            height, off = _seen(oval.centre, origin, about)
            normal = np.cross(oval.along, oval.across) / oval.size**2
            turn = float(normal @ about)
            if off > _NEAR * oval.size or abs(abs(turn) - 1.0) > _NEAR:
                return None
            places.append((height, oval.size))
            ways.add((turn > 0.0) == (_is_true(at(drawn, 4)) == _is_true(at(stated, 4))))
    if (
        not places
        or len(ways) != 1
        or np.ptp(np.array(places), axis=0).max() > _NEAR * places[0][1]
    ):
        return None
    onward = (ways.pop() == along) == _is_true(at(values, 3))
    return _Rim(*places[0], onward, not points)


def _is_true(value: Value) -> bool:
    return "T" in words_in(value)


def _seen(place: Array, origin: Array, about: Array) -> tuple[float, float]:
    """How far along the axis a place lies, and how far off it."""
    rel = place - origin
    height = float(rel @ about)
    return height, float(np.linalg.norm(rel - height * about))


def _ends(
    records: Records, curve: int, rim: _Rim, origin: Array, about: Array
) -> tuple[Array, Array, bool] | None:
    """The ends of the part of a curve between the axis and the axis, or what else ends it.

    In the curve's own direction, and whether it has to be cut there.
    """
    near = _NEAR * rim.radius
    poles = [n for k in _CURVES for n in references(records.simple(curve, k))]
    if poles:
        low, high = point_of(records, poles[0]), point_of(records, poles[-1])
        tip = high if rim.onward else low
        if low is None or high is None or tip is None or _seen(tip, origin, about)[1] > near:
            return None
        return low, high, False
    if line := records.simple(curve, "LINE"):
        return _ends_of_line(records, line, rim, origin, about)
    oval = Oval.of(records, curve)
    return None if oval is None else _ends_of_oval(oval, rim, origin, about)


def _ends_of_line(
    records: Records, line: tuple[Value, ...], rim: _Rim, origin: Array, about: Array
) -> tuple[Array, Array, bool] | None:
    points = [point_of(records, n) for n in references(at(line, 1))]
    way = direction(records, at(line, 2), "VECTOR", 1)
    if len(points) != 1 or points[0] is None or way is None:
        return None
    begin = points[0] - origin
    out, rise = way - float(way @ about) * about, begin - float(begin @ about) * about
    if float(out @ out) <= _NEAR**2:
        return None  # along the axis
    tip = points[0] - float(rise @ out) / float(out @ out) * way
    height, off = _seen(tip, origin, about)
    if off > _NEAR * rim.radius:
        return None
    side = 1.0 if (rim.height - height) * float(way @ about) >= 0.0 else -1.0
    reach = math.hypot(rim.height - height, rim.radius)
    beyond = tip + side * _BEYOND * reach * way
    return (tip, beyond, True) if side > 0.0 else (beyond, tip, True)


def _ends_of_oval(
    oval: Oval, rim: _Rim, origin: Array, about: Array
) -> tuple[Array, Array, bool] | None:
    normal = np.cross(oval.along, oval.across)
    out = np.cross(normal / np.linalg.norm(normal), about)
    if abs(float(np.linalg.norm(out)) - 1.0) > _NEAR:
        return None
    rel = oval.centre - origin
    if abs(float(rel @ np.cross(out, about))) > _NEAR * oval.size:
        return None
    off = float(rel @ out)
    swing = math.hypot(float(oval.along @ out), float(oval.across @ out))
    top = math.atan2(float(oval.across @ out), float(oval.along @ out))
    level = origin + rim.height * about
    gaps = {side: oval.angle(level + side * rim.radius * out)[1] for side in (1.0, -1.0)}
    side = min(gaps, key=lambda one: gaps[one])
    if gaps[side] > 10.0 * _NEAR or abs(off) > swing * (1.0 + _NEAR):
        return None
    if abs(off) > swing * (1.0 - _NEAR):
        cusp = top + (math.pi if off > 0.0 else 0.0)
        begin, end = (cusp - _MOST, cusp) if rim.onward else (cusp, cusp + _MOST)
        return oval.point(begin), oval.point(end), True
    if max(gaps.values()) <= 10.0 * _NEAR:  # a ball's: as it begins
        if not rim.bare:
            return None  # the kernel does with its point
        side = math.copysign(1.0, float((oval.point(_JUST_BEGUN) - origin) @ out))
    half = math.acos(max(-1.0, min(1.0, -off / swing)))
    ends = oval.point(top - half), oval.point(top + half)
    return (*(ends if side > 0.0 else ends[::-1]), True)
