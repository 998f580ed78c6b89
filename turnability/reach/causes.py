"""Why a region is left: take one constraint from one tool at a time and see what it then cuts."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Point, Ring
from turnability.half_plane.distances import distances, gaps_to
from turnability.half_plane.regions import Region, box
from turnability.reach.asked import Asked
from turnability.reach.left import LeftRegion
from turnability.reach.model import Needed
from turnability.reach.needed import needed_of
from turnability.reach.outline import bare_outlines, mover_of
from turnability.reach.place import BESIDE_MM, place_of
from turnability.reach.relax import Relaxed, relaxed_of, several_of
from turnability.reach.removal import Removal, Work
from turnability.reach.stock import Standing, is_room
from turnability.shop.model import Cause, Outlines, Tool

CLEARED = 0.99
"""Share of a region that must go when a constraint is taken away (report contract)."""
NEAREST = 5
"""How many tools are asked for further causes once one is known."""
MOST_ALIKE = 12
"""Of so many those of the kind that comes nearest are asked as well."""
ALL_BUT = 1e-4
"""Share of a region that may stay with the number a tool needs, beside what stays without that
constraint at all: what 1 % of a groove leaves at its floor is told as left again."""
MOST_ROUNDS = 100
MOST_TRIED = 40
"""Rounds for a trial of a number."""
SLOW_AFTER, SLOW = 5, 0.5
"""Rounds after which one that will do less than this share in all its rounds is given up."""
SEVERAL_ROUNDS = 80
"""Rounds in all for finding several constraints together for one region."""
NUMBER_ROUNDS = 150
"""Rounds in all for trials of numbers; the largest regions come first."""
FOLLOWING_ROUNDS = 20
"""Rounds for a bar that follows a drill."""
_FOLLOWED = 0.5
"""Share of a region that a drill alone must take before bars are asked to follow it."""
_ORDER: tuple[Cause, ...] = get_args(Cause)
_FAR_SIDE: frozenset[Cause] = frozenset(("entry-bore", "opposite-wall"))


@dataclass(frozen=True, slots=True)
class Why:
    """What stops the tools from a region, the tool that comes nearest, and the number it needs.

    `nearest_causes` are those of the causes that stop the nearest tool.
    """

    causes: tuple[Cause, ...]
    nearest_tool: str | None
    needed: Needed | None
    nearest_causes: tuple[Cause, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Hand:
    """A tool from every end it works from."""

    tool: Tool
    works: tuple[Work, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Try:
    hand: _Hand
    relaxed: Relaxed


class _Trials:
    """Relaxed tools tried in the state at the end; what is tried once is not tried again."""

    def __init__(
        self,
        removal: Removal,
        regions: Sequence[LeftRegion],
        one_end_only: bool,
    ) -> None:
        self.removal, self.regions, self.one_end_only = removal, regions, one_end_only
        self.rounds = 0
        self.numbers = 0
        self.places = [place_of(removal, region) for region in regions]
        self._bare: dict[Hashable, tuple[tuple[Ring, ...], Asked]] = {}
        self._asked: dict[Hashable, Asked] = {}
        self._limits: dict[Hashable, Region] = {}
        self._cleared: dict[tuple[int, int], tuple[_Try, list[int]]] = {}

    def options(self, tool: Tool) -> Sequence[Relaxed]:
        """What can be taken from a tool."""
        return relaxed_of(tool, self.one_end_only)

    def clears(self, one: _Try, region: int) -> bool:
        """Does a relaxed tool clear the region at this place?"""
        key = (id(one.hand.tool), id(one.relaxed.outlines))
        if key not in self._cleared:
            self._cleared[key] = (one, self._tried(one))
        return region in self._cleared[key][1]

    def _tried(self, one: _Try) -> list[int]:
        tool, outlines = one.hand.tool, one.relaxed.outlines
        hopeful = [
            i for i, place in enumerate(self.places) if place.takes(tool.access, one.relaxed.causes)
        ]
        if not hopeful:
            return []
        # without any body it would remove the most
        bare = [self._without_body(work, outlines.cutting) for work in one.hand.works]
        hopeful = self._within_limits(bare, hopeful)
        if not hopeful or (not outlines.body and tool.access == "outer"):
            return hopeful
        asked = bare
        if outlines.body or outlines.below:
            asked = [self.asked(work, outlines) for work in one.hand.works]
        return self.alone(asked, hopeful)

    def _within_limits(self, ends: Sequence[Asked], hopeful: Sequence[int]) -> list[int]:
        """Which regions it could clear from all ends together, if no stock stood in its way."""
        least = _FOLLOWED if ends[0].mover.on_axis else CLEARED
        if ends[0].mover.on_axis:
            # it stays on the axis: what lies farther out it never meets
            radius = max(one.mover.cutting_box[3] for one in ends)
            hopeful = [i for i in hopeful if self.regions[i].region.bounds[1] < radius]
            if not hopeful:
                return []
        near = _around(self.regions[i].region for i in hopeful)
        cut: dict[int, Region] = {}
        found: list[int] = []
        for asked in dict.fromkeys(ends):
            key = (asked.mover.key, near)
            limit = self._limits.get(key)
            if limit is None:
                limit = self._limits[key] = asked.limit_near(near)
            for i in [i for i in hopeful if i not in found]:
                region = self.regions[i].region
                if region.is_near(limit):
                    mine = region & limit
                    cut[i] = cut[i] | mine if i in cut else mine
                    if cut[i].area >= least * region.area:
                        found.append(i)
            if len(found) == len(hopeful):
                break
        return [i for i in hopeful if i in found]

    def alone(
        self, ends: Sequence[Asked], hopeful: Sequence[int], most_rounds: int = MOST_ROUNDS
    ) -> list[int]:
        """Which regions a tool clears in the state at the end, of those that it may.

        One that creeps on for so many rounds is no way to work, and is taken not to clear them.
        Bars follow a drill that took most of a region.
        """
        stay = {i: (1.0 - CLEARED) * self.regions[i].region.area for i in hopeful}
        left = self.left_alone(ends, hopeful, most_rounds, stay)
        return [i for i, area in left.items() if area <= stay[i]]

    def left_alone(
        self,
        ends: Sequence[Asked],
        hopeful: Sequence[int],
        most_rounds: int,
        stay: Mapping[int, float],
    ) -> dict[int, float]:
        """Area in mm2 that it leaves so of each region that it may clear.

        It stops where no more than `stay` is left of any.
        """
        state = self.removal.standing
        # what no stock kept it from, and the part does, it never clears
        hopeful = self._within_limits(ends, hopeful)
        rest = {i: self.regions[i].region for i in hopeful}
        for asked in ends:
            if any(left.area > stay[i] for i, left in rest.items()):
                state = self._onward(asked, state, rest, most_rounds, stay)
        if ends[0].mover.on_axis:
            for i in hopeful:
                if rest[i].area > (1.0 - _FOLLOWED) * self.regions[i].region.area:
                    continue
                for follower in self._followers(rest[i]):
                    if rest[i].area <= stay[i]:
                        break
                    mine = {i: rest[i]}
                    state = self._onward(follower, state, mine, FOLLOWING_ROUNDS, stay)
                    rest |= mine
        return {i: left.area for i, left in rest.items()}

    def _onward(
        self,
        asked: Asked,
        state: Standing,
        rest: dict[int, Region],
        most_rounds: int,
        stay: Mapping[int, float],
    ) -> Standing:
        """The state when one tool has done what it can; what it cuts of regions leaves `rest`."""
        exactly = False
        cut = 0.0
        for rounds in range(1, most_rounds + 1):
            if state.stock.empty:
                break
            self.rounds += 1
            near = state.stock.bounds
            places = asked.places(state) if exactly else asked.quick(state, near)
            new = asked.cut(places, state.stock)
            if is_room(new) and rounds <= len(asked.feeds):
                self.rounds += 1
                new = new | asked.cut(asked.slices(asked.feeds[rounds - 1], state), state.stock)
            for i, left in rest.items():
                rest[i] = left - new
            wanted = [left.area - stay[i] for i, left in rest.items()]
            wanted = [area for area in wanted if area > 0.0]
            if not wanted:
                break
            cut += new.area
            # all that still stands is left regions: at this pace, will it ever be there?
            if rounds >= SLOW_AFTER and cut / rounds * most_rounds < SLOW * min(wanted):
                break
            if is_room(new):
                state = state.without(new)
            elif exactly:
                break
            else:
                exactly = True
        return state

    def _followers(self, rest: Region) -> list[Asked]:
        """The sturdiest bars that could take the rest."""
        bars = sorted(
            (work for work in self.removal.works if work.tool.access == "inner"),
            key=lambda work: work.tool.weight,
        )
        least = 0.5 * rest.area
        return [w.asked for w in bars if (w.asked.limit() & rest).area >= least][:3]

    def _without_body(self, work: Work, cutting: tuple[Ring, ...]) -> Asked:
        key = (id(work), *map(id, cutting))
        if key not in self._bare:
            # the outline is kept, for the ids of others could be the same after it
            self._bare[key] = (cutting, self.asked(work, bare_outlines(cutting)))
        return self._bare[key][1]

    def asked(self, work: Work, outlines: Outlines) -> Asked:
        """The tool with these outlines from the same end."""
        tool, ground = work.tool, self.removal.ground
        mover = mover_of(outlines, tool.access, tool.on_axis, work.toward, ground)
        if mover.key not in self._asked:
            self._asked[mover.key] = Asked(tool, mover, ground)
        return self._asked[mover.key]


def causes_of(
    removal: Removal, regions: Sequence[LeftRegion], numbers: bool = True
) -> tuple[Why, ...]:
    """One answer for each region, tried in the state that all tools leave at the end.

    A cause is a constraint whose removal alone, for one tool, clears at least 99 % of the region;
    where no single one does for any tool, the fewest that do so together; else "no-tool". Tools are
    tried where their kind works (bars inside, outside tools where no part stands above), those that
    come nearest first; once a cause is known, only the nearest few are asked for more. Without
    `numbers` nothing is said of what a tool would need.
    """
    if not regions:
        return ()
    ends = {work.toward for work in removal.works}
    by_tool: dict[int, list[Work]] = {}
    for work in removal.works:
        by_tool.setdefault(id(work.tool), []).append(work)
    hands = [_Hand(works[0].tool, tuple(works)) for works in by_tool.values()]
    trials = _Trials(removal, regions, len(ends) < 2)
    gaps = _gaps(removal, hands, regions)
    by_size = sorted(range(len(regions)), key=lambda i: -regions[i].area_mm2)
    found = {place: _why(trials, place, hands, gaps[place], numbers) for place in by_size}
    return tuple(found[place] for place in range(len(regions)))


def _why(
    trials: _Trials,
    place: int,
    hands: Sequence[_Hand],
    gaps: NDArray[np.float64],
    numbers: bool,
) -> Why:
    how = trials.places[place]
    order = sorted(
        range(len(hands)),
        key=lambda i: (
            how.inside and hands[i].tool.access == "outer",
            round(float(gaps[i]), 2),
            hands[i].tool.weight,
        ),
    )
    nearest = [hands[i] for i in order if hands[i].tool.access in how.access]
    tries = _singles(trials, place, nearest) or _several(trials, place, nearest)
    left = trials.regions[place]
    if not tries:
        named = nearest or [hands[i] for i in order]
        return Why(("no-tool",), named[0].tool.name if named else None, None)
    names = {cause for one in tries for cause in one.relaxed.causes}
    nearest_tool = tries[0].hand.tool
    own = {c for one in tries if one.hand.tool is nearest_tool for c in one.relaxed.causes}
    if names & _FAR_SIDE:
        # one outline stands for both: a bar that got in meets the opposite wall, else the entry
        got_in = any(
            _got_in(work, left, trials.removal.ground.envelope)
            for one in tries
            if _FAR_SIDE & set(one.relaxed.causes)
            for work in one.hand.works
        )
        told: Cause = "opposite-wall" if got_in else "entry-bore"
        names = {*(names - _FAR_SIDE), told}
        own = {*(own - _FAR_SIDE), told} if own & _FAR_SIDE else own
    causes, mine = (tuple(c for c in _ORDER if c in some) for some in (names, own))
    needed = _needed(trials, place, tries[0]) if numbers else None
    return Why(causes, nearest_tool.name, needed, mine)


def _singles(trials: _Trials, place: int, nearest: Sequence[_Hand]) -> list[_Try]:
    tries: list[_Try] = []
    for rank, hand in enumerate(nearest):
        # those like the first are asked too: one blade is too short, the next too wide
        alike = rank < MOST_ALIKE and bool(tries) and hand.tool.kind == tries[0].hand.tool.kind
        if rank >= NEAREST and tries and not alike:
            continue
        for relaxed in trials.options(hand.tool):
            if not trials.places[place].takes(hand.tool.access, relaxed.causes):
                continue
            if all(relaxed.causes != known.relaxed.causes for known in tries):
                one = _Try(hand, relaxed)
                tries += [one] if trials.clears(one, place) else []
    if any(one.relaxed.causes == ("face-groove-curve",) for one in tries):
        # a narrower blade for the same range is less tall, and goes in for that
        tries = [one for one in tries if one.relaxed.causes != ("blade-width",)]
    return tries


def _several(trials: _Trials, place: int, nearest: Sequence[_Hand]) -> list[_Try]:
    """The fewest constraints that do it together; a holder is blamed last, a flank before it."""
    how = trials.places[place]
    enough = trials.rounds + SEVERAL_ROUNDS
    for count, most in ((2, 2 * NEAREST), (3, NEAREST)):
        for last in (None, "trailing-edge", "holder"):
            for hand in nearest[:most]:
                for several in several_of(hand.tool, trials.options(hand.tool), count):
                    blamed = [c for c in ("holder", "trailing-edge") if c in several.causes]
                    if next(iter(blamed), None) != last:
                        continue
                    if count > 2 and (blamed or "nose-radius" not in several.causes):
                        continue  # that much changed is another tool
                    if trials.rounds > enough:
                        return []
                    one = _Try(hand, several)
                    if how.takes(hand.tool.access, several.causes) and trials.clears(one, place):
                        return [one]
    return []


def _got_in(work: Work, left: LeftRegion, envelope: Region) -> bool:
    """Does the tool cut beside (or before) the region as far down as at least half of it lies?"""
    z0, _, z1, r1 = left.region.bounds
    beside = work.swept & envelope & box(z0, 0.0, z1, r1 + BESIDE_MM)
    if beside.empty:
        return False
    a, _, b, _ = beside.bounds
    return min(b, z1) - max(a, z0) >= 0.5 * (z1 - z0)


def _gaps(
    removal: Removal, hands: Sequence[_Hand], regions: Sequence[LeftRegion]
) -> NDArray[np.float64]:
    """How near each tool comes to each region's deepest corner, mm: (regions, tools)."""
    gaps = np.full((len(regions), len(hands)), np.inf)
    points = np.array([_innermost(region, removal.standing.gone) for region in regions])
    edges = [(k, *work.edges()) for k, hand in enumerate(hands) for work in hand.works]
    edges = [one for one in edges if len(one[1])]
    if not edges:
        return gaps
    starts, ends = (np.concatenate([one[side] for one in edges]) for side in (1, 2))
    begins = np.cumsum([0, *(len(one[1]) for one in edges)])[:-1]
    whose = np.array([one[0] for one in edges])
    for row, point in zip(gaps, points, strict=True):
        near = np.minimum.reduceat(gaps_to(point, starts, ends), begins)
        np.minimum.at(row, whose, near)
    return gaps


def _innermost(left: LeftRegion, gone: Region) -> Point:
    corners = np.asarray(left.polygon)
    if gone.empty:
        return left.polygon[0]
    return left.polygon[int(distances(corners, *gone.edges()).argmax())]


def _around(regions: Iterable[Region]) -> tuple[float, float, float, float]:
    bounds = np.array([region.bounds for region in regions])
    (z0, r0), (z1, r1) = bounds[:, :2].min(axis=0).tolist(), bounds[:, 2:].max(axis=0).tolist()
    return z0, r0, z1, r1


def _needed(trials: _Trials, place: int, one: _Try) -> Needed | None:
    left, works = trials.regions[place], one.hand.works

    may = (1.0 - CLEARED) * left.region.area
    stays: list[float] = []

    def clears(outlines: Outlines) -> bool:
        before = trials.rounds
        ends = [trials.asked(work, outlines) for work in works]
        # the first that clears it is as good as no constraint: no number does more
        most = min(stays[0] + ALL_BUT * left.region.area, may) if stays else may
        stop = {place: most if stays else 0.0}
        rest = trials.left_alone(ends, [place], MOST_TRIED, stop).get(place, math.inf)
        trials.numbers += trials.rounds - before
        if rest > most:
            return False
        stays.append(rest)
        return True

    profile, worth = trials.removal.ground.profile, trials.numbers < NUMBER_ROUNDS
    return needed_of(one.hand.tool, one.relaxed, left, profile, clears if worth else None)
