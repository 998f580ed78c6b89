"""One tool from one end: where it may be and what it removes, in any state of the stock."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from functools import lru_cache
from typing import cast

import numpy as np

from turnability.half_plane.contact import Fronts, first_contacts, run_along
from turnability.half_plane.curves import Point, Points
from turnability.half_plane.places import (
    Obstacle,
    Places,
    Span,
    exact_places,
    exact_places_on_axis,
    joined_to,
    line_places,
    reachable_on_axis,
    reachable_span,
)
from turnability.half_plane.regions import Region, box, box_ring, nothing, whole_rings
from turnability.half_plane.sums import cycles
from turnability.reach.ground import Ground
from turnability.reach.model import Toward
from turnability.reach.outline import Mover, mover_of, passes_of
from turnability.reach.stock import Standing
from turnability.shop.model import Tool

Box = tuple[float, float, float, float]
"""Least z, least r, greatest z, greatest r."""
_EDGE_MM = 0.1
_AS_FREE_MM2 = 1e-9


class Asked:
    """One tool from one end while the stock goes: keeps what does not change between askings."""

    def __init__(self, tool: Tool, mover: Mover, ground: Ground) -> None:
        self.tool, self.mover, self.ground = tool, mover, ground
        self._window: tuple[Points, Point] | None = None
        self._limit: Region | None = None
        self._memory: dict[Hashable, Region] = {}
        self._added_stop: float | None = None

    @property
    def window(self) -> Points:
        """Where the point may go."""
        return self._around()[0]

    @property
    def start(self) -> Point:
        """Where it starts from outside."""
        bare = self._bare()
        return bare.start if bare is not None else self._around()[1]

    def _around(self) -> tuple[Points, Point]:
        if self._window is None:
            self._window = _window(self.mover, self.ground)
        return self._window

    def quick(self, standing: Standing, near: Box | None = None) -> Places:
        """Free places but those to which only ways of no width lead: enough to let it go on.

        Of those only from where it meets the box `near`.
        """
        return self._tier(standing, near, shaved=False)

    def touching(self, standing: Standing) -> Places:
        """Free places and those up to 1 µm into what they touch, with those without width."""
        return self._tier(standing, None, shaved=True)

    def places(self, standing: Standing) -> Places:
        """Free places in a state."""
        if self.mover.on_axis:
            shaved = [*self._by_part(shaved=True).rings(), *self._by_stock(standing, shaved=True)]
            exact = [*self._by_part(shaved=False).rings(), *self._by_stock(standing, shaved=False)]
            around, span = reachable_on_axis(shaved, self.window, self.mover.from_high)
            spans = exact_places_on_axis(around, span, exact, self.window) if span else []
            return line_places(spans, self._along())
        reach = self._reachable(standing, shaved=True) & box(*self._useful(None))
        stock = self._by_stock(standing, shaved=False)
        blocked = Region.of([*self._by_part(shaved=False).rings(), *stock])
        return exact_places(reach, blocked)

    def in_passes(self, standing: Standing) -> Region:
        """What it removes in straight passes from far outside, cutting its own way.

        The body may follow in the track that the edge has cut, which round by round it does in
        steps as small as the edge stands out before it.
        """
        mover, found = self.mover, nothing()
        if standing.stock.empty:
            return found
        z0, r0, z1, r1 = self._useful(standing.stock.bounds)
        # what is cut at r < 0 is not gone, so none of the edge may be there
        low = max(r0, -mover.cutting_box[1])
        if r1 <= low:
            return found
        (a0, _), (a1, b1) = self.window[0].tolist(), self.window[2].tolist()
        by_part = self._by_part(shaved=False)
        for one in passes_of(mover):
            # only what stands in the way of places of use, on their way from outside
            way = (a0, low, a1, r1) if one.along_z else (z0, low, z1, b1)
            part = (by_part & box(*way)).rings()
            blocked = part + cycles(standing.obstacle.traced(shaved=False), one.body_negated)
            if mover.access == "inner":
                core = standing.core.traced(shaved=False)
                blocked += cycles(core, mover.cutting_negated + mover.body_negated)
            closed = Region.of(blocked) & box(*way)
            free = box(z0, low, z1, r1) - closed
            free = free - Region.of(cycles(whole_rings(closed), [one.ahead]))
            found = found | self.swept(Places(free, nothing()))
        return found

    def swept(self, places: Places) -> Region:
        """What the cutting outline covers over places, at r >= 0, in and beside the envelope."""
        if places.empty or not self.mover.cutting:
            return nothing()
        return places.swept(self.mover.cutting) & self._frame()

    def limit(self) -> Region:
        """All that it could ever remove, and 1 µm more: what it sweeps where no stock stands."""
        memory, key = self.ground.memory, ("limit", self.mover.key)
        if self._limit is None and self.ground.added is None:
            self._limit = memory.get(key)
        if self._limit is None:
            if self.mover.on_axis:
                self._limit = self._bored(self._contact())
            else:
                free = self._freed_of_use()
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
        return known if known is not None else _asked(self.tool, self.mover, bare).limit()

    def swept_at_last(self, standing: Standing) -> Region:
        """What it sweeps from the places where it touches, up to 1 µm into what it touches."""
        if standing.kept.empty or self.limit().empty:
            return self.limit()
        if not self.mover.on_axis:
            blocked = self._by_stock(standing, shaved=True)
            if (self._freed_of_use() & Region.of(blocked)).empty:
                return self.limit()
            return self.swept(self.touching(standing))
        wide = max((float(np.abs(b.corners[:, 1]).max()) for b in self.mover.body), default=0.0)
        if standing.kept.bounds[1] >= wide:
            return self.limit()
        starts, ends = standing.obstacle.edges(shaved=True)
        from_high = self.mover.from_high
        fronts = Fronts.of(self.mover.body, from_high)
        stops = first_contacts(starts, ends, fronts, from_high)
        own = self._contact()
        at = max([own, *stops]) if from_high else min([own, *stops])
        return self.limit() if at == own else self._bored(at)

    def limit_near(self, near: Box) -> Region:
        """Its limit as far as that lies in a box, maybe more of it."""
        if self._limit is not None or self.mover.on_axis:
            return self.limit()
        free = self._freed(shaved=True) & box(*self._useful(near))
        return Places(free, nothing()).swept(self.mover.cutting)

    # ------------------------------------------------------------- what blocks

    def _by_part(self, shaved: bool) -> Region:
        """Where an outline overlaps the part, or what a setup adds to it."""
        key, memory = ("part", self.mover.key, shaved), self.ground.memory
        pieces = self.mover.cutting_negated + self.mover.body_negated
        if key not in memory:
            blocked = cycles(self.ground.part.traced(shaved), pieces)
            for height, below in self.mover.below_negated:
                blocked += cycles(self.ground.part_at(height).traced(shaved), below)
            memory[key] = Region.of(blocked)
        found = cast(Region, memory[key])
        if self.ground.added is None:
            return found
        return found | Region.of(cycles(self.ground.added.traced(shaved), pieces))

    def _by_stock(self, standing: Standing, shaved: bool) -> list[Points]:
        """Cycles of the places where an outline overlaps stock that it may not enter."""
        mover = self.mover
        blocked = cycles(standing.obstacle.traced(shaved), mover.body_negated)
        for height, below in mover.below_negated:
            blocked += cycles(standing.obstacle_at(height).traced(shaved), below)
        if mover.access == "inner":
            blocked += cycles(standing.core.traced(shaved), mover.cutting_negated)
        return blocked

    # ------------------------------------------------------------- where it may be

    def _freed(self, shaved: bool) -> Region:
        """Free places where no stock stands, joined to the outside."""
        ground, key = self.ground, ("freed", self.mover.key, shaved)
        memory = ground.memory if ground.added is None else self._memory
        known = memory.get(key)
        if known is None:
            bare = self._bare()
            if bare is not None and ground.added is not None:
                # what is added only ever takes away
                pieces = self.mover.cutting_negated + self.mover.body_negated
                added = Region.of(cycles(ground.added.traced(shaved), pieces))
                known = joined_to(bare._freed(shaved) - added, bare.start)
            else:
                free = Region.of([self.window]) - self._by_part(shaved)
                known = joined_to(free, self.start)
            memory[key] = known
        return cast(Region, known)

    def _is_as_free(self, free: Region) -> bool:
        """Are these, some of its places of use where no stock stands, all of them?"""
        return self._freed_of_use().area - free.area <= _AS_FREE_MM2

    def _freed_of_use(self) -> Region:
        """Those of its places, up to 1 µm into what it touches, where it can meet the envelope."""
        known = self._memory.get("freed of use")
        if known is None:
            known = self._freed(shaved=True) & box(*self._useful(None))
            self._memory["freed of use"] = known
        return known

    def _bare(self) -> Asked | None:
        """The same with nothing added; None on such ground, or where its window is too small."""
        bare = self.ground.bare
        if bare is None:
            return None
        # a tool farther off than it reaches goes round what is added in either window
        alone, around = _asked(self.tool, self.mover, bare), self.mover.reach + 1.0
        (low, down), (high, up) = alone.window[0].tolist(), alone.window[2].tolist()
        z0, r0, z1, r1 = self.ground.bounds
        beside = min(z0 - low, r0 - down, high - z1, up - r1)
        return alone if beside >= around else None

    def _reachable(self, standing: Standing, shaved: bool) -> Region:
        free = self._freed(shaved)
        blocked = self._by_stock(standing, shaved)
        if free.empty or not blocked:
            return free
        return joined_to(free - Region.of(blocked), self.start)

    def _tier(self, standing: Standing, near: Box | None, shaved: bool) -> Places:
        if self.mover.on_axis:
            blocked = [*self._by_part(shaved).rings(), *self._by_stock(standing, shaved)]
            span = reachable_span(blocked, self.window, self.mover.from_high)
            return line_places([span] if span else [], self._along())
        useful = box(*self._useful(near))
        return Places(self._reachable(standing, shaved) & useful, nothing())

    def _useful(self, near: Box | None) -> Box:
        """Where its point can be when the cutting outline meets the envelope, or a box."""
        ground = self.ground
        z0, r0, z1, r1 = near or (0.0, 0.0, ground.length, ground.radius)
        c0, d0, c1, d1 = self.mover.cutting_box
        (low, down), (high, up) = self.window[0].tolist(), self.window[2].tolist()
        return (
            max(low, z0 - c1 - _EDGE_MM),
            max(down, r0 - d1 - _EDGE_MM),
            min(high, z1 - c0 + _EDGE_MM),
            min(up, r1 - d0 + _EDGE_MM),
        )

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

    def _contact(self) -> float:
        """Where, coming along the axis, it touches the part or what is added to it."""
        mover, ground = self.mover, self.ground
        key = ("contact", mover.key)
        if key not in ground.memory:
            ground.memory[key] = _stops([mover], ground.part)[0]
        stop = cast(float, ground.memory[key])
        if ground.added is None:
            return stop
        if self._added_stop is None:
            self._added_stop = _stops([mover], ground.added)[0]
        return (max if mover.from_high else min)(stop, self._added_stop)

    def _bored(self, stop: float) -> Region:
        """What its cutting outline covers from far outside down to a stop."""
        key = ("bored", self.mover.key, stop)
        known = self.ground.memory.get(key)
        if known is not None:
            return cast(Region, known)
        along = self._along()
        low, high = (max(stop, along[0]), along[1])
        if not self.mover.from_high:
            low, high = along[0], min(stop, along[1])
        bored = nothing()
        if low < high:
            rings = [run_along(piece, low, high) for piece in self.mover.cutting]
            bored = Region.of(rings) & self._frame()
        self.ground.memory[key] = bored
        return bored


def all_asked(
    ground: Ground, tools: Sequence[Tool], toward: Sequence[Toward]
) -> list[tuple[Tool, Toward, Asked]]:
    """Every tool from every end; those that are the same tool are asked as one."""
    known: dict[Hashable, Asked] = {}
    found = []
    for tool in tools:
        for end in toward:
            mover = mover_of(tool.outlines, tool.access, tool.on_axis, end, ground)
            if mover.key not in known:
                known[mover.key] = _asked(tool, mover, ground)
            found.append((tool, end, known[mover.key]))
    _let_down(list(known.values()))
    return found


def _asked(tool: Tool, mover: Mover, ground: Ground) -> Asked:
    """The tool on that ground; on one with nothing added the same as before."""
    if ground.added is not None:
        return Asked(tool, mover, ground)
    known = ground.memory.get(("asked", mover.key))
    if known is None:
        known = ground.memory["asked", mover.key] = Asked(tool, mover, ground)
    return cast(Asked, known)


def _let_down(asked: Sequence[Asked]) -> None:
    """Find for all tools on the axis at once where they touch: one by one takes much longer."""
    for from_high in (True, False):
        mine = [a for a in asked if a.mover.on_axis and a.mover.from_high is from_high]
        if not mine:
            continue
        ground = mine[0].ground
        new = [a.mover for a in mine if ("contact", a.mover.key) not in ground.memory]
        for mover, stop in zip(new, _stops(new, ground.part), strict=True):
            ground.memory["contact", mover.key] = stop
        if ground.added is not None:
            movers = [a.mover for a in mine]
            for one, stop in zip(mine, _stops(movers, ground.added), strict=True):
                one._added_stop = stop


def _stops(movers: Sequence[Mover], obstacle: Obstacle) -> list[float]:
    """Where each, coming along the axis from one and the same end, touches an obstacle."""
    if not movers:
        return []
    from_high = movers[0].from_high
    fronts = Fronts.joined([_fronts_of(mover) for mover in movers])
    found = first_contacts(*obstacle.edges(shaved=True), fronts, from_high).tolist()
    stops, at = [], 0
    for mover in movers:
        after = at + len(mover.cutting) + len(mover.body)
        nowhere = -np.inf if from_high else np.inf
        stops.append((max if from_high else min)([nowhere, *found[at:after]]))
        at = after
    return stops


@lru_cache(maxsize=4096)
def _fronts_of(mover: Mover) -> Fronts:
    return Fronts.of(mover.cutting + mover.body, mover.from_high)


def _window(mover: Mover, ground: Ground) -> tuple[Points, Point]:
    """Where the point may go, and where it starts from outside."""
    length, radius = ground.length, ground.radius
    z_low, r_low, z_high, r_high = ground.bounds
    around = 2.0 * mover.reach + 0.25 * (length + radius) + 1.0
    low, high = min(0.0, z_low) - around, max(length, z_high) + around
    out = max(radius, r_high, -r_low) + around
    inset = 0.5
    if mover.access == "outer" and not mover.on_axis:
        start = (0.5 * length, out - inset)
    elif mover.from_high:
        start = (high - inset, 0.0)
    else:
        start = (low + inset, 0.0)
    return box_ring(low, -out, high, out), start
