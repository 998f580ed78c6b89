"""Free places of a moving outline: where its point may be, reached from outside.

Touching is allowed, but a region without width is no region to a clipper: a piece exactly as wide
as its slot would find no place in it. So there are two tiers. Reachable places R keep clear of
obstacles shaved by 1 µm and say what is connected; exact places F are those of R that keep clear of
the obstacles as they are; corridors K are what R has beyond F, drawn in to their middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from turnability.half_plane.curves import Point, Points
from turnability.half_plane.regions import (
    Region,
    box,
    box_ring,
    inside,
    nothing,
    spans_at,
    union,
    whole_rings,
)
from turnability.half_plane.sums import Convex, cycles

TOUCH_MM = 1e-3
"""Overlap a side that counts as touching (report contract)."""
_BESIDE_MM = 3e-3
_DRAWN_IN_MM = 0.998e-3
_CORRIDOR_MM = 0.05
_LINE_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Obstacle:
    """What moving pieces may not enter: hole-free rings, as they are and shaved by 1 µm."""

    exact: tuple[Points, ...]
    shaved: tuple[Points, ...]

    @staticmethod
    def of(region: Region) -> Obstacle:
        """Both tiers of a region."""
        return Obstacle(
            tuple(whole_rings(region)), tuple(whole_rings(region.grown(-TOUCH_MM, "mitre")))
        )


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where the point may be: exact places, and corridors of (nearly) no width beyond them."""

    exact: Region
    corridors: Region

    @property
    def empty(self) -> bool:
        """True when it can be nowhere."""
        return self.exact.empty and self.corridors.empty

    def swept(self, pieces: Sequence[Convex]) -> Region:
        """What pieces with the point at their origin cover over all the places."""
        rings = whole_rings(self.exact) + whole_rings(self.corridors)
        return Region.of(cycles(rings, pieces))


@dataclass(frozen=True, slots=True, eq=False)
class Blocked:
    """Places of the point where something overlaps, as it is and with the obstacle shaved."""

    exact: tuple[Points, ...]
    shaved: tuple[Points, ...]

    @staticmethod
    def by(obstacle: Obstacle, negated: Sequence[Convex]) -> Blocked:
        """Where pieces, given turned by half a turn, overlap an obstacle."""
        return Blocked(
            tuple(cycles(obstacle.exact, negated)), tuple(cycles(obstacle.shaved, negated))
        )

    @staticmethod
    def by_thin(spans: Sequence[tuple[float, float]], negated: Sequence[Convex]) -> Blocked:
        """Where pieces overlap stretches of the line r = 0, which have no width to shave."""
        lines = [box_ring(a, -_LINE_MM, b, _LINE_MM) for a, b in spans]
        sums = Region.of(cycles(lines, negated))
        return Blocked(tuple(sums.rings()), tuple(sums.grown(-TOUCH_MM, "mitre").rings()))

    def and_by(self, other: Blocked) -> Blocked:
        """What either of them blocks."""
        return Blocked(self.exact + other.exact, self.shaved + other.shaved)


def free_places(blocked: Blocked, window: Points, useful: Points, start: Point) -> Places:
    """Places joined to `start` by a free path inside `window`, of which those in `useful`.

    `window` and `useful` are rings (n, 2), `useful` inside `window`.
    """
    reachable = Region.of([window]) - Region.of(blocked.shaved)
    pieces = reachable.components()
    if len(pieces) > 1:
        at = np.array([start])
        pieces = [piece for piece in pieces if inside(piece, at)[0]]
    elif pieces and not inside(reachable, np.array([start]))[0]:
        pieces = []
    if not pieces:
        return Places(nothing(), nothing())
    near = pieces[0] & Region.of([useful])
    exact = near - Region.of(blocked.exact)
    return Places(exact, _corridors(near, exact))


def free_places_on_axis(
    blocked: Blocked, window: Points, useful: tuple[float, float], from_high: bool
) -> Places:
    """The like for a point that moves along r = 0 only, from far up (or down) the z-axis."""
    strip = Region.of([window])
    reachable = strip - Region.of(blocked.shaved)
    spans = spans_at(reachable, 0.0)
    if not spans:
        return Places(nothing(), nothing())
    low, high = spans[-1] if from_high else spans[0]
    far = strip.bounds[2] if from_high else strip.bounds[0]
    if abs((high if from_high else low) - far) > 1e-6:
        return Places(nothing(), nothing())
    low, high = max(low, useful[0]), min(high, useful[1])
    if low >= high:
        return Places(nothing(), nothing())
    exact = strip - Region.of(blocked.exact)
    # an outline may touch along the very line it moves on: look just beside it
    free = [*spans_at(exact, _LINE_MM), *spans_at(exact, -_LINE_MM)]
    free += spans_at(reachable.grown(-_DRAWN_IN_MM, "mitre"), 0.0)
    kept = [(max(a, low), min(b, high)) for a, b in free]
    lines = [box(a, -_LINE_MM / 10, b, _LINE_MM / 10) for a, b in kept if b > a]
    return Places(union(lines), nothing())


def _corridors(reachable: Region, exact: Region) -> Region:
    """Ways of (nearly) no width: drawn in to their middle, so that they end where they touch."""
    beyond = reachable - exact.grown(_BESIDE_MM, "mitre")
    found = []
    for piece in beyond.components():
        z0, r0, z1, r1 = piece.bounds
        if max(z1 - z0, r1 - r0) < _CORRIDOR_MM:
            continue  # a dart in a sharp corner, not a way
        middle = piece.grown(-_DRAWN_IN_MM, "mitre")
        found.append(piece if middle.empty else middle)
    return union(found)
