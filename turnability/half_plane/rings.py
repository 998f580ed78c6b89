"""Rings of the plane: closed runs of corners (n, 2) mm, the region on their left."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.slivers import SNAP_MM

_TWICE_MM = 15.0 * SNAP_MM
THREAD_MM = 1e-5
_THREAD_TURN = 1e-4
_FEW = 4
"""From so many rings on their areas are told together."""
BACK_RAD = math.pi - 1e-5
"""A turn right back, but for rounding."""


def following(points: Points) -> Points:
    """The corner after each of a ring's corners (n, 2)."""
    return np.concatenate((points[1:], points[:1]))


def ring_measure(ring: Points) -> float:
    """Signed area of a ring in mm2, positive when it runs anticlockwise."""
    z, r = ring[:, 0] - ring[0, 0], ring[:, 1] - ring[0, 1]
    # the first corner is the origin, so the closing edge adds nothing
    return 0.5 * float(z[:-1] @ r[1:] - z[1:] @ r[:-1])


def measures(rings: Sequence[Points]) -> list[float]:
    """The same of several, all at once where that is quicker."""
    if len(rings) < _FEW:
        return [ring_measure(ring) for ring in rings]
    lengths = np.array([len(ring) for ring in rings])
    first = lengths.cumsum() - lengths
    corners = np.concatenate(rings)
    z, r = (corners - corners[first].repeat(lengths, axis=0)).T
    # from each ring's last corner on to the next one's first, which is its origin: nothing
    doubled = np.zeros(len(z))
    doubled[:-1] = z[:-1] * r[1:] - z[1:] * r[:-1]
    areas: list[float] = (0.5 * np.add.reduceat(doubled, first)).tolist()
    return areas


def turns_of(ring: Points) -> NDArray[np.float64]:
    """By how much a ring (n, 2) turns left at each corner, rad; 0 at one that stands twice."""
    step = following(ring) - ring
    before = np.concatenate((step[-1:], step[:-1]))
    cross = before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0]
    turns: NDArray[np.float64] = np.arctan2(cross, (before * step).sum(axis=1))
    return turns


def edges_of(rings: Sequence[Points]) -> tuple[Points, Points]:
    """Starts and ends (n, 2) of the edges of rings in a row."""
    if len(rings) == 1:
        return rings[0], following(rings[0])
    starts = np.concatenate(rings)
    ends = np.concatenate((starts[1:], starts[:1]))
    after = np.cumsum([len(ring) for ring in rings])
    ends[after - 1] = starts[np.concatenate(([0], after[:-1]))]
    return starts, ends


def box_ring(z0: float, r0: float, z1: float, r1: float) -> Points:
    """Its ring, anticlockwise, (4, 2)."""
    return np.array([[z0, r0], [z1, r0], [z1, r1], [z0, r1]], dtype=np.float64)


def without_hairs(ring: Points) -> Points:
    """A ring without the tips at which it turns back on itself, and what then turns back.

    The clipper leaves such cracks and spurs of no width where edges run along one another but for
    rounding. What would stand at their tips reaches as deep as a facet is long into what it only
    touches.
    """
    while len(ring) > 2:
        step = following(ring) - ring
        kept = (np.abs(step) > _TWICE_MM).any(axis=1)
        if kept.all():
            kept = np.abs(turns_of(ring)) <= BACK_RAD
            if kept.all():
                return ring
        ring = ring[kept]
    return ring[:0]


def may_have_thread(ring: Points) -> bool:
    """Whether it ends in a tip so thin somewhere, or turns right back: threads end so."""
    step = following(ring) - ring
    if np.count_nonzero((np.abs(step) > THREAD_MM).any(axis=1)) < len(ring):
        return True
    before = np.concatenate((step[-1:], step[:-1]))
    cross = before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0]
    along = (before * step).sum(axis=1)
    return bool(np.count_nonzero((along < 0.0) & (np.abs(cross) < -_THREAD_TURN * along)))


def is_thinner(ring: Points, by_mm: float) -> bool:
    """Whether a ring is thinner than a length in the mean."""
    step = following(ring) - ring
    around = float(np.hypot(step[:, 0], step[:, 1]).sum())
    return 2.0 * abs(ring_measure(ring)) < by_mm * around


def fewer_corners(ring: Points, by_mm: float) -> Points:
    """A ring's corners but those within `by_mm` of the chords of the rest."""
    if len(ring) < 5:
        return ring
    far = int(np.hypot(*(ring - ring[0]).T).argmax())
    keep = np.zeros(len(ring) + 1, dtype=bool)
    keep[[0, far, len(ring)]] = True
    closed = np.concatenate((ring, ring[:1]))
    waiting = [(0, far), (far, len(ring))]
    while waiting:
        first, last = waiting.pop()
        if last - first < 2:
            continue
        step = closed[last] - closed[first]
        away = closed[first + 1 : last] - closed[first]
        length = float(np.hypot(*step))
        if length > 0.0:
            # quicker than to clip
            along = np.minimum(np.maximum(away @ step / length**2, 0.0), 1.0)
            away = away - along[:, None] * step
        off = np.hypot(away[:, 0], away[:, 1])
        most = int(off.argmax())
        if off[most] > by_mm:
            middle = first + 1 + most
            keep[middle] = True
            waiting += [(first, middle), (middle, last)]
    kept: Points = closed[:-1][keep[:-1]]
    return kept if len(kept) > 2 else ring
