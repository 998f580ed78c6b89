"""How much a face takes out of the turned body, from the face alone.

The field F = phi r e_phi has divergence 1 and no part through a turned face. By Gauss's theorem
the volume that is missing from the turned body is minus its flux through the departures' faces,
and a whole number of turns in each cell of the half plane where phi was followed over jumps (see
`part.departures.books`).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_Shape
from OCP.gp import gp_Pnt2d, gp_Vec2d
from OCP.TColStd import TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Edge

from turnability.part.departures.sheets import Sheet, Wall, gauss, place, sheet_at
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import SplineTrace, trace_of, trace_points

_NODES = 10
_NODES_KNOTTED = 5
_GRADES = (0.3, 0.06, 0.01)
_WIDEST_GAP = 0.1
"""Between the ends of neighbouring edges, as a share of the face."""
_MANY_PIECES, _MANY_PLACES = 4, 24
"""From so many on a spline is worked out here: each of the kernel's answers costs a call."""
_FINEST = 16
_FINEST_FREE = 4

Array = NDArray[np.float64]
Sheets: TypeAlias = Sequence[Sheet | Wall]


Trace: TypeAlias = Callable[[Array], tuple[Array, Array]]
"""Parameters (n,) to points (u, v) and their derivatives, (n, 2) each."""


@dataclass(frozen=True, slots=True)
class _Run:
    """One piece of a face's rim: its trace, run backwards or not, the knots of smooth pieces."""

    trace: Trace
    straight: bool
    backwards: bool
    knots: Array
    nodes: int

    def ends(self) -> tuple[Array, Array]:
        """Points (u, v) where the run begins and ends on its way round the face."""
        first, last = self.trace(self.knots[[0, -1]])[0]
        return (last, first) if self.backwards else (first, last)


def face_flux(face: KernelFace, sheets: Sheets, within_mm3: float) -> tuple[float, float]:
    """Fluxes of phi r e_phi and of r e_phi through a face, out of the solid (mm3).

    Panels are doubled until the first settles within `within_mm3`.
    """
    if not sheets:
        return 0.0, 0.0
    runs = _runs(face, sheets)
    before, plain = _integral(runs, sheets, 1)
    panels, finest = 2, _FINEST if face.has_formula else _FINEST_FREE
    value = before
    while panels <= finest:
        value, plain = _integral(runs, sheets, panels)
        if abs(value - before) <= within_mm3:
            break
        before, panels = value, panels * 2
    return (-value, -plain) if face.reversed else (value, plain)


def _runs(face: KernelFace, sheets: Sheets) -> list[_Run]:
    """The rim in runs that are smooth; gaps between its edges' ends are bridged straight."""
    found = [_run(face, edge) for edge in face.edges()]
    levels = [sheet.high for sheet in sheets[:-1]]
    knots = face.knots()[1] if isinstance(sheets[0], Sheet) else []
    made = []
    for own in [*found, *_bridges(found)]:
        run = replace(own, trace=partial(_placed, own.trace, sheets[0]))
        v0, v1 = run.trace(run.knots[[0, -1]])[0][:, 1]
        if run.straight and abs(v1 - v0) <= 1e-14 * abs(run.knots[-1] - run.knots[0]):
            continue  # dv = 0
        cut = _cut_at(run, run.knots, levels, graded=True)
        made.append(replace(run, knots=_cut_at(run, cut, knots, graded=False)))
    return made


def _run(face: KernelFace, edge: TopoDS_Edge) -> _Run:
    curve = BRepAdaptor_Curve2d(edge, face.face)
    pieces = curve.NbIntervals(GeomAbs_Shape.GeomAbs_CN)
    at = TColStd_Array1OfReal(1, pieces + 1)
    curve.Intervals(at, GeomAbs_Shape.GeomAbs_CN)
    knots = np.array([at.Value(i) for i in range(1, pieces + 2)])
    backwards = (edge.Orientation() == TopAbs_REVERSED) != face.reversed
    nodes = _NODES if pieces == 1 else _NODES_KNOTTED
    if curve.GetType() != GeomAbs_CurveType.GeomAbs_Line:
        spline = trace_of(curve) if pieces >= _MANY_PIECES else None
        return _Run(partial(_bent, curve, spline), False, backwards, knots, nodes)
    p, d = curve.Line().Location(), curve.Line().Direction()
    start, way = np.array([p.X(), p.Y()]), np.array([d.X(), d.Y()])
    return _Run(partial(_straight, start, way), True, backwards, knots, nodes)


def _bridges(runs: Sequence[_Run]) -> list[_Run]:
    """Straight runs from each end to the nearest beginning: exporters' edges stop short."""
    if not runs:
        return []
    ends = [run.ends() for run in runs]
    begins = np.array([first for first, _ in ends])
    size = np.maximum(np.ptp(begins, axis=0), 1e-300)
    found = []
    free = np.ones(len(runs), dtype=bool)
    order = sorted(
        (float(np.hypot(*((begins[k] - last) / size))), i, k)
        for i, (_, last) in enumerate(ends)
        for k in range(len(runs))
    )
    done: set[int] = set()
    for off, i, k in order:
        if i in done or not free[k]:
            continue
        done.add(i)
        free[k] = False
        if 0.0 < off <= _WIDEST_GAP:
            way = begins[k] - ends[i][1]
            found.append(
                _Run(partial(_straight, ends[i][1], way), True, False, np.array([0.0, 1.0]), 2)
            )
    return found


def _straight(start: Array, way: Array, t: Array) -> tuple[Array, Array]:
    return start + t[:, None] * way, np.broadcast_to(way, (len(t), 2))


def _bent(curve: BRepAdaptor_Curve2d, spline: SplineTrace | None, t: Array) -> tuple[Array, Array]:
    if spline is not None and len(t) >= _MANY_PLACES:
        return trace_points(spline, t)
    uv, slope = np.empty((2, len(t), 2))
    point, way = gp_Pnt2d(), gp_Vec2d()
    for i, x in enumerate(t.tolist()):
        curve.D1(x, point, way)
        uv[i] = point.X(), point.Y()
        slope[i] = way.X(), way.Y()
    return uv, slope


def _placed(trace: Trace, sheet: Sheet | Wall, t: Array) -> tuple[Array, Array]:
    """A trace on the sheet's own parameters."""
    uv, slope = trace(t)
    return (place(sheet, uv), slope @ sheet.turn) if isinstance(sheet, Wall) else (uv, slope)


def _cut_at(run: _Run, knots: Array, levels: Sequence[float], graded: bool) -> Array:
    """Knots with those added where the run crosses levels of v, more of them beside it."""
    if not len(levels):
        return knots
    t = knots
    if not run.straight:
        pieces = itertools.pairwise(knots.tolist())
        t = np.unique(np.concatenate([np.linspace(a, b, 9) for a, b in pieces]))
    v = run.trace(t)[0][:, 1]
    found: list[float] = []
    for level in levels:
        for k in np.nonzero((v[:-1] - level) * (v[1:] - level) <= 0.0)[0].tolist():
            low, high = float(t[k]), float(t[k + 1])
            below = v[k] <= level
            if v[k] == v[k + 1]:
                continue
            if run.straight:
                found.append(low + (high - low) * float((level - v[k]) / (v[k + 1] - v[k])))
                continue
            found.append(_crossing(run, level, low, high, bool(below)))
    whole = float(knots[-1] - knots[0])
    if graded:
        for at in list(found):
            reach = min((abs(at - k) for k in knots if abs(at - k) > 1e-9 * whole), default=whole)
            found.extend(at + side * reach * share for share in _GRADES for side in (-1.0, 1.0))
    inner = [f for f in found if knots[0] < f < knots[-1]]
    return np.unique(np.concatenate((knots, inner)))


def _crossing(run: _Run, level: float, low: float, high: float, below: bool) -> float:
    """Where v passes the level between two parameters, by Newton's steps within the bracket.

    `below`: whether v is at or under the level at `low`.
    """
    t = (low + high) / 2.0
    for _ in range(60):
        at, slope = run.trace(np.array([t]))
        off, rise = float(at[0, 1]) - level, float(slope[0, 1])
        if (off <= 0.0) == below:
            low = t
        else:
            high = t
        following = t - off / rise if rise != 0.0 else math.inf
        if not low <= following <= high:
            following = (low + high) / 2.0
        if abs(following - t) <= 1e-15 * max(abs(low), abs(high)):
            break
        t = following
    return t


def _integral(runs: Sequence[_Run], sheets: Sheets, panels: int) -> tuple[float, float]:
    """Green's theorem on the parameters: the rim's integral of G dv, G the integral along rows."""
    spots, slopes = [], []
    for run in runs:
        t, w = _composite(run.knots, panels, run.nodes)
        at, slope = run.trace(t)
        spots.append(at)
        slopes.append(slope[:, 1] * w * (-1.0 if run.backwards else 1.0))
    if not spots:
        return 0.0, 0.0
    at, weight = np.concatenate(spots), np.concatenate(slopes)
    which = sheet_at(sheets, at[:, 1])
    total, plain = 0.0, 0.0
    for k, sheet in enumerate(sheets):
        mine = which == k
        if mine.any():
            flux, through = sheet.rows(at[mine, 0], at[mine, 1], panels)
            total += math.fsum((flux * weight[mine]).tolist())
            plain += math.fsum((through * weight[mine]).tolist())
    return total, plain


def _composite(knots: Array, panels: int, nodes: int) -> tuple[Array, Array]:
    """Gauss nodes and weights over the pieces between knots, each in equal panels."""
    x, w = gauss(nodes)
    share = np.arange(panels) / panels
    start = (knots[:-1, None] + np.diff(knots)[:, None] * share[None, :]).ravel()
    width = np.repeat(np.diff(knots) / panels, panels)
    t = start[:, None] + width[:, None] * (x[None, :] + 1.0) / 2.0
    return t.ravel(), (width[:, None] * w[None, :] / 2.0).ravel()
