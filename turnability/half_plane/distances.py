"""How far points lie from edges."""

from __future__ import annotations

import numpy as np

from turnability.half_plane.curves import Points

_AT_ONCE = 20_000
"""So many distances are told at once."""


def distances(points: Points, starts: Points, ends: Points) -> Points:
    """Distance of each point (n,) from the nearest of the edges."""
    if not len(points):
        return np.zeros(0)
    block = max(1, _AT_ONCE // max(len(starts), 1))
    return np.concatenate(
        [
            gaps_to(points[k : k + block, :, None].transpose(1, 0, 2), starts, ends).min(axis=1)
            for k in range(0, len(points), block)
        ]
    )


def gaps_to(point: Points, starts: Points, ends: Points) -> Points:
    """Distance of a point (2,) from each of the edges, (m,); of (2, n, 1) points (n, m)."""
    sz, sr, z, r = starts[:, 0], starts[:, 1], point[0] - starts[:, 0], point[1] - starts[:, 1]
    dz, dr = ends[:, 0] - sz, ends[:, 1] - sr
    along = (z * dz + r * dr) / np.maximum(dz * dz + dr * dr, 1e-300)
    along = np.minimum(np.maximum(along, 0.0), 1.0)
    gaps: Points = np.hypot(z - along * dz, r - along * dr)
    return gaps
