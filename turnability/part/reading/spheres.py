"""Spheres: the one that a face of the CAD kernel lies on, and surfaces to lay its faces on anew."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.Geom import Geom_BSplineSurface, Geom_SphericalSurface
    from OCP.TopoDS import TopoDS_Face

Array: TypeAlias = NDArray[np.float64]

_SAME = 1e-6
"""Share of its radius by which the spheres of parts of one face differ."""
_FEW = 5
_UNEVEN = np.array([0.31, 0.57, 0.43, 0.68, 0.37])
_FOLLOWS = 1e-6
"""Share of its radius, or of its own width, that a B-spline may leave its sphere by."""
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
    from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType

    if BRep_Tool.Surface_s(face) is None:
        return None  # told of by `sound_solid`; asking it anything ends the process
    surface = BRepAdaptor_Surface(face, False)
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


def _fitted(surface: BRepAdaptor_Surface) -> Ball | None:
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
    near = _FOLLOWS * min(radius, float(np.ptp(points, axis=0).max()))
    if np.ptp(off) > near:
        return None
    between = _places(surface, (np.arange(_FEW) + _UNEVEN) / _FEW) - middle - found[:3]
    if np.abs(np.linalg.norm(between, axis=1) - radius).max() > near:
        return None
    return Ball(middle + found[:3], radius)


def _places(surface: BRepAdaptor_Surface, shares: Array) -> Array:
    """Places of a surface (n, 3) at these shares of its ranges, each of u with each of v."""
    u, v = surface.FirstUParameter(), surface.FirstVParameter()
    us = u + shares * (surface.LastUParameter() - u)
    vs = v + shares * (surface.LastVParameter() - v)
    return np.array([xyz(surface.Value(a, b)) for a in us.tolist() for b in vs.tolist()])


def sphere_about(ball: Ball, pole: Array, seam: Array) -> Geom_SphericalSurface:
    """The sphere with its pole and its seam where they are told (unit vectors)."""
    from OCP.Geom import Geom_SphericalSurface
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    frame = gp_Ax3(gp_Pnt(*ball.centre.tolist()), _dir(gp_Dir, pole), _dir(gp_Dir, seam))
    return Geom_SphericalSurface(frame, ball.radius)


def seamless(ball: Ball, far: Array, apart: float) -> Geom_BSplineSurface:
    """A ball but for what lies within half of `apart` (radians) of a place, as one exact B-spline.

    Seen from that place onto the plane across (stereographic), with u = v = 0 at its opposite, the
    sphere is rational of degree 2 both ways: w = 1 + u² + v², and in the frame of the plane's axes
    and the place itself w p = (2 u, 2 v, u² + v² - 1). Its normal points outward.
    """
    from OCP.Geom import Geom_BSplineSurface
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array2OfPnt
    from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal, TColStd_Array2OfReal

    across = np.cross(far, np.eye(3)[np.abs(far).argmin()])
    across /= np.linalg.norm(across)
    up = np.cross(across, far)  # across, up and the outward normal at the opposite: right-handed
    most = 1.0 / math.tan(apart / 4.0)
    # coefficients of t and t² for two spans that meet at nought
    lines, squares = most * np.array([-1, -0.5, 0, 0.5, 1]), most**2 * np.array([1, 0, 0, 0, 1])
    poles, weights = TColgp_Array2OfPnt(1, 5, 1, 5), TColStd_Array2OfReal(1, 5, 1, 5)
    for i in range(5):
        for j in range(5):
            both = float(squares[i] + squares[j])
            way = 2.0 * lines[i] * across + 2.0 * lines[j] * up + (both - 1.0) * far
            weights.SetValue(i + 1, j + 1, 1.0 + both)
            place = ball.centre + ball.radius * way / (1.0 + both)
            poles.SetValue(i + 1, j + 1, gp_Pnt(*place.tolist()))
    knots, many = TColStd_Array1OfReal(1, 3), TColStd_Array1OfInteger(1, 3)
    for k, (at, times) in enumerate(((-most, 3), (0.0, 2), (most, 3)), 1):
        knots.SetValue(k, at)
        many.SetValue(k, times)
    return Geom_BSplineSurface(poles, weights, knots, knots, many, many, 2, 2)


def xyz(place: Any) -> Array:
    """A point, a vector or a direction of the kernel as numbers (3,)."""
    return np.array((place.X(), place.Y(), place.Z()))


def _dir(kind: Any, way: Array) -> Any:
    return kind(*way.tolist())
