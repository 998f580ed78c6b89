"""Fold curves of free surfaces, traced on the face's own parameters.

The surface's normal around the axis, g(u, v) = (Su x Sv) . (z x P), is sampled on a grid; where it
changes sign along a grid edge its zero is found, zeros are joined through the grid's squares, and
each join is refined until its image is exact enough. All zeros are looked for at once, and all
joins refined together: the surface is asked for many places at a time.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Curve, Point
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import around_axis as around
from turnability.part.surface_points import cross, lengths
from turnability.part.turned_body.sampling import CHORD_MM, curve_through

_GRID = 10
_NEARLY_TURNED = 2e-3
_STEPS = 14
_SETTLED = 1e-9
_NOUGHT = 1e-9
_DEEPEST = 8
_ON_AXIS_MM = 1e-9
_LOST = 100.0
"""Joins beyond which a search runs away from what it looks for, at last past all numbers."""
_BESIDE = 0.75
"""How far from the middle of two zeros, in their distance, what lies between them may be."""

Array: TypeAlias = NDArray[np.float64]
_SHARES: Array = np.linspace(0.0, 1.0, _GRID + 1)
_SHARES[1:-1] += 0.17 * np.cos(np.arange(1, _GRID)) / _GRID
"""Uneven, for folds lie halfway or by quarters on what is drawn with care, and none on a line."""
Key: TypeAlias = tuple[int, int, int]
"""An edge of the grid: whether it runs along v, and where it begins."""


def traced_folds(face: KernelFace) -> list[Curve]:
    """Images of the zeros of g on the face's parameter rectangle."""
    if not face.may_fold:
        return []
    u0, u1, v0, v1 = face.bounds
    us, vs = u0 + (u1 - u0) * _SHARES, v0 + (v1 - v0) * _SHARES
    p, su, sv = face.lattice(us, vs)
    x, y, turning = around(p, su, sv)
    if (turning > 0.0).all() or (turning < 0.0).all():
        return []
    g = _unscaled(turning, su, sv)
    r = float(np.hypot(x, y).max())
    if float(np.abs(g).max()) <= _NEARLY_TURNED * r:
        return []  # a thread's crest: a strip that nearly turns, told well enough by its edges
    sign = _signs(g)
    keys: list[Key] = []
    for way, changes in enumerate((sign[:-1] != sign[1:], sign[:, :-1] != sign[:, 1:])):
        keys.extend((way, i, j) for i, j in np.argwhere(changes).tolist())
    if not keys:
        return []
    ways, rows, columns = np.array(keys).T
    begin = np.column_stack((us[rows], vs[columns]))
    end = np.column_stack((us[rows + (ways == 0)], vs[columns + (ways == 1)]))
    zeros = dict(zip(keys, _zeros(face, begin, end), strict=True))
    joins: dict[Key, list[Key]] = defaultdict(list)
    for i, j in itertools.product(range(_GRID), range(_GRID)):
        rim = [k for k in ((0, i, j), (1, i + 1, j), (0, i, j + 1), (1, i, j)) if k in zeros]
        for a, b in zip(rim[::2], rim[1::2], strict=False):
            joins[a].append(b)
            joins[b].append(a)
    chains = [
        part
        for chain in _chains(joins)
        for part in _cut_at_axis(face, np.array([zeros[key] for key in chain]))
    ]
    curves = (curve_through(points) for points in _refined(face, chains))
    return [curve for curve in curves if curve is not None]


def _signs(g: Array) -> NDArray[np.bool_]:
    """Which places of a grid have g > 0; rims that g vanishes on are as their neighbours inside.

    A fold along a rim is the image of that edge.
    """
    sign = g > 0.0
    least = _NOUGHT * float(np.abs(g).max())
    for rim, inside in ((0, 1), (-1, -2)):
        for signs, values in ((sign, g), (sign.T, g.T)):
            nought = np.abs(values[rim]) <= least
            signs[rim, nought] = signs[inside, nought]
    return sign


def _chains(joins: dict[Key, list[Key]]) -> Iterator[list[Key]]:
    """Runs of zeros joined to one another."""
    done: set[tuple[Key, Key]] = set()
    for first in sorted(joins, key=lambda k: len(joins[k])):  # open ends first
        for second in joins[first]:
            if (first, second) in done:
                continue
            chain, a, b = [first], first, second
            while True:
                done |= {(a, b), (b, a)}
                chain.append(b)
                onward = [c for c in joins[b] if (b, c) not in done]
                if not onward:
                    break
                a, b = b, onward[0]
            yield chain


def _cut_at_axis(face: KernelFace, chain: Array) -> Iterator[Array]:
    """A chain of zeros (n, 2) cut where the surface meets the axis: there its image turns back."""
    across = face.points(chain[:, 0], chain[:, 1])[0][:, :2]
    first = 0
    for k in np.nonzero((across[:-1] * across[1:]).sum(axis=1) < 0.0)[0].tolist():
        way = chain[k + 1] - chain[k]
        spot = _on_axis(face, (chain[k] + chain[k + 1]) / 2.0, _LOST * float(np.hypot(*way)))
        if spot is not None and _between(spot - chain[k], way):
            yield np.vstack((chain[first : k + 1], spot))
            chain[k], first = spot, k
    yield chain[first:]


def _between(step: Array, way: Array) -> bool:
    return bool(np.hypot(*(step - way / 2.0)) <= _BESIDE * np.hypot(*way))


def _on_axis(face: KernelFace, begun: Array, reach: float) -> Array | None:
    """Where near a spot (2,) the surface meets the axis, by Newton's iteration within a reach."""
    spot = begun
    for _ in range(_STEPS):
        p, su, sv = (a[0] for a in face.points(spot[:1], spot[1:]))
        slope = np.column_stack((su[:2], sv[:2]))
        if abs(np.linalg.det(slope)) <= _NOUGHT * float(lengths(su) * lengths(sv)):
            return None
        spot = spot - np.linalg.solve(slope, p[:2])
        if float(np.abs(p[:2]).max()) <= _ON_AXIS_MM:
            return spot
        if not np.hypot(*(spot - begun)) <= reach:
            return None
    return None


def _refined(face: KernelFace, chains: list[Array]) -> list[list[Point]]:
    """Images of chains of zeros, with more of them between where their chords miss the fold."""
    if not chains:
        return []
    spots = np.concatenate(chains)
    images = _images(face, spots)
    # whether the join that begins at a spot may have to be refined; chains are not joined
    open_: NDArray[np.bool_] = np.ones(len(spots), dtype=bool)
    open_[np.cumsum([len(chain) for chain in chains]) - 1] = False
    number: NDArray[np.intp] = np.arange(len(chains)).repeat([len(chain) for chain in chains])
    for _ in range(_DEEPEST):
        k = np.nonzero(open_)[0]
        way = images[k + 1] - images[k]
        length = np.hypot(way[:, 0], way[:, 1])
        open_[k[length < 4.0 * CHORD_MM]] = False
        long = length >= 4.0 * CHORD_MM
        k, way, length = k[long], way[long], length[long]
        if not len(k):
            break
        between = _onto_fold(face, spots[k], spots[k + 1])
        seen = _images(face, between)
        rel = seen - images[k]
        off = np.abs(rel[:, 0] * way[:, 1] - rel[:, 1] * way[:, 0]) / length
        open_[k[off <= CHORD_MM]] = False
        far = off > CHORD_MM
        k = k[far]
        spots = _with(spots, k, between[far])
        images = _with(images, k, seen[far])
        open_ = np.insert(open_, k + 1, values=True)
        number = np.insert(number, k + 1, number[k])
    return [[(float(z), float(r)) for z, r in images[number == one]] for one in range(len(chains))]


def _with(old: Array, k: NDArray[np.intp], new: Array) -> Array:
    """Rows with others set in after those in places k."""
    found: Array = np.insert(old, k + 1, new, axis=0)
    return found


def _onto_fold(face: KernelFace, a: Array, b: Array) -> Array:
    """The zeros nearest the middles of a and b (n, 2), looked for across the joins."""
    u0, u1, v0, v1 = face.bounds
    size = np.array([(u1 - u0) or 1.0, (v1 - v0) or 1.0])
    low, high = np.array([u0, v0]), np.array([u1, v1])
    found = (a + b) / 2.0
    step = (b - a) / size
    across = np.column_stack((-step[:, 1], step[:, 0])) * size
    waiting = np.arange(len(a))
    for reach in (0.25, 0.5, 1.0):
        middle, by = (a[waiting] + b[waiting]) / 2.0, reach * across[waiting]
        left, right = np.clip(middle - by, low, high), np.clip(middle + by, low, high)
        changes = (_around_axis(face, left) > 0.0) != (_around_axis(face, right) > 0.0)
        if changes.any():
            found[waiting[changes]] = _zeros(face, left[changes], right[changes])
        waiting = waiting[~changes]
        if not len(waiting):
            break
    return found


def _zeros(face: KernelFace, a: Array, b: Array) -> Array:
    """Where g changes sign between places a and b (n, 2), by false position (Illinois)."""
    low, high = np.zeros(len(a)), np.ones(len(a))
    g_low, g_high = _around_axis(face, a), _around_axis(face, b)
    t = np.full(len(a), 0.5)
    last = np.zeros(len(a), dtype=int)
    k = np.arange(len(a))
    for _ in range(_STEPS):
        k = k[g_low[k] != g_high[k]]
        before = t[k]
        t[k] = (low[k] * g_high[k] - high[k] * g_low[k]) / (g_high[k] - g_low[k])
        k = k[np.abs(t[k] - before) >= _SETTLED]
        if not len(k):
            break
        g = _around_axis(face, a[k] + t[k, None] * (b[k] - a[k]))
        going = (g != 0.0) & (high[k] - low[k] >= 1e-12)
        k, g = k[going], g[going]
        upper = (g > 0.0) == (g_high[k] > 0.0)
        up, down = k[upper], k[~upper]
        high[up], g_high[up] = t[up], g[upper]
        g_low[up[last[up] == 1]] /= 2.0
        last[up] = 1
        low[down], g_low[down] = t[down], g[~upper]
        g_high[down[last[down] == -1]] /= 2.0
        last[down] = -1
    found: Array = a + t[:, None] * (b - a)
    return found


def _around_axis(face: KernelFace, spots: Array) -> Array:
    """The part of the (unscaled) normal that points around the axis, times r, at (n, 2)."""
    p, su, sv = face.points(spots[:, 0], spots[:, 1])
    return _unscaled(around(p, su, sv)[2], su, sv)


def _unscaled(turning: Array, su: Array, sv: Array) -> Array:
    found: Array = turning / np.maximum(lengths(cross(su, sv)), 1e-300)
    return found


def _images(face: KernelFace, spots: Array) -> Array:
    p = face.points(spots[:, 0], spots[:, 1])[0]
    return np.column_stack((p[:, 2], np.hypot(p[:, 0], p[:, 1])))
