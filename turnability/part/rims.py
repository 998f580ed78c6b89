"""The rims of faces in their own parameters, as polynomials, for many faces at once.

Each edge's trace becomes pieces of degree up to a dozen: lines and B-splines exactly, all else by
interpolation to rounding. The kernel answers one point a call; polynomials are asked for all nodes
of all pieces in one sum.
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

from turnability.part.surface_points import span_polynomials, trace_of

Array: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]
Bounds: TypeAlias = tuple[float, float, float, float]
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


@dataclass(frozen=True, slots=True)
class Rim:
    """A face's rim: polynomials (n, degree + 1, 2) in t from `low` (n,) to `high` (n,).

    `sign` (n,): -1 where a piece is run backwards on the way round the face. `gap`: the widest
    between neighbouring ends, as a share of the face; infinite where there is no edge.
    """

    coefficients: Array
    low: Array
    high: Array
    sign: Array
    gap: float


@dataclass(frozen=True, slots=True)
class Rims:
    """The pieces of several faces' rims; `owner` (n,) is the face's place among them."""

    owner: Ints
    coefficients: Array
    low: Array
    high: Array
    sign: Array

    def of(self, chosen: NDArray[np.bool_]) -> Rims:
        """Those pieces alone."""
        return Rims(
            self.owner[chosen],
            self.coefficients[chosen],
            self.low[chosen],
            self.high[chosen],
            self.sign[chosen],
        )

    def at(self, t: Array) -> tuple[Array, Array]:
        """Places and their slopes at t (n, m), (n, m, 2) each."""
        c = self.coefficients
        slope = np.broadcast_to(c[:, 1, None, :], (*t.shape, 2)).copy()
        value = c[:, 0, None, :] + slope * t[:, :, None]
        bent = (c[:, 2:] != 0.0).any(axis=(1, 2))
        if bent.any():
            value[bent], slope[bent] = _on_polynomials(c[bent], t[bent])
        return value, slope

    def nodes(self, count: int, panels: int) -> tuple[Ints, Array, Array]:
        """Owners (k,), places (k, 2) and steps (k, 2) of a quadrature along all pieces.

        `count` Gauss nodes in each of `panels` equal parts of a piece; a step is the slope times
        the weight, in the sense of the way round the face.
        """
        x, w = gauss(count)
        shares = (np.arange(panels)[:, None] + (x + 1.0) / 2.0).ravel() / panels
        weights = np.tile(w / (2.0 * panels), panels)
        width = self.high - self.low
        at, slope = self.at(self.low[:, None] + width[:, None] * shares)
        step = slope * (self.sign * width)[:, None, None] * weights[:, None]
        owner = np.repeat(self.owner, len(shares))
        return owner, at.reshape(-1, 2), step.reshape(-1, 2)

    def split(self, counts: Ints) -> Rims:
        """Each piece in so many (n,) equal parts."""
        if int(counts.max(initial=1)) == 1:
            return self
        row = np.repeat(np.arange(len(counts)), counts)
        place = np.arange(len(row)) - np.repeat(np.cumsum(counts) - counts, counts)
        width = ((self.high - self.low) / counts)[row]
        low = self.low[row] + place * width
        return Rims(self.owner[row], self.coefficients[row], low, low + width, self.sign[row])

    def cut(self, levels: Sequence[Array]) -> Rims:
        """The pieces cut where their second parameter passes levels, those of the owner's place."""
        shares = np.linspace(0.0, 1.0, 9)
        width = self.high - self.low
        t = self.low[:, None] + width[:, None] * shares
        b = self.at(t)[0][..., 1]
        low, high = b.min(axis=1), b.max(axis=1)
        rows: list[Ints] = []
        columns: list[Ints] = []
        wanted: list[Array] = []
        order = np.argsort(self.owner, kind="stable")
        bounds = np.searchsorted(self.owner[order], np.arange(len(levels) + 1))
        for number, own in enumerate(levels):
            if not len(own):
                continue
            mine = order[bounds[number] : bounds[number + 1]]
            mine = mine[(low[mine] < own[-1]) & (high[mine] > own[0])]
            if not len(mine):
                continue
            below = b[mine][:, :, None] <= own
            piece, place, level = np.nonzero(below[:, 1:] != below[:, :-1])
            rows.append(mine[piece])
            columns.append(place)
            wanted.append(own[level])
        if not rows:
            return self
        row, column = np.concatenate(rows), np.concatenate(columns)
        found = _crossings(
            self.coefficients[row, :, 1],
            t[row, column],
            t[row, column + 1],
            np.concatenate(wanted),
        )
        inner = (found > self.low[row]) & (found < self.high[row])
        row = np.concatenate((np.arange(len(t)), row[inner]))
        begin = np.concatenate((self.low, found[inner]))
        order = np.lexsort((begin, row))
        row, begin = row[order], begin[order]
        last = np.append(row[1:] != row[:-1], True)
        end = np.where(last, self.high[row], np.append(begin[1:], 0.0))
        return Rims(self.owner[row], self.coefficients[row], begin, end, self.sign[row])


def together(rims: Sequence[Rim]) -> Rims:
    """The pieces of rims, each known by its place."""
    most = max((rim.coefficients.shape[1] for rim in rims), default=2)
    counts = [len(rim.low) for rim in rims]
    coefficients = np.zeros((sum(counts), most, 2))
    first = 0
    for rim, count in zip(rims, counts, strict=True):
        coefficients[first : first + count, : rim.coefficients.shape[1]] = rim.coefficients
        first += count
    return Rims(
        np.repeat(np.arange(len(rims)), counts),
        coefficients,
        *(
            np.concatenate([np.empty(0), *(getattr(rim, name) for rim in rims)])
            for name in ("low", "high", "sign")
        ),
    )


@lru_cache(maxsize=64)
def gauss(nodes: int) -> tuple[Array, Array]:
    """Nodes and weights on [-1, 1]."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    return x, w


def _on_polynomials(c: Array, t: Array) -> tuple[Array, Array]:
    """Values and slopes at t (n, m) of polynomials (n, degree + 1, 2), (n, m, 2) each."""
    value = np.broadcast_to(c[:, -1, None, :], (*t.shape, 2)).copy()
    slope = np.zeros_like(value)
    x = t[:, :, None]
    for k in range(c.shape[1] - 2, -1, -1):
        slope *= x
        slope += value
        value *= x
        value += c[:, k, None, :]
    return value, slope


def _crossings(c: Array, low: Array, high: Array, level: Array) -> Array:
    """Where polynomials (n, degree + 1) pass levels (n,), by Newton's steps within brackets."""
    rising = _horner(c, high)[0] > level
    t: Array = (low + high) / 2.0
    for _ in range(60):
        value, slope = _horner(c, t)
        off = value - level
        over = (off > 0.0) == rising
        high, low = np.where(over, t, high), np.where(over, low, t)
        with np.errstate(divide="ignore", invalid="ignore"):
            following = t - off / slope
        outside = ~((following >= low) & (following <= high))
        following = np.where(outside, (low + high) / 2.0, following)
        settled = np.abs(following - t) <= 1e-15
        t = following
        if settled.all():
            break
    return t


def _horner(c: Array, t: Array) -> tuple[Array, Array]:
    value, slope = c[:, -1].copy(), np.zeros(len(c))
    for k in range(c.shape[1] - 2, -1, -1):
        slope = slope * t + value
        value = value * t + c[:, k]
    return value, slope


# ---------------------------------------------------------------- from the kernel


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


def rims_of(
    faces: Sequence[tuple[TopoDS_Face, Sequence[TopoDS_Edge], Bounds]],
) -> list[Rim]:
    """The rims of faces with these edges and bounds of their parameters.

    Gaps between edges' ends are bridged straight.
    """
    runs: list[list[_Run]] = []
    waiting: dict[int, list[tuple[_Run, int, Array, Array]]] = defaultdict(list)
    for face, edges, _ in faces:
        way = face.Orientation()
        runs.append([_run(face, edge, edge.Orientation() == way, waiting) for edge in edges])
    for degree, some in waiting.items():
        table = span_polynomials(np.array([w for _, _, w, _ in some]), degree)
        found = table @ np.array([p for _, _, _, p in some])
        for (run, place, _, _), c in zip(some, found, strict=True):
            run.pieces[place] = c
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


def _run(
    face: TopoDS_Face,
    edge: TopoDS_Edge,
    forwards: bool,
    waiting: dict[int, list[tuple[_Run, int, Array, Array]]],
) -> _Run:
    """One edge, run `forwards` round the face or back.

    Spans of B-splines wait, by their degree, to be worked out together.
    """
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
                waiting[degree].append((run, len(run.pieces), window, poles))
                run.pieces.append(np.empty(0))
                width = high - low
                run.ends.append(((at[0] - low) / width, (at[1] - low) / width))
            if run.pieces:
                return run
    if kind in (GeomAbs_CurveType.GeomAbs_Circle, GeomAbs_CurveType.GeomAbs_Ellipse):
        _add_turns(curve, first, last, run)
        return run
    for low, high in _smooth_parts(curve):
        _add_interpolated(curve, low, high, run)
    return run


def _add_turns(curve: BRepAdaptor_Curve2d, first: float, last: float, run: _Run) -> None:
    """Arcs of a circle or ellipse by the series of sine and cosine about their middles."""
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        conic = curve.Circle()
        a = b = conic.Radius()
    else:
        conic = curve.Ellipse()
        a, b = conic.MajorRadius(), conic.MinorRadius()
    centre, frame = conic.Location(), conic.Axis()
    x, y = frame.XDirection(), frame.YDirection()
    along, across = a * np.array([x.X(), x.Y()]), b * np.array([y.X(), y.Y()])
    parts = max(1, math.ceil((last - first) / _TURN - 1e-9))
    half = (last - first) / parts / 2.0
    middle = first + (2.0 * np.arange(parts) + 1.0) * half
    cos, sin = np.cos(middle)[:, None], np.sin(middle)[:, None]
    out, turn = cos * along + sin * across, cos * across - sin * along
    c = _COSINE[:, None] * out[:, None, :] + _SINE[:, None] * turn[:, None, :]
    c[:, 0] += centre.X(), centre.Y()
    run.pieces.extend(c)
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
