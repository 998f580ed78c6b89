"""On which side of a face's rim places of its parameters lie, many places at once.

The kernel answers one place a call. Chords along the rim, each with a bound on how far the rim may
stray from it, answer for all places but those beside the rim.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.part.rims import Bounds, Rim

Array: TypeAlias = NDArray[np.float64]
Truths: TypeAlias = NDArray[np.bool_]

_CHORDS = ((12, 8), (24, 4), (64, 2))
"""Chords of each bent piece, where there are no more than so many of them."""
_BESIDE = 1e-7
"""Share of the face beside its rim where no place is told."""
_ASIDE = 0.31 * _BESIDE
"""By how much rows are asked beside the places: ends of chords often lie on a row with them."""
_SAME = 1e-12
_GAP = 1e-6
"""Widest gap, as a share of the face, in a rim that is trusted here."""


@dataclass(frozen=True, slots=True)
class RimChords:
    """Chords begin at `at` and run by `way`, (n, 2) each, in shares of the face's bounds.

    `beside` (n,): within this of a chord lies the rim.
    """

    origin: Array
    size: Array
    at: Array
    way: Array
    beside: Array

    def sides(self, u: Array, v: Array) -> tuple[Truths, Truths]:
        """Which places (n,) the rim goes round, and of which that is not sure."""
        x, y = self._shares(u, v)
        (x0, y0), (dx, dy) = self.at.T, self.way.T
        up = (y + _ASIDE)[:, None] - y0
        passes = ((up > 0.0) != (up > dy)) & (
            (dx * up - dy * (x[:, None] - x0) > 0.0) == (dy > 0.0)
        )
        low, high = self._frames()
        near = (low[:, 0] <= x.max()) & (high[:, 0] >= x.min())
        near &= (low[:, 1] <= y.max()) & (high[:, 1] >= y.min())
        return passes.sum(axis=1) % 2 == 1, self._beside(near, x, y) | self._meets_ends(y)

    def lattice_sides(self, u: Array, v: Array) -> tuple[Truths, Truths]:
        """The same of each u (n,) with each v (m,), both rising; (n, m) each."""
        x, y = self._shares(u, v)
        (x0, y0), (dx, dy) = self.at.T, self.way.T
        at = y + _ASIDE
        row, k = np.nonzero((y0 > at[:, None]) != (y0 + dy > at[:, None]))
        beyond = (x0[k] + dx[k] * (at[row] - y0[k]) / dy[k])[:, None] > x
        met, first = np.unique(row, return_index=True)
        within = np.zeros((len(y), len(x)), dtype=bool)
        if len(met):
            within[met] = np.add.reduceat(beyond, first, axis=0, dtype=np.intp) % 2 == 1
        low, high = self._frames()
        near = np.searchsorted(x, low[:, 0]) < np.searchsorted(x, high[:, 0], side="right")
        near &= np.searchsorted(y, low[:, 1]) < np.searchsorted(y, high[:, 1], side="right")
        beside = self._beside(near, np.repeat(x, len(y)), np.tile(y, len(x)))
        return within.T, beside.reshape(len(x), len(y)) | self._meets_ends(y)

    def _meets_ends(self, y: Array) -> Truths:
        """Rows (m,) that run through ends of chords, which no two chords know to the last digit."""
        ends = np.sort(np.concatenate((self.at[:, 1], self.at[:, 1] + self.way[:, 1])))
        at = y + _ASIDE
        found: Truths = np.searchsorted(ends, at - _SAME) < np.searchsorted(ends, at + _SAME)
        return found

    def _shares(self, u: Array, v: Array) -> tuple[Array, Array]:
        return (u - self.origin[0]) / self.size[0], (v - self.origin[1]) / self.size[1]

    def _frames(self) -> tuple[Array, Array]:
        """The least and the greatest of both shares, (n, 2) each, that are beside each chord."""
        end, room = self.at + self.way, self.beside[:, None]
        return np.minimum(self.at, end) - room, np.maximum(self.at, end) + room

    def _beside(self, some: Truths, x: Array, y: Array) -> Truths:
        """Which places (n,) are beside some of the chords."""
        if not some.any():
            return np.zeros(len(x), dtype=bool)
        (x0, y0), (dx, dy), room = self.at[some].T, self.way[some].T, self.beside[some]
        right, up = x[:, None] - x0, y[:, None] - y0
        share = (dx * right + dy * up) / np.maximum(dx * dx + dy * dy, 1e-300)
        share = np.clip(share, 0.0, 1.0)
        near: Truths = np.hypot(right - share * dx, up - share * dy) <= room
        found: Truths = np.any(near, axis=1)
        return found


def chords_of(rim: Rim, bounds: Bounds) -> RimChords | None:
    """A rim's chords; None where it has gaps, or runs the wrong way round."""
    u0, u1, v0, v1 = bounds
    if not len(rim.low) or rim.gap > _GAP or u1 <= u0 or v1 <= v0:
        return None
    origin, size = np.array((u0, v0)), np.array((u1 - u0, v1 - v0))
    c = rim.coefficients
    bent = (c[:, 2:] != 0.0).any(axis=(1, 2))
    count = _count(int(bent.sum()))
    some = _chords(c[bent], rim.low[bent], rim.high[bent], count)
    straight = _chords(c[~bent, :2], rim.low[~bent], rim.high[~bent], 1)
    at, to, off = (np.concatenate(pair) for pair in zip(some, straight, strict=True))
    at, to = (at - origin) / size, (to - origin) / size
    sense = np.concatenate((np.repeat(rim.sign[bent], count), rim.sign[~bent]))
    if float((sense * (at[:, 0] * to[:, 1] - at[:, 1] * to[:, 0])).sum()) <= 0.0:
        return None  # the kernel takes what lies beyond such a rim
    beside = np.hypot(*(off / size).T) + _BESIDE + 2.0 * rim.gap
    return RimChords(origin, size, at, to - at, beside)


def _count(pieces: int) -> int:
    return next((count for most, count in _CHORDS if pieces <= most), 1)


def _chords(c: Array, low: Array, high: Array, count: int) -> tuple[Array, Array, Array]:
    """Begins and ends of chords of polynomial pieces, and by how much these leave them at most.

    A chord over a step h of t is off by no more than h^2 / 8 times the greatest second derivative.
    """
    width = high - low
    t = (low[:, None] + width[:, None] * (np.arange(count + 1) / count))[:, :, None]
    p = np.broadcast_to(c[:, -1, None, :], (*t.shape[:2], 2))
    for k in range(c.shape[1] - 2, -1, -1):
        p = p * t + c[:, k, None, :]
    farthest = np.maximum(np.abs(low), np.abs(high))[:, None]
    bend = np.zeros((len(c), 2))
    for k in range(c.shape[1] - 1, 1, -1):
        bend = bend * farthest + k * (k - 1) * np.abs(c[:, k])
    off = (width / count)[:, None] ** 2 / 8.0 * bend
    return p[:, :-1].reshape(-1, 2), p[:, 1:].reshape(-1, 2), np.repeat(off, count, axis=0)
