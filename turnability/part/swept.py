"""Lines and circles turned about a line, as files store cylinders, cones, tori and balls at times.

Worked out for many places at once: asking the kernel point by point took such parts a minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType

from turnability.part.surface_points import Array, cross


@dataclass(frozen=True, slots=True)
class Swept:
    """A line or circle turned about a line: its place and frame, radius None for a line.

    The curve is `start` + v `x` for a line, `start` + radius (cos v `x` + sin v `y`) for a circle.
    """

    at: Array
    axis: Array
    start: Array
    x: Array
    y: Array
    radius: float | None


def swept_of(surface: BRepAdaptor_Surface) -> Swept | None:
    """The surface of revolution of a line or circle in the adaptor's own place; None for others."""
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_SurfaceOfRevolution:
        return None
    curve, about = surface.BasisCurve(), surface.AxeOfRevolution()
    at, axis = _three(about.Location()), _three(about.Direction())
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        line = curve.Line()
        way = _three(line.Direction())
        return Swept(at, axis, _three(line.Location()), way, np.zeros(3), None)
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        circle = curve.Circle()
        x, y = _three(circle.XAxis().Direction()), _three(circle.YAxis().Direction())
        return Swept(at, axis, _three(circle.Location()), x, y, circle.Radius())
    return None


def _three(place: Any) -> Array:
    return np.array((place.X(), place.Y(), place.Z()))


def swept_points(swept: Swept, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Points and both first derivatives; u and v as in `formula_points`."""
    if swept.radius is None:
        curve = swept.start + v[..., None] * swept.x
        slope = np.broadcast_to(swept.x, curve.shape)
    else:
        cos_v, sin_v = np.cos(v)[..., None], np.sin(v)[..., None]
        curve = swept.start + swept.radius * (cos_v * swept.x + sin_v * swept.y)
        slope = swept.radius * (cos_v * swept.y - sin_v * swept.x)
    rel = curve - swept.at
    cos_u, sin_u = np.cos(u)[..., None], np.sin(u)[..., None]

    def parts(a: Array) -> tuple[Array, Array, Array]:
        along = (a @ swept.axis)[..., None] * swept.axis
        return along, a - along, cross(np.broadcast_to(swept.axis, a.shape), a)

    along, out, side = parts(rel)
    slope_along, slope_out, slope_side = parts(slope)
    return (
        swept.at + along + cos_u * out + sin_u * side,
        cos_u * side - sin_u * out,
        slope_along + cos_u * slope_out + sin_u * slope_side,
    )
