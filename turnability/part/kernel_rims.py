"""The rims of the kernel's faces: each edge's trace as polynomials.

Lines and B-splines exactly, all else by interpolation to rounding; where edges' ends stand apart,
straight bridges.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_Shape
from OCP.TColStd import TColStd_Array1OfReal
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

from turnability.part.rims import Bounds, Rim
from turnability.part.surface_points import span_polynomials, trace_of

Array: TypeAlias = NDArray[np.float64]
Spot: TypeAlias = tuple[float, float]

_DEGREE = 11
"""Of what is interpolated, and the greatest that is taken as it is."""
_TURN = math.pi / 4.0
"""Radians of a circle that its series follows to rounding."""
_COSINE = np.array([(1, 0, -1, 0)[k % 4] / math.factorial(k) for k in range(14)])
_SINE = np.array([(0, 1, 0, -1)[k % 4] / math.factorial(k) for k in range(14)])
_TRUE = 1e-11
_DEEPEST = 4
_WIDEST_GAP = 0.1
"""Between the ends of neighbouring edges, as a share of the face."""
_NO_GAP = 1e-13
_NOTHING = np.empty(0)


@dataclass(slots=True)
class _Run:
    """An edge's pieces, in the order of its own parameter, and places where it begins and ends.

    `sign`: -1 where it is run backwards on its way round the face.
    """

    begin: Spot
    end: Spot
    sign: float
    pieces: list[Array]
    ends: list[tuple[float, float]]


class _Waiting:
    """Pieces of many edges that are worked out together: arcs, and B-spline spans by degree."""

    def __init__(self) -> None:
        self._spans: dict[int, list[tuple[_Run, int, Array, Array]]] = defaultdict(list)
        self._turns: list[tuple[_Run, int]] = []
        self._middles: list[float] = []
        self._conics: list[tuple[float, ...]] = []

    def add_span(self, run: _Run, degree: int, window: Array, poles: Array) -> None:
        """A span by the knots about it and its own poles."""
        self._spans[degree].append((run, len(run.pieces), window, poles))
        run.pieces.append(_NOTHING)

    def add_turn(self, run: _Run, middle: float, conic: tuple[float, ...]) -> None:
        """An arc about an angle of a conic: its centre, and where angles 0 and 90 lie from it."""
        self._turns.append((run, len(run.pieces)))
        self._middles.append(middle)
        self._conics.append(conic)
        run.pieces.append(_NOTHING)

    def work_out(self) -> None:
        """Put all of them into their runs."""
        for degree, some in self._spans.items():
            table = span_polynomials(np.array([w for _, _, w, _ in some]), degree)
            found = table @ np.array([p for _, _, _, p in some])
            for (run, place, _, _), c in zip(some, found, strict=True):
                run.pieces[place] = c
        if not self._turns:
            return
        centre, along, across = np.array(self._conics).reshape(-1, 3, 2).transpose(1, 0, 2)
        middle = np.array(self._middles)[:, None]
        cos, sin = np.cos(middle), np.sin(middle)
        out, turn = cos * along + sin * across, cos * across - sin * along
        series = _COSINE[:, None] * out[:, None, :] + _SINE[:, None] * turn[:, None, :]
        series[:, 0] += centre
        for (run, place), c in zip(self._turns, series, strict=True):
            run.pieces[place] = c


def rims_of(
    faces: Sequence[tuple[TopoDS_Face, Sequence[TopoDS_Edge], Bounds]],
) -> list[Rim]:
    """The rims of faces with these edges and bounds of their parameters.

    Gaps between edges' ends are bridged straight.
    """
    runs: list[list[_Run]] = []
    waiting = _Waiting()
    for face, edges, _ in faces:
        way = face.Orientation()
        runs.append([_run(face, edge, edge.Orientation() == way, waiting) for edge in edges])
    waiting.work_out()
    return [_rim(own, bounds) for own, (_, _, bounds) in zip(runs, faces, strict=True)]


def _rim(found: Sequence[_Run], bounds: Bounds) -> Rim:
    u0, u1, v0, v1 = bounds
    bridges, gap = _bridges(found, (max(u1 - u0, 1e-300), max(v1 - v0, 1e-300)))
    runs = [*found, *bridges]
    pieces = [c for run in runs for c in run.pieces]
    most = max(map(len, pieces), default=2)
    coefficients = np.zeros((len(pieces), most, 2))
    for k, c in enumerate(pieces):
        coefficients[k, : len(c)] = c
    ends = np.array([end for run in runs for end in run.ends]).reshape(-1, 2)
    sign = [run.sign for run in runs for _ in run.pieces]
    return Rim(coefficients, ends[:, 0], ends[:, 1], np.array(sign), gap)


def _run(face: TopoDS_Face, edge: TopoDS_Edge, forwards: bool, waiting: _Waiting) -> _Run:
    """One edge, run `forwards` round the face or back."""
    curve = BRepAdaptor_Curve2d(edge, face)
    first, last = curve.FirstParameter(), curve.LastParameter()
    a, b = curve.Value(first), curve.Value(last)
    begin, end = (a.X(), a.Y()), (b.X(), b.Y())
    kind = curve.GetType()
    run = _Run(begin, end, 1.0, [], []) if forwards else _Run(end, begin, -1.0, [], [])
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        run.pieces.append(_line(begin, end))
        run.ends.append((0.0, 1.0))
        return run
    if kind == GeomAbs_CurveType.GeomAbs_BSplineCurve:
        spline = trace_of(curve)
        if spline is not None and spline.degree <= _DEGREE and (spline.poles[:, 2] == 1.0).all():
            degree, knots = spline.degree, spline.knots
            begins = np.nonzero(np.diff(knots[degree : len(knots) - degree]) > 0.0)[0] + degree
            for span in begins.tolist():
                low, high = float(knots[span]), float(knots[span + 1])
                at = max(first, low), min(last, high)
                # the first span of all reaches back, the last one on
                at = (first if span == begins[0] else at[0], last if span == begins[-1] else at[1])
                if at[1] <= at[0]:
                    continue
                window = knots[span - degree + 1 : span + degree + 1]
                poles = spline.poles[span - degree : span + 1, :2]
                waiting.add_span(run, degree, window, poles)
                width = high - low
                run.ends.append(((at[0] - low) / width, (at[1] - low) / width))
            if run.pieces:
                return run
    if kind in (GeomAbs_CurveType.GeomAbs_Circle, GeomAbs_CurveType.GeomAbs_Ellipse):
        _add_turns(curve, first, last, run, waiting)
        return run
    for low, high in _smooth_parts(curve):
        _add_interpolated(curve, low, high, run)
    return run


def _add_turns(
    curve: BRepAdaptor_Curve2d, first: float, last: float, run: _Run, waiting: _Waiting
) -> None:
    """Arcs of a circle or ellipse by the series of sine and cosine about their middles."""
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        conic = curve.Circle()
        a = b = conic.Radius()
    else:
        conic = curve.Ellipse()
        a, b = conic.MajorRadius(), conic.MinorRadius()
    centre, frame = conic.Location(), conic.Axis()
    x, y = frame.XDirection(), frame.YDirection()
    conic_of = (centre.X(), centre.Y(), a * x.X(), a * x.Y(), b * y.X(), b * y.Y())
    parts = max(1, math.ceil((last - first) / _TURN - 1e-9))
    half = (last - first) / parts / 2.0
    for k in range(parts):
        waiting.add_turn(run, first + (2.0 * k + 1.0) * half, conic_of)
    run.ends.extend([(-half, half)] * parts)


def _smooth_parts(curve: BRepAdaptor_Curve2d) -> list[tuple[float, float]]:
    count = curve.NbIntervals(GeomAbs_Shape.GeomAbs_CN)
    knots = TColStd_Array1OfReal(1, count + 1)
    curve.Intervals(knots, GeomAbs_Shape.GeomAbs_CN)
    return list(itertools.pairwise(knots.Value(i) for i in range(1, count + 2)))


def _add_interpolated(
    curve: BRepAdaptor_Curve2d, low: float, high: float, run: _Run, depth: int = 0
) -> None:
    """Polynomials that follow a smooth part of a trace."""
    nodes, inverse, between = _interpolation()
    middle, half = (low + high) / 2.0, (high - low) / 2.0

    def places(some: Array) -> Array:
        points = (curve.Value(middle + half * s) for s in some.tolist())
        return np.array([(p.X(), p.Y()) for p in points])

    own = places(nodes)
    c = inverse @ own
    seen = places(between)
    off = float(np.abs((between[:, None] ** np.arange(_DEGREE + 1)) @ c - seen).max())
    if off > _TRUE * max(float(np.abs(own).max()), 1e-300) and depth < _DEEPEST:
        _add_interpolated(curve, low, middle, run, depth + 1)
        _add_interpolated(curve, middle, high, run, depth + 1)
        return
    run.pieces.append(c)
    run.ends.append((-1.0, 1.0))


@lru_cache(maxsize=1)
def _interpolation() -> tuple[Array, Array, Array]:
    """Places in [-1, 1] to interpolate at, values there to coefficients, places between them."""
    count = _DEGREE + 1
    nodes = np.cos((np.arange(count) + 0.5) * math.pi / count)
    between = (nodes[1::4] + nodes[:-1:4]) / 2.0
    return nodes, np.linalg.inv(nodes[:, None] ** np.arange(count)), between


def _line(begin: Spot, end: Spot) -> Array:
    return np.array((begin, (end[0] - begin[0], end[1] - begin[1])))


def _bridges(runs: Sequence[_Run], size: tuple[float, float]) -> tuple[list[_Run], float]:
    """Straight runs from each end to the nearest beginning, and the widest gap there was.

    Exporters' edges stop short. `size`: of the face in its parameters.
    """
    if not runs:
        return [], math.inf
    if (widest := _in_order(runs, size)) is not None:
        return [], widest
    begins, ends = (np.array([getattr(run, name) for run in runs]) for name in ("begin", "end"))
    apart = (begins[None, :, :] - ends[:, None, :]) / size
    off = np.hypot(apart[..., 0], apart[..., 1])
    found = []
    widest = 0.0
    free, done = np.ones(len(runs), dtype=bool), np.zeros(len(runs), dtype=bool)
    for flat in np.argsort(off, axis=None, kind="stable").tolist():
        i, k = divmod(flat, len(runs))
        if done[i] or not free[k]:
            continue
        done[i], free[k] = True, False
        widest = max(widest, float(off[i, k]))
        if _NO_GAP < off[i, k] <= _WIDEST_GAP:
            begin, end = runs[i].end, runs[k].begin
            found.append(_Run(begin, end, 1.0, [_line(begin, end)], [(0.0, 1.0)]))
    return found, widest


def _in_order(runs: Sequence[_Run], size: tuple[float, float]) -> float | None:
    """The widest gap where each run ends at a beginning of its own, none left; else None."""
    free = [run.begin for run in runs]
    for run in runs:
        u, v = run.end
        for k, (a, b) in enumerate(free):
            if abs(a - u) <= _NO_GAP * size[0] and abs(b - v) <= _NO_GAP * size[1]:
                del free[k]
                break
        else:
            return None
    return _NO_GAP
