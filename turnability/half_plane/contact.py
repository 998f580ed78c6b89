"""Pieces that move along z only: where they first meet what stands in their way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.sums import Convex

_FLAT_MM = 1e-12
_BESIDE_MM = 1e-6
"""Pieces are taken this much narrower a side: what slides along them does not stop them."""


@dataclass(frozen=True, slots=True, eq=False)
class Fronts:
    """Pieces as seen from what they come upon: the lines and corners of their fronts.

    The front of a convex piece stands, at every radius, as far ahead as the foremost of its lines.
    `slopes`, `levels` (n,) are all the lines, z = slope r + level, those of each piece from
    `begins` (k,) on; `lows`, `highs` (k,) how far down and up it reaches in r; `corners` (m,) radii
    of corners, `owners` (m,) whose they are and `tips` (m,) where these fronts stand there. `rows`
    (w, k) are the places of each piece's lines, the last repeated. All is turned so that pieces
    come from high z.
    """

    slopes: NDArray[np.float64]
    levels: NDArray[np.float64]
    begins: NDArray[np.int64]
    lows: NDArray[np.float64]
    highs: NDArray[np.float64]
    corners: NDArray[np.float64]
    owners: NDArray[np.int64]
    tips: NDArray[np.float64]
    rows: NDArray[np.int64]

    def at(self, radii: NDArray[np.float64]) -> NDArray[np.float64]:
        """Where the lines of each piece's front are foremost at radii (n,), (k, n)."""
        lines = self.slopes[self.rows][..., None] * radii + self.levels[self.rows][..., None]
        foremost: NDArray[np.float64] = lines[0] if len(lines) == 1 else lines.max(axis=0)
        return foremost

    @staticmethod
    def of(pieces: Sequence[Convex], from_high: bool) -> Fronts:
        """Of pieces that come from the high end, or the low one."""
        sign = 1.0 if from_high else -1.0
        parts = []
        for k, piece in enumerate(pieces):
            z, r = sign * piece.corners[:, 0], piece.corners[:, 1]
            dz = np.concatenate((z[1:], z[:1])) - z
            dr = np.concatenate((r[1:], r[:1])) - r
            front = np.nonzero(sign * dr < -_FLAT_MM)[0]
            low, high = float(r.min()) + _BESIDE_MM, float(r.max()) - _BESIDE_MM
            # one as good as without front stops nothing
            slope = dz[front] / dr[front] if len(front) else np.zeros(1)
            level = z[front] - r[front] * slope if len(front) else np.full(1, np.inf)
            corners = np.clip(np.concatenate((r[front], [low, high])), low, high)
            lines = corners[:, None] * slope + level
            parts.append(
                (slope, level, low, high, corners, np.full(len(corners), k), lines.max(axis=1))
            )
        counts = np.array([len(part[0]) for part in parts], dtype=np.int64)
        begins = np.cumsum(counts) - counts
        return Fronts(
            np.concatenate([part[0] for part in parts] or [np.zeros(0)]),
            np.concatenate([part[1] for part in parts] or [np.zeros(0)]),
            begins,
            np.array([part[2] for part in parts]),
            np.array([part[3] for part in parts]),
            np.concatenate([part[4] for part in parts] or [np.zeros(0)]),
            np.concatenate([part[5] for part in parts] or [np.zeros(0, dtype=np.int64)]),
            np.concatenate([part[6] for part in parts] or [np.zeros(0)]),
            _rows(begins, counts),
        )

    @staticmethod
    def joined(several: Sequence[Fronts]) -> Fronts:
        """Those of several sets of pieces in a row."""
        lines = np.cumsum([0, *(len(one.slopes) for one in several)])
        pieces = np.cumsum([0, *(len(one.begins) for one in several)])
        begins = np.concatenate(
            [one.begins + k for one, k in zip(several, lines[:-1], strict=True)]
        )
        return Fronts(
            np.concatenate([one.slopes for one in several]),
            np.concatenate([one.levels for one in several]),
            begins,
            np.concatenate([one.lows for one in several]),
            np.concatenate([one.highs for one in several]),
            np.concatenate([one.corners for one in several]),
            np.concatenate([one.owners + k for one, k in zip(several, pieces[:-1], strict=True)]),
            np.concatenate([one.tips for one in several]),
            _rows(begins, np.diff(np.append(begins, lines[-1]))),
        )


def _rows(begins: NDArray[np.int64], counts: NDArray[np.int64]) -> NDArray[np.int64]:
    widest = int(counts.max(initial=1))
    return begins + np.minimum(np.arange(widest)[:, None], counts - 1)


def first_contacts(
    starts: Points, ends: Points, fronts: Fronts, from_high: bool
) -> NDArray[np.float64]:
    """How far down (up) the z-axis each piece comes from far up (down), origin on r = 0.

    One number a piece, shape (k,), minus infinity (infinity) where nothing stops it. `starts`,
    `ends` (n, 2) are the edges of what stands in the way. Coming along z, a piece stops where the
    gap between them closes first; both are straight between corners, so that is at a corner of one
    of them.
    """
    sign = 1.0 if from_high else -1.0
    stops: NDArray[np.float64] = np.full(len(fronts.begins), -np.inf)
    if len(stops) and len(starts):
        top, bottom = float(fronts.highs.max()), float(fronts.lows.min())
        near = (np.maximum(starts[:, 1], ends[:, 1]) > bottom) & (
            np.minimum(starts[:, 1], ends[:, 1]) < top
        )
        starts, ends = starts[near], ends[near]
    if len(stops) and len(starts):
        # corners of the obstacle over the pieces' fronts
        z0, r0, z1, r1 = sign * starts[:, 0], starts[:, 1], sign * ends[:, 0], ends[:, 1]
        over = (r0 > fronts.lows[:, None]) & (r0 < fronts.highs[:, None])
        stops = np.where(over, z0 - fronts.at(r0), -np.inf).max(axis=1)
        # corners of the fronts under the obstacle's edges
        at = fronts.corners
        corner, edge = ((r0 < at[:, None]) != (r1 < at[:, None])).nonzero()
        share = (at[corner] - r0[edge]) / (r1[edge] - r0[edge])
        gap = z0[edge] + share * (z1[edge] - z0[edge]) - fronts.tips[corner]
        np.maximum.at(stops, fronts.owners[corner], gap)
    return sign * stops


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
