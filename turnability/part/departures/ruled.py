"""Sheets of ruled faces: cylinders, cones, slanted planes, B-splines of degree one.

Seen along the axis a ruling is a straight line, on which the angle round the axis is an arc
tangent and g a polynomial of degree two: integrals along rulings come in closed form, and only the
face's rim is left to quadrature.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.part.kernel_faces import KernelFace
from turnability.part.rims import gauss
from turnability.part.surface_points import ruled_along, rulings_at

Array: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]
Lines: TypeAlias = tuple[Array, Array, Array, Array]
"""Places on rulings, their ways for a step of a, and the slopes of both along b, (n, 3) each: the
surface is place + a way."""

_SHORT = 0.05
"""A ruling seen no longer than this share of its distance from the axis is left to quadrature."""
_NODES = 5
_STEP = 1.0
"""Radians that neighbouring samples of the column may be apart."""
_INSET = 1e-7


@dataclass(slots=True)
class Ruled:
    """A band `low` <= b <= `high` of a face, a along the rulings.

    `swapped`: a is the face's v, b its u. `breaks`: ends of a, and where the axis meets rulings.
    The angle is followed along the column a = `base`. `knots`: of b, between which all is smooth.
    `alike`: the same for faces whose rulings one sum gives.
    """

    face: KernelFace
    alike: Hashable
    swapped: bool
    low: float
    high: float
    breaks: Array
    knots: Array
    base: float
    column: Array
    turns: Array
    shift: float = 0.0
    _own: Rulings | None = None

    def angle(self, a: Array, b: Array) -> Array:
        """The followed angle at parameters (n,), in radians."""
        if self._own is None:
            self._own = replace(Rulings.of([self]), shift=np.zeros(1))
        return self._own.angle(np.zeros(len(a), dtype=np.intp), a, b) + self.shift


@dataclass(frozen=True, slots=True)
class Rulings:
    """Bands of faces that are alike, asked together; `number` (n,) is a band's place among them."""

    bands: Sequence[Ruled]
    lines: Callable[[Ints, Array], Lines]
    base: Array
    shift: Array

    @staticmethod
    def of(bands: Sequence[Ruled]) -> Rulings:
        """The rulings of bands that are alike."""
        faces = [band.face for band in bands]
        return Rulings(
            bands,
            _lines(faces),
            np.array([band.base for band in bands]),
            np.array([band.shift for band in bands]),
        )

    def angle(self, number: Ints, a: Array, b: Array) -> Array:
        """The followed angle at parameters (n,), in radians."""
        low, high = np.array([_inset(band.low, band.high) for band in self.bands]).T
        # on a ruling that meets the axis the angle leaps half a turn, either way
        place, way, _, _ = self.lines(number, np.clip(b, low[number], high[number]))
        first = place + self.base[number, None] * way
        last = place + a[:, None] * way
        return self._at_base(number, first, b) + _turned(first, last) + self.shift[number]

    def rows(self, number: Ints, a: Array, b: Array) -> tuple[Array, Array]:
        """Integrals along each ruling from the base to a (n,): of angle times g, and of g.

        g = (Sa x Sb) . (z x P); g da db is the area of the image in the half plane times r.
        """
        place, way, place_slope, way_slope = self.lines(number, b)
        base = self.base[number]
        first = place + base[:, None] * way
        step = a - base
        last = first + step[:, None] * way
        slope = place_slope + base[:, None] * way_slope
        n0, n1 = _level(way, slope), _level(way, way_slope)
        g0 = _across(n0, first)
        g1 = _across(n0, way) + _across(n1, first)
        g2 = _across(n1, way)
        plain = step * (g0 + step * (g1 / 2.0 + step * g2 / 3.0))
        begin = self._at_base(number, first, b) + self.shift[number]
        turn = _turned(first, last)
        total = begin * plain
        m = np.hypot(way[:, 0], way[:, 1])
        away = np.hypot(first[:, 0], first[:, 1])
        seen = m * np.abs(step)
        far = seen > _SHORT * away
        k = np.nonzero(far)[0]
        if len(k):
            own, p, d = m[k], first[k], way[k]
            rises = g0[k] / own, g1[k] / (2.0 * own**2), g2[k] / (3.0 * own**3)
            s0 = (p[:, 0] * d[:, 0] + p[:, 1] * d[:, 1]) / own
            w = (p[:, 1] * d[:, 0] - p[:, 0] * d[:, 1]) / own
            total[k] += turn[k] * plain[k] + _closed(rises, s0, w, own * step[k], turn[k])
        k = np.nonzero(~far & (seen > 0.0))[0]
        if len(k):
            x, weights = gauss(_NODES)
            for share, weight in zip(((x + 1.0) / 2.0).tolist(), weights.tolist(), strict=True):
                at = share * step[k]
                here = first[k] + at[:, None] * way[k]
                g = g0[k] + at * (g1[k] + at * g2[k])
                total[k] += weight / 2.0 * step[k] * g * _turned(first[k], here)
        return total, plain

    def _at_base(self, number: Ints, first: Array, b: Array) -> Array:
        """The followed angle at places of the columns."""
        near = np.empty(len(b))
        order = np.argsort(number, kind="stable")
        ends = np.searchsorted(number[order], np.arange(len(self.bands) + 1)).tolist()
        for band, low, high in zip(self.bands, ends, ends[1:], strict=False):
            if high > low:
                mine = order[low:high]
                near[mine] = np.interp(b[mine], band.column, band.turns)
        angle = np.arctan2(first[:, 1], first[:, 0])
        return angle - math.tau * np.rint((angle - near) / math.tau)


def ruled_sheets(face: KernelFace, pierced: Sequence[tuple[float, float]]) -> list[Ruled] | None:
    """The sheets of a ruled face in order of b; None for a face that is none.

    `pierced`: its parameters (u, v) where the axis meets its surface.
    """
    found = _ruling(face)
    if found is None:
        return None
    alike, swapped, inner = found
    u0, u1, v0, v1 = face.bounds
    a0, a1, b0, b1 = (v0, v1, u0, u1) if swapped else (u0, u1, v0, v1)
    met = [(v, u) if swapped else (u, v) for u, v in pierced]
    room = 1e-9 * (b1 - b0)
    levels: list[float] = []
    for b in sorted(b for _, b in met):
        if b0 + room < b < b1 - room and (not levels or b - levels[-1] > room):
            levels.append(b)
    breaks = np.array([a0, *sorted({a for a, _ in met if a0 < a < a1}), a1])
    knots = np.array([b0, *(k for k in inner if b0 < k < b1), b1])
    lines = _lines([face])
    bands = []
    for low, high in itertools.pairwise([b0, *levels, b1]):
        column, base, turns = _column(lines, (low, high), (a0, a1))
        bands.append(Ruled(face, alike, swapped, low, high, breaks, knots, base, column, turns))
    return bands


def _ruling(face: KernelFace) -> tuple[Hashable, bool, list[float]] | None:
    """What a face shares with those alike, whether its rulings run along v, where b is cut."""
    u0, u1, _, _ = face.bounds
    if face.has_formula:
        if face.kind not in ("plane", "cylinder", "cone"):
            return None
        count = 1 if face.kind == "plane" else math.ceil((u1 - u0) / (math.pi / 2.0) - 1e-9)
        return face.kind, True, [u0 + (u1 - u0) * k / count for k in range(1, count)]
    patch = face.patch
    along = None if patch is None else ruled_along(patch)
    if patch is None or along is None:
        return None
    knots = patch.knots_v if along == "u" else patch.knots_u
    degree = patch.degree_v if along == "u" else patch.degree_u
    return (along, degree, knots.tobytes()), along == "v", sorted(set(knots.tolist()))


def _column(
    lines: Callable[[Ints, Array], Lines], ends: tuple[float, float], across: tuple[float, float]
) -> tuple[Array, float, Array]:
    """Samples of b, the a at which the angle is followed along them, and the angles."""
    count = 33
    base: float | None = None
    while True:
        column = np.linspace(*_inset(*ends), count)
        place, way, _, _ = lines(np.zeros(count, dtype=np.intp), column)
        if base is None:
            # followed where the column keeps farthest from the axis
            a0, a1 = across
            base = max(
                (a0, (a0 + a1) / 2.0, a1),
                key=lambda a: float(((place + a * way)[:, :2] ** 2).sum(axis=1).min()),
            )
        first = place + base * way
        turns = np.unwrap(np.arctan2(first[:, 1], first[:, 0]))
        if float(np.abs(np.diff(turns)).max()) <= _STEP or count > 500:
            return column, base, turns
        count = 4 * count - 3


def _lines(faces: Sequence[KernelFace]) -> Callable[[Ints, Array], Lines]:
    """The rulings of faces that are alike."""
    if not faces[0].has_formula:
        return _lines_of_patches(faces)
    origin, x, y, z = np.array([face.formula.frame for face in faces]).transpose(1, 0, 2)
    if faces[0].kind == "plane":

        def flat(number: Ints, b: Array) -> Lines:
            place = origin[number] + b[:, None] * x[number]
            return place, y[number], x[number], np.zeros(place.shape)

        return flat
    sizes = np.array([face.formula.sizes for face in faces])
    sin_h, cos_h = np.sin(sizes[:, 1]), np.cos(sizes[:, 1])  # of a cylinder 0 and 1

    def round_(number: Ints, b: Array) -> Lines:
        cos_b, sin_b = np.cos(b)[:, None], np.sin(b)[:, None]
        own_x, own_y = x[number], y[number]
        out, turn = cos_b * own_x + sin_b * own_y, cos_b * own_y - sin_b * own_x
        r, s = sizes[number, 0, None], sin_h[number, None]
        way = s * out + cos_h[number, None] * z[number]
        return origin[number] + r * out, way, r * turn, s * turn

    return round_


def _lines_of_patches(faces: Sequence[KernelFace]) -> Callable[[Ints, Array], Lines]:
    patches = [patch for face in faces if (patch := face.patch) is not None]
    one = patches[0]
    along_u = ruled_along(one) == "u"
    order = (0, 1, 2) if along_u else (1, 0, 2)
    knots, degree = (one.knots_v, one.degree_v) if along_u else (one.knots_u, one.degree_u)
    poles = np.array([patch.poles[..., :3].transpose(order) for patch in patches])
    ends = np.array([(p.knots_u if along_u else p.knots_v)[[0, -1]] for p in patches])

    def lines(number: Ints, b: Array) -> Lines:
        first, way, slope, way_slope = rulings_at(poles, knots, degree, number, b)
        low, high = ends[number, 0, None], ends[number, 1, None]
        way, way_slope = way / (high - low), way_slope / (high - low)
        return first - low * way, way, slope - low * way_slope, way_slope

    return lines


def _closed(
    rises: tuple[Array, Array, Array], s0: Array, w: Array, run: Array, turn: Array
) -> Array:
    """What is left of the integral of angle times g after (angle times integral of g) at the end.

    Along the line at distance w from the axis, s from its foot: w times the integral from s0 on of
    H / (s^2 + w^2), H = p1 x + p2 x^2 + p3 x^3 with x = s - s0 the integral of g; `rises` are the
    p, `run` the length of the line, `turn` the angle that it turns by.
    """
    p1, p2, p3 = rises
    s = s0 + run
    q3 = p3
    q2 = p2 - 3.0 * p3 * s0
    q1 = p1 + s0 * (-2.0 * p2 + 3.0 * p3 * s0)
    q0 = s0 * (-p1 + s0 * (p2 - p3 * s0))
    far, near = np.maximum(s * s + w * w, 1e-300), np.maximum(s0 * s0 + w * w, 1e-300)
    log = np.log(far / near)
    inner = (
        q1 * log / 2.0 + q2 * (run + w * turn) + q3 * ((s * s - s0 * s0) / 2.0 - w * w * log / 2.0)
    )
    found: Array = w * inner - q0 * turn
    return found


def _turned(first: Array, last: Array) -> Array:
    """The angle (n,) by which straight lines between places (n, 3) turn about the axis."""
    cross = first[:, 0] * last[:, 1] - first[:, 1] * last[:, 0]
    found: Array = np.arctan2(cross, first[:, 0] * last[:, 0] + first[:, 1] * last[:, 1])
    return found


def _level(a: Array, b: Array) -> tuple[Array, Array]:
    """x and y of the vector products of (n, 3)."""
    return a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1], a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]


def _across(normal: tuple[Array, Array], p: Array) -> Array:
    """normal . (z x p)"""
    found: Array = normal[1] * p[:, 0] - normal[0] * p[:, 1]
    return found


def _inset(low: float, high: float) -> tuple[float, float]:
    """A hair's breadth within a band of b."""
    by = _INSET * (high - low)
    return low + by, high - by
