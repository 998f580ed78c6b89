"""One tool from one end: where it may be and what it removes, in any state of the stock."""

from __future__ import annotations

from collections.abc import Hashable
from typing import cast

import numpy as np

from turnability.half_plane.contact import run_along
from turnability.half_plane.curves import Points
from turnability.half_plane.places import (
    TOUCH_MM,
    Box,
    Places,
    Span,
    exact_places,
    exact_places_on_axis,
    line_places,
    open_places,
    reachable_on_axis,
    reachable_span,
)
from turnability.half_plane.regions import Region, box, nothing
from turnability.half_plane.rings import box_ring
from turnability.half_plane.sums import cycles
from turnability.reach.ground import Ground
from turnability.reach.on_axis import AxisStops, axis_tools, edges_of, stops_of
from turnability.reach.outline import ENDLESS_MM, Mover
from turnability.reach.slices import Feed, feeds_of, places_in_slices
from turnability.reach.stock import Standing
from turnability.shop.model import Tool

_EDGE_MM = 0.1
_AS_FREE_MM2 = 1e-9
_TOUCHES_MM = 2.0 * TOUCH_MM
"""What is no wider than this is only touched."""


class Asked:
    """One tool from one end while the stock goes: keeps what does not change between askings."""

    __slots__ = ("_limit", "_memory", "_widest", "_window", "ground", "mover", "on_axis", "tool")

    def __init__(self, tool: Tool, mover: Mover, ground: Ground) -> None:
        self.tool, self.mover, self.ground = tool, mover, ground
        self._window: Box | None = None
        self._widest: Box | None = None
        self._limit: Region | None = None
        self._memory: dict[Hashable, Region] = {}
        self.on_axis: tuple[AxisStops, int] | None = None

    @property
    def window(self) -> Box:
        """Where the point may go."""
        if self._window is None:
            self._window = _window(self.mover, self.ground)
        return self._window

    def quick(self, standing: Standing, near: Box | None = None) -> Places:
        """Free places but those to which only ways of no width lead: enough to let it go on.

        Of those only from where it meets the box `near`.
        """
        return self._tier(standing, near, shaved=False)

    def touching(self, standing: Standing, near: Box | None = None) -> Places:
        """Free places and those up to 1 µm into what they touch, with those without width.

        Of those only from where it meets the box `near`.
        """
        return self._tier(standing, near, shaved=True)

    def places(self, standing: Standing) -> Places:
        """Free places in a state, with those to which only ways of no width lead."""
        if self._lowered:
            return self._tier(standing, None, shaved=False)
        if self.mover.on_axis:
            shaved = [*self._by_part(shaved=True).rings(), *self._by_stock(standing, shaved=True)]
            exact = [*self._by_part(shaved=False).rings(), *self._by_stock(standing, shaved=False)]
            window = box_ring(*self.window)
            around, span = reachable_on_axis(shaved, window, self.mover.from_high)
            spans = exact_places_on_axis(around, span, exact, window) if span else []
            return line_places(spans, self._along())
        reach = self._reachable(standing, self._useful(None), shaved=True)
        stock = self._by_stock(standing, shaved=False)
        blocked = Region.of([*self._by_part(shaved=False).rings(), *stock])
        return exact_places(reach, blocked)

    @property
    def feeds(self) -> tuple[Feed, ...]:
        """The ways in which it may cut slice by slice."""
        return feeds_of(self.mover)

    def in_slices(self, feed: Feed, standing: Standing) -> Region:
        """What it sweeps at once that would else take many rounds: slice by slice as it feeds."""
        return self.swept(self.slices(feed, standing))

    def slices(self, feed: Feed, standing: Standing) -> Places:
        """Where it goes then."""
        if standing.stock.empty:
            return Places(nothing(), nothing())
        useful = self._useful(standing.stock.bounds)
        part = self._by_part(shaved=False)
        free = places_in_slices(feed, self.mover, standing, part, useful, self.window)
        return Places(free, nothing())

    def swept(self, places: Places) -> Region:
        """What the cutting outline covers over places, at r >= 0, in and beside the envelope."""
        return self.cut(places, self._frame())

    def cut(self, places: Places, stock: Region) -> Region:
        """What of some stock it covers over places."""
        if places.empty or not self.mover.cutting:
            return nothing()
        return places.swept(self.mover.cutting) & stock

    def limit(self) -> Region:
        """All that it could ever remove, and 1 µm more: what it sweeps where no stock stands."""
        memory, key = self.ground.memory, ("limit", self.mover.key)
        if self._limit is None and self.ground.added is None:
            self._limit = memory.get(key)
        if self._limit is None:
            if self.mover.on_axis:
                self._limit = self._bored(self._contact())
            else:
                free = self.freed()
                bare = self._bare()
                if bare is not None and bare._is_as_free(free):
                    self._limit = bare.limit()
                else:
                    self._limit = self.swept(Places(free, nothing()))
            if self.ground.added is None:
                memory[key] = self._limit
        return self._limit

    def most(self) -> Region:
        """No less than the limit, and quick to tell: that without jaws, where they are added."""
        bare = self.ground.bare
        if self._limit is not None or bare is None:
            return self.limit()
        known = bare.memory.get(("limit", self.mover.key))
        return known if known is not None else asked_on(self.tool, self.mover, bare).limit()

    def most_box(self) -> Box:
        """A box about all of that, told without its outline for one on the axis."""
        if not self.mover.on_axis:
            return self.most().bounds
        stop, (low, _, high, radius) = self._contact(), self.mover.cutting_box
        if self.mover.from_high:
            return (stop + low, 0.0, np.inf, radius)
        return (-np.inf, 0.0, stop + high, radius)

    def hope(self, standing: Standing) -> float:
        """About what area in mm2 it could remove if no stock stood in its way; 0 if none.

        Of one on the axis no more than a guess is told, quickly.
        """
        if not self.mover.on_axis:
            return self.hoped(standing).area
        bite = self.bite(standing.stock)
        if bite <= _TOUCHES_MM:
            return 0.0
        return min(bite, self.ground.length) * self.mover.cutting_box[3]

    def hoped(self, standing: Standing) -> Region:
        """What it could remove if no stock stood in its way, maybe more; nothing without room."""
        most = self.most()
        return most & standing.stock if most.meets(standing.room) else nothing()

    def bite(self, stock: Region) -> float:
        """How far along z stock reaches, at most, into what one on the axis could ever cover."""
        group, place = self._among()
        return group.bite(place, stock)

    def touches_some(self) -> bool:
        """May what it could ever remove touch a segment over its whole length?"""
        if not self.mover.on_axis:
            return True
        group, place = self._among()
        return group.touching[place]

    def swept_at_last(self, standing: Standing) -> Region:
        """What it sweeps from the places where it touches, up to 1 µm into what it touches."""
        if standing.kept.empty:
            return self.limit()
        if not self.mover.on_axis:
            if self.limit().empty:
                return self.limit()
            blocked = self._by_stock(standing, shaved=True)
            if (self.freed() & Region.of(blocked)).empty:
                return self.limit()
            return self.swept(self.touching(standing))
        at = self.stop_at_last(standing)
        return self.limit() if at == self._contact() else self._bored(at)

    def stop_at_last(self, standing: Standing) -> float:
        """Where one on the axis stops in a state."""
        group, place = self._among()
        return group.stop_in(place, standing.kept, standing.obstacle)

    def edges_at_last(self, standing: Standing) -> tuple[Points, Points]:
        """Edges of what one on the axis covers down to where it stops, and some within, r >= 0."""
        low, high = self._run(self.stop_at_last(standing))
        if low >= high:
            return np.zeros((0, 2)), np.zeros((0, 2))
        return edges_of(self.mover, low, high)

    def limit_near(self, near: Box) -> Region:
        """Its limit as far as that lies in a box, maybe more of it."""
        if self._limit is not None or self.mover.on_axis:
            return self.limit()
        free = open_places(self._by_part(shaved=True), self._useful(near))
        return Places(free, nothing()).swept(self.mover.cutting)

    # ------------------------------------------------------------- what blocks

    def _by_part(self, shaved: bool) -> Region:
        """Where an outline overlaps the part, or what a setup adds to it."""
        key, memory = ("part", self.mover.key, shaved), self.ground.memory
        pieces = self.mover.cutting_negated + self.mover.body_negated
        if key not in memory:
            blocked = cycles(self.ground.part.traced(shaved), pieces)
            for low in self.mover.below_negated:
                blocked += cycles(self.ground.part_at(low.height_mm).traced(shaved), low.pieces)
            memory[key] = Region.of([*blocked, *self._wall(self.ground.bare or self.ground)])
        found = cast(Region, memory[key])
        if self.ground.added is None:
            return found
        known = self._memory.get(key)
        if known is None:
            added = cycles(self.ground.added.traced(shaved), pieces)
            known = Region.of([*found.rings(), *added, *self._wall(self.ground)])
            self._memory[key] = known
        return known

    def _wall(self, ground: Ground) -> list[Points]:
        """A ring that shuts, far off, whatever only a body without end would lead to."""
        mover = self.mover
        if not mover.body:
            return []
        z0, r0, z1, r1 = ground.bounds
        off, around = -0.5 * ENDLESS_MM, mover.reach + 1.0
        if mover.access == "outer":
            return [box_ring(z0 - around, off - 1.0, z1 + around, off)]
        low, high = (off - 1.0, off) if mover.from_high else (-off, 1.0 - off)
        return [box_ring(low, r0 - around, high, r1 + around)]

    def _by_stock(self, standing: Standing, shaved: bool) -> list[Points]:
        """Cycles of the places where an outline overlaps stock that it may not enter."""
        mover = self.mover
        blocked = cycles(standing.obstacle.traced(shaved), mover.body_negated)
        for low in mover.below_negated:
            if not low.part_only:
                blocked += cycles(standing.obstacle_at(low.height_mm).traced(shaved), low.pieces)
        if mover.access == "inner":
            blocked += cycles(standing.core.traced(shaved), mover.cutting_negated)
        return blocked

    # ------------------------------------------------------------- where it may be

    def _is_as_free(self, free: Region) -> bool:
        """Are these, some of its places of use where no stock stands, all of them?"""
        return self.freed().area - free.area <= _AS_FREE_MM2

    def freed(self) -> Region:
        """Those of its places, up to 1 µm into what it touches, where it can meet the envelope."""
        known = self._memory.get("freed of use")
        if known is None:
            known = open_places(self._by_part(shaved=True), self._useful(None))
            self._memory["freed of use"] = known
        return known

    def _bare(self) -> Asked | None:
        """The same with nothing added; None on such ground, or where its window is too small."""
        bare = self.ground.bare
        if bare is None:
            return None
        # a tool farther off than it reaches goes round what is added in either window
        alone, around = asked_on(self.tool, self.mover, bare), self.mover.reach + 1.0
        low, down, high, up = alone.window
        z0, r0, z1, r1 = self.ground.bounds
        beside = min(z0 - low, r0 - down, high - z1, up - r1)
        return alone if beside >= around else None

    def _reachable(self, standing: Standing, within: Box, shaved: bool) -> Region:
        """Free places in a box that are joined to the outside."""
        part, stock = self._by_part(shaved), self._by_stock(standing, shaved)
        if not stock:
            return open_places(part, within)
        # where stock that was cut meets the part, rounding leaves threads between the two
        return open_places(Region.of([*part.rings(), *stock]), within).without_threads()

    def _tier(self, standing: Standing, near: Box | None, shaved: bool) -> Places:
        if self._lowered:
            group, place = self._among()
            stops = group.stops.tolist() if shaved else group.exact_stops
            low, high = self._run(self._nearer(stops[place], standing, shaved))
            return line_places([(low, high)] if low < high else [], self._along())
        if self.mover.on_axis:
            blocked = [*self._by_part(shaved).rings(), *self._by_stock(standing, shaved)]
            span = reachable_span(blocked, box_ring(*self.window), self.mover.from_high)
            return line_places([span] if span else [], self._along())
        return Places(self._reachable(standing, self._useful(near), shaved), nothing())

    def _useful(self, near: Box | None) -> Box:
        """Where its point can be when the cutting outline meets the envelope, or a box."""
        if near is None and self._widest is not None:
            return self._widest
        ground = self.ground
        z0, r0, z1, r1 = near or (0.0, 0.0, ground.length, ground.radius)
        c0, d0, c1, d1 = self.mover.cutting_box
        low, down, high, up = self.window
        useful = (
            max(low, z0 - c1 - _EDGE_MM),
            max(down, r0 - d1 - _EDGE_MM),
            min(high, z1 - c0 + _EDGE_MM),
            min(up, r1 - d0 + _EDGE_MM),
        )
        if near is None:
            self._widest = useful
        return useful

    def _along(self) -> Span:
        z0, _, z1, _ = self._useful(None)
        return z0, z1

    def _frame(self) -> Region:
        ground = self.ground
        known = ground.memory.get("frame")
        if known is None:
            margin = 1.0 + ground.radius
            known = ground.memory["frame"] = box(
                -margin, 0.0, ground.length + margin, ground.radius + margin
            )
        return cast(Region, known)

    # ------------------------------------------------------------- on the axis

    def _among(self) -> tuple[AxisStops, int]:
        """The tools on the axis among which it is asked, and its place there."""
        if self.on_axis is None:
            self.on_axis = (stops_of((self.mover,), self.ground), 0)
        return self.on_axis

    def _contact(self) -> float:
        """Where, coming along the axis, it touches the part or what is added to it."""
        group, place = self._among()
        return float(group.stops[place])

    @property
    def _lowered(self) -> bool:
        """Does it stop where it first touches, with nothing else to heed?"""
        return self.mover.on_axis and self.mover.access != "inner" and not self.mover.below

    def _nearer(self, stop: float, standing: Standing, shaved: bool) -> float:
        """A stop, or where before it the body meets stock."""
        alone = axis_tools((self.mover,))
        if standing.kept.empty or standing.kept.bounds[1] >= alone.wide[0]:
            return stop
        met = float(alone.body_stops(standing.obstacle, shaved)[0])
        return max(stop, met) if self.mover.from_high else min(stop, met)

    def _run(self, stop: float) -> Span:
        """From and to where it moves along the axis when it goes down to a stop."""
        low, high = self._along()
        return (max(stop, low), high) if self.mover.from_high else (low, min(stop, high))

    def _bored(self, stop: float) -> Region:
        """What its cutting outline covers from far outside down to a stop."""
        key = ("bored", self.mover.key, stop)
        known = self.ground.memory.get(key)
        if known is not None:
            return cast(Region, known)
        low, high = self._run(stop)
        bored = nothing()
        if low < high:
            rings = [run_along(piece, low, high) for piece in self.mover.cutting]
            bored = Region.of(rings) & self._frame()
        self.ground.memory[key] = bored
        return bored


def asked_on(tool: Tool, mover: Mover, ground: Ground) -> Asked:
    """The tool on that ground; on one with nothing added the same as before."""
    if ground.added is not None:
        return Asked(tool, mover, ground)
    known = ground.memory.get(("asked", mover.key))
    if known is None:
        known = ground.memory["asked", mover.key] = Asked(tool, mover, ground)
    return cast(Asked, known)


def _window(mover: Mover, ground: Ground) -> Box:
    """Where the point may go."""
    z_low, r_low, z_high, r_high = ground.bounds
    around = 2.0 * mover.reach + 0.25 * (ground.length + ground.radius) + 1.0
    low, high = min(0.0, z_low) - around, max(ground.length, z_high) + around
    out = max(ground.radius, r_high, -r_low) + around
    return (low, -out, high, out)
