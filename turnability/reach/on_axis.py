"""Tools that move along the axis only, asked all at once where they stop and what they touch.

Most of a shop's tools are drills, and a profile has few corners: one table of all fronts against
all edges tells of nearly every drill that it has nothing to do, without an outline of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.contact import Fronts, first_contacts
from turnability.half_plane.curves import Points
from turnability.half_plane.places import Obstacle
from turnability.half_plane.regions import Region
from turnability.reach.ground import Ground
from turnability.reach.outline import ENDLESS_MM, Mover

ON_EDGE_MM = 8e-3
"""A point this far from a boundary is not on it, with room for rounding."""
_ON_FRONT_MM = 0.05
"""Farther than this along z from a front, a point is not on it, however steep the front is."""


@dataclass(frozen=True, slots=True, eq=False)
class AxisTools:
    """Movers on the axis that come from one and the same end.

    `cutting`, `body` are the fronts of all their outlines, `cutting_begins`, `body_begins` where
    each one's begin (of k movers, those without any left out), with the places of the movers that
    have some.
    """

    movers: tuple[Mover, ...]
    cutting: Fronts
    cutting_begins: NDArray[np.int64]
    cutters: NDArray[np.int64]
    body: Fronts
    body_begins: NDArray[np.int64]
    bodied: NDArray[np.int64]
    wide: NDArray[np.float64]
    """The greatest radius of each one's body, mm; 0 without one."""

    @property
    def from_high(self) -> bool:
        """True when they come from the end of greatest z."""
        return self.movers[0].from_high

    def stops(self, obstacle: Obstacle, shaved: bool = True) -> NDArray[np.float64]:
        """Where each touches an obstacle that neither outline enters, z in mm, (k,)."""
        edges = obstacle.edges(shaved)
        return self._nearer(self._cutting_stops(*edges), self._body_stops(*edges))

    def body_stops(self, obstacle: Obstacle, shaved: bool = True) -> NDArray[np.float64]:
        """Where the body of each touches one that it alone may not enter."""
        return self._body_stops(*obstacle.edges(shaved))

    def bites(self, stock: Region, stops: NDArray[np.float64]) -> NDArray[np.float64]:
        """How far along z stock reaches, at most, into what each covers down to its stop, (k,).

        No more than 0 where it would not cut any.
        """
        met, far = self._cutting_stops(*stock.edges()), 10.0 * ENDLESS_MM
        # those that nothing stops go on to far beyond
        met = np.minimum(np.maximum(met, -far), far)
        stops = np.minimum(np.maximum(stops, -far), far)
        return met - stops if self.from_high else stops - met

    def beside(
        self, points: Points, stops: NDArray[np.float64], off_mm: float
    ) -> NDArray[np.bool_]:
        """Which points (n, 2) may be within `off_mm` of the boundary of what each covers, (k, n).

        No point that is there is left out; such as lie near another's front may be in.
        """
        found = np.zeros((len(self.movers), len(points)), dtype=bool)
        if not len(self.cutters):
            return found
        fronts, sign = self.cutting, 1.0 if self.from_high else -1.0
        z, r = sign * points[:, 0], points[:, 1]
        low, high = fronts.lows[:, None] - off_mm, fronts.highs[:, None] + off_mm
        at = np.clip(r, fronts.lows[:, None], fronts.highs[:, None])
        owners = np.repeat(np.arange(len(fronts.begins)), _counts(fronts))
        lines = fronts.slopes[:, None] * at[owners] + fronts.levels[:, None]
        ahead = np.maximum.reduceat(lines, fronts.begins, axis=0)
        mine = np.repeat(self.cutters, np.diff(np.append(self.cutting_begins, len(fronts.begins))))
        gap = z - ahead - sign * stops[mine][:, None]
        side = (np.abs(r - high) <= 2.0 * off_mm) | (np.abs(r - low) <= 2.0 * off_mm)
        within = (r >= low) & (r <= high)
        near = (within & (np.abs(gap) <= _ON_FRONT_MM)) | (side & (gap >= -_ON_FRONT_MM))
        found[self.cutters] = np.logical_or.reduceat(near, self.cutting_begins, axis=0)
        return found

    def _cutting_stops(self, starts: Points, ends: Points) -> NDArray[np.float64]:
        return self._of_each(self.cutting, self.cutting_begins, self.cutters, starts, ends)

    def _body_stops(self, starts: Points, ends: Points) -> NDArray[np.float64]:
        return self._of_each(self.body, self.body_begins, self.bodied, starts, ends)

    def _of_each(
        self,
        fronts: Fronts,
        begins: NDArray[np.int64],
        whose: NDArray[np.int64],
        starts: Points,
        ends: Points,
    ) -> NDArray[np.float64]:
        found = np.full(len(self.movers), -np.inf if self.from_high else np.inf)
        if len(whose):
            each = first_contacts(starts, ends, fronts, self.from_high)
            first = np.maximum if self.from_high else np.minimum
            found[whose] = first.reduceat(each, begins)
        return found

    def _nearer(self, one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.maximum(one, other) if self.from_high else np.minimum(one, other)


def _counts(fronts: Fronts) -> NDArray[np.int64]:
    return np.diff(np.append(fronts.begins, len(fronts.slopes)))


class AxisStops:
    """Such movers on a ground: where each stops, and what it has to do there."""

    def __init__(self, tools: AxisTools, ground: Ground) -> None:
        self.tools, self.ground = tools, ground
        self.stops = self._stops(shaved=True)
        self._bites: tuple[Region, list[float]] | None = None
        self._stops_in: tuple[Obstacle, list[float]] | None = None

    @cached_property
    def exact_stops(self) -> list[float]:
        """The same without the 1 µm by which outlines may enter what they touch."""
        stops: list[float] = self._stops(shaved=False).tolist()
        return stops

    def _stops(self, shaved: bool) -> NDArray[np.float64]:
        ground = self.ground
        if ground.added is None:
            return self.tools.stops(ground.part, shaved)
        bare = stops_of(self.tools.movers, ground.bare or ground)
        own = bare.stops if shaved else np.array(bare.exact_stops)
        return self.tools._nearer(own, self.tools.stops(ground.added, shaved))

    def bite(self, place: int, stock: Region) -> float:
        """How far along z one of them, at its stop, is in stock at most; none in any from 0 on."""
        if self._bites is None or self._bites[0] is not stock:
            self._bites = (stock, self.tools.bites(stock, self.stops).tolist())
        return self._bites[1][place]

    def stop_in(self, place: int, kept: Region, obstacle: Obstacle) -> float:
        """Where one of them stops when its body may not enter what stands (`kept` of r >= 0)."""
        if self._stops_in is None or self._stops_in[0] is not obstacle:
            stops = self.stops
            if not kept.empty and kept.bounds[1] < self.tools.wide.max(initial=0.0):
                met = self.tools.body_stops(obstacle)
                clear = kept.bounds[1] >= self.tools.wide
                stops = np.where(clear, stops, self.tools._nearer(stops, met))
            self._stops_in = (obstacle, stops.tolist())
        return self._stops_in[1][place]

    @cached_property
    def touching(self) -> list[bool]:
        """Whether what each covers down to its stop may touch a segment over its whole length."""
        ground = self.ground
        first = np.nonzero(np.diff(ground.edge_segments, prepend=-1))[0]
        counts = np.diff(first, append=len(ground.edge_segments))
        # a segment has to be beside it at both ends, and in the middle
        ends = (
            ground.edge_starts[first],
            ground.edge_starts[first + counts // 2],
            ground.edge_ends[first + counts - 1],
        )
        beside = self.tools.beside(np.concatenate(ends), self.stops, ON_EDGE_MM)
        low, middle, high = np.split(beside, 3, axis=1)
        whole = low & middle & high
        return [any(row) for row in whole.tolist()]


def stops_of(movers: tuple[Mover, ...], ground: Ground) -> AxisStops:
    """Movers from one end on a ground; on one with nothing added the same as before."""
    if ground.added is not None:
        return AxisStops(axis_tools(movers), ground)
    known = ground.memory.get(("on axis", movers))
    if known is None:
        known = ground.memory["on axis", movers] = AxisStops(axis_tools(movers), ground)
    return cast(AxisStops, known)


@lru_cache(maxsize=2048)
def axis_tools(movers: tuple[Mover, ...]) -> AxisTools:
    """Made ready once for all profiles; movers from one end."""
    cutting = [_fronts(mover, False) for mover in movers]
    body = [_fronts(mover, True) for mover in movers]
    return AxisTools(
        movers,
        Fronts.joined(cutting),
        *_begins(cutting),
        Fronts.joined(body),
        *_begins(body),
        np.array(
            [
                max((float(np.abs(p.corners[:, 1]).max()) for p in m.body), default=0.0)
                for m in movers
            ]
        ),
    )


def edges_of(mover: Mover, low: float, high: float) -> tuple[Points, Points]:
    """Edges (n, 2) of r >= 0 round all that a mover's cutting outlines cover from z low to high.

    Some lie within: they are nearer than all others to no point outside.
    """
    starts, ends, moves, more = _edges(mover)
    shift = np.where(moves, high, low)
    last = np.where(more, high, low)
    a, b = starts.copy(), ends.copy()
    a[:, 0] += shift
    b[:, 0] += last
    return a, b


@lru_cache(maxsize=4096)
def _edges(mover: Mover) -> tuple[Points, Points, NDArray[np.bool_], NDArray[np.bool_]]:
    """The edges at either end and what joins them, and which of their ends go to the high end."""
    starts, ends, moves, more = [np.zeros((0, 2))], [np.zeros((0, 2))], [], []
    for piece in mover.cutting:
        after = np.concatenate((piece.corners[1:], piece.corners[:1]))
        for first, last in ((False, False), (True, True)):
            starts.append(piece.corners)
            ends.append(after)
            moves += [first] * len(after)
            more += [last] * len(after)
        # the corners farthest in and out draw the lines along
        for corner in (int(piece.corners[:, 1].argmin()), int(piece.corners[:, 1].argmax())):
            starts.append(piece.corners[corner : corner + 1])
            ends.append(piece.corners[corner : corner + 1])
            moves.append(False)
            more.append(True)
    a, b = np.concatenate(starts), np.concatenate(ends)
    ahead = np.array(moves, dtype=bool), np.array(more, dtype=bool)
    kept = np.maximum(a[:, 1], b[:, 1]) >= 0.0
    a, b, first_moves, last_moves = a[kept], b[kept], ahead[0][kept], ahead[1][kept]
    for one, other in ((a.copy(), b), (b.copy(), a)):
        # cut off at the axis
        low = other[:, 1] < 0.0
        share = one[low, 1] / (one[low, 1] - other[low, 1])
        other[low, 0] = one[low, 0] + share * (other[low, 0] - one[low, 0])
        other[low, 1] = 0.0
    return a, b, first_moves, last_moves


@lru_cache(maxsize=4096)
def _fronts(mover: Mover, body: bool) -> Fronts:
    return Fronts.of(mover.body if body else mover.cutting, mover.from_high)


def _begins(fronts: Sequence[Fronts]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    counts = np.array([len(one.begins) for one in fronts], dtype=np.int64)
    some = counts > 0
    return (np.cumsum(counts) - counts)[some], np.nonzero(some)[0]
