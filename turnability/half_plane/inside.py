"""Which points lie within a ring, and how far they are from its curves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points, Ring, flatten_ring
from turnability.half_plane.intersect import box


def holds(ring: Ring, points: Points) -> NDArray[np.bool_]:
    """Whether each point (n, 2) lies within the ring, by even-odd crossing; shape (n,)."""
    return polygon_holds(corners_of(ring), points)


def distance_to(rings: Iterable[Ring], points: Points) -> NDArray[np.float64]:
    """Least distance of each point (n, 2) from the rings' curves in mm, shape (n,)."""
    return polygon_distance([corners_of(ring) for ring in rings], points)


def polygon_holds(corners: Points, points: Points) -> NDArray[np.bool_]:
    """Whether each point (n, 2) lies within the polygon (m, 2), by even-odd crossing."""
    found = np.zeros(len(points), dtype=bool)
    low, high = corners.min(axis=0), corners.max(axis=0)
    near = np.nonzero(((points >= low) & (points <= high)).all(axis=1))[0]
    (pz, pr), (qz, qr) = corners.T, np.concatenate((corners[1:], corners[:1])).T
    for block in _blocks(near, len(corners)):
        z, r = points[block].T
        row, k = np.nonzero((pr > r[:, None]) != (qr > r[:, None]))
        at = pz[k] + (r[row] - pr[k]) * (qz[k] - pz[k]) / (qr[k] - pr[k])
        found[block] = np.bincount(row[at > z[row]], minlength=len(block)) % 2 == 1
    return found


def polygon_distance(polygons: Sequence[Points], points: Points) -> NDArray[np.float64]:
    """Least distance of each point (n, 2) from the polygons' edges in mm, shape (n,)."""
    p = np.concatenate(polygons)
    following = [some for corners in polygons for some in (corners[1:], corners[:1])]
    (pz, pr), (dz, dr) = p.T, (np.concatenate(following) - p).T
    n2 = np.maximum(dz * dz + dr * dr, 1e-300)
    least = np.empty(len(points))
    for block in _blocks(np.arange(len(points)), len(p)):
        # z and r apart: sums over an axis of two are dear
        z, r = points[block, 0:1] - pz, points[block, 1:2] - pr
        t = np.minimum(np.maximum((z * dz + r * dr) / n2, 0.0), 1.0)
        z -= t * dz
        r -= t * dr
        least[block] = np.sqrt((z * z + r * r).min(axis=1))
    return least


def corners_of(ring: Ring) -> Points:
    """The ring flattened finely for its own size, shape (n, 2)."""
    boxes = [box(curve) for curve in ring]
    size = max(
        max(b[2] for b in boxes) - min(b[0] for b in boxes),
        max(b[3] for b in boxes) - min(b[1] for b in boxes),
    )
    return flatten_ring(ring, max(size * 1e-4, 1e-9))


def _blocks(indices: NDArray[np.intp], width: int) -> Iterable[NDArray[np.intp]]:
    """Runs of indices short enough that a table of that width stays small."""
    step = max(1, 200_000 // max(width, 1))
    return (indices[i : i + step] for i in range(0, len(indices), step))
