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
from functools import lru_cache
from itertools import pairwise

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.regions import Region, whole_rings
from turnability.half_plane.rings import BACK_RAD, following, ring_measure, turns_of, without_hairs
from turnability.half_plane.slivers import SNAP_MM

_BESIDE_MM = 2.0 * SNAP_MM
"""No farther apart than rounding to the clipper's grid puts one point."""
_STRAIGHT_RAD = 1e-9
"""No turn at all, but for rounding."""


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
    """A piece from corners that run convexly, in either sense, shape (n, 2).

    Corners on a straight run are left out: where such a run holds the least angle of all, the first
    of its edges can't be told from the others.
    """
    ring = corners if ring_measure(corners) >= 0.0 else corners[::-1]
    ring = _without_straight_corners(ring)
    step = following(ring) - ring
    angle = np.arctan2(step[:, 1], step[:, 0])
    first = int(angle.argmin())
    ring = np.concatenate((ring[first:], ring[:first]))
    angle = np.concatenate((angle[first:], angle[:first]))
    return Convex(ring, np.maximum.accumulate(angle))


def _without_straight_corners(ring: Points) -> Points:
    """A convex ring without corners at which it doesn't turn, nor those that stand twice."""
    while len(ring) > 3:
        turn = turns_of(ring)
        straight = np.abs(turn) <= _STRAIGHT_RAD
        # one of two neighbours at a time: without the one, the other may turn
        straight[1:] &= ~straight[:-1]
        straight[-1] &= not straight[0]
        if not straight.any():
            break
        ring = ring[~straight]
    return ring


def is_convex(ring: Points) -> bool:
    """True when an anticlockwise ring (n, 2) turns left at every corner, once round in all."""
    turn = turns_of(ring)
    return bool((turn > -_STRAIGHT_RAD).all()) and float(turn.sum()) < 1.5 * math.tau


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


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """Rings made ready for many sums: all their corners (n, 2) in a row, and how each turns.

    `facing` (2 n,) are the angles of the edges before all corners and after them (counted on from
    those before), `begins` (rings + 1,) where each ring begins.
    """

    corners: Points
    facing: NDArray[np.float64]
    begins: NDArray[np.int64]

    @staticmethod
    def of(rings: Iterable[Points]) -> Traced:
        """Rings (n, 2), open, in either sense."""
        kept = [ring for ring in rings if len(ring)]
        made, turns_back = _traced(kept)
        if turns_back:
            made, _ = _traced([ring for ring in map(without_hairs, kept) if len(ring)])
        return made

    def edges(self) -> tuple[Points, Points]:
        """Starts and ends of all edges, each (n, 2)."""
        step, _ = _steps(self.corners, self.begins[1:])
        return self.corners, self.corners + step


def _traced(kept: Sequence[Points]) -> tuple[Traced, bool]:
    """The rings made ready, and whether one of them turns right back somewhere."""
    if not kept:
        return Traced(np.zeros((0, 2)), np.zeros(0), np.zeros(1, dtype=np.int64)), False
    if len(kept) == 1:
        corners = kept[0]
        step = following(corners) - corners
        # counting is the quickest way to ask for any
        none = (step[:, 0] == 0.0) & (step[:, 1] == 0.0)
        if np.count_nonzero(none):
            corners, step = corners[~none], step[~none]
        angle = np.arctan2(step[:, 1], step[:, 0])
        before = np.concatenate((angle[-1:], angle[:-1]))
        begins = np.array((0, len(corners)), dtype=np.int64)
    else:
        corners, ends = np.concatenate(kept), np.cumsum([len(ring) for ring in kept])
        step, begins = _steps(corners, ends)
        long = (step[:, 0] != 0.0) | (step[:, 1] != 0.0)
        if np.count_nonzero(long) < len(long):
            # none stays of a ring that is one point
            ends = np.unique(np.cumsum(long)[ends - 1])
            ends = ends[ends > 0]
            corners = corners[long]
            step, begins = _steps(corners, ends)
        angle = np.arctan2(step[:, 1], step[:, 0])
        before = np.concatenate((angle[:1], angle[:-1]))
        before[begins[:-1]] = angle[begins[1:] - 1]
    turn = (angle - before + math.pi) % math.tau - math.pi
    back = bool(np.count_nonzero(np.abs(turn) > BACK_RAD))
    return Traced(corners, np.concatenate((before, before + turn)), begins), back


def _steps(corners: Points, ends: NDArray[np.int64]) -> tuple[Points, NDArray[np.int64]]:
    """From each corner to the next of its ring, and where rings begin and the last one ends.

    `ends` (rings,) are where rings end, none of which is without corners.
    """
    begins = np.concatenate((np.zeros(1, dtype=np.int64), ends))
    after = np.concatenate((corners[1:], corners[:1]))
    after[ends - 1] = corners[begins[:-1]]
    return after - corners, begins


@dataclass(frozen=True, slots=True, eq=False)
class _Stacked:
    """Pieces in a row, each three times round: all corners (m, 2) and the angles (m,) of all edges.

    Angles are counted on over the turns, from one below on, each piece's `above` (k, 1) the last
    one's by `_APART`.
    """

    corners: Points
    angles: NDArray[np.float64]
    above: NDArray[np.float64]


_APART = 32.0
_TURNS = np.array([[-math.tau], [0.0], [math.tau]])


@lru_cache(maxsize=4096)
def _stacked(pieces: tuple[Convex, ...]) -> _Stacked:
    above = _APART * np.arange(len(pieces), dtype=np.float64)
    return _Stacked(
        np.concatenate([piece.corners for piece in pieces for _ in _TURNS]),
        np.concatenate(
            [(piece.angles + _TURNS).ravel() + k for piece, k in zip(pieces, above, strict=True)]
        ),
        above[:, None],
    )


def cycles(rings: Iterable[Points] | Traced, pieces: Sequence[Convex]) -> list[Points]:
    """The cycles of every hole-free ring with every piece; their positive winding is the sum.

    The closed cycle of a ring and a piece pairs each corner of the ring with the run of corners of
    the piece that its turn faces.
    """
    summed, ends = _summed(rings if isinstance(rings, Traced) else Traced.of(rings), pieces)
    return [summed[a:b] for a, b in pairwise((0, *ends))]


def _summed(traced: Traced, pieces: Sequence[Convex]) -> tuple[Points, list[int]]:
    """The same cycles' corners (n, 2) in a row, and where each cycle ends."""
    n = len(traced.corners)
    if not n or not pieces:
        return traced.corners[:0], []
    many, alone = len(pieces), len(traced.begins) == 2
    row = _stacked(tuple(pieces))
    # corner of each piece that leads in each direction, a turn before or after the first as well
    leads = row.angles.searchsorted(traced.facing + row.above, side="right")
    first, last = leads[:, :n].ravel(), leads[:, n:].ravel()
    count = last - first
    # a run back only ever lies in what the piece covers at that corner: its chord will do
    back = (count < 0).nonzero()[0]
    count += 1
    if len(back):
        count[back] = 2
    after = count.cumsum()
    # a run goes on by one from its first corner, and from its last one over to the next run
    step = np.ones(int(after[-1]), dtype=np.int64)
    step[0] = first[0]
    step[after[:-1]] = first[1:] - last[:-1]
    if len(back):
        step[after[back] - 1] = last[back] - first[back]
    corners = traced.corners if many == 1 else np.concatenate((traced.corners,) * many)
    summed = corners.repeat(count, axis=0)
    # taken by place: much quicker than by index, and this is asked all the time
    summed += row.corners.take(step.cumsum(), axis=0)
    if alone:
        ends = after[n - 1 :: n].tolist()
    else:
        upto = traced.begins[1:]
        at = upto if many == 1 else (np.arange(many)[:, None] * n + upto).ravel()
        ends = after.take(at - 1).tolist()
    return summed, ends


def swept_over(rings: Iterable[Points] | Traced, pieces: Sequence[Convex]) -> Region:
    """All points reached by the pieces while their origin runs over the hole-free rings."""
    traced = rings if isinstance(rings, Traced) else Traced.of(rings)
    return Region.of_row(*without_tips(*_summed(traced, pieces)))


def minkowski(region: Region, pieces: Sequence[Convex]) -> Region:
    """All points reached by the pieces while their origin runs over the region."""
    return swept_over(whole_rings(region), pieces)


def without_tips(cycles: Points, ends: list[int]) -> tuple[Points, list[int]]:
    """Cycles (n, 2) in a row without the tips from which one turns back to where it came from.

    A nose that goes round a corner keeps to it: of all chords of its arc the cycle then goes one
    forth and back. That covers nothing, and takes the clipper as long as all the rest. Of a run of
    tips, which goes forth and back over one edge, the ends are left: that edge, or one point.
    `ends` are where cycles end, each of which keeps its first and last corner.
    """
    gap = np.abs(cycles[2:] - cycles[:-2]) <= _BESIDE_MM
    tips = gap[:, 0] & gap[:, 1]
    if not np.count_nonzero(tips):
        return cycles, ends
    kept = np.ones(len(cycles), dtype=bool)
    np.logical_not(tips, out=kept[1:-1])
    for end in ends:
        kept[end - 1 : end + 1] = True
    if len(ends) > 1:
        upto = kept.cumsum()
        return cycles[kept], [int(upto[end - 1]) for end in ends]
    left = cycles[kept]
    return left, [len(left)]
