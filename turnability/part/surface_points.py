"""Points and derivatives of a face's surface at many parameters at once.

The kernel answers one point a call, and the call costs more than the sum. Canonical surfaces are
worked out by their formulas, B-splines by de Boor's recursion (Piegl and Tiller, The NURBS Book,
A2.2 and A3.5, from memory), all else point by point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Pnt, gp_Vec

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BSplinePatch:
    """A B-spline surface: flat knots and degree both ways, homogeneous poles (nu, nv, 4)."""

    knots_u: Array
    knots_v: Array
    degree_u: int
    degree_v: int
    poles: Array
    rational: bool


def patch_of(surface: BRepAdaptor_Surface) -> BSplinePatch | None:
    """The surface's B-spline in the adaptor's own place; None where it is of another type."""
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_BSplineSurface:
        return None
    spline = surface.BSpline()
    if spline.IsUPeriodic() or spline.IsVPeriodic():
        return None
    nu, nv = spline.NbUPoles(), spline.NbVPoles()
    rational = bool(spline.IsURational() or spline.IsVRational())
    poles = np.ones((nu, nv, 4))
    for i in range(nu):
        for j in range(nv):
            p = spline.Pole(i + 1, j + 1)
            poles[i, j, :3] = p.X(), p.Y(), p.Z()
            if rational:
                poles[i, j, 3] = spline.Weight(i + 1, j + 1)
    poles[..., :3] *= poles[..., 3:]
    return BSplinePatch(
        _flat(spline.UKnot, spline.UMultiplicity, spline.NbUKnots()),
        _flat(spline.VKnot, spline.VMultiplicity, spline.NbVKnots()),
        spline.UDegree(),
        spline.VDegree(),
        poles,
        rational,
    )


def _flat(knot: Any, times: Any, count: int) -> Array:
    return np.repeat(
        [knot(i) for i in range(1, count + 1)], [times(i) for i in range(1, count + 1)]
    )


def patch_points(patch: BSplinePatch, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Points and both first derivatives at parameters (n,), each of shape (n, 3)."""
    iu, bu, du = _basis(patch.knots_u, patch.degree_u, u)
    iv, bv, dv = _basis(patch.knots_v, patch.degree_v, v)
    local = patch.poles[iu[:, :, None], iv[:, None, :]]
    along_v = np.einsum("nb,nabk->nak", bv, local)
    s = np.einsum("na,nak->nk", bu, along_v)
    su = np.einsum("na,nak->nk", du, along_v)
    sv = np.einsum("na,nak->nk", bu, np.einsum("nb,nabk->nak", dv, local))
    p = s[:, :3]
    if not patch.rational:
        return p, su[:, :3], sv[:, :3]
    w = s[:, 3:]
    p = p / w
    return p, (su[:, :3] - su[:, 3:] * p) / w, (sv[:, :3] - sv[:, 3:] * p) / w


def _basis(knots: Array, degree: int, x: Array) -> tuple[NDArray[np.intp], Array, Array]:
    """Indices of the poles that count, their weights and the weights' slopes; (n, degree + 1)."""
    span = np.clip(np.searchsorted(knots, x, side="right") - 1, degree, len(knots) - degree - 2)
    n = np.ones((1, len(x)))
    slope = np.zeros((degree + 1, len(x)))
    for j in range(1, degree + 1):
        k = np.arange(j)[:, None]
        right, left = knots[span + k + 1], knots[span + 1 - j + k]
        share = n / (right - left)
        n = np.zeros((j + 1, len(x)))
        n[:-1] = (right - x) * share
        n[1:] += (x - left) * share
        if j == degree:
            slope[:-1] -= degree * share
            slope[1:] += degree * share
    return span[:, None] - degree + np.arange(degree + 1), n.T, slope.T


def formula_points(kind: str, canonical: Any, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Points and first derivatives of a plane, cylinder, cone, sphere or torus; (n, 3) each."""
    frame = canonical.Position()
    origin, x, y, z = (
        np.array([d.X(), d.Y(), d.Z()])
        for d in (frame.Location(), frame.XDirection(), frame.YDirection(), frame.Direction())
    )
    if kind == "plane":
        p = origin + u[:, None] * x + v[:, None] * y
        return p, np.broadcast_to(x, p.shape), np.broadcast_to(y, p.shape)
    cos_u, sin_u = np.cos(u)[:, None], np.sin(u)[:, None]
    out, turn = cos_u * x + sin_u * y, cos_u * y - sin_u * x
    one, zero = np.ones((len(u), 1)), np.zeros((len(u), 1))
    if kind == "cylinder":
        r, dr, h, dh = canonical.Radius() * one, zero, v[:, None], one
    elif kind == "cone":
        s, k = math.sin(canonical.SemiAngle()), math.cos(canonical.SemiAngle())
        r, dr, h, dh = canonical.RefRadius() + v[:, None] * s, s * one, v[:, None] * k, k * one
    elif kind == "sphere":
        cos_v, sin_v = np.cos(v)[:, None], np.sin(v)[:, None]
        rho = canonical.Radius()
        r, dr, h, dh = rho * cos_v, -rho * sin_v, rho * sin_v, rho * cos_v
    else:
        cos_v, sin_v = np.cos(v)[:, None], np.sin(v)[:, None]
        rho = canonical.MinorRadius()
        r, dr, h, dh = canonical.MajorRadius() + rho * cos_v, -rho * sin_v, rho * sin_v, rho * cos_v
    return origin + r * out + h * z, r * turn, dr * out + dh * z


def kernel_points(surface: BRepAdaptor_Surface, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """The same from the kernel, point by point."""
    p, su, sv = np.empty((3, len(u), 3))
    point, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    for i, (a, b) in enumerate(zip(u.tolist(), v.tolist(), strict=True)):
        surface.D1(a, b, point, along_u, along_v)
        p[i] = point.X(), point.Y(), point.Z()
        su[i] = along_u.X(), along_u.Y(), along_u.Z()
        sv[i] = along_v.X(), along_v.Y(), along_v.Z()
    return p, su, sv
