"""How far an edge reaches, along a direction and from the part's axis: exact, not sampled.

Lines, circles and ellipses have closed forms; on other curves each extreme that samples bracket
is narrowed down.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Dir, gp_Pnt
from OCP.TopoDS import TopoDS_Edge

from turnability.part.edge_memory import once_per_edge
from turnability.part.model import Vector
from turnability.part.surface_points import Array
from turnability.part.turned_body.sampling import summit
from turnability.part.winding import edge_points

Range = tuple[float, float]

_SAMPLES = 32
_LEVEL = 1e-12
"""A conic this square to a direction has nothing but rounding along it."""
_CHORDS = 8


@once_per_edge
def range_along(edge: TopoDS_Edge, direction: Vector) -> Range:
    """Least and greatest p . direction over an edge, in mm for a unit direction."""
    curve = BRepAdaptor_Curve(edge)
    low, high = curve.FirstParameter(), curve.LastParameter()
    ends = [_dot(curve.Value(low), direction), _dot(curve.Value(high), direction)]
    kind = curve.GetType()
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        return min(ends), max(ends)
    if kind in (GeomAbs_CurveType.GeomAbs_Circle, GeomAbs_CurveType.GeomAbs_Ellipse):
        round_ = kind == GeomAbs_CurveType.GeomAbs_Circle
        conic = curve.Circle() if round_ else curve.Ellipse()
        a = conic.Radius() if round_ else conic.MajorRadius()
        b = conic.Radius() if round_ else conic.MinorRadius()
        frame = conic.Position()
        x, y = a * _dot(frame.XDirection(), direction), b * _dot(frame.YDirection(), direction)
        if math.hypot(x, y) <= _LEVEL * a:
            return min(ends), max(ends)
        turn = math.atan2(y, x)
        for at, value in ((turn, math.hypot(x, y)), (turn + math.pi, -math.hypot(x, y))):
            if (at - low) % math.tau <= high - low:
                ends.append(_dot(frame.Location(), direction) + value)
        return min(ends), max(ends)
    values = edge_points(edge, _SAMPLES + 1) @ np.array(direction)
    return _narrowed(lambda t: _dot(curve.Value(t), direction), low, high, values)


@once_per_edge
def range_from_axis(edge: TopoDS_Edge) -> Range:
    """Least and greatest distance (mm) of an edge from the part's axis, which is z."""
    curve = BRepAdaptor_Curve(edge)
    low, high = curve.FirstParameter(), curve.LastParameter()

    def r(t: float) -> float:
        p = curve.Value(t)
        return math.hypot(p.X(), p.Y())

    kind = curve.GetType()
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        p, d = curve.Line().Location(), curve.Line().Direction()
        across = d.X() ** 2 + d.Y() ** 2
        found = [r(low), r(high)]
        if across > 1e-20:
            foot = -(p.X() * d.X() + p.Y() * d.Y()) / across
            if low < foot < high:
                found.append(r(foot))
        return min(found), max(found)
    if kind == GeomAbs_CurveType.GeomAbs_Circle:
        circle = curve.Circle()
        c, d = circle.Location(), circle.Axis().Direction()
        if math.hypot(d.X(), d.Y()) <= 1e-9:  # parallel to the turning plane
            out = math.hypot(c.X(), c.Y())
            found = [r(low), r(high)]
            if out <= 1e-12:
                return min(found), max(found)
            frame = circle.Position()
            radial = (c.X() / out, c.Y() / out, 0.0)
            turn = math.atan2(_dot(frame.YDirection(), radial), _dot(frame.XDirection(), radial))
            for at, value in ((turn, out + circle.Radius()), (turn + math.pi, None)):
                if (at - low) % math.tau <= high - low:
                    found.append(abs(out - circle.Radius()) if value is None else value)
            return min(found), max(found)
    points = edge_points(edge, _SAMPLES + 1)
    return _narrowed(r, low, high, np.hypot(points[:, 0], points[:, 1]))


@once_per_edge
def chords(edge: TopoDS_Edge) -> tuple[tuple[float, Vector], ...]:
    """Length and middle of a few chords along an edge, for its centre of gravity."""
    curve = BRepAdaptor_Curve(edge)
    low, high = curve.FirstParameter(), curve.LastParameter()
    at = [curve.Value(low + (high - low) * i / _CHORDS) for i in range(_CHORDS + 1)]
    return tuple(
        (a.Distance(b), ((a.X() + b.X()) / 2.0, (a.Y() + b.Y()) / 2.0, (a.Z() + b.Z()) / 2.0))
        for a, b in itertools.pairwise(at)
    )


def _narrowed(f: Callable[[float], float], low: float, high: float, values: Array) -> Range:
    """Least and greatest of f, whose `values` at even steps from low to high are known."""
    at = np.linspace(low, high, len(values)).tolist()
    return _least(f, at, values.tolist()), -_least(lambda t: -f(t), at, (-values).tolist())


def _least(f: Callable[[float], float], at: list[float], values: list[float]) -> float:
    """The least value about the least sample, narrowed down by golden sections."""
    best = min(range(len(at)), key=values.__getitem__)
    end, inwards = len(at) - 1, 1e-3 * (at[1] - at[0])
    if best in (0, end) and f(at[best] + (inwards if best == 0 else -inwards)) >= values[best]:
        return values[best]  # it rises from its end
    a, b = at[max(0, best - 1)], at[min(len(at) - 1, best + 1)]
    return min(values[best], -summit(lambda t: -f(t), a, b))


def _dot(p: gp_Pnt | gp_Dir, d: Vector) -> float:
    return float(p.X() * d[0] + p.Y() * d[1] + p.Z() * d[2])
