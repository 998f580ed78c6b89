"""Eccentrics: chuckings after those of the plan, the finished work set over from its own axis.

Independent jaws on an outside that runs true to the part's axis hold it there; what is too long for
them runs between offset centres.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from turnability.cited import Cited
from turnability.intent.model import Intent
from turnability.part.model import Departure, Part, Profile
from turnability.reach.model import ENDS, Toward
from turnability.setups.holding.centres import centre_hole_mm, no_centre
from turnability.setups.holding.grips import SHORT_STICK_OUT, grips_for, passable
from turnability.setups.holding.jaws import Held, fits_behind
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness, stick_out_mm
from turnability.setups.model import Grip, Land, OffsetCut, Packing, SetOver, Setup
from turnability.setups.set_over.offset_cuts import Eccentric, Work, from_chuck, offset_cuts
from turnability.setups.set_over.offset_ends import with_ends
from turnability.setups.surfaces.swept import number, offset_mm, steps_of
from turnability.shop.holding import most_grip_mm, takes, within
from turnability.shop.materials import material_of
from turnability.shop.model import Holding, Machine, Shop
from turnability.units import length_text

_SAME_MM = 1e-3
DIAL_MM = 5.0
"""So much of what is gripped stands out of the jaws for a dial, where it is long enough."""
PACKING = Cited(
    1.5, "-", "geometry", "packing under one of three jaws over the offset, of flat jaws", True
)
"""The work's centre moves by e from that jaw, and by e / 2 toward either of the two others."""


def set_overs_of(
    part: Part,
    lands: Sequence[Land],
    setups: Sequence[Setup],
    shop: Shop,
    lathe: Machine | None,
    intent: Intent | None = None,
) -> tuple[SetOver, ...]:
    """One chucking for eccentrics of one axis that can be cut from one end; none without any."""
    profile, chosen = part.profile, material_of(shop)
    found = [d for d in part.departures if d.kind == "eccentric" and number(d, "offset_mm") > 0.0]
    if profile is None or not setups or not found:
        return ()
    material = None if chosen is None else chosen.material
    work = Work(part, profile, tuple(setups), shop, lathe, material)
    job = _Job(work, tuple(lands), intent)
    made: list[SetOver] = []
    for _, alike in groupby(sorted(found, key=_axis), key=_axis):
        rest = [Eccentric(d, steps_of(profile, d)) for d in alike]
        while rest:
            ways = [w for end in ENDS for w in _ways(job, rest, end)]
            best = min(ways, key=lambda way: way.rank, default=None)
            if best is None:
                made += [_missing(job, one) for one in rest]
                break
            made.append(_written(job, best))
            rest = list(_left(rest, best.cuts))
    return tuple(made)


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    work: Work
    lands: tuple[Land, ...]
    intent: Intent | None

    @property
    def profile(self) -> Profile:
        return self.work.profile

    @property
    def shop(self) -> Shop:
        return self.work.shop


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """Some eccentrics, or those steps of them that lie open, all cut in one grip."""

    cuts: tuple[Eccentric, ...]
    held: Held
    short: bool
    free: float
    gives: float = 0.0
    """How far the farthest cut gives for a force across: L³ / d⁴ of what hangs out, 1/mm."""

    @property
    def rank(self) -> tuple[float, ...]:
        grip = self.held.grip
        return (
            -sum(len(one.steps) for one in self.cuts),
            float(self.free > CHUCK_ONLY_LIMIT.value),
            float(self.short),
            float(self.held.holding.kind == "between-centres"),
            round(self.gives, 2),
            -round(grip.diameter_mm * grip.length_mm, 6),
            float(self.held.toward == "high"),
        )


def _gives(job: _Job, some: Sequence[Eccentric], held: Held) -> float:
    whole, grip = job.profile.length_mm, held.grip
    far = max(from_chuck(z, held.toward, whole)[1] for one in some for _, z in one.steps)
    out = max(far - from_chuck(grip.z_mm, held.toward, whole)[1], 0.0)
    return float(out**3 / grip.diameter_mm**4)


def _left(wanted: Sequence[Eccentric], cut: Sequence[Eccentric]) -> Iterator[Eccentric]:
    """What is still to be cut of them, bored as far as the last chucking went."""
    done = {one.departure.id: one for one in cut}
    for one in wanted:
        mine = done.get(one.departure.id)
        if mine is None:
            yield one
        elif rest := tuple(step for step in one.steps if step not in mine.steps):
            yield replace(one, steps=rest, opened_mm=min(d for d, _ in mine.steps))


def _ways(job: _Job, wanted: Sequence[Eccentric], toward: Toward) -> Iterator[_Way]:
    """Grips of independent jaws, for the most of these eccentrics; then offset centres."""
    able = [one for w in wanted if (one := _open_steps(job.profile, w, toward)).steps]
    for grip in grips_for(job.lands, job.shop):
        if grip.holding.kind != "four-jaw" or grip.land.surface != "outer" or not grip.fits:
            continue
        most = None if grip.holding.outside_mm is None else grip.holding.outside_mm[1]
        shortest = grip.least_mm if grip.shortest_mm is None else grip.shortest_mm
        if most is None or not passable(job.profile, grip.land, toward):
            continue
        fit = [x for x in able if grip.land.diameter_mm + 2.0 * x.offset_mm <= most + _SAME_MM]
        for some in (fit, *([one] for one in fit if len(fit) > 1)):
            held = _held(job, some, grip.land, grip.holding, toward, grip.least_mm)
            if held is None or held.grip.length_mm < shortest - _SAME_MM:
                continue
            short = held.grip.length_mm < grip.least_mm - _SAME_MM
            low, high = stick_out_mm(job.profile, toward, held.grip.z_mm)
            if short and high - low > SHORT_STICK_OUT.value * held.grip.diameter_mm:
                continue
            if fits_behind(job.profile, held, job.shop):
                free = slenderness(job.profile, toward, held.grip.z_mm)
                yield _Way(tuple(some), held, short, free, _gives(job, some, held))
    outside = [one for one in wanted if not one.is_bore]
    if outside and _tailstock(job):
        yield from _between(job, outside, toward)


def _held(
    job: _Job,
    some: Sequence[Eccentric],
    land: Land,
    holding: Holding,
    toward: Toward,
    least_mm: float,
) -> Held | None:
    """Jaws on this land so that all that is turned of these stands free of them."""
    whole = job.profile.length_mm
    begin, end = from_chuck(land.z_mm, toward, whole)
    wanted = min(max(least_mm, land.diameter_mm), most_grip_mm(holding, land.diameter_mm))
    for one in (one for one in some if not one.is_bore):
        near = min(from_chuck(z, toward, whole)[0] for _, z in one.steps)
        end = min(end, near - holding.jaw_standoff_mm)
    if not some or end <= begin:
        return None
    for_dial = from_chuck(land.z_mm, toward, whole)[1] - DIAL_MM
    if for_dial - begin >= min(least_mm, (end - begin) / 2.0):
        end = min(end, for_dial)
    bored = all(one.is_bore for one in some)
    # what is turned stands as near to the jaws as may be, a bore has the whole land round it
    low = begin if bored else max(begin, end - wanted)
    high = min(end, low + wanted)
    span = (low, high) if toward == "low" else (whole - high, whole - low)
    grip = Grip(holding.name, "outer", span, land.diameter_mm, high - low)
    return Held(toward, grip, holding, land, ())


def _open_steps(profile: Profile, one: Eccentric, toward: Toward) -> Eccentric:
    """Of a bore the steps that lie open to the free end: none narrower stands before them."""
    if not one.is_bore:
        return one
    whole = profile.length_mm
    every = steps_of(profile, one.departure)
    inward = sorted(every, key=lambda step: from_chuck(step[1], toward, whole), reverse=True)
    narrowest, found = _mouth_mm(profile, one, toward), []
    for d, z in inward:
        if d <= narrowest + _SAME_MM and (d, z) in one.steps:
            found.append((d, z))
        narrowest = min(narrowest, d)
    return replace(one, steps=tuple(found))


def _mouth_mm(profile: Profile, one: Eccentric, toward: Toward) -> float:
    """The widest bore that goes, off the axis, through what stands before its steps."""
    whole = profile.length_mm
    far = max(from_chuck(one.departure.z_mm, toward, whole)[1], 0.0)
    before = [
        min(s.curve.start[1], s.curve.end[1]) - one.offset_mm
        for s in profile.outline.segments
        if s.surface in ("inner", "axis")
        and from_chuck(s.ends_z_mm, toward, whole)[1] > far + _SAME_MM
        and abs(s.curve.start[0] - s.curve.end[0]) > _SAME_MM
    ]
    return math.inf if whole - far <= _SAME_MM else 2.0 * min(before, default=0.0)


def _between(job: _Job, outside: Sequence[Eccentric], toward: Toward) -> Iterator[_Way]:
    """Between a second pair of centre holes, where both ends are solid and have room for them."""
    if not _room_for_centres(job, outside):
        return
    for holding in (h for h in job.shop.holdings if h.kind == "between-centres"):
        for land in job.lands:
            long = land.z_mm[1] - land.z_mm[0] >= holding.least_grip_mm - _SAME_MM
            near = from_chuck(land.z_mm, toward, job.profile.length_mm)[0] <= holding.least_grip_mm
            if land.surface == "outer" and long and near and takes(holding, land.diameter_mm):
                low = land.z_mm[0] if toward == "low" else land.z_mm[1] - holding.least_grip_mm
                span = (low, low + holding.least_grip_mm)
                length = holding.least_grip_mm
                grip = Grip(holding.name, "outer", span, land.diameter_mm, length)
                yield _Way(tuple(outside), Held(toward, grip, holding, land, ()), False, 0.0)


def _tailstock(job: _Job) -> bool:
    return job.work.lathe is not None and job.work.lathe.tailstock


def _room_for_centres(job: _Job, outside: Sequence[Eccentric]) -> bool:
    """Whether both ends are solid and wide enough for a centre hole that far off the axis."""
    e = max(one.offset_mm for one in outside)
    for end in ENDS:
        at = 0.0 if end == "low" else job.profile.length_mm
        hole = centre_hole_mm(job.profile.max_diameter_mm)
        radii = [
            p[1]
            for s in job.profile.outline.segments
            if s.surface == "end"
            for p in (s.curve.start, s.curve.end)
            if abs(p[0] - at) <= _SAME_MM
        ]
        if no_centre(job.profile, end, job.intent) is not None or not radii or hole is None:
            return False
        if min(radii) > _SAME_MM or max(radii) < e + hole.value / 2.0:
            return False
    return True


def _written(job: _Job, way: _Way) -> SetOver:
    held, e = way.held, way.cuts[0].offset_mm
    return SetOver(
        departures=tuple(one.departure.id for one in way.cuts),
        offset_mm=e,
        dial_mm=2.0 * e,
        swung_mm=job.profile.max_diameter_mm + 2.0 * e,
        cuts=tuple(cut for one in way.cuts for cut in _cuts(job, one, held.toward, held.holding)),
        toward_chuck=held.toward,
        grip=held.grip,
        holding=held.holding,
        segments=() if held.land is None else held.land.segments,
        free=way.free,
    )


def _cuts(
    job: _Job, one: Eccentric, toward: Toward, holding: Holding | None
) -> tuple[OffsetCut, ...]:
    cuts = tuple(offset_cuts(job.work, one, toward, holding))
    return with_ends(job.profile, one, cuts, toward, job.shop.tools)


def _missing(job: _Job, one: Eccentric) -> SetOver:
    """What of the shop or the part is wanting; the cuts are those of the likelier end."""
    e = one.offset_mm
    outside = [land for land in job.lands if land.surface == "outer"]
    four = next((h for h in job.shop.holdings if h.kind == "four-jaw"), None)
    packed = None
    if four is None:
        why = "a chuck with four independent jaws, of which the shop lists none"
        if not one.is_bore and _tailstock(job) and _room_for_centres(job, [one]):
            why += ", or centres and a dog, on a second pair of centre holes off the axis"
        three = [
            (land, h)
            for h in job.shop.holdings
            if h.kind == "three-jaw" and h.outside_mm is not None
            for land in outside
            if within(land.diameter_mm + 2.0 * e, h.outside_mm)
        ]
        if three:
            land, h = max(three, key=lambda way: _size(way[0]))
            packed = Packing(h.name, PACKING.value * e, land.diameter_mm)
    else:
        why = (
            f"a straight outside that runs true to the part's own axis, clear of "
            f"{one.departure.id}, long enough for {four.name} and in its range; or a face plate"
        )
    open_ = [_open_steps(job.profile, one, end).steps for end in ENDS]
    toward: Toward = "low" if len(open_[0]) >= len(open_[1]) else "high"
    if not one.is_bore and from_chuck(one.departure.z_mm, "low", 0.0)[0] <= _SAME_MM:
        toward = "high"
    return SetOver(
        departures=(one.departure.id,),
        offset_mm=e,
        dial_mm=2.0 * e,
        swung_mm=job.profile.max_diameter_mm + 2.0 * e,
        cuts=_cuts(job, one, toward, None),
        missing=why,
        packed=packed,
    )


def _size(land: Land) -> float:
    return land.diameter_mm * (land.z_mm[1] - land.z_mm[0])


def missing_text(one: SetOver, inch: bool) -> str:
    """What would hold it, in words; empty where the shop does."""
    if one.missing is None or one.packed is None:
        return one.missing or ""
    about = length_text(round(one.packed.thick_mm, 2), inch)
    return (
        f"{one.missing}, or packing of about {about} (1.5 times the offset) secured under one jaw "
        f"of {one.packed.chuck}"
    )


def _axis(one: Departure) -> tuple[float, float]:
    """What eccentrics of one axis have in common: offset, and how far round it stands."""
    return (round(offset_mm(one), 3), round(number(one, "phase_deg"), 1) % 360.0)
