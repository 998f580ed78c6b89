"""Where the boundary of one region runs along given edges."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points


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
    shared = np.zeros(len(edge_starts))
    if len(starts) == 0 or len(edge_starts) == 0:
        return shared
    step = edge_ends - edge_starts
    length = np.hypot(step[:, 0], step[:, 1])
    unit = step / np.where(length > 0.0, length, 1.0)[:, None]
    along0 = starts @ unit.T - (edge_starts * unit).sum(axis=1)
    normal = np.column_stack((-unit[:, 1], unit[:, 0]))
    offset = (edge_starts * normal).sum(axis=1)
    off0 = np.abs(starts @ normal.T - offset) <= within_mm
    off1 = np.abs(ends @ normal.T - offset) <= within_mm
    near, edge = np.nonzero(off0 & off1)
    first = along0[near, edge]
    last = (ends[near] * unit[edge]).sum(axis=1) - (edge_starts[edge] * unit[edge]).sum(axis=1)
    low = np.clip(np.minimum(first, last), 0.0, length[edge])
    high = np.clip(np.maximum(first, last), 0.0, length[edge])
    np.add.at(shared, edge, high - low)
    return np.minimum(shared, length)
