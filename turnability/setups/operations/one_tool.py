"""As few tools as do: a close surface is finished by one, and none is put up for what others reach.

Where two tools meet on a surface they leave a line, for each is set by itself. On one of a stated
size, run-out or form that line is out of limits: there one tool that gets at the whole of it
finishes it, though it be less sturdy, and those that were given it only rough. And no tool is put
up for surfaces that others of the setup get at anyhow.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from math import ceil

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.regions import nothing
from turnability.part.model import Profile
from turnability.reach.removal import Work
from turnability.setups.surfaces.cuts import beside_along, covers
from turnability.setups.surfaces.rests import BESIDE_MM, LEAST_MM
from turnability.setups.surfaces.shares import CUT_SHARE, Shares
from turnability.shop.model import Tool
from turnability.shop.told_apart import SIDEWAYS, is_blade, is_sturdy

WEAK_DEG = 50.0
"""A corner smaller than this replaces no larger one (common practice, no source)."""
_STEP_MM = 0.4
_MOST_STEPS = 240

Places = NDArray[np.bool_]


class _Along:
    """Places close together along one surface, and which of them each tool cuts."""

    def __init__(self, profile: Profile, shares: Shares, segment: str) -> None:
        curve = next(s for s in profile.segments if s.id == segment)
        self.length = curve.curve.length()
        self.surface = curve.surface
        many = min(_MOST_STEPS, max(12, ceil(self.length / _STEP_MM)))
        self.points, asked = beside_along(profile, segment, many)
        self.step = self.length / many
        added = shares.removal.ground.added
        near = nothing() if added is None else added.region.grown(BESIDE_MM, "round")
        self.bare: Places = asked & ~covers(shares.left, self.points) & ~covers(near, self.points)

    def by(self, work: Work) -> Places:
        cut: Places = self.bare & covers(work.swept, self.points)
        return cut

    def whole(self, cut: Places) -> bool:
        """Whether what is left is no more than a nose rounds off."""
        return float((self.bare & ~cut).sum()) * self.step < LEAST_MM


def by_one_tool(
    profile: Profile,
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    close: Collection[str],
    seats: Collection[str] = (),
) -> dict[str, set[str]]:
    """Close surfaces to one tool each, where one gets at all that any gets at.

    Where none does, the one that cuts what the first leaves has the surface as well, however little
    that is. No blade finishes one of the `seats` that corners get at. Gives by tool the surfaces
    that it now but roughs.
    """
    rough: dict[str, set[str]] = {}
    for segment in sorted(close):
        takers = [n for n, takes in given.items() if segment in takes]
        if not takers or any(works[n].tool.on_axis for n in takers):
            continue
        along = _Along(profile, shares, segment)
        seat = segment in seats
        by_blade = seat and any(is_blade(works[n].tool) for n in takers)
        if not by_blade and len(takers) == 1 and along.whole(along.by(works[takers[0]])):
            continue
        best = _whole_of(along, given, works, shares, segment, takers, seat)
        if best is None:
            _rest_of(along, given, works, segment, takers)
            continue
        name = best.tool.name
        for other in takers:
            if other != name:
                given[other].discard(segment)
                rough.setdefault(other, set()).add(segment)
        given.setdefault(name, set()).add(segment)
        works[name] = best
    return rough


def _whole_of(
    along: _Along,
    given: Mapping[str, Collection[str]],
    works: Mapping[str, Work],
    shares: Shares,
    segment: str,
    takers: Collection[str],
    seat: bool,
) -> Work | None:
    """The tool that gets at the whole of it: one at hand, a turning one, the sturdiest."""
    access = {works[n].tool.access for n in takers}

    def wish(work: Work) -> tuple[bool, bool, float, str]:
        tool = work.tool
        return is_blade(tool), tool.name not in given, tool.weight, tool.name

    for work in sorted(shares.removal.works, key=wish):
        tool = work.tool
        if tool.on_axis or tool.access not in access or "part" in tool.kind:
            continue
        if is_blade(tool) and seat:
            return None
        if is_blade(tool) and along.length > SIDEWAYS.value * tool.limits.get("width_mm", 0.0):
            continue
        if (
            shares.may_reach(work, _least(shares, segment))
            and along.whole(along.by(work))
            and not shares.sinks(work, [segment])
        ):
            return work
    return None


def _least(shares: Shares, segment: str) -> NDArray[np.float64]:
    return np.array([CUT_SHARE if s == segment else np.inf for s in shares.samples.ids])


def _rest_of(
    along: _Along,
    given: dict[str, set[str]],
    works: Mapping[str, Work],
    segment: str,
    takers: Collection[str],
) -> None:
    """The surface also to the tool of the setup that cuts what those leave in passing."""
    cut = np.zeros_like(along.bare)
    for name in takers:
        cut |= along.by(works[name])
    if along.whole(cut):
        return
    alike = {works[n].tool.access for n in takers}
    others = [n for n in given if n not in takers and works[n].tool.access in alike]
    more = {n: int((along.by(works[n]) & ~cut).sum()) for n in others}
    if not more:
        return
    most = max(more, key=lambda n: (more[n], n))
    if more[most] * along.step >= LEAST_MM:
        given[most].add(segment)


def fewer(
    given: Mapping[str, set[str]],
    works: Mapping[str, Work],
    shares: Shares,
    close: Collection[str],
    kept: Collection[str],
) -> dict[str, set[str]]:
    """The same with no tool but for those `kept` whose surfaces others of the setup get at."""
    left = {name: set(takes) for name, takes in given.items()}
    for name in sorted(given, key=lambda n: (len(given[n]), -works[n].tool.weight, n)):
        if name in kept or not left[name] or works[name].tool.on_axis:
            continue
        passed = _passed_on(name, left, works, shares, close)
        if passed is not None:
            del left[name]
            for other, takes in passed.items():
                left[other] |= takes
    return left


def _passed_on(
    name: str,
    given: Mapping[str, Collection[str]],
    works: Mapping[str, Work],
    shares: Shares,
    close: Collection[str],
) -> dict[str, set[str]] | None:
    """To whom its surfaces go, all of them; None where the others leave some of what it cuts."""
    tool = works[name].tool
    roughers = [n for n in given if is_sturdy(works[n].tool) and works[n].tool.hand != "left"]
    sturdy = not is_sturdy(tool) or any(n != name for n in roughers)
    others = [
        works[n]
        for n in given
        if n != name and _replaces(works[n].tool, tool) and (sturdy or is_sturdy(works[n].tool))
    ]
    beside = [works[n] for n in given if n != name and works[n].tool.access == tool.access]
    passed: dict[str, set[str]] = {}
    for segment in given[name]:
        mine = _cut(shares, works[name], segment)
        able = [work for work in others if not shares.sinks(work, [segment])]
        cuts = {work.tool.name: mine & _cut(shares, work, segment) for work in able}
        if not cuts:
            return None
        first = max(cuts, key=lambda n: (int(cuts[n].sum()), -works[n].tool.weight, n))
        rest = mine & ~cuts[first]
        if cuts[first].sum() < CUT_SHARE * mine.sum():
            return None
        passed.setdefault(first, set()).add(segment)
        if not rest.any():
            continue
        second = next((w for w in beside if not (rest & ~_cut(shares, w, segment)).any()), None)
        if second is None or segment in close:
            return None
        passed.setdefault(second.tool.name, set()).add(segment)
    return passed


def _cut(shares: Shares, work: Work, segment: str) -> Places:
    row = shares.samples.ids.index(segment)
    asked = shares.samples.asked.reshape(shares.bare.shape)[row]
    cut: Places = asked & shares.bare[row] & shares.samples.within(work.swept)[row]
    return cut


def _replaces(other: Tool, tool: Tool) -> bool:
    """Whether it may do the other's work: of its kind, and not much weaker."""
    if other.access != tool.access or other.on_axis or is_blade(other) != is_blade(tool):
        return False
    if "part" in other.kind:
        return False
    if tool.access == "inner":
        return other.limits.get("bar_diameter_mm", 0.0) >= tool.limits.get("bar_diameter_mm", 0.0)
    corner = other.limits.get("corner_angle_deg", 0.0)
    return is_blade(tool) or corner >= min(WEAK_DEG, tool.limits.get("corner_angle_deg", 0.0))
