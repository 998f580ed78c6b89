"""Edges of the solid seen in the half plane, in the axis frame.

An edge on a turned face lies on that face's generatrix and adds nothing; an edge between two
faces that are not turned may bound the turned body (the corners of a hexagon).
"""

from __future__ import annotations

import itertools
import math

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.TopoDS import TopoDS_Edge

from turnability.half_plane.curves import Curve, Line
from turnability.part.turned_body.sampling import extremes, half_plane_point
from turnability.part.turned_body.turning_back import image_curves

_PARALLEL = 1e-10
_MISSES_MM = 1e-7
"""By no more than this a line through the axis misses it by rounding, on a part of metres."""


def edge_image(edge: TopoDS_Edge) -> list[Curve]:
    """The image of an edge: none for a circle round the axis, else one or more curves."""
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    kind = curve.GetType()
    level = False
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        d = curve.Line().Direction()
        level = abs(d.Z()) <= _PARALLEL
        through = _through_axis(curve, first, last)
        if through is not None:
            return through
    elif kind == GeomAbs_CurveType.GeomAbs_Circle:
        d = curve.Circle().Axis().Direction()
        level = math.hypot(d.X(), d.Y()) <= _PARALLEL
    if level:
        z = curve.Value(first).Z()
        low, high = extremes(lambda t: half_plane_point(curve.Value(t))[1], first, last)
        return [Line((z, low), (z, high))] if high - low > 1e-9 else []
    return image_curves(lambda t: half_plane_point(curve.Value(t)), first, last)


def _through_axis(curve: BRepAdaptor_Curve, first: float, last: float) -> list[Curve] | None:
    """A straight edge that crosses the axis folds up there: two straight images."""
    p, d = curve.Line().Location(), curve.Line().Direction()
    across = math.hypot(d.X(), d.Y())
    if across <= _PARALLEL or abs(p.X() * d.Y() - p.Y() * d.X()) > _MISSES_MM * across:
        return None
    foot = -(p.X() * d.X() + p.Y() * d.Y()) / across**2
    params = [first, foot, last] if first < foot < last else [first, last]
    points = [half_plane_point(curve.Value(t)) for t in params]
    return [Line(a, b) for a, b in itertools.pairwise(points) if math.dist(a, b) > 1e-9]
