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

from turnability.half_plane.curves import Points
from turnability.half_plane.regions import (
    Region,
    both_sides,
    box,
    nothing,
    spans_at,
    union,
    whole_rings,
)
from turnability.half_plane.rings import box_ring, following, ring_measure
from turnability.half_plane.slivers import SNAP_MM
from turnability.half_plane.sums import Convex, Traced, swept_over

TOUCH_MM = 1e-3
"""Overlap a side that counts as touching (report contract)."""
_BESIDE_MM = 3e-3
_DRAWN_IN_MM = 0.998e-3
_LESS_DRAWN_IN_MM = (0.7e-3, 0.4e-3)
_RESTORED_MM = 0.2e-3
_CORRIDOR_MM = 0.05
_LINE_MM = 1e-6
_AT_AXIS_MM = 1e-6
"""What comes no nearer to the axis does not join its mirror image."""
_ACROSS = np.array([1.0, -1.0])
Box = tuple[float, float, float, float]
"""Least z, least r, greatest z, greatest r."""
Span = tuple[float, float]
"""From and to on the z-axis, mm."""


class Obstacle:
    """What moving pieces may not enter, as it is and shaved by 1 µm; each made ready when asked."""

    __slots__ = ("_half", "_made", "_region", "_shaved")

    def __init__(self, region: Region) -> None:
        self._region: Region | None = region
        self._half = region
        self._made: dict[bool, Traced] = {}
        self._shaved: list[Region] = []

    @staticmethod
    def on_both_sides(half: Region) -> Obstacle:
        """A region of r >= 0 and its mirror image."""
        if half.empty or half.bounds[1] <= _AT_AXIS_MM:
            return Obstacle(both_sides(half))
        # apart from one another they need not be joined
        made = Obstacle(half)
        made._region = None
        return made

    @property
    def region(self) -> Region:
        """As it is."""
        if self._region is None:
            self._region = both_sides(self._half)
        return self._region

    @property
    def shaved(self) -> Region:
        """The region without its outermost 1 µm."""
        if not self._shaved:
            self._shaved.append(self.region.grown(-TOUCH_MM, "mitre"))
        return self._shaved[0]

    def traced(self, shaved: bool) -> Traced:
        """One of the two tiers, without holes."""
        if shaved not in self._made:
            if shaved or self._region is not None:
                rings = whole_rings(self.shaved if shaved else self.region)
            else:
                above = whole_rings(self._half)
                rings = [*above, *(ring[::-1] * _ACROSS for ring in above)]
            self._made[shaved] = Traced.of(rings)
        return self._made[shaved]

    def edges(self, shaved: bool) -> tuple[Points, Points]:
        """Starts and ends of that tier's edges, each (n, 2)."""
        return self.traced(shaved).edges()


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
        return swept_over(rings, pieces)


def open_places(blocked: Region, within: Box) -> Region:
    """What of a box nothing blocks, with a way there from far outside that nothing blocks either.

    What blocks is bounded, so there is no such way only to places that it encloses. (Of a body
    without end it has to be shut far off: no way leads round that end.)
    """
    if not blocked.holed:
        return box(*within) - blocked
    closed = [ring[::-1] for ring in blocked.rings() if ring_measure(ring) > 0.0]
    return Region.of([box_ring(*within), *closed])


def exact_places(reach: Region, blocked: Region) -> Places:
    """Places of R that are free of what blocks as it is, and the corridors beyond."""
    exact = (reach - blocked).without_threads()
    return Places(exact, _corridors(reach, exact))


def reachable_on_axis(
    blocked: Sequence[Points], window: Points, from_high: bool
) -> tuple[Region, Span | None]:
    """The like on the line r = 0, from far up (or down) the z-axis; all free places around it too.

    Given exact rings, an outline may touch along the very line it moves on: look just beside it.
    """
    free = Region.of([window]) - Region.of(blocked)
    spans = _merged([*spans_at(free, _LINE_MM), *spans_at(free, -_LINE_MM)])
    if not spans:
        return free, None
    low, high = spans[-1] if from_high else spans[0]
    far = float(window[:, 0].max() if from_high else window[:, 0].min())
    return free, (low, high) if abs((high if from_high else low) - far) < 1e-6 else None


def reachable_span(blocked: Sequence[Points], window: Points, from_high: bool) -> Span | None:
    """The stretch of `reachable_on_axis` alone: the rings' windings along the line say it all."""
    low, high = float(window[:, 0].min()), float(window[:, 0].max())
    spans = _merged(
        [*_free_spans(blocked, _LINE_MM, low, high), *_free_spans(blocked, -_LINE_MM, low, high)]
    )
    if not spans:
        return None
    a, b = spans[-1] if from_high else spans[0]
    return (a, b) if abs(b - high if from_high else a - low) < 1e-6 else None


def _free_spans(rings: Sequence[Points], r: float, low: float, high: float) -> list[Span]:
    """Stretches of the line at height `r` round which no ring winds positively."""
    if not rings:
        return [(low, high)]
    start = np.concatenate(rings)
    end = np.concatenate([following(ring) for ring in rings])
    before, after = start[:, 1] < r, end[:, 1] < r
    crosses = before != after
    a, b = start[crosses], end[crosses]
    z = a[:, 0] + (r - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    # going up, an anticlockwise ring has its inside toward lower z
    step = np.where(before[crosses], -1, 1)
    order = z.argsort(kind="stable")
    z, winding = z[order], np.cumsum(step[order])
    spans, at, blocked = [], low, False
    for here, count in zip(z.tolist(), winding.tolist(), strict=True):
        if count > 0 and not blocked:
            if here > at:
                spans.append((at, min(here, high)))
            blocked = True
        elif count <= 0 and blocked:
            at, blocked = max(here, low), False
    if not blocked and high > at:
        spans.append((at, high))
    return [(a, b) for a, b in spans if b - a > SNAP_MM]


def exact_places_on_axis(
    reach: Region, span: Span, blocked: Sequence[Points], window: Points
) -> list[Span]:
    """Stretches of r = 0 within R's `span` that are free as they are, and the corridors beyond."""
    exact = Region.of([window]) - Region.of(blocked)
    free = _merged([*spans_at(exact, _LINE_MM), *spans_at(exact, -_LINE_MM)])
    beyond = spans_at(reach.grown(-_DRAWN_IN_MM, "mitre"), 0.0)
    for a, b in free:
        beyond = [
            (low, high)
            for low, high in (pair for x, y in beyond for pair in ((x, min(y, a)), (max(x, b), y)))
            if high - low > _CORRIDOR_MM
        ]
    low, high = span
    return [(max(a, low), min(b, high)) for a, b in _merged([*free, *beyond])]


def line_places(spans: Sequence[Span], useful: Span) -> Places:
    """Stretches of r = 0 as places, those in `useful`."""
    kept = [(max(a, useful[0]), min(b, useful[1])) for a, b in spans]
    thin = _LINE_MM / 10.0
    return Places(union([box(a, -thin, b, thin) for a, b in kept if b > a]), nothing())


def _merged(spans: Sequence[Span]) -> list[Span]:
    """Stretches that meet made one, ascending."""
    merged: list[Span] = []
    for a, b in sorted(spans):
        if merged and a <= merged[-1][1] + _LINE_MM:
            merged[-1] = (merged[-1][0], max(merged[-1][1], b))
        else:
            merged.append((a, b))
    return merged


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
        # along arcs the flattening takes some of the width away: less is drawn in there
        rest = piece - middle.grown(_DRAWN_IN_MM + _RESTORED_MM, "mitre")
        for less in _LESS_DRAWN_IN_MM:
            if rest.empty or middle.empty:
                break
            middle = rest.grown(-less, "mitre")
            found.append(middle)
            rest = rest - middle.grown(less + _RESTORED_MM, "mitre")
    return union(found)
