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

    An edge runs along another where both its ends lie within `within_mm` of the other's line.
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
    for k in range(0, len(starts), block):
        a, b = starts[k : k + block], ends[k : k + block]
        near = np.abs(a @ normal.T - offset) <= within_mm
        near &= np.abs(b @ normal.T - offset) <= within_mm
        row, edge = np.nonzero(near)
        along = unit[edge]
        first = (a[row] * along).sum(axis=1) - begin[edge]
        last = (b[row] * along).sum(axis=1) - begin[edge]
        low = np.clip(np.minimum(first, last), 0.0, length[edge])
        high = np.clip(np.maximum(first, last), 0.0, length[edge])
        np.add.at(shared, (whose[k : k + block][row], edge), high - low)
    return np.minimum(shared, length)
