"""Where the boundary of one region runs along given edges."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points

_AT_ONCE = 400_000
"""So many pairs of edges are looked at at once."""


def shared_lengths(
    starts: Points,
    ends: Points,
    edge_starts: Points,
    edge_ends: Points,
    within_mm: float,
) -> NDArray[np.float64]:
    """How much of each edge (m,) of the second set edges of the first run along, in mm.

    An edge runs along another as far as it lies within `within_mm` of the other's line. What
    several run along counts once.
    """
    shared: NDArray[np.float64] = shared_by_each(
        [(starts, ends)], edge_starts, edge_ends, within_mm
    )[0]
    return shared


def shared_by_each(
    sets: Sequence[tuple[Points, Points]],
    edge_starts: Points,
    edge_ends: Points,
    within_mm: float,
) -> NDArray[np.float64]:
    """The same for several first sets, each of starts and ends (n, 2): shape (sets, m)."""
    shared = np.zeros((len(sets), len(edge_starts)))
    counts = [len(starts) for starts, _ in sets]
    if not len(edge_starts) or not sum(counts):
        return shared
    step = edge_ends - edge_starts
    length = np.hypot(step[:, 0], step[:, 1])
    unit = step / np.where(length > 0.0, length, 1.0)[:, None]
    normal = np.column_stack((-unit[:, 1], unit[:, 0]))
    offset = (edge_starts * normal).sum(axis=1)
    begin = (edge_starts * unit).sum(axis=1)
    starts = np.concatenate([one for one, _ in sets])
    ends = np.concatenate([one for _, one in sets])
    whose = np.repeat(np.arange(len(sets)), counts)
    block = max(1, _AT_ONCE // len(edge_starts))
    keys, lows, highs = [], [], []
    for k in range(0, len(starts), block):
        a, b = starts[k : k + block], ends[k : k + block]
        off_a, off_b = a @ normal.T - offset, b @ normal.T - offset
        near = (np.minimum(off_a, off_b) <= within_mm) & (np.maximum(off_a, off_b) >= -within_mm)
        row, edge = np.nonzero(near)
        along, from_mm, off = unit[edge], off_a[near], off_b[near] - off_a[near]
        first = (a[row] * along).sum(axis=1) - begin[edge]
        run = ((b[row] - a[row]) * along).sum(axis=1)
        # from where to where, as a share of it, it keeps so close to the line
        with np.errstate(divide="ignore", invalid="ignore"):
            one, other = (-within_mm - from_mm) / off, (within_mm - from_mm) / off
        level = off == 0.0
        enters = np.where(level, 0.0, np.clip(np.minimum(one, other), 0.0, 1.0))
        leaves = np.where(level, 1.0, np.clip(np.maximum(one, other), 0.0, 1.0))
        ends_at = np.clip((first + enters * run, first + leaves * run), 0.0, length[edge])
        keys.append(whose[k : k + block][row] * len(edge_starts) + edge)
        lows.append(ends_at.min(axis=0))
        highs.append(ends_at.max(axis=0))
    _add_covered(shared.ravel(), *map(np.concatenate, (keys, lows, highs)))
    return np.minimum(shared, length)


def _add_covered(
    total: NDArray[np.float64],
    keys: NDArray[np.int64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> None:
    """Add to `total` at each key how much stretches (low, high) with that key cover together."""
    if not len(keys):
        return
    order = np.lexsort((low, keys))
    keys, low, high = keys[order], low[order], high[order]
    # each key's stretches lie apart from all others', so that one running maximum will do
    apart = (1.0 + float(high.max())) * np.unique(keys, return_inverse=True)[1]
    reached = np.maximum.accumulate(high + apart)
    before = np.concatenate(([-1.0], reached[:-1])) - apart
    np.add.at(total, keys, np.maximum(0.0, high - np.maximum(low, before)))
