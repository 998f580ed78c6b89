"""What a set of tools removes: the least fixed point of the report contract.

At first nothing is gone. A tool stands where neither outline enters the part and its body no stock
that is still there, along a free path from outside; what its cutting outline covers there at r >= 0
is gone, all round the axis. Each tool repeats alone until it gains nothing, then those whose room
grew are asked again. Only growing room ever lets a tool do more, so the order does not matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.half_plane.curves import Point, Points, Ring
from turnability.half_plane.places import (
    TOUCH_MM,
    Obstacle,
    Places,
    Span,
    exact_places,
    exact_places_on_axis,
    line_places,
    overlap,
    reachable,
    reachable_on_axis,
    reachable_span,
)
from turnability.half_plane.regions import Region, box, box_ring, nothing, whole_rings
from turnability.half_plane.sums import cycles
from turnability.part.model import Profile
from turnability.reach.ground import Ground, ground_of
from turnability.reach.model import Toward
from turnability.reach.outline import Mover, mover_of, passes_of
from turnability.reach.stock import Standing, at_first, is_room
from turnability.shop.model import Tool

_ROUNDS = 20_000
_BITE = 0.1
"""A bite smaller than this share of what a tool could ever take can wait for the others."""


class Asked:
    """One tool from one end while the stock goes: keeps what does not change between askings."""

    def __init__(self, tool: Tool, mover: Mover, ground: Ground, like: Asked | None = None) -> None:
        """`like` has the same cutting outline: where the part blocks it is known already."""
        self.tool, self.mover, self.ground = tool, mover, ground
        self._by_part: dict[bool, tuple[Points, ...]] = like._by_part if like else {}
        self.window, self.useful, self.start = _windows(mover, ground)
        margin = 1.0 + ground.radius
        self.frame = Region.of(
            [box_ring(-margin, 0.0, ground.length + margin, ground.radius + margin)]
        )
        self._limit: Region | None = None
        self._body_by_part: tuple[Points, ...] | None = None

    def quick(self, standing: Standing) -> Places:
        """Free places but those to which only ways of no width lead: enough to let it go on."""
        return self._tier(standing.obstacle, self._core(standing), shaved=False)

    def touching(self, standing: Standing) -> Places:
        """Free places and those up to 1 µm into what they touch, with those without width."""
        return self._tier(standing.obstacle, self._core(standing), shaved=True)

    def places(self, standing: Standing) -> Places:
        """Free places in a state."""
        core = self._core(standing)
        shaved = self._blocked(standing.obstacle, core, shaved=True)
        exact = self._blocked(standing.obstacle, core, shaved=False)
        if self.mover.on_axis:
            around, span = reachable_on_axis(shaved, self.window, self.mover.from_high)
            spans = exact_places_on_axis(around, span, exact, self.window) if span else []
            return line_places(spans, self._along())
        reach = reachable(shaved, self.window, self.start) & Region.of([self.useful])
        return exact_places(reach, exact)

    def in_passes(self, standing: Standing) -> Region:
        """What it removes in straight passes from far outside, cutting its own way.

        The body may follow in the track that the edge has cut, which round by round it does in
        steps as small as the edge stands out before it.
        """
        mover, found = self.mover, nothing()
        part = self.ground.part_obstacle.exact
        for one in passes_of(mover):
            if self._body_by_part is None:
                self._body_by_part = overlap(part, mover.body_negated)
            blocked = [*self._part_blocks(shaved=False), *self._body_by_part]
            blocked += cycles(standing.obstacle.exact, one.body_negated)
            core = self._core(standing)
            if core is not None:
                blocked += overlap(core.exact, mover.cutting_negated)
                blocked += overlap(core.exact, mover.body_negated)
            closed = Region.of(blocked)
            # what is cut at r < 0 is not gone, so none of the edge may be there
            low = max(float(self.useful[:, 1].min()), -mover.cutting_box[1])
            (z0, _), (z1, r1) = self.useful.min(axis=0), self.useful.max(axis=0)
            if r1 <= low:
                continue
            free = box(float(z0), low, float(z1), float(r1)) - closed
            free = free - Region.of(cycles(whole_rings(closed), [one.ahead]))
            found = found | self.swept(Places(free, nothing()))
        return found

    def swept(self, places: Places) -> Region:
        """What the cutting outline covers over places, at r >= 0, in and beside the envelope."""
        if places.empty or not self.mover.cutting:
            return nothing()
        return places.swept(self.mover.cutting) & self.frame

    def _core(self, standing: Standing) -> Obstacle | None:
        """What a bar may not enter with its edge either."""
        return standing.core(self.ground) if self.mover.access == "inner" else None

    def limit(self) -> Region:
        """All that it could ever remove, and 1 µm more: what it sweeps where no stock stands."""
        if self._limit is None:
            self._limit = self.swept(self._tier(self.ground.part_obstacle, None, shaved=True))
        return self._limit

    def _blocked(self, obstacle: Obstacle, core: Obstacle | None, shaved: bool) -> list[Points]:
        """Rings of the places where an outline overlaps what it may not enter."""
        mover = self.mover
        blocked = list(self._part_blocks(shaved))
        blocked += cycles(obstacle.shaved if shaved else obstacle.exact, mover.body_negated)
        if core is not None:
            rings = core.shaved if shaved else core.exact
            blocked += overlap(rings, mover.cutting_negated)
            blocked += overlap(rings, mover.body_negated)
        return blocked

    def _part_blocks(self, shaved: bool) -> tuple[Points, ...]:
        mover, part = self.mover, self.ground.part_obstacle
        if shaved not in self._by_part:
            rings = part.shaved if shaved else part.exact
            if mover.on_axis:  # only its windings along one line matter
                self._by_part[shaved] = tuple(cycles(rings, mover.cutting_negated))
            else:
                self._by_part[shaved] = overlap(rings, mover.cutting_negated)
        return self._by_part[shaved]

    def _tier(self, obstacle: Obstacle, core: Obstacle | None, shaved: bool) -> Places:
        blocked = self._blocked(obstacle, core, shaved)
        if self.mover.on_axis:
            span = reachable_span(blocked, self.window, self.mover.from_high)
            return line_places([span] if span else [], self._along())
        reach = reachable(blocked, self.window, self.start)
        return Places(reach & Region.of([self.useful]), nothing())

    def _along(self) -> Span:
        return float(self.useful[:, 0].min()), float(self.useful[:, 0].max())


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """One tool from one end, in what remains at the end.

    `swept` is what its cutting outline covers at r >= 0 in and beside the envelope (where that
    removes nothing more, up to 1 µm into what it touches), `gained` the area in mm2 that it was the
    first to remove.
    """

    asked: Asked
    places: Places
    swept: Region
    gained: float

    @property
    def tool(self) -> Tool:
        """Which tool."""
        return self.asked.tool

    @property
    def toward(self) -> Toward:
        """Which end of the part is held."""
        return self.asked.mover.toward


@dataclass(frozen=True, slots=True, eq=False)
class Removal:
    """What a set of tools removes: the state at the end, each tool's share, the rounds it took."""

    ground: Ground
    standing: Standing
    works: tuple[Work, ...]
    rounds: int

    @property
    def stock(self) -> Region:
        """What no tool removes, at r >= 0, slivers included."""
        return self.standing.stock


def removed_by(
    profile: Profile,
    tools: Sequence[Tool],
    toward: Sequence[Toward] = ("low", "high"),
    obstacles: Sequence[Ring] = (),
    gone_before: Region | None = None,
    *,
    ground: Ground | None = None,
) -> Removal:
    """What tools remove from the envelope with the part held at the given ends in turn.

    `obstacles` are outlines (jaws, centres) that neither cutting nor body may enter, `gone_before`
    a region of r >= 0 that is gone already, `ground` the profile made ready with those obstacles.
    """
    ground = ground or ground_of(profile, obstacles)
    asked = [
        Asked(tool, mover_of(tool.outlines, tool.access, tool.on_axis, end, ground), ground)
        for tool in tools
        for end in toward
    ]
    standing, gained, rounds = fixed_point(asked, at_first(ground, gone_before))
    works = []
    thin = nothing()
    for one, area in zip(asked, gained, strict=True):
        # its limit is 1 µm too generous
        more = not (one.limit() & standing.stock).grown(-TOUCH_MM).empty
        places = one.places(standing) if more else one.touching(standing)
        swept = one.swept(places)
        if more:
            # less than room, so nobody is asked again, but gone all the same
            thin = thin | (swept & standing.stock)
        works.append(Work(one, places, swept, area))
    if not thin.empty:
        standing = standing.without(ground, thin)
    return Removal(ground, standing, tuple(works), rounds)


def fixed_point(
    asked: Sequence[Asked], standing: Standing, most_rounds: int = _ROUNDS
) -> tuple[Standing, list[float], int]:
    """Let tools remove what they can until none gains room, or for so many rounds.

    Gives the state, the area in mm2 that each was the first to remove, and the rounds it took.
    """
    gained = [0.0] * len(asked)
    waiting = list(range(len(asked)))
    waiting.sort(key=lambda i: -(asked[i].limit() & standing.stock).area)
    # those that take small bites: what others take meanwhile they need not creep through
    creeping: list[int] = []
    rounds = 0
    while (waiting or creeping) and rounds < most_rounds:
        patient = not waiting
        index = (waiting or creeping).pop(0)
        one = asked[index]
        grew = exactly = False
        straight = True
        while rounds < most_rounds:
            if not may_gain(one, standing):
                break
            rounds += 1
            swept = one.swept(one.places(standing) if exactly else one.quick(standing))
            new = swept & standing.stock
            room = is_room(new)
            small = new.area < _BITE * (one.limit() & standing.stock).area
            if room and small and straight:
                passed = one.in_passes(standing) & standing.stock
                straight = is_room(passed - new)
                if straight:
                    swept = swept | passed
                    new = swept & standing.stock
                    small = new.area < _BITE * (one.limit() & standing.stock).area
            if room or (exactly and not new.empty):
                gained[index] += new.area
                standing = standing.without(one.ground, new)
            if room:
                grew = True
                if small and not patient:
                    creeping.append(index)
                    break
            elif exactly:
                break
            else:
                exactly = True
        if grew:
            queued = {index, *waiting, *creeping}
            waiting += [i for i in range(len(asked)) if i not in queued]
    return standing, gained, rounds


def may_gain(one: Asked, standing: Standing) -> bool:
    """Could it remove anything more, if no stock stood in its way?"""
    return is_room(one.limit() & standing.stock)


def _windows(mover: Mover, ground: Ground) -> tuple[Points, Points, Point]:
    """Where the point may go, where it matters, and where it starts from outside."""
    length, radius = ground.length, ground.radius
    z_low, r_low, z_high, r_high = ground.part.bounds
    around = 2.0 * mover.reach + 0.25 * (length + radius) + 1.0
    low, high = min(0.0, z_low) - around, max(length, z_high) + around
    out = max(radius, r_high, -r_low) + around
    window = box_ring(low, -out, high, out)
    # where the cutting outline could meet the envelope at r >= 0
    z0, r0, z1, r1 = mover.cutting_box
    edge = 0.1
    useful = box_ring(
        max(low, -z1 - edge),
        max(-out, -r1 - edge),
        min(high, length - z0 + edge),
        min(out, radius - r0 + edge),
    )
    inset = 0.5
    if mover.access == "outer" and not mover.on_axis:
        start = (0.5 * length, out - inset)
    elif mover.from_high:
        start = (high - inset, 0.0)
    else:
        start = (low + inset, 0.0)
    return window, useful, start
