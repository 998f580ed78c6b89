"""How much a set of faces takes out of the turned body, from those faces alone.

The field F = phi r e_phi has divergence 1 and no part through a turned face, so by Gauss a solid's
volume is the flux of F through its other faces plus 2 pi times the r-moment of its section at
the angle `cut` where phi jumps. Hence what departures remove is minus their own flux, where the
section at `cut` is whole (where it is not: see `part.books`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_Shape
from OCP.gp import gp_Pnt2d, gp_Vec2d
from OCP.TColStd import TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_REVERSED

from turnability.part.kernel_faces import KernelFace

_INNER = 12
_INNER_FREE = 8
_MANY_FREE = 40
_FINEST_PANELS = 16
_SETTLED = 1e-9

Array = NDArray[np.float64]
Run = tuple[BRepAdaptor_Curve2d, bool, Array]


def removed_by(faces: Iterable[KernelFace], cut: float) -> tuple[float, float]:
    """Minus the flux of phi r e_phi through the faces (mm3), and how far they are from closed.

    phi runs from `cut` to `cut` + 2 pi. The second number is the flux of r e_phi: nought where
    every circle that goes out of the solid through these faces comes back through them.
    """
    members = list(faces)
    # a modelled thread has a hundred small faces, and point by point is dear
    many = sum(not face.has_formula for face in members) > _MANY_FREE
    pairs = [_face_flux(face, cut, 1 if many else 4) for face in members]
    return -math.fsum(p[0] for p in pairs), math.fsum(p[1] for p in pairs)


def tube_volume(faces: Iterable[KernelFace], along: str) -> float:
    """Volume (mm3) that hollow faces enclose together with turned faces they end on.

    `along` "z": the flux of z e_z, nought through coaxial cylinders; "r": of r e_r / 2, nought
    through planes square to the axis. Both fields have divergence 1.
    """
    total = []
    for face in faces:
        runs = _runs(face)
        value = _integral(face, runs, along, 4)[1]
        total.append(-value if face.reversed else value)
    return -math.fsum(total)


def _face_flux(face: KernelFace, cut: float, finest_free: int) -> tuple[float, float]:
    """Both fluxes through one face: panels are doubled until the first settles."""
    runs = _runs(face)
    before, plain = _integral(face, runs, cut, 1)
    panels = 2
    finest = _FINEST_PANELS if face.has_formula else finest_free
    value = before
    while panels <= finest:
        value, plain = _integral(face, runs, cut, panels)
        scale = max(abs(value), face.area_mm2)
        if abs(value - before) <= _SETTLED * scale:
            break
        before, panels = value, panels * 2
    return (-value, -plain) if face.reversed else (value, plain)


def _runs(face: KernelFace) -> list[Run]:
    """The face's rim on its parameters: each trace, whether run backwards, its smooth pieces."""
    found = []
    for edge in face.edges():
        trace = BRepAdaptor_Curve2d(edge, face.face)
        if trace.GetType() == GeomAbs_CurveType.GeomAbs_Line and _along_u(trace):
            continue  # dv = 0
        pieces = trace.NbIntervals(GeomAbs_Shape.GeomAbs_C2)
        knots = TColStd_Array1OfReal(1, pieces + 1)
        trace.Intervals(knots, GeomAbs_Shape.GeomAbs_C2)
        backwards = (edge.Orientation() == TopAbs_REVERSED) != face.reversed
        found.append((trace, backwards, np.array([knots.Value(i) for i in range(1, pieces + 2)])))
    return found


def _integral(
    face: KernelFace, runs: list[Run], cut: float | str, panels: int
) -> tuple[float, float]:
    """Green's theorem on the parameters: the rim's integral of G dv, G the integral of f du."""
    u0 = face.bounds[0]
    inner = _INNER if face.has_formula else _INNER_FREE
    s, ws = _composite(np.array([0.0, 1.0]), panels, inner)
    traces, slopes = [], []
    for trace, backwards, knots in runs:
        nodes = 10 if len(knots) == 2 else 5
        t, w = _composite(knots, panels, nodes)
        uv, dv = _trace(trace, t)
        traces.append(uv)
        slopes.append(dv * w * (-1.0 if backwards else 1.0))
    if not traces:
        return 0.0, 0.0
    uv = np.concatenate(traces)
    span = uv[:, 0] - u0
    u = u0 + span[:, None] * s[None, :]
    v = np.broadcast_to(uv[:, 1:2], u.shape)
    phi, around = _around(face, u.ravel(), v.ravel(), cut)
    weight = np.concatenate(slopes) * span
    flux = around.reshape(u.shape) * ws[None, :]
    plain = flux.sum(axis=1) * weight
    total = (flux * phi.reshape(u.shape)).sum(axis=1) * weight
    return math.fsum(total.tolist()), math.fsum(plain.tolist())


@cache
def _gauss(nodes: int) -> tuple[Array, Array]:
    x, w = np.polynomial.legendre.leggauss(nodes)
    return x, w


def _composite(knots: Array, panels: int, nodes: int) -> tuple[Array, Array]:
    """Gauss nodes and weights over the pieces between knots, each in equal panels."""
    x, w = _gauss(nodes)
    share = np.arange(panels) / panels
    start = (knots[:-1, None] + np.diff(knots)[:, None] * share[None, :]).ravel()
    width = np.repeat(np.diff(knots) / panels, panels)
    t = start[:, None] + width[:, None] * (x[None, :] + 1.0) / 2.0
    return t.ravel(), (width[:, None] * w[None, :] / 2.0).ravel()


def _along_u(trace: BRepAdaptor_Curve2d) -> bool:
    return bool(abs(trace.Line().Direction().Y()) <= 1e-14)


def _trace(trace: BRepAdaptor_Curve2d, params: Array) -> tuple[Array, Array]:
    """Points (u, v) of a trace and dv/dt, shapes (n, 2) and (n,)."""
    if trace.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        line = trace.Line()
        p, d = line.Location(), line.Direction()
        uv = np.column_stack((p.X() + params * d.X(), p.Y() + params * d.Y()))
        return uv, np.full(len(params), d.Y())
    uv, dv = np.empty((len(params), 2)), np.empty(len(params))
    point, slope = gp_Pnt2d(), gp_Vec2d()
    for i, x in enumerate(params):
        trace.D1(float(x), point, slope)
        uv[i] = point.X(), point.Y()
        dv[i] = slope.Y()
    return uv, dv


def _around(face: KernelFace, u: Array, v: Array, cut: float | str) -> tuple[Array, Array]:
    """phi and (Su x Sv) . (z x P) at parameters, shapes (n,); for "z" and "r" those fields."""
    p, su, sv = face.points(u, v)
    n = np.cross(su, sv)
    if cut == "z":
        return np.ones(len(p)), n[:, 2] * p[:, 2]
    if cut == "r":
        return np.ones(len(p)), (n[:, 0] * p[:, 0] + n[:, 1] * p[:, 1]) / 2.0
    assert not isinstance(cut, str)
    phi = cut + (np.arctan2(p[:, 1], p[:, 0]) - cut) % math.tau
    return phi, n[:, 1] * p[:, 0] - n[:, 0] * p[:, 1]
