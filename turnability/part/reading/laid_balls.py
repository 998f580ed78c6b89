"""Surfaces to lay the faces of balls on anew, and the traces of their edges there.

The CAD kernel fits traces to places along an edge, and beside a pole, on large balls or along
edges that were fitted themselves it misses by up to a thousandth of the radius, or gives none.
Where a place of a ball lies on these surfaces is known in closed form, and so are traces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from turnability.part.reading.spheres import Array, Ball, across_of, xyz

if TYPE_CHECKING:
    from OCP.Geom import Geom_BSplineSurface, Geom_Curve, Geom_SphericalSurface
    from OCP.Geom2d import Geom2d_BSplineCurve

_SPANS, _MOST = 16, 512
"""Of a trace, over the whole of its edge: at first, and where it is let be."""
_NEAR = 1e-10
"""Radians or so by which a trace may miss where its edge lies."""
_ASIDE = 1e-9


@dataclass(frozen=True, slots=True)
class LaidBall:
    """A sphere about its pole, or one without a seam, with its normal outward.

    `frame` (3, 3): unit vectors. Of a sphere the third is the pole and the first the seam's way;
    without a seam, the third is the place seen from, the others the ways of u and v.
    """

    surface: Geom_SphericalSurface | Geom_BSplineSurface
    ball: Ball
    frame: Array
    has_seam: bool

    def parameters(self, along: Moving) -> Moving:
        """Where points lie, u and v, (n, 2) each; u runs from nought to a whole turn."""
        rel = along.at - self.ball.centre
        size = np.linalg.norm(rel, axis=1)[:, None]
        unit = rel / size
        grows = _dot(unit, along.by)
        turn = (along.by - unit * grows) / size
        bend = along.bend - 2.0 * turn * grows
        bend = (bend - unit * (_dot(turn, along.by) + _dot(unit, along.bend))) / size
        (x, y, z), (dx, dy, dz), (ex, ey, ez) = (self.frame @ one.T for one in (unit, turn, bend))
        if self.has_seam:
            r2 = np.maximum(x * x + y * y, 1e-300)
            r = np.sqrt(r2)
            du = (x * dy - y * dx) / r2
            bent = (x * ey - y * ex - 2.0 * (x * dx + y * dy) * du) / r2
            u = np.arctan2(y, x) % math.tau, du, bent
            v = np.arcsin(np.clip(z, -1.0, 1.0)), dz / r, ez / r + z * dz * dz / (r * r2)
        else:
            below = 1.0 - z

            def seen(p: Array, dp: Array, ep: Array) -> tuple[Array, Array, Array]:
                q = p / below
                dq = (dp + q * dz) / below
                return q, dq, (ep + 2.0 * dq * dz + q * ez) / below

            u, v = seen(x, dx, ex), seen(y, dy, ey)
        pairs = zip(u, v, strict=True)
        return Moving(*(np.column_stack(pair) for pair in pairs))

    def trace(self, curve: Geom_Curve, first: float, last: float) -> Geom2d_BSplineCurve:
        """The trace of an edge that keeps clear of poles and seam, at the edge's own parameters."""
        ts = _parameters(curve, first, last)
        while True:
            step = np.diff(ts)
            here = self.parameters(_moving(curve, ts))
            # the second derivative may jump from span to span
            begin = self.parameters(_moving(curve, ts[:-1] + _ASIDE * step)).bend
            end = self.parameters(_moving(curve, ts[1:] - _ASIDE * step)).bend
            between = 0.5 * (ts[:-1] + ts[1:])
            middle = self.parameters(_moving(curve, between)).at
            h = step[:, None]
            seen = 0.5 * (here.at[:-1] + here.at[1:]) + h * h * (begin + end) / 64.0
            seen += 5.0 * h * (here.by[:-1] - here.by[1:]) / 32.0
            wide = (np.abs(seen - middle) > _NEAR).any(axis=1)
            if not wide.any() or len(ts) > _MOST:
                return _quintic(ts, here, begin, end)
            ts = np.sort(np.concatenate((ts, between[wide])))


class Moving(NamedTuple):
    """Places along a curve and their first and second derivatives, (n, 3) or (n, 2) each."""

    at: Array
    by: Array
    bend: Array


def sphere_about(ball: Ball, pole: Array, seam: Array) -> LaidBall:
    """The sphere with its pole and its seam where they are told (unit vectors)."""
    from OCP.Geom import Geom_SphericalSurface
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    placed = gp_Ax3(gp_Pnt(*ball.centre.tolist()), gp_Dir(*pole.tolist()), gp_Dir(*seam.tolist()))
    frame = np.array((seam, np.cross(pole, seam), pole))
    return LaidBall(Geom_SphericalSurface(placed, ball.radius), ball, frame, True)


def seamless(ball: Ball, far: Array, apart: float) -> LaidBall:
    """A ball less what lies within half of `apart` (radians) of a place, as an exact B-spline."""
    from OCP.Geom import Geom_BSplineSurface
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array2OfPnt
    from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal, TColStd_Array2OfReal

    most, places, heavy = seamless_net(ball, far, apart)
    poles, weights = TColgp_Array2OfPnt(1, 5, 1, 5), TColStd_Array2OfReal(1, 5, 1, 5)
    for i in range(5):
        for j in range(5):
            weights.SetValue(i + 1, j + 1, float(heavy[i, j]))
            poles.SetValue(i + 1, j + 1, gp_Pnt(*places[i, j].tolist()))
    knots, many = TColStd_Array1OfReal(1, 3), TColStd_Array1OfInteger(1, 3)
    for k, (at, times) in enumerate(((-most, 3), (0.0, 2), (most, 3)), 1):
        knots.SetValue(k, at)
        many.SetValue(k, times)
    surface = Geom_BSplineSurface(poles, weights, knots, knots, many, many, 2, 2)
    return LaidBall(surface, ball, np.array((*_facing(far), far)), False)


def seamless_net(ball: Ball, far: Array, apart: float) -> tuple[float, Array, Array]:
    """Of that B-spline of degree 2 the greatest knot m, poles (5, 5, 3) and weights (5, 5).

    Its knots are -m, 0 and m both ways, of multiplicities 3, 2 and 3. Seen from the place onto the
    plane across (stereographic), with u = v = 0 at its opposite, the sphere is rational of degree
    2 both ways: w = 1 + u² + v², and in the frame of the plane's axes and the place itself
    w p = (2 u, 2 v, u² + v² - 1).
    """
    across, up = _facing(far)
    most = 1.0 / math.tan(apart / 4.0)
    # coefficients of t and t² for two spans that meet at nought
    lines, squares = most * np.array([-1, -0.5, 0, 0.5, 1]), most**2 * np.array([1, 0, 0, 0, 1])
    both = (squares[:, None] + squares[None, :])[:, :, None]
    way = 2.0 * lines[:, None, None] * across + 2.0 * lines[None, :, None] * up + (both - 1.0) * far
    return most, ball.centre + ball.radius * way / (1.0 + both), 1.0 + both[:, :, 0]


def _facing(far: Array) -> tuple[Array, Array]:
    """Ways of u and v: right-handed with the outward normal at the opposite of the place."""
    across, up = across_of(far)
    return across, -up


def _parameters(curve: Geom_Curve, first: float, last: float) -> Array:
    """Parameters along an edge, those among them where its curve is not smooth."""
    from OCP.GeomAbs import GeomAbs_Shape
    from OCP.GeomAdaptor import GeomAdaptor_Curve
    from OCP.TColStd import TColStd_Array1OfReal

    along = GeomAdaptor_Curve(curve, first, last)
    count = along.NbIntervals(GeomAbs_Shape.GeomAbs_C3)
    ends = TColStd_Array1OfReal(1, count + 1)
    along.Intervals(ends, GeomAbs_Shape.GeomAbs_C3)
    rough = np.array([ends.Value(i) for i in range(1, count + 2)])
    each = max(1, math.ceil(_SPANS / count))
    inner = rough[:-1, None] + np.diff(rough)[:, None] * (np.arange(each) / each)
    return np.append(inner.ravel(), last)


def _moving(curve: Geom_Curve, ts: Array) -> Moving:
    from OCP.gp import gp_Pnt, gp_Vec

    point, by, bend = gp_Pnt(), gp_Vec(), gp_Vec()
    found: list[list[Array]] = [[], [], []]
    for t in ts.tolist():
        curve.D2(t, point, by, bend)
        for kept, one in zip(found, (point, by, bend), strict=True):
            kept.append(xyz(one))
    return Moving(*map(np.array, found))


def _dot(a: Array, b: Array) -> Array:
    return np.asarray((a * b).sum(axis=1)[:, None])


def _quintic(ts: Array, here: Moving, begin: Array, end: Array) -> Geom2d_BSplineCurve:
    """The curve of degree 5 that takes places and derivatives at parameters (n,).

    `begin` and `end` (n - 1, 2): second derivatives at the ends of each span.
    """
    from OCP.Geom2d import Geom2d_BSplineCurve
    from OCP.gp import gp_Pnt2d
    from OCP.TColgp import TColgp_Array1OfPnt2d
    from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal

    h = np.diff(ts)[:, None]
    p, q, dp, dq = here.at[:-1], here.at[1:], h * here.by[:-1], h * here.by[1:]
    bp, bq = h * h * begin / 20.0, h * h * end / 20.0
    inner = np.stack((p + dp / 5.0, p + 0.4 * dp + bp, q - 0.4 * dq + bq, q - dq / 5.0), axis=1)
    places = np.concatenate((here.at[:1], inner.reshape(-1, 2), here.at[-1:]))
    poles = TColgp_Array1OfPnt2d(1, len(places))
    for i, place in enumerate(places.tolist(), 1):
        poles.SetValue(i, gp_Pnt2d(*place))
    knots, many = TColStd_Array1OfReal(1, len(ts)), TColStd_Array1OfInteger(1, len(ts))
    for i, t in enumerate(ts.tolist(), 1):
        knots.SetValue(i, t)
        many.SetValue(i, 6 if i in (1, len(ts)) else 4)
    return Geom2d_BSplineCurve(poles, knots, many, 5)
