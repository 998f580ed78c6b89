"""What a set of tools removes: the least fixed point of the report contract.

At first nothing is gone. A tool stands where neither outline enters the part and its body no stock
that is still there, along a free path from outside; what its cutting outline covers there at r >= 0
is gone, all round the axis. Each tool repeats alone until it gains nothing, then those whose room
grew are asked again. Only growing room ever lets a tool do more, so the order does not matter.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

from turnability.half_plane.curves import Points, Ring
from turnability.half_plane.places import TOUCH_MM
from turnability.half_plane.regions import Region, nothing
from turnability.part.model import Profile
from turnability.reach.all_asked import all_asked
from turnability.reach.asked import Asked
from turnability.reach.ground import Ground, ground_of
from turnability.reach.model import ENDS, Toward
from turnability.reach.stock import GAINED_MM, Standing, at_first, is_room
from turnability.shop.model import Tool

_ROUNDS = 20_000
_ALONE = 60
"""Rounds after which those that go first are not alone any longer."""
_MOST = 0.5
"""One whose bite is a smaller share of that goes on slice by slice."""
_BITE = 0.1
"""A bite smaller than this share of what a tool could ever take can wait for the others."""


@dataclass(frozen=True, eq=False)
class Work:
    """One tool from one end, in what remains at the end.

    `gained` is the area in mm2 that it was the first to remove.
    """

    tool: Tool
    toward: Toward
    asked: Asked
    gained: float
    _standing: Standing
    _more: Region | None

    @cached_property
    def swept(self) -> Region:
        """What its cutting outline covers at r >= 0 in and beside the envelope.

        Where that removes nothing more, up to 1 µm into what it touches.
        """
        if self._more is not None:
            return self._more
        return self.asked.swept_at_last(self._standing)

    def edges(self) -> tuple[Points, Points]:
        """Edges (n, 2) of what it covers, and some within, quick to tell for one on the axis."""
        if self._more is None and self.asked.mover.on_axis:
            return self.asked.edges_at_last(self._standing)
        return self.swept.edges()


@dataclass(frozen=True, slots=True, eq=False)
class Early:
    """The state in which some tools, alone and asked before all others, remove no more."""

    tools: frozenset[str]
    standing: Standing
    rounds: int


@dataclass(frozen=True, slots=True, eq=False)
class Removal:
    """What a set of tools removes: the state at the end, each tool's share, the rounds it took.

    `early` is the state that tools named to go first left, None where that took them long.
    """

    ground: Ground
    standing: Standing
    works: tuple[Work, ...]
    rounds: int
    early: Early | None

    @property
    def stock(self) -> Region:
        """What no tool removes, at r >= 0, slivers included."""
        return self.standing.stock


def removed_by(
    profile: Profile,
    tools: Sequence[Tool],
    toward: Sequence[Toward] = ENDS,
    obstacles: Sequence[Ring] = (),
    gone_before: Region | None = None,
    first: Collection[str] = (),
) -> Removal:
    """What tools remove from the envelope with the part held at the given ends in turn.

    `obstacles` are outlines (jaws, centres) that neither cutting nor body may enter, `gone_before`
    a region of r >= 0 that is gone already. Tools named in `first` are asked before all others:
    that changes nothing but the time it takes and which tool was first to remove what.
    """
    ground = ground_of(profile, obstacles)
    ends = all_asked(ground, tools, toward)
    asked = list({id(one): one for _, _, one in ends}.values())
    standing, rounds, early = at_first(ground, gone_before), 0, None
    mine = dict.fromkeys((id(one) for one in asked), 0.0)
    before = list({id(one): one for tool, _, one in ends if tool.name in first}.values())
    hopeless: set[int] = set()
    rested: set[int] = set()
    for some, most in ((before, _ALONE), (asked, _ROUNDS)):
        # held, the rest bite off at once what those chosen for both ends only creep through
        patient = some is asked or not obstacles
        standing, gained, took = fixed_point(some, standing, most, hopeless, rested, patient)
        rounds += took
        for one, area in zip(some, gained, strict=True):
            mine[id(one)] += area
        if some is before and took < most:
            rested = {id(one) for one in before}
            early = Early(frozenset(first), standing, took)
    thin = nothing()
    more: dict[int, Region] = {}
    within = standing.accessible
    wide = within.grown(-TOUCH_MM)
    for one in asked if not wide.empty else ():
        if one.mover.on_axis and one.bite(wide) <= 0.0:
            continue  # told of all of them at once
        # one without hope of room may still take what is less; its limit is 1 µm too generous
        if not one.most().meets(wide):
            continue
        if _is_wider(one.most() & within) and (
            one.limit() is one.most() or _is_wider(one.limit() & within)
        ):
            swept = one.swept(one.places(standing))
            # less than room, so nobody is asked again, but gone all the same
            thin = thin | (swept & standing.stock)
            more[id(one)] = swept
    works = tuple(
        Work(tool, end, one, mine.pop(id(one), 0.0), standing, more.get(id(one)))
        for tool, end, one in ends
    )
    standing = standing if thin.empty else standing.without(thin)
    return Removal(ground, standing, works, rounds, early)


def fixed_point(
    asked: Sequence[Asked],
    standing: Standing,
    most_rounds: int = _ROUNDS,
    hopeless: set[int] | None = None,
    rested: Collection[int] = (),
    patient: bool = True,
) -> tuple[Standing, list[float], int]:
    """Let tools remove what they can until none gains room, or for so many rounds.

    Unless `patient` only until all that still gain take small bites: then all rounds are used up.

    Those whose ids are among `hopeless` have nothing left to take, and others found so join them.
    Those among `rested` remove nothing more in this state.
    Gives the state, the area in mm2 that each was the first to remove, and the rounds it took.
    """
    gained = [0.0] * len(asked)
    # stock only ever goes: one without hope is without it for good
    hopeless = set() if hopeless is None else hopeless
    hopes = dict.fromkeys(range(len(asked)), 0.0)
    begun, known = standing, dict[int, Region]()
    for i, one in enumerate(asked):
        if id(one) not in hopeless:
            if one.mover.on_axis:
                hopes[i] = one.hope(standing)
            else:
                known[i] = one.hoped(standing)
                hopes[i] = known[i].area
            if hopes[i] == 0.0:
                hopeless.add(id(one))
    # drills first where stock stands on the axis, for bars follow them
    bored = standing.core.region.empty
    order = sorted(
        (i for i in hopes if hopes[i] > 0.0),
        key=lambda i: (bored or not asked[i].mover.on_axis, -hopes[i]),
    )
    waiting, hopeful = [i for i in order if id(asked[i]) not in rested], set(order)
    # those that take small bites: what others take meanwhile they need not creep through
    creeping: list[int] = []
    rounds, looked = 0, standing
    while (waiting or creeping) and rounds < most_rounds:
        if not waiting and not patient:
            return standing, gained, most_rounds
        alone = not waiting
        index = (waiting or creeping).pop(0)
        one = asked[index]
        grew = exactly = False
        feeds, in_slices = list(one.feeds), False
        while rounds < most_rounds:
            # what is room in the stock has its middle in the state's room: that is quick to tell of
            # all that are asked in a state, once it is worked out
            again, looked = looked is standing, standing
            hoped = known.get(index) if standing is begun else None
            if hoped is None and again and not one.mover.on_axis:
                hoped = one.hoped(standing)
            hope, worth = _hope(one, standing, hoped)
            if not worth:
                hopeful.discard(index)
                break
            if one.mover.on_axis and not is_room(one.swept_at_last(standing) & standing.stock):
                break  # quick to tell: it only slides along
            rounds += 1
            if in_slices:
                new = one.cut(one.slices(feeds.pop(0), standing), standing.stock)
                if is_room(new):
                    gained[index] += new.area
                    standing = standing.without(new)
                    grew = True
                in_slices = bool(feeds)
                continue
            places = one.places(standing) if exactly else one.quick(standing, hope.bounds)
            new = one.cut(places, standing.stock)
            room = is_room(new)
            small = new.area < _BITE * hope.area
            if room or (exactly and not new.empty):
                gained[index] += new.area
                standing = standing.without(new)
            if room:
                grew = True
                if feeds and new.area < _MOST * hope.area:
                    in_slices = True
                elif small and not alone:
                    creeping.append(index)
                    break
            elif exactly or one.mover.on_axis:
                break
            else:
                # up to 1 µm into what it touches it goes no less far
                bound = one.cut(one.touching(standing, hope.bounds), standing.stock)
                if not is_room(bound):
                    break
                exactly = True
        if grew:
            queued = {index, *waiting, *creeping}
            waiting += [i for i in range(len(asked)) if i in hopeful and i not in queued]
    return standing, gained, rounds


def _hope(one: Asked, standing: Standing, hoped: Region | None) -> tuple[Region, bool]:
    """What it could remove, if no stock stood in its way, and whether that is room.

    `hoped` is what it may hope for in that state, where that is known.
    """
    if one.mover.on_axis and one.bite(standing.stock) < GAINED_MM:
        return nothing(), False
    most = one.most()
    hope = most & standing.stock if hoped is None else hoped
    if not is_room(hope if standing.accessible is standing.stock else hope & standing.accessible):
        return hope, False
    limit = one.limit()
    if limit is most:
        return hope, True
    hope = limit & standing.stock
    return hope, is_room(hope)


def _is_wider(region: Region) -> bool:
    """Is it more than touching?"""
    return not region.empty and not region.grown(-TOUCH_MM).empty
