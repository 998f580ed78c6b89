"""What a tool removes slice by slice while it feeds one way: all slices at once.

A tool feeds along u, and all of its body lies farther back along u than the front of its edge, by
`behind_mm`. Take a set of places, each with a free way from outside along which it need not feed
any farther, and let X be all that the front of the edge (of the depth `behind_mm`, and a little
less) sweeps over those places. If the body at each of the places enters no stock but X, the tool
can go to all of them: what the body meets of X lies at least `behind_mm` back, so it was swept from
a place less far along u. In order of u nothing has to be removed before it can be. The largest such
set is found by leaving out places where the body meets other stock, until there are none.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from turnability.half_plane.curves import Point
from turnability.half_plane.places import Box, Places, open_places
from turnability.half_plane.regions import Region, box, nothing, whole_rings
from turnability.half_plane.sums import Convex, Traced, convex_of, cycles
from turnability.reach.outline import ENDLESS_MM, Mover
from turnability.reach.stock import Standing, in_the_way

LEAST_BEHIND_MM = 0.05
"""A body less far back than this leaves slices that are hardly any."""
_SHARE = 0.9
"""Of `behind_mm`, that counts as front: each place then lies that much less far along, at least."""
_TURNS = 8
_TOUCHES_MM2 = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Feed:
    """A way to feed: the front of the edge, and a ray from a place on into what it shuts off.

    `along_z` is False where the free way runs along r.
    """

    front: tuple[Convex, ...]
    ahead: Convex
    along_z: bool


@lru_cache(maxsize=4096)
def feeds_of(mover: Mover) -> tuple[Feed, ...]:
    """How a tool feeds: outside ones inward, and all of them away from where they come from."""
    if mover.on_axis or mover.below or not mover.body or not mover.cutting:
        return ()
    ways = [(0.0, -1.0)] if mover.access == "outer" else []
    ways.append((-1.0 if mover.from_high else 1.0, 0.0))
    if mover.access == "outer":
        ways.append((-ways[-1][0], 0.0))
    return tuple(feed for u in ways if (feed := _feed(mover, u)) is not None)


def _feed(mover: Mover, u: Point) -> Feed | None:
    along = np.array(u)
    edge = max(float((piece.corners @ along).max()) for piece in mover.cutting)
    behind = edge - max(float((piece.corners @ along).max()) for piece in mover.body)
    if behind < LEAST_BEHIND_MM:
        return None
    far = 10.0 * ENDLESS_MM
    half = box(*_half(u, edge - _SHARE * behind, far))
    front = [
        convex_of(ring)
        for piece in mover.cutting
        for ring in (Region.of([piece.corners]) & half).rings()
    ]
    return Feed(tuple(front), convex_of(np.array([[0.0, 0.0], far * along])), u[1] == 0.0)


def _half(u: Point, level: float, far: float) -> Box:
    """The half plane beyond a level along u, as a box."""
    if u[0] != 0.0:
        return (level, -far, far, far) if u[0] > 0.0 else (-far, -far, -level, far)
    return (-far, level, far, far) if u[1] > 0.0 else (-far, -far, far, -level)


def places_in_slices(
    feed: Feed,
    mover: Mover,
    standing: Standing,
    by_part: Region,
    useful: Box,
    window: Box,
) -> Region:
    """All places to which it can go so; `by_part` is where an outline overlaps the part.

    `useful` are those that matter, `window` all where its point may go.
    """
    # what is cut at r < 0 is not gone, so none of the edge may be there
    low = max(useful[1], -mover.cutting_box[1])
    z0, _, z1, r1 = useful
    if r1 <= low or z1 <= z0:
        return nothing()
    within = (z0, low, z1, r1)
    # whatever stands in the way of places of use, on their way from outside
    way = (window[0], low, window[2], r1) if feed.along_z else (z0, low, z1, window[3])
    blocked = by_part
    if mover.access == "inner":
        # a bar follows a drill
        core = standing.core.traced(shaved=False)
        fixed = cycles(core, mover.cutting_negated + mover.body_negated)
        blocked = Region.of([*by_part.rings(), *fixed])
    blocked = blocked & box(*way)
    free = _with_a_way(blocked, feed, within)
    for _ in range(_TURNS):
        if free.empty:
            return free
        front = Places(free, nothing()).swept(feed.front)
        rest = standing.kept_without(front)
        if rest.empty:
            return free
        if feed.along_z:
            # what is gone is gone all round: beyond the axis it lies as far along z
            solid = in_the_way(rest, standing.ground).traced(shaved=False)
        else:
            solid = Traced.of(whole_rings(rest))
        meets = Region.of(cycles(solid, mover.body_negated))
        if (meets & free).area <= _TOUCHES_MM2:
            return free
        blocked = blocked | (meets & box(*way))
        free = _with_a_way(blocked, feed, within)
    return nothing()


def _with_a_way(blocked: Region, feed: Feed, within: Box) -> Region:
    """What of a box nothing blocks, neither between there and outside."""
    shut = Region.of(cycles(whole_rings(blocked), [feed.ahead]))
    # too thin to be seen to meet stock, threads would be swept over all the same
    return open_places(shut, within).without_threads()
