"""The sphere that a surface of the CAD kernel follows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAdaptor import GeomAdaptor_Surface
    from OCP.TopoDS import TopoDS_Face

    Adaptor: TypeAlias = BRepAdaptor_Surface | GeomAdaptor_Surface

Array: TypeAlias = NDArray[np.float64]

_SAME = 1e-6
"""Share of its radius by which the spheres of parts of one face differ."""
_FEW = 5
_UNEVEN = np.array([0.31, 0.57, 0.43, 0.68, 0.37])
_FOLLOWS = 1e-6
"""Share of its radius, or of its own width, that a B-spline may leave its sphere by."""
_FLAT = 1e3
"""Of a ball a thousand times as wide a face is as good as flat: rounding makes planes of such."""
_ON_AXIS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Ball:
    """The sphere that a face lies on; mm."""

    centre: Array
    radius: float

    def is_like(self, other: Ball) -> bool:
        """Whether two are the same, but for rounding."""
        apart = float(np.abs(self.centre - other.centre).max())
        return max(apart, abs(self.radius - other.radius)) <= _SAME * self.radius


def ball_of(face: TopoDS_Face) -> Ball | None:
    """The sphere of a spherical face, also of an arc turned about its diameter or a B-spline."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    if BRep_Tool.Surface_s(face) is None:
        return None  # told of by `sound_solid`; asking it anything ends the process
    return ball_on(BRepAdaptor_Surface(face, False))


def ball_on(surface: Adaptor) -> Ball | None:
    """The same of a surface alone."""
    from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType

    if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Sphere:
        sphere = surface.Sphere()
        return Ball(xyz(sphere.Location()), sphere.Radius())
    if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_BSplineSurface:
        return _fitted(surface)
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_SurfaceOfRevolution:
        return None
    curve = surface.BasisCurve()
    if curve.GetType() != GeomAbs_CurveType.GeomAbs_Circle:
        return None
    circle, axis = curve.Circle(), surface.AxeOfRevolution()
    centre, way = xyz(circle.Location()), xyz(axis.Direction())
    off = np.linalg.norm(np.cross(centre - xyz(axis.Location()), way))
    tilt = abs(float(way @ xyz(circle.Axis().Direction()))) * circle.Radius()
    return Ball(centre, circle.Radius()) if max(off, tilt) < _ON_AXIS_MM else None


def outward_of(surface: Adaptor, ball: Ball) -> bool | None:
    """Whether the normal of a surface on a ball points outward; None where it does both."""
    from OCP.gp import gp_Pnt, gp_Vec

    u, v = surface.FirstUParameter(), surface.FirstVParameter()
    shares = (np.arange(_FEW) + _UNEVEN) / _FEW
    us = u + shares * (surface.LastUParameter() - u)
    vs = v + shares * (surface.LastVParameter() - v)
    ways = set()
    for a in us.tolist():
        for b in vs.tolist():
            point, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
            surface.D1(a, b, point, du, dv)
            ways.add(float((xyz(point) - ball.centre) @ xyz(du.Crossed(dv))) > 0.0)
    return ways.pop() if len(ways) == 1 else None


def _fitted(surface: Adaptor) -> Ball | None:
    """The sphere that a B-spline follows all over; None where it follows none."""
    points = _places(surface, np.linspace(0.0, 1.0, _FEW))
    middle = points.mean(axis=0)
    rel = points - middle
    # |p|^2 = 2 c p + (r^2 - |c|^2)
    terms = np.column_stack((2.0 * rel, np.ones(len(rel))))
    found, _, rank, _ = np.linalg.lstsq(terms, (rel * rel).sum(axis=1))
    if rank < 4:
        return None
    off = np.linalg.norm(rel - found[:3], axis=1)
    radius = float(off.mean())
    # what is nearly flat lies near a vast sphere, and what winds may meet one at even steps
    width = float(np.ptp(points, axis=0).max())
    near = _FOLLOWS * min(radius, width)
    if np.ptp(off) > near or radius > _FLAT * width:
        return None
    between = _places(surface, (np.arange(_FEW) + _UNEVEN) / _FEW) - middle - found[:3]
    if np.abs(np.linalg.norm(between, axis=1) - radius).max() > near:
        return None
    return Ball(middle + found[:3], radius)


def _places(surface: Adaptor, shares: Array) -> Array:
    """Places of a surface (n, 3) at these shares of its ranges, each of u with each of v."""
    u, v = surface.FirstUParameter(), surface.FirstVParameter()
    us = u + shares * (surface.LastUParameter() - u)
    vs = v + shares * (surface.LastVParameter() - v)
    return np.array([xyz(surface.Value(a, b)) for a in us.tolist() for b in vs.tolist()])


def across_of(way: Array) -> tuple[Array, Array]:
    """Two unit vectors across another and each other; right-handed with it as the third."""
    across = np.cross(way, np.eye(3)[np.abs(way).argmin()])
    across /= np.linalg.norm(across)
    return across, np.cross(way, across)


def xyz(place: Any) -> Array:
    """A point, a vector or a direction of the kernel as numbers (3,)."""
    return np.array((place.X(), place.Y(), place.Z()))
