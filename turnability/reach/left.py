"""What is left of the envelope outside the part, and which segments a tool touches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Point, Points
from turnability.half_plane.distances import distances
from turnability.half_plane.places import TOUCH_MM
from turnability.half_plane.regions import Region, box, nothing
from turnability.half_plane.restore import MovedChords, beside_each, beyond_chords, bulged, tidied
from turnability.half_plane.rings import following, ring_measure
from turnability.half_plane.sharing import shared_by_each, shared_lengths
from turnability.half_plane.slivers import SNAP_MM
from turnability.reach.ground import Ground
from turnability.reach.left_pieces import whole_pieces
from turnability.reach.removal import Removal, Work

COUNTS_MM = 0.005
"""A left region counts only if it is somewhere farther than this from everything removed."""
BORDERS_MM = 0.01
"""Length along a segment that is more than touching it."""
DRAWN_MM = 0.005
_AGREES = 5e-4
"""How far the area of the polygon by which a region is drawn may be off, as a share of it."""
_ROUND_OFF = 0.3
"""Chords that miss an arc by some width cut off two thirds of that width times its length; fewer
corners miss it by up to as much, at least by a quarter."""
_STEP = 0.05
"""Steps shorter than this share of a ring follow an arc."""
_TOUCHED_MM = 2e-3
_NO_WIDTH_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class LeftRegion:
    """One piece of stock (r >= 0) that no tool removes; segments by their ids, in order."""

    region: Region
    segments: tuple[str, ...]
    area_mm2: float
    volume_mm3: float
    polygon: tuple[Point, ...]
    deepest_mm: float


def left_regions(removal: Removal) -> tuple[LeftRegion, ...]:
    """The pieces that count, from low z to high."""
    ground, standing = removal.ground, removal.standing
    # an outline and its mirror image have one table of chords each
    movers = {id(work.asked): work.asked.mover for work in removal.works}.values()
    chords = MovedChords(
        np.concatenate([np.zeros((0, 2)), *(mover.chords.vectors for mover in movers)]),
        np.concatenate([np.zeros(0), *(mover.chords.radii for mover in movers)]),
    )
    found = [
        _measured(whole, ground, standing.gone, chords)
        for whole in whole_pieces(counted(removal), standing.stock | ground.hollows, ground)
    ]
    return tuple(sorted(found, key=lambda one: tuple(round(x, 3) for x in one.region.bounds)))


def counted(removal: Removal) -> list[Region]:
    """The pieces that count, without their thin ends.

    What is nowhere thicker than what counts as touching is cut: it lies beside the pole of a ball,
    and joins what drills of several sizes leave of a taper.
    """
    ground, standing = removal.ground, removal.standing
    half = 0.5 * TOUCH_MM
    thick = (standing.kept | ground.hollows).grown(-half, "mitre").grown(half, "mitre")
    return [
        piece
        for piece in thick.components()
        if standing.gone.empty or not (piece - _near(standing.gone, piece).grown(COUNTS_MM)).empty
    ]


def touched_segments(works: Sequence[Work], ground: Ground) -> list[tuple[str, ...]]:
    """Ids of the segments that each tool's sweep touches over their whole length."""
    # it touches no more than where no stock stands
    hopeful = [work for work in works if work.asked.touches_some()]
    at_most = touched_by([work.asked.most() for work in hopeful], ground)
    hopeful = [work for work, most in zip(hopeful, at_most, strict=True) if most]
    found = touched_by([work.swept for work in hopeful], ground)
    touched = {id(work): ids for work, ids in zip(hopeful, found, strict=True)}
    return [touched.get(id(work), ()) for work in works]


def touched_by(sweeps: Sequence[Region], ground: Ground) -> list[tuple[str, ...]]:
    """Ids of the segments that the boundary of each region runs along over their whole length."""
    memory = ground.memory
    new = {id(one): one for one in sweeps if ("touched", id(one)) not in memory}
    for one, ids in zip(new.values(), _touched(list(new.values()), ground), strict=True):
        memory["touched", id(one)] = (one, ids)
    return [cast(tuple[str, ...], memory["touched", id(one)][1]) for one in sweeps]


def _touched(sweeps: Sequence[Region], ground: Ground) -> list[tuple[str, ...]]:
    none = np.zeros((0, 2))
    sets, bounds = [], []
    for swept in sweeps:
        bounds.append((np.inf, np.inf, -np.inf, -np.inf) if swept.empty else swept.bounds)
        starts, ends = (none, none) if swept.empty else swept.edges()
        # far out of the part nothing runs along it
        near = (
            (np.maximum(starts[:, 0], ends[:, 0]) >= -_TOUCHED_MM)
            & (np.minimum(starts[:, 0], ends[:, 0]) <= ground.length + _TOUCHED_MM)
            & (np.minimum(starts[:, 1], ends[:, 1]) <= ground.radius + _TOUCHED_MM)
        )
        sets.append((starts[near], ends[near]))
    if not sets:
        return []
    # what is touched over its whole length lies within its bounds
    off = 4.0 * _TOUCHED_MM
    low, high = _segment_bounds(ground)
    held = np.array(bounds)[:, None, :]
    within = (low >= held[:, :, :2] - off).all(axis=2) & (high <= held[:, :, 2:] + off).all(axis=2)
    step = ground.edge_ends - ground.edge_starts
    along = np.hypot(step[:, 0], step[:, 1])
    first = _first_edges(ground)
    length = np.add.reduceat(along, first)
    # first one edge of each segment for all, which rules out most, and is all there is of a line
    counts = np.diff(first, append=len(along))
    middle = first + counts // 2
    shared = shared_by_each(sets, ground.edge_starts[middle], ground.edge_ends[middle], _TOUCHED_MM)
    missing = along[middle] - shared
    whole = within & (missing <= BORDERS_MM) & ((missing <= 0.5 * length) | (counts > 1))
    for k, edges in enumerate(sets):
        own = whole[k] & (counts > 1)
        some = own[ground.edge_segments]
        if some.any():
            runs = shared_lengths(
                *edges, ground.edge_starts[some], ground.edge_ends[some], _TOUCHED_MM
            )
            beyond = length.copy()
            np.subtract.at(beyond, ground.edge_segments[some], runs)
            whole[k] &= ~own | ((beyond <= BORDERS_MM) & (beyond <= 0.5 * length))
    ids = [s.id if s.surface != "axis" else None for s in ground.profile.segments]
    return [
        tuple(name for name, touched in zip(ids, row, strict=True) if touched and name is not None)
        for row in whole.tolist()
    ]


def _first_edges(ground: Ground) -> NDArray[np.int64]:
    """Where each segment's edges begin."""
    return np.nonzero(np.diff(ground.edge_segments, prepend=-1))[0]


def _segment_bounds(ground: Ground) -> tuple[Points, Points]:
    """Least and greatest (z, r) of each segment as flattened, each (n, 2)."""
    known = ground.memory.get("segment bounds")
    if known is None:
        first = _first_edges(ground)
        low = np.minimum(ground.edge_starts, ground.edge_ends)
        high = np.maximum(ground.edge_starts, ground.edge_ends)
        known = ground.memory["segment bounds"] = (
            np.minimum.reduceat(low, first),
            np.maximum.reduceat(high, first),
        )
    return cast(tuple[Points, Points], known)


def bordering(region: Region, ground: Ground) -> tuple[str, ...]:
    """Ids of the segments that a region borders over more than touching, the axis aside."""
    shared = shared_lengths(*region.edges(), ground.edge_starts, ground.edge_ends, TOUCH_MM / 10)
    step = ground.edge_ends - ground.edge_starts
    count = len(ground.profile.segments)
    along = np.bincount(ground.edge_segments, shared, minlength=count)
    length = np.bincount(ground.edge_segments, np.hypot(step[:, 0], step[:, 1]), minlength=count)
    enough = along > np.minimum(BORDERS_MM, 0.5 * length)
    return tuple(
        segment.id
        for segment, borders in zip(ground.profile.segments, enough.tolist(), strict=True)
        if borders and segment.surface != "axis"
    )


def _measured(region: Region, ground: Ground, gone: Region, moved: MovedChords) -> LeftRegion:
    rings = region.rings()
    beside, exact = [], []
    for ring in map(tidied, rings):
        if abs(ring_measure(ring)) > _NO_WIDTH_MM * float(np.ptp(ring, axis=0).max()):
            ends = following(ring)
            areas = beside_each(ring, ends, moved, ground.arcs, ground.touchable)
            beside.append(beyond_chords(ring, ends, areas))
            exact.append(bulged(ring, ends, areas))
    area = region.area + sum(more for more, _ in beside)
    return LeftRegion(
        region=region,
        segments=bordering(region, ground),
        area_mm2=area,
        volume_mm3=sum(_turned(ring) for ring in rings) + sum(volume for _, volume in beside),
        polygon=_drawn(exact or rings, area),
        deepest_mm=_deepest(region, ground, gone),
    )


def _drawn(rings: Sequence[Points], area: float) -> tuple[Point, ...]:
    """One ring that holds the area of all of them to `_AGREES`, with as few corners as that takes.

    Holes and pieces apart hang on the largest ring by lines of no width.
    """
    shape, allowed = Region.of(rings), DRAWN_MM
    while _ROUND_OFF * allowed * _curved_mm(rings) > _AGREES * area and allowed > SNAP_MM:
        allowed /= 4.0
    fewer = shape.simplified(allowed).rings() if allowed > SNAP_MM else list(rings)
    while abs(sum(map(ring_measure, fewer)) - area) > _AGREES * area and allowed > SNAP_MM:
        allowed /= 4.0
        fewer = shape.simplified(allowed).rings() if allowed > SNAP_MM else list(rings)
    whole, *others = sorted(fewer, key=ring_measure, reverse=True)
    while others:
        gaps = [distances(other, whole, whole).min() for other in others]
        other = others.pop(int(np.argmin(gaps)))
        apart = np.hypot(*(whole[:, None, :] - other[None, :, :]).transpose(2, 0, 1))
        at, there = np.unravel_index(int(apart.argmin()), apart.shape)
        turned = np.concatenate((other[there:], other[: there + 1]))
        whole = np.concatenate((whole[: at + 1], turned, whole[at:]))
    return tuple((float(z), float(r)) for z, r in whole)


def _curved_mm(rings: Sequence[Points]) -> float:
    """About how long the arcs are that rings (n, 2) follow in short steps."""
    steps = [np.hypot(*(following(ring) - ring).T) for ring in rings]
    short = _STEP * sum(float(step.sum()) for step in steps)
    return sum(float(step[step < short].sum()) for step in steps)


def _turned(ring: Points) -> float:
    """Volume in mm3 of a ring's region turned round the axis; negative for a hole."""
    z, r = ring[:, 0], ring[:, 1]
    z1, r1 = np.roll(z, -1), np.roll(r, -1)
    return float(-math.pi / 3.0 * ((z1 - z) * (r * r + r * r1 + r1 * r1)).sum())


def _deepest(region: Region, ground: Ground, gone: Region) -> float:
    """Greatest distance of its points from what was removed.

    Where nothing was removed, from the outside of the envelope (its ends and its outer surface).
    """
    # what has no width can't be grown, and would never come near
    removed = gone.without_slivers()
    if removed.empty:
        far = 2.0 * (ground.length + ground.radius)
        outside = box(-far, -far, ground.length + far, ground.radius + far) - box(
            0.0, -2.0 * far, ground.length, ground.radius
        )
        removed = outside
    corners = np.concatenate(region.rings())
    known = float(distances(corners, *removed.edges()).max())
    near = _near(removed, region)
    step = max(2e-4, 2e-4 * known)
    while not (region - near.grown(known + step, segments=128)).empty:
        known += step
        step *= 2.0
        near = _near(removed, region, known + step)
    while step > 4e-4 and step > 4e-4 * known:
        step /= 2.0
        if not (region - near.grown(known + step, segments=128)).empty:
            known += step
    return known


def _near(removed: Region, region: Region, margin: float | None = None) -> Region:
    """The part of what was removed that can matter for distances from a region."""
    z0, r0, z1, r1 = region.bounds
    m = 0.1 + (max(z1 - z0, r1 - r0) if margin is None else margin)
    while True:
        near = removed & box(z0 - m, r0 - m, z1 + m, r1 + m)
        if not near.empty or m > 1e6:
            return near if not near.empty else nothing()
        m *= 3.0
