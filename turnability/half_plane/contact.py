"""Pieces that move along z only: where they first meet what stands in their way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.sums import Convex

_BESIDE_MM = 1e-6
"""Pieces are taken this much narrower a side: what slides along them does not stop them."""


def first_contacts(
    starts: Points, ends: Points, pieces: Sequence[Convex], from_high: bool
) -> NDArray[np.float64]:
    """How far down (up) the z-axis each piece comes from far up (down), origin on r = 0.

    One number a piece, shape (k,), minus infinity (infinity) where nothing stops it. `starts`,
    `ends` (n, 2) are the edges of what stands in the way. Coming along z, a piece stops where the
    gap between them closes first; both are straight between corners, so that is at a corner of one
    of them.
    """
    sign = 1.0 if from_high else -1.0

    def signed(stops: NDArray[np.float64]) -> NDArray[np.float64]:
        return sign * stops

    stops = np.full(len(pieces), -np.inf)
    if not len(starts) or not pieces:
        return signed(stops)
    slopes: list[NDArray[np.float64]] = []
    levels: list[NDArray[np.float64]] = []
    chain: list[NDArray[np.float64]] = []
    owner: list[NDArray[np.int64]] = []
    begins: list[int] = []
    spans: list[tuple[float, float]] = []
    lines = 0
    for k, piece in enumerate(pieces):
        z, r = sign * piece.corners[:, 0], piece.corners[:, 1]
        dz = np.concatenate((z[1:], z[:1])) - z
        dr = np.concatenate((r[1:], r[:1])) - r
        front = np.nonzero(sign * dr < -1e-12)[0]
        low, high = float(r.min()) + _BESIDE_MM, float(r.max()) - _BESIDE_MM
        begins.append(lines)
        spans.append((low, high))
        # a piece without front stops nothing
        slope = dz[front] / dr[front] if len(front) else np.zeros(1)
        level = z[front] - r[front] * slope if len(front) else np.full(1, np.inf)
        slopes.append(slope)
        levels.append(level)
        lines += len(slope)
        at = np.clip(np.concatenate((r[front], [low, high])), low, high)
        chain.append(at)
        owner.append(np.full(len(at), k))
    slope, level = np.concatenate(slopes), np.concatenate(levels)
    span = np.array(spans)
    near = (np.maximum(starts[:, 1], ends[:, 1]) > span[:, 0].min()) & (
        np.minimum(starts[:, 1], ends[:, 1]) < span[:, 1].max()
    )
    starts, ends = starts[near], ends[near]
    if not len(starts):
        return signed(stops)
    # corners of the obstacle over the pieces' fronts
    z, r = sign * starts[:, 0], starts[:, 1]
    front_z = np.maximum.reduceat(slope[:, None] * r + level[:, None], begins, axis=0)
    over = (r > span[:, :1]) & (r < span[:, 1:])
    stops = np.where(over, z - front_z, -np.inf).max(axis=1)
    # corners of the fronts under the obstacle's edges
    at, which = np.concatenate(chain), np.concatenate(owner)
    z0, r0, z1, r1 = sign * starts[:, 0], starts[:, 1], sign * ends[:, 0], ends[:, 1]
    crosses = (r0 < at[:, None]) != (r1 < at[:, None])
    corner, edge = np.nonzero(crosses)
    share = (at[corner] - r0[edge]) / (r1[edge] - r0[edge])
    top = z0[edge] + share * (z1[edge] - z0[edge])
    line = slope[:, None] * at + level[:, None]
    mine = np.maximum.reduceat(line, begins, axis=0)[which, np.arange(len(at))]
    np.maximum.at(stops, which[corner], top - mine[corner])
    return signed(stops)


def run_along(piece: Convex, low: float, high: float) -> Points:
    """The ring that a piece covers while its origin runs from z = `low` to `high` on r = 0."""
    corners = piece.corners
    z, r = corners[:, 0], corners[:, 1]
    top, bottom = int(np.lexsort((z, -r))[0]), int(np.lexsort((z, r))[0])
    turned = np.concatenate((corners[top:], corners[:top]))
    down = (bottom - top) % len(corners)
    near, far = turned[: down + 1], np.concatenate((turned[down:], turned[:1]))
    ring: Points = np.concatenate((near + np.array([low, 0.0]), far + np.array([high, 0.0])))
    return ring
