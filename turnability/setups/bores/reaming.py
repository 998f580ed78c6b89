"""Which fine bores are reamed, after which drill, and where a bar goes before the reamer.

A reamer finishes a bore that no bar finishes, also where that is fine as the whole part is. Where a
bar does as well, a small or a deep one is reamed yet: a bar that goes into it is slim and springs.
A large and short one is bored. A reamer follows the hole that it finds: where the bore must run
true to something and a bar gets in, that bores it first, or alone where it does not fit into what
the reamer is left.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence

from turnability.cited import Cited
from turnability.half_plane.regions import box
from turnability.intent.fits import fit_class, fit_limits
from turnability.intent.model import Span
from turnability.part.model import Profile, Segment
from turnability.reach.model import ToolReach, Toward
from turnability.reach.removal import Work
from turnability.setups.bores.deepest import reamed_to_mm
from turnability.setups.bores.drilling import LEFT_TO_BORE_MM, TO_SIZE_MM, follows_drill
from turnability.setups.model import Operation
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.cuts import thick
from turnability.setups.surfaces.finer import FineBore
from turnability.setups.surfaces.shares import Shares
from turnability.setups.surfaces.sharing import Reamed
from turnability.shop.books import drilled_for_mm, reaming_allowance
from turnability.shop.model import Tool
from turnability.shop.told_apart import (
    diameter_of,
    enters_mm,
    is_bar,
    is_reamer,
    is_twist,
)

REAMED_UP_TO = Cited(
    16.0,
    "mm",
    "common practice",
    "bores up to here are reamed rather than bored where a reamer is listed, from memory",
    verified=False,
)
DEEP = Cited(
    3.0,
    "-",
    "common practice",
    "diameters from the face beyond which a bar springs: 4 of its own, of 0.7 of the bore, "
    "from memory",
    verified=False,
)
FINISHED_SHARE = 0.9
"""A tool that gets at less of a bore does not finish it."""
_SAME_MM = 1e-3
_LIMIT_MM = 1e-6
_BAND_MM = 0.05


def makes_mm(reamer: Tool) -> Span | None:
    """Limits in mm of the holes that a reamer is ground for; None where no table holds its fit."""
    d, fit = diameter_of(reamer), fit_class(reamer.fit or "")
    deviations = None if fit is None else fit_limits(fit, d).deviations_mm
    return None if deviations is None else (d + deviations[0], d + deviations[1])


def fits(reamer: Tool, bore: FineBore) -> bool:
    """Whether a reamer makes a bore of this size within what is stated of it."""
    if not is_reamer(reamer) or abs(diameter_of(reamer) - bore.diameter_mm) > TO_SIZE_MM:
        return False
    limits = bore.limits_mm
    if limits is None and bore.fit is None:
        if bore.width_mm is None:
            return True
        # a general tolerance lies evenly about the size
        half = bore.width_mm / 2.0
        limits = (bore.diameter_mm - half, bore.diameter_mm + half)
    makes = makes_mm(reamer)
    if limits is None or makes is None:
        return bore.fit == reamer.fit
    return limits[0] - _LIMIT_MM <= makes[0] and makes[1] <= limits[1] + _LIMIT_MM


def leaves_enough(drill: Tool, reamer: Tool) -> bool:
    """Whether a pointed drill's hole leaves the reamer something, and no more than it takes."""
    d, least = diameter_of(reamer), reaming_allowance(diameter_of(reamer)).least.value
    most = reamer.limits.get("allowance_mm", 0.0)
    left = d - diameter_of(drill)
    return is_twist(drill) and min(least, most) - _SAME_MM <= left <= most + _SAME_MM


def best_before(reamer: Tool, drills: Iterable[Tool]) -> list[Tool]:
    """Drills that may go before a reamer, that which leaves it what is usual first."""
    usual = drilled_for_mm(diameter_of(reamer))
    able = [drill for drill in drills if leaves_enough(drill, reamer)]
    return sorted(able, key=lambda t: (round(abs(diameter_of(t) - usual), 3), t.name))


def least_end(
    reamer: Tool,
    ream: Operation,
    toward: Toward,
    before: Iterable[Operation],
    tools: Sequence[Tool],
) -> tuple[float, Tool] | None:
    """To which z the end of a reamer may go in the hole that is drilled for it, and by which drill.

    Until its lead meets the cone of that drill's point: beyond, it would have more to take than it
    can and break. A drill with a flat point lets it to its own floor. `before` with where each
    ends; None where none of them drills for it, or a bar bores between.
    """
    sign = 1.0 if toward == "low" else -1.0
    by_name = {tool.name: tool for tool in tools}
    d, lead = diameter_of(reamer), reamer.limits["lead_mm"]
    most = reamer.limits.get("allowance_mm", 0.0)
    found: list[tuple[float, Tool]] = []
    for one in before:
        tool = by_name.get(one.tool)
        if one.kind == "bore" and not set(one.leaves).isdisjoint(ream.segments):
            return None
        if tool is None or tool.kind != "drill" or one.ends_at is None:
            continue
        left = d - diameter_of(tool)
        if not -_SAME_MM <= left <= most + _SAME_MM:
            continue
        z = sign * one.ends_at[0]
        if is_twist(tool):
            # a lead of 45° meets the cone with its end, d / 2 - lead from the axis
            half = math.radians(tool.limits["point_angle_deg"] / 2.0)
            z += max(d / 2.0 - lead, 0.0) / math.tan(half)
        found.append((z, tool))
    if not found:
        return None
    deep, tool = min(found, key=lambda one: (one[0], one[1].name))
    return sign * deep, tool


def reamed(chucking: Chucking, wanted: Collection[str]) -> Iterator[Reamed]:
    """The bores of those wanted that are reamed in this chucking, by which tools."""
    works = chucking.shares.removal.works
    reamers = [work for work in works if is_reamer(work.tool)]
    if not reamers:
        return
    by_id = {s.id: s for s in chucking.profile.segments}
    open_ = [
        bore
        for bore in chucking.wishes.bores
        if bore.segment in wanted and bore.segment not in chucking.begun
    ]
    by_itself = {bore.segment for bore in open_ if bore.by_itself}
    for work in sorted(reamers, key=lambda w: (w.tool.weight, w.tool.name)):
        mine = [by_id[bore.segment] for bore in open_ if fits(work.tool, bore)]
        whole = [s for s in mine if _gets_through(chucking.shares, chucking.toward, work, s)]
        found = _way(chucking, work, whole, by_itself) if whole else None
        if found is not None:
            open_ = [bore for bore in open_ if bore.segment not in found.segments]
            yield found


def to_finish_of(
    bores: Iterable[FineBore], tools: Sequence[Tool], reached: Iterable[ToolReach] = ()
) -> tuple[FineBore, ...]:
    """Those of the bores that a reamer at hand finishes, or a bar, the part held by nothing."""
    bars = {tool.name for tool in tools if is_bar(tool)}
    bored = {s for one in reached if one.tool in bars for s in one.reached_segments}
    return tuple(
        bore
        for bore in bores
        if bore.by_itself and (bore.segment in bored or any(fits(tool, bore) for tool in tools))
    )


def finely_done(
    profile: Profile, shares: Shares, toward: Toward, bores: Iterable[FineBore]
) -> frozenset[str]:
    """Those of the bores that a reamer gets through, or a bar along, in one chucking."""
    by_id = {s.id: s for s in profile.segments}
    works = shares.removal.works
    return frozenset(
        bore.segment
        for bore in bores
        if any(
            _gets_through(shares, toward, work, by_id[bore.segment])
            if is_reamer(work.tool)
            else bool(shares.reached(work, {bore.segment: FINISHED_SHARE}))
            for work in works
            if fits(work.tool, bore) or is_bar(work.tool)
        )
    )


def _gets_through(shares: Shares, toward: Toward, work: Work, bore: Segment) -> bool:
    """Whether its full diameter comes out of a bore, or to a floor but for its lead."""
    ground, lead = shares.removal.ground, work.tool.limits["lead_mm"]
    low, high = bore.ends_z_mm
    r = bore.curve.start[1]
    to = reamed_to_mm(work.tool, toward, ground)
    if toward == "low":
        short, beyond = to - low, box(low - _BAND_MM, 0.0, low, r - _BAND_MM)
    else:
        short, beyond = high - to, box(high, 0.0, high + _BAND_MM, r - _BAND_MM)
    floor = not (ground.part_half & beyond).empty
    return short <= (lead if floor else 0.0) + _SAME_MM


def spoils(chucking: Chucking, reams: Collection[Reamed]) -> frozenset[str]:
    """Drills that would leave nothing of the bores reamed here, or in a chucking after it."""
    works = chucking.shares.removal.works
    reamers = [work.tool for work in works if is_reamer(work.tool)]
    sizes = [diameter_of(one.work.tool) for one in reams] + [
        bore.diameter_mm
        for bore in (chucking.wishes.bores if reamers else ())
        if bore.segment not in chucking.wanted
        and bore.segment not in chucking.begun
        and any(fits(reamer, bore) for reamer in reamers)
    ]
    return frozenset(
        work.tool.name
        for work in works
        for d in sizes
        if work.tool.kind == "drill"
        and _SAME_MM - reaming_allowance(d).least.value < diameter_of(work.tool) - d <= TO_SIZE_MM
    )


def _way(
    chucking: Chucking, work: Work, bores: Sequence[Segment], by_itself: set[str]
) -> Reamed | None:
    """How these bores, all of one size, are reamed; None where they are not, or cannot be.

    Where nothing fine is stated of any `by_itself`, a bar that does as well goes before a reamer.
    """
    shares, names = chucking.shares, frozenset(s.id for s in bores)
    size, works = diameter_of(work.tool), chucking.shares.removal.works
    twist = {id(w.tool): w for w in works if is_twist(w.tool)}
    drills_mm = [diameter_of(w.tool) for w in twist.values()]
    bars = [
        w
        for w in works
        if is_bar(w.tool)
        and follows_drill(w.tool, size, drills_mm, chucking.standing)
        and shares.reached(w, dict.fromkeys(names, FINISHED_SHARE)) == names
        and all(bores_along(w, s) for s in bores)
    ]
    if bars and not (names & by_itself and _small_or_deep(chucking, bores, size)):
        return None
    if bars and names & chucking.wishes.true:
        return _bored_first(chucking, work, bores, bars, list(twist.values()))
    hole = box(
        min(s.ends_z_mm[0] for s in bores),
        0.0,
        max(s.ends_z_mm[1] for s in bores),
        work.tool.limits.get("least_hole_mm", size) / 2.0 - _BAND_MM,
    )
    if not thick(chucking.standing & hole):
        return Reamed(work, names, None)
    inside = {s.id for s in chucking.profile.segments if s.surface == "inner"}
    for tool in best_before(work.tool, [w.tool for w in twist.values()]):
        drill = twist[id(tool)]
        if opens(drill, bores):
            beside = dict.fromkeys((inside & set(chucking.wanted)) - names, FINISHED_SHARE)
            return Reamed(work, names, drill, frozenset(shares.reached(drill, beside)))
    return None


def _small_or_deep(chucking: Chucking, bores: Sequence[Segment], size: float) -> bool:
    z = [p[0] for s in bores for p in (s.curve.start, s.curve.end)]
    deep = chucking.profile.length_mm - min(z) if chucking.toward == "low" else max(z)
    return size <= REAMED_UP_TO.value + _SAME_MM or deep > DEEP.value * size


def _bored_first(
    chucking: Chucking,
    work: Work,
    bores: Sequence[Segment],
    bars: Sequence[Work],
    drills: Sequence[Work],
) -> Reamed | None:
    """Drilled, bored to what the reamer is left, reamed; None where no bar goes into that."""
    left = drilled_for_mm(diameter_of(work.tool))
    able = [bar for bar in bars if 0.0 < enters_mm(bar.tool) <= left + _SAME_MM]
    for bar in sorted(able, key=lambda w: (-enters_mm(w.tool), w.tool.weight, w.tool.name)):
        enters = enters_mm(bar.tool) - _SAME_MM
        most = left - LEFT_TO_BORE_MM + _SAME_MM
        before = [w for w in drills if enters <= diameter_of(w.tool) <= most and opens(w, bores)]
        if before:
            drill = max(before, key=lambda w: (diameter_of(w.tool), w.tool.name))
            return Reamed(work, frozenset(s.id for s in bores), drill, bar=bar)
    return None


def bores_along(bar: Work, bore: Segment) -> bool:
    """Whether it gets along all of a bore, but for its nose in a corner."""
    low, high = bore.ends_z_mm
    r = bore.curve.start[1] - _LIMIT_MM
    band = bar.swept & box(low, r - _BAND_MM, high, r)
    nose = bar.tool.limits.get("nose_radius_mm", 0.0) + _BAND_MM
    return band.area >= (high - low - nose) * _BAND_MM


def opens(drill: Work, bores: Sequence[Segment]) -> bool:
    """Whether it drills all along these bores, but for its point before a flat floor."""
    r = diameter_of(drill.tool) / 2.0 - _LIMIT_MM
    return all(
        (drill.swept & box(low, r - _BAND_MM, high, r)).area >= (high - low - r) * _BAND_MM
        for low, high in (s.ends_z_mm for s in bores)
    )
