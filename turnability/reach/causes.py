"""Why a region is left: take one constraint from one tool at a time and see what it then cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np

from turnability.half_plane.curves import Arc
from turnability.half_plane.regions import Region
from turnability.reach.left import LeftRegion, distances
from turnability.reach.model import Needed
from turnability.reach.outline import mover_of
from turnability.reach.relax import Relaxed, halfway, relaxed_of, together
from turnability.reach.removal import Asked, Removal, Work, fixed_point
from turnability.shop.model import Cause, Outlines

CLEARED = 0.99
"""Share of a region that must go when a constraint is taken away (report contract)."""
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
    asked: Asked


def causes_of(removal: Removal, regions: Sequence[LeftRegion]) -> tuple[Why, ...]:
    """One answer for each region, tried in the state that all tools leave at the end.

    A cause is a constraint whose removal alone, for one tool, clears at least 99 % of the region;
    where no single one does for any tool, the fewest that do so together; else "no-tool".
    """
    if not regions:
        return ()
    ends = {work.toward for work in removal.works}
    relaxed = {work.tool.name: relaxed_of(work.tool, len(ends) < 2) for work in removal.works}
    single = [
        _Try(work, one, _asked(removal, work, one.outlines))
        for work in removal.works
        for one in relaxed[work.tool.name]
    ]
    cleared = _clearing(removal, single, regions)
    open_ = [i for i, tries in enumerate(cleared) if not tries]
    if open_:
        double = []
        for work in removal.works:
            options = relaxed[work.tool.name]
            for k, one in enumerate(options):
                for other in options[k + 1 :]:
                    both = together(work.tool, one, other)
                    if both is not None:
                        double.append(_Try(work, both, _asked(removal, work, both.outlines)))
        for i, tries in zip(
            open_, _clearing(removal, double, [regions[i] for i in open_]), strict=True
        ):
            cleared[i] = tries[:1]
    return tuple(
        _why(removal, region, tries) for region, tries in zip(regions, cleared, strict=True)
    )


def _asked(removal: Removal, work: Work, outlines: Outlines) -> Asked:
    tool = work.tool
    mover = mover_of(outlines, tool.access, tool.on_axis, work.toward, removal.ground)
    return Asked(tool, mover, removal.ground)


def _clearing(
    removal: Removal, tries: Sequence[_Try], regions: Sequence[LeftRegion]
) -> list[list[_Try]]:
    """For each region the tries that clear it, sturdiest tools first."""
    found: list[list[_Try]] = [[] for _ in regions]
    for one in sorted(tries, key=lambda t: t.work.tool.weight):
        # what it could remove if no stock stood in its way bounds what it does remove
        limit = one.asked.limit()
        hopeful = [i for i, r in enumerate(regions) if _covers(limit, r)]
        if not hopeful:
            continue
        state, _ = fixed_point([one.asked], removal.standing)
        for i in hopeful:
            if (regions[i].region - state.gone).area <= (1.0 - CLEARED) * regions[i].region.area:
                found[i].append(one)
    return found


def _covers(cut: Region, left: LeftRegion) -> bool:
    return (left.region & cut).area >= CLEARED * left.region.area


def _why(removal: Removal, left: LeftRegion, tries: Sequence[_Try]) -> Why:
    if not tries:
        return Why(("no-tool",), _nearest(removal, left), None)
    names = {cause for one in tries for cause in one.relaxed.causes}
    if {"entry-bore", "opposite-wall"} <= names:
        # one outline stands for both: a bar that got in meets the opposite wall, else the entry
        got_in = any(
            not (one.work.swept & left.region.grown(_BESIDE_MM)).empty
            for one in tries
            if "opposite-wall" in one.relaxed.causes
        )
        names.discard("entry-bore" if got_in else "opposite-wall")
    tries = [one for one in tries if set(one.relaxed.causes) <= names] or list(tries)
    best = min(tries, key=lambda one: (_gap(one.work, left), one.work.tool.weight))
    causes = tuple(cause for cause in _ORDER if cause in names)
    return Why(causes, best.work.tool.name, _needed(removal, left, best))


def _gap(work: Work, left: LeftRegion) -> float:
    """Distance between what a tool sweeps and a region, 0 where they touch, to 0.01 mm."""
    if work.swept.empty:
        return float("inf")
    corners = np.asarray(left.polygon)
    return round(float(distances(corners, *work.swept.edges()).min()), 2)


def _nearest(removal: Removal, left: LeftRegion) -> str | None:
    if not removal.works:
        return None
    best = min(removal.works, key=lambda work: (_gap(work, left), work.tool.weight))
    return best.tool.name


def _needed(removal: Removal, left: LeftRegion, one: _Try) -> Needed | None:
    """The number at which the region would go, where the constraint has one."""
    relaxed = one.relaxed
    if relaxed.parameter is None or relaxed.unit is None:
        return None
    if relaxed.causes == ("nose-radius",):
        return Needed(relaxed.parameter, _largest_nose(removal, left), relaxed.unit)
    if relaxed.value is None or relaxed.least is None:
        return None
    low, high = 0.0, 1.0  # shares of the way to the relaxed outlines: fails at low, clears at high
    for _ in range(9):
        share = (low + high) / 2.0
        outlines = halfway(one.work.tool, relaxed, share)
        if outlines is None:
            return None
        asked = _asked(removal, one.work, outlines)
        state, _ = fixed_point([asked], removal.standing)
        rest = (left.region - state.gone).area
        if rest <= (1.0 - CLEARED) * left.region.area:
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
