"""Why a region is left: take one constraint from one tool at a time and see what it then cuts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Point, Ring
from turnability.half_plane.regions import Region, box
from turnability.reach.left import LeftRegion, distances
from turnability.reach.model import Needed
from turnability.reach.outline import mover_of
from turnability.reach.relax import Relaxed, halfway, relaxed_of, together
from turnability.reach.removal import Asked, Removal, Work
from turnability.reach.stock import is_room
from turnability.shop.model import Access, Cause, Outlines

CLEARED = 0.99
"""Share of a region that must go when a constraint is taken away (report contract)."""
NEAREST = 8
"""How many tools and ends are asked for further causes once one is known."""
MOST_ROUNDS = 100
_ORDER: tuple[Cause, ...] = get_args(Cause)
_BESIDE_MM = 0.05


@dataclass(frozen=True, slots=True)
class Why:
    """What stops the tools from a region, the tool that comes nearest, and the number it needs."""

    causes: tuple[Cause, ...]
    nearest_tool: str | None
    needed: Needed | None


@dataclass(frozen=True, slots=True, eq=False)
class _Try:
    work: Work
    relaxed: Relaxed


class _Trials:
    """Relaxed tools tried in the state at the end; what is tried once is not tried again."""

    def __init__(self, removal: Removal, regions: Sequence[LeftRegion]) -> None:
        self.removal, self.regions = removal, regions
        self.concerned = [_concerned(removal, region) for region in regions]
        self._bare: dict[tuple[int, tuple[Ring, ...]], Asked] = {}
        self._cleared: dict[tuple[int, Outlines], list[int]] = {}

    def clears(self, one: _Try, region: int) -> bool:
        """Does a relaxed tool clear the region at this place?"""
        key = (id(one.work), one.relaxed.outlines)
        if key not in self._cleared:
            self._cleared[key] = self._tried(one.work, one.relaxed.outlines)
        return region in self._cleared[key]

    def _tried(self, work: Work, outlines: Outlines) -> list[int]:
        hopeful = [i for i, names in enumerate(self.concerned) if work.tool.access in names]
        # without any body it would remove the most
        bare = self._without_body(work, outlines.cutting)
        hopeful = [i for i in hopeful if _covers(bare.limit(), self.regions[i])]
        if not hopeful or (not outlines.body and work.tool.access != "inner"):
            return hopeful
        asked = self.asked(work, outlines, bare) if outlines.body else bare
        return [i for i in hopeful if _is_cleared(self.alone(asked, hopeful), self.regions[i])]

    def alone(self, asked: Asked, hopeful: Sequence[int]) -> Region:
        """What a tool removes by itself in the state at the end, until it clears the regions.

        One that creeps on for `MOST_ROUNDS` is no way to work, and is taken not to clear them.
        """
        state = self.removal.standing
        gone = state.gone
        exactly = False
        for _ in range(MOST_ROUNDS):
            places = asked.places(state) if exactly else asked.quick(state)
            new = asked.swept(places) & state.stock
            gone = gone | new
            if all(_is_cleared(gone, self.regions[i]) for i in hopeful):
                return gone
            if is_room(new):
                state = state.without(self.removal.ground, new, ())
            elif exactly:
                return gone
            else:
                exactly = True
        return gone

    def _without_body(self, work: Work, cutting: tuple[Ring, ...]) -> Asked:
        key = (id(work), cutting)
        if key not in self._bare:
            like = work.asked if cutting == work.tool.outlines.cutting else None
            self._bare[key] = self.asked(work, Outlines(cutting, ()), like)
        return self._bare[key]

    def asked(self, work: Work, outlines: Outlines, like: Asked | None = None) -> Asked:
        """The tool with these outlines from the same end."""
        tool, ground = work.tool, self.removal.ground
        mover = mover_of(outlines, tool.access, tool.on_axis, work.toward, ground)
        return Asked(tool, mover, ground, like)


def causes_of(removal: Removal, regions: Sequence[LeftRegion]) -> tuple[Why, ...]:
    """One answer for each region, tried in the state that all tools leave at the end.

    A cause is a constraint whose removal alone, for one tool, clears at least 99 % of the region;
    where no single one does for any tool, the fewest that do so together; else "no-tool". Tools are
    tried where their kind works (bars inside, outside tools where no part stands above), those that
    come nearest first; once a cause is known, only the nearest few are asked for more.
    """
    if not regions:
        return ()
    ends = {work.toward for work in removal.works}
    trials = _Trials(removal, regions)
    options = {work.tool.name: relaxed_of(work.tool, len(ends) < 2) for work in removal.works}
    gaps = _gaps(removal, regions)
    return tuple(_why(trials, place, gaps[place], options) for place in range(len(regions)))


def _why(
    trials: _Trials, place: int, gaps: NDArray[np.float64], options: Mapping[str, Sequence[Relaxed]]
) -> Why:
    works = trials.removal.works
    order = sorted(
        range(len(works)), key=lambda i: (round(float(gaps[i]), 2), works[i].tool.weight)
    )
    order = [i for i in order if works[i].tool.access in trials.concerned[place]] or order
    tries: list[_Try] = []
    for rank, i in enumerate(order):
        if rank >= NEAREST and tries:
            break
        for relaxed in options[works[i].tool.name]:
            if all(relaxed.causes != known.relaxed.causes for known in tries):
                one = _Try(works[i], relaxed)
                tries += [one] if trials.clears(one, place) else []
    for i in order[: 2 * NEAREST] if not tries else ():
        for first, second in combinations(options[works[i].tool.name], 2):
            both = together(works[i].tool, first, second)
            if both is not None and trials.clears(_Try(works[i], both), place):
                tries.append(_Try(works[i], both))
                break
        if tries:
            break
    left = trials.regions[place]
    if not tries:
        return Why(("no-tool",), works[order[0]].tool.name if order else None, None)
    names = {cause for one in tries for cause in one.relaxed.causes}
    if {"entry-bore", "opposite-wall"} <= names:
        # one outline stands for both: a bar that got in meets the opposite wall, else the entry
        got_in = any(
            not (one.work.swept & left.region.grown(_BESIDE_MM)).empty
            for one in tries
            if "opposite-wall" in one.relaxed.causes
        )
        names.discard("entry-bore" if got_in else "opposite-wall")
    best = next(one for one in tries if set(one.relaxed.causes) <= names)
    causes = tuple(cause for cause in _ORDER if cause in names)
    return Why(causes, best.work.tool.name, _needed(trials, left, best))


def _gaps(removal: Removal, regions: Sequence[LeftRegion]) -> NDArray[np.float64]:
    """How near each tool comes to each region's deepest corner, mm: (regions, works)."""
    gaps = np.full((len(regions), len(removal.works)), np.inf)
    points = np.array([_innermost(region, removal.standing.gone) for region in regions])
    for k, work in enumerate(removal.works):
        if not work.swept.empty:
            gaps[:, k] = distances(points, *work.swept.edges())
    return gaps


def _innermost(left: LeftRegion, gone: Region) -> Point:
    corners = np.asarray(left.polygon)
    if gone.empty:
        return left.polygon[0]
    return left.polygon[int(distances(corners, *gone.edges()).argmax())]


def _concerned(removal: Removal, left: LeftRegion) -> frozenset[Access]:
    """Kinds of access that work there: from outside unless part stands above all of it."""
    ground = removal.ground
    z0, r0, z1, _ = left.region.bounds
    above = ground.part_half & box(z0, r0, z1, ground.radius + 1.0)
    covered = True
    for z in np.linspace(z0, z1, 9)[1:-1].tolist():
        column = box(z - 1e-4, r0, z + 1e-4, ground.radius + 1.0)
        mine, part = left.region & column, above & column
        if mine.empty:
            continue
        if part.empty or part.bounds[3] <= mine.bounds[3]:
            covered = False
            break
    if not covered:
        return frozenset(("outer", "end"))
    beside = left.region.grown(_BESIDE_MM)
    if any(
        work.tool.access == "outer" and is_room(work.swept & beside & ground.envelope)
        for work in removal.works
    ):
        return frozenset(("outer", "inner", "end"))
    return frozenset(("inner", "end"))


def _is_cleared(gone: Region, left: LeftRegion) -> bool:
    return (left.region - gone).area <= (1.0 - CLEARED) * left.region.area


def _covers(cut: Region, left: LeftRegion) -> bool:
    return (left.region & cut).area >= CLEARED * left.region.area


def _needed(trials: _Trials, left: LeftRegion, one: _Try) -> Needed | None:
    """The number at which the region would go, where the constraint has one."""
    relaxed = one.relaxed
    if relaxed.parameter is None or relaxed.unit is None:
        return None
    if relaxed.causes == ("nose-radius",):
        return Needed(relaxed.parameter, _largest_nose(trials.removal, left), relaxed.unit)
    if relaxed.value is None or relaxed.least is None:
        return None
    low, high = 0.0, 1.0  # shares of the way to the relaxed outlines: fails at low, clears at high
    for _ in range(9):
        share = (low + high) / 2.0
        outlines = halfway(one.work.tool, relaxed, share)
        if outlines is None:
            return None
        gone = trials.alone(trials.asked(one.work, outlines), [trials.regions.index(left)])
        if _is_cleared(gone, left):
            high = share
        else:
            low = share
    value = relaxed.value + high * (relaxed.least - relaxed.value)
    return Needed(relaxed.parameter, round(value, 3), relaxed.unit)


def _largest_nose(removal: Removal, left: LeftRegion) -> float:
    """The smallest hollow fillet that the region borders; 0 for a sharp corner."""
    profile = removal.ground.profile
    hollow = [
        s.curve.radius
        for s in profile.segments
        if s.id in left.segments and isinstance(s.curve, Arc) and s.curve.clockwise
    ]
    return min(hollow) if hollow else 0.0
