"""Places where an edge crosses a fold of one of its faces.

Seen in the half plane the edge only touches the fold there, so near that chords tell neither that
they meet nor where. Each place is found on the edge itself, where the face's normal has no part
around the axis, and both curves are parted at it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS_Edge

from turnability.half_plane.curves import Point
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import around_axis
from turnability.part.turned_body.sampling import half_plane_point

_ALONG = 24
_NOUGHT = 1e-12
_SETTLED = 1e-13
_FEW = 7
_ON_FOLD = 1e-7


def touching_points(edge: TopoDS_Edge, face: KernelFace) -> list[Point]:
    """Images (z, r) of the places where an edge of a face that is not turned crosses its fold."""
    if face.canonical is None and not face.may_fold:
        return []
    curve = BRepAdaptor_Curve(edge)
    around = _around(edge, curve, face)
    first, last = curve.FirstParameter(), curve.LastParameter()
    straight = curve.GetType() == GeomAbs_CurveType.GeomAbs_Line and face.canonical is not None
    # along a straight edge of a surface with straight rulings the normal's part changes evenly
    t = np.linspace(first, last, 2 if straight else _ALONG + 1).tolist()
    values = [around(x) for x in t]
    least = _NOUGHT * max(abs(value) for value in values)
    found = []
    for (a, low), (b, high) in itertools.pairwise(zip(t, values, strict=True)):
        if min(abs(low), abs(high)) > least and (low > 0.0) != (high > 0.0):
            found.append(half_plane_point(curve.Value(_zero(around, a, b, low, high))))
    return found


def lies_on_fold(edge: TopoDS_Edge, face: KernelFace) -> bool:
    """Whether the face's normal has no part around the axis all along an edge.

    Exporters like to put a seam there: a countersink's, toward the axis of the part.
    """
    curve = BRepAdaptor_Curve(edge)
    around = _around(edge, curve, face)
    p = face.even.points
    size = float(np.abs(around_axis(p, face.even.along_u, face.even.along_v)[2]).max())
    if face.canonical is not None:  # its own scale: distances from its middle times from the axis
        size = float(np.hypot(p[..., 0], p[..., 1]).max()) * _width(p)
    t = np.linspace(curve.FirstParameter(), curve.LastParameter(), _FEW)
    return all(abs(around(x)) <= _ON_FOLD * size for x in t.tolist())


def _width(points: NDArray[np.float64]) -> float:
    flat = points.reshape(-1, 3)
    return float(np.linalg.norm(flat.max(axis=0) - flat.min(axis=0)))


def _around(
    edge: TopoDS_Edge, curve: BRepAdaptor_Curve, face: KernelFace
) -> Callable[[float], float]:
    """The normal's part around the axis, times r and some positive scale, along the edge."""
    if face.canonical is None:
        return _by_trace(edge, face)
    kind, surface = face.kind, face.canonical
    at = surface.Apex() if kind == "cone" else surface.Location()
    c = (at.X(), at.Y(), at.Z())
    way = surface.Position().Direction() if kind == "sphere" else surface.Axis().Direction()
    d = (way.X(), way.Y(), way.Z())
    lean = math.tan(surface.SemiAngle()) if kind == "cone" else 0.0
    ring = surface.MajorRadius() if kind == "torus" else 0.0

    def around(t: float) -> float:
        p = curve.Value(t)
        x, y, z = p.X(), p.Y(), p.Z()
        if kind == "plane":
            return float(d[1] * x - d[0] * y)
        nx, ny, nz = x - c[0], y - c[1], z - c[2]
        if kind != "sphere":
            along = nx * d[0] + ny * d[1] + nz * d[2]
            ax, ay, az = nx - along * d[0], ny - along * d[1], nz - along * d[2]
            off = math.sqrt(ax * ax + ay * ay + az * az)
            if kind == "cone":
                tilt = off * lean if along > 0.0 else -off * lean
                nx, ny = ax - tilt * d[0], ay - tilt * d[1]
            elif kind == "torus":
                share = 1.0 - ring / off if off > 0.0 else 0.0
                nx, ny = share * ax + along * d[0], share * ay + along * d[1]
            else:
                nx, ny = ax, ay
        return float(ny * x - nx * y)

    return around


def _by_trace(edge: TopoDS_Edge, face: KernelFace) -> Callable[[float], float]:
    trace = BRepAdaptor_Curve2d(edge, face.face)
    p, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()

    def around(t: float) -> float:
        uv = trace.Value(t)
        face.surface.D1(uv.X(), uv.Y(), p, along_u, along_v)
        n = along_u.Crossed(along_v)
        return float(n.Y() * p.X() - n.X() * p.Y())

    return around


def _zero(value: Callable[[float], float], a: float, b: float, low: float, high: float) -> float:
    """Where a function changes its sign between a and b, by false position (Illinois)."""
    width, side = b - a, 0
    for _ in range(60):
        t = (a * high - b * low) / (high - low)
        here = value(t)
        if here == 0.0 or b - a <= _SETTLED * width:
            return t
        if (here > 0.0) == (high > 0.0):
            moved = b - t
            b, high = t, here
            low, side = (low / 2.0 if side == 1 else low), 1
        else:
            moved = t - a
            a, low = t, here
            high, side = (high / 2.0 if side == -1 else high), -1
        if moved <= _SETTLED * width or low == high:
            return t
    return (a + b) / 2.0
