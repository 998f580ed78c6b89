"""Minkowski sums: what an outline covers while its point runs over a region.

The sum of a ring with a convex piece is one closed cycle: every corner of the ring is paired with
the run of the piece's corners whose edges point into the corner's turn. Rings wound positively by
the cycle are the sum (the convolution of two tracings; L. Guibas, L. Ramshaw, J. Stolfi, "A kinetic
framework for computational geometry", FOCS 1983).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.regions import Region, following, ring_measure, whole_rings


@dataclass(frozen=True, slots=True, eq=False)
class Convex:
    """A convex ring, anticlockwise: corners (n, 2) and the ascending angles (n,) of its edges."""

    corners: Points
    angles: NDArray[np.float64]

    def negated(self) -> Convex:
        """The piece turned by half a turn round the origin."""
        turned = np.where(self.angles > 0.0, self.angles - math.pi, self.angles + math.pi)
        first = int(turned.argmin())
        return Convex(
            -np.concatenate((self.corners[first:], self.corners[:first])),
            np.maximum.accumulate(np.concatenate((turned[first:], turned[:first]))),
        )


def convex_of(corners: Points) -> Convex:
    """A piece from corners that run convexly, in either sense, shape (n, 2)."""
    ring = corners if ring_measure(corners) >= 0.0 else corners[::-1]
    step = following(ring) - ring
    angle = np.arctan2(step[:, 1], step[:, 0])
    first = int(angle.argmin())
    ring = np.concatenate((ring[first:], ring[:first]))
    angle = np.concatenate((angle[first:], angle[:first]))
    return Convex(ring, np.maximum.accumulate(angle))


def is_convex(ring: Points) -> bool:
    """True when an anticlockwise ring (n, 2) turns left at every corner, once round in all."""
    step = following(ring) - ring
    before = np.concatenate((step[-1:], step[:-1]))
    cross = before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0]
    dot = (before * step).sum(axis=1)
    turn = np.arctan2(cross, dot)
    return bool((turn > -1e-9).all()) and float(turn.sum()) < 1.5 * math.tau


def convex_pieces(ring: Points) -> list[Convex]:
    """Convex pieces that make up a ring (n, 2), which may be concave."""
    if is_convex(ring):
        return [convex_of(ring)]
    pieces: list[Convex] = []
    for outer in whole_rings(Region.of([ring])):
        if is_convex(outer):
            pieces.append(convex_of(outer))
            continue
        pieces += [convex_of(outer[list(piece)]) for piece in _merged_triangles(outer)]
    return pieces


def _merged_triangles(ring: Points) -> list[list[int]]:
    """Triangles of a ring joined across their diagonals while they stay convex.

    S. Hertel, K. Mehlhorn, "Fast triangulation of the plane with respect to simple polygons"
    (1983): at most four times as many pieces as the fewest.
    """
    pieces = {i: list(t) for i, t in enumerate(m3.triangulate([ring]).tolist())}
    owner = {(p[i], p[(i + 1) % 3]): k for k, p in pieces.items() for i in range(3)}
    for a, b in [edge for edge in owner if edge[0] < edge[1] and edge[::-1] in owner]:
        one, two = owner[a, b], owner[b, a]
        if one == two:
            continue
        p, q = pieces[one], pieces[two]
        i, j = p.index(a), q.index(b)
        # p runs … a b …, q runs … b a …: leave the diagonal out
        joined = p[i + 1 :] + p[: i + 1] + (q[j:] + q[:j])[2:]
        if len(set(joined)) < len(joined) or not is_convex(ring[joined]):
            continue
        pieces[one] = joined
        del pieces[two]
        for k, first in enumerate(joined):
            owner[first, joined[(k + 1) % len(joined)]] = one
    return list(pieces.values())


def cycle(ring: Points, piece: Convex) -> Points:
    """The closed cycle of a ring (n, 2) and a convex piece, shape (m, 2)."""
    step = following(ring) - ring
    long = (step != 0.0).any(axis=1)
    if not long.all():
        ring = ring[long]
        step = following(ring) - ring
    angle = np.arctan2(step[:, 1], step[:, 0])
    before = np.concatenate((angle[-1:], angle[:-1]))
    turn = (angle - before + math.pi) % math.tau - math.pi
    first = _facing(before, piece)
    last = _facing(before + turn, piece)
    count = np.abs(last - first) + 1
    sign = np.sign(last - first)
    corner = np.repeat(np.arange(len(ring)), count)
    along = np.arange(int(count.sum())) - (np.cumsum(count) - count)[corner]
    k = (first[corner] + along * sign[corner]) % len(piece.corners)
    summed: Points = ring[corner] + piece.corners[k]
    return summed


def _facing(angle: NDArray[np.float64], piece: Convex) -> NDArray[np.int64]:
    """Corner of the piece that leads in a direction, counted on over full turns."""
    turns = np.floor((angle - piece.angles[0]) / math.tau)
    at = np.searchsorted(piece.angles, angle - turns * math.tau, side="right")
    whole: NDArray[np.int64] = (at + turns * len(piece.corners)).astype(np.int64)
    return whole


def cycles(rings: Iterable[Points], pieces: Sequence[Convex]) -> list[Points]:
    """The cycles of every hole-free ring with every piece; their positive winding is the sum."""
    return [cycle(ring, piece) for ring in rings for piece in pieces]


def minkowski(region: Region, pieces: Sequence[Convex]) -> Region:
    """All points reached by the pieces while their origin runs over the region."""
    return Region.of(cycles(whole_rings(region), pieces))
