"""The rims of faces in their own parameters, as polynomials, for many faces at once.

The kernel answers one point a call; polynomials are asked for all nodes of all pieces in one sum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]
Bounds: TypeAlias = tuple[float, float, float, float]


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
