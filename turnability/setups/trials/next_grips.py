"""Grips that the next chucking may have: on what is bared by then, where that stands well."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.cited import Cited
from turnability.half_plane.regions import box
from turnability.reach.model import ENDS, Toward, other_end
from turnability.setups.holding.centres import no_centre
from turnability.setups.holding.grips import SHORT_STICK_OUT, LandGrip, grips_for, passable
from turnability.setups.holding.jaws import (
    Held,
    fits_behind,
    held_between,
    held_by_land,
    let_in,
)
from turnability.setups.holding.slender import (
    CHUCK_ONLY_LIMIT,
    CHUCK_ONLY_OK,
    slenderness,
    stick_out_mm,
)
from turnability.setups.holding.weak_grips import hanging, held_short
from turnability.setups.model import Grip, Land
from turnability.setups.surfaces.cuts import SKIN_MM, thick
from turnability.setups.trials.job import Job
from turnability.setups.trials.trial import Trial
from turnability.shop.holding import (
    PIECE_GRIP,
    least_grip_mm,
    mismatch_of,
    most_grip_mm,
    raw_grip_mm,
    takes,
)
from turnability.shop.model import Holding

MOST_OF_PIECE = 0.6
"""No more of a sawn piece is gripped than this share of it (our choice)."""


def _is_own(job: Job, held: Held) -> bool:
    return held.land is not None and job.own.issuperset(held.land.segments)


def _on_land(job: Job, grip: LandGrip, toward: Toward, length: float) -> Iterator[Held]:
    """At the land's far end; with the rest of it in the spindle where too much would stand out."""
    far = held_by_land(job.profile, toward, grip.holding, grip.land, length)
    if grip.land.surface == "outer" and (
        job.own.issuperset(grip.land.segments) or _hangs(job, toward, far.grip, CHUCK_ONLY_OK)
    ):
        yield from near_the_cut(job, grip, toward, length)
    else:
        yield far


def _hangs(job: Job, toward: Toward, grip: Grip, most: Cited = CHUCK_ONLY_LIMIT) -> bool:
    """Whether more hangs free than jaws carry, with what is still to be faced off its end."""
    low, high = stick_out_mm(job.profile, toward, grip.z_mm)
    free = high - low
    share = (free + job.end_mm) / free if free > SKIN_MM else 0.0
    return slenderness(job.profile, toward, grip.z_mm) * share > most.value


def near_the_cut(
    job: Job, grip: LandGrip, toward: Toward, length: float, kind: str | None = None
) -> Iterator[Held]:
    """On an outside land: first with little of it standing out, the rest inside."""
    for out in (grip.holding.jaw_standoff_mm, None):
        yield held_by_land(
            job.profile, toward, grip.holding, grip.land, length, out_mm=out, kind=kind
        )


def piece_grips(job: Job, toward: Toward, holding: Holding, size_mm: float) -> Iterator[float]:
    """How much of the piece is gripped: up to the first step of the outside where that is enough.

    What tools keep clear of then ends at that step, and no surface is cut from either end.
    """
    whole = job.profile.length_mm + 2.0 * job.end_mm
    # at a third of what stands out, grip is a quarter of the whole
    share = PIECE_GRIP.value / (1.0 + PIECE_GRIP.value)
    least = raw_grip_mm(holding, size_mm, whole, sawn=False)
    least = min(least, max(holding.least_grip_mm, share * whole))
    for step in _steps(job, toward):
        grip = step + job.end_mm - holding.jaw_standoff_mm
        if least - SKIN_MM <= grip <= MOST_OF_PIECE * whole:
            yield grip
            return


def _steps(job: Job, toward: Toward) -> list[float]:
    """Distances from this end at which an outside surface ends, nearest first."""
    whole = job.profile.length_mm
    ends = {
        round(p[0] if toward == "low" else whole - p[0], 6)
        for s in job.profile.outline.segments
        if s.surface == "outer"
        for p in (s.curve.start, s.curve.end)
    }
    return sorted(end for end in ends if SKIN_MM < end < whole - SKIN_MM)


def grips_after(job: Job, before: Trial, lands: Sequence[Land]) -> list[Held]:
    """Grips on lands that the chuckings before have bared: little hanging free, sturdiest first."""
    toward = other_end(before.chuckings[-1][0].toward)
    found: list[Held] = []
    taken: dict[Land, Holding] = {}
    limits = [group.limit_mm for group in job.groups if group.limit_mm is not None]
    for grip in grips_for(lands, job.shop):
        land = grip.land
        if grip.obstacle is not None and grip.shortest_mm is None:
            continue
        if land in taken and not _is_truer(grip.holding, taken[land], limits):
            continue
        if not passable(job.profile, land, toward):
            continue
        ways = (held for length in lengths(grip) for held in _on_land(job, grip, toward, length))
        for held in ways:
            if stands_well(job, held) and clears_end(job, held) and _bared(job, before, held):
                taken[land] = grip.holding
                found.append(held)
    if all(hanging(job.profile, held) > 0.0 for held in found):
        found += _let_in(job, before, toward, lands)
    return sorted(
        found,
        key=lambda held: (
            hanging(job.profile, held),
            -round(held.grip.diameter_mm * held.grip.length_mm, 6),
            _hangs(job, toward, held.grip),
            _hangs(job, toward, held.grip, CHUCK_ONLY_OK),
            # what the bar brings with it goes through the spindle
            _from_end(job, held.grip.z_mm, other_end(toward) if _is_own(job, held) else toward),
        ),
    )


def _let_in(job: Job, before: Trial, toward: Toward, lands: Sequence[Land]) -> Iterator[Held]:
    """Grips on lands behind a collar that goes through opened jaws into the chuck."""
    for grip in grips_for(lands, job.shop):
        if grip.obstacle is None and not passable(job.profile, grip.land, toward):
            held = let_in(job.profile, toward, grip.holding, grip.land)
            if held is None or not stands_well(job, held):
                continue
            low, high = held.grip.z_mm
            r, out = held.grip.diameter_mm / 2.0, job.profile.max_diameter_mm / 2.0
            jaws = box(low, r + SKIN_MM, high, out + 1.0)
            if not thick(before.chuckings[-1][1].stock & jaws):
                yield held


def _is_truer(holding: Holding, gentler: Holding, limits: Sequence[float]) -> bool:
    """Whether it brings the part back within a stated run-out that a gentler holding does not."""
    mine, other_s = mismatch_of(holding), mismatch_of(gentler)
    if mine is None or other_s is None:
        return False
    return any(mine.value <= limit < other_s.value for limit in limits)


def _from_end(job: Job, z_mm: tuple[float, float], toward: Toward) -> float:
    """How far something lies from this end: so that a part the other way up is no other."""
    return round(z_mm[0] if toward == "low" else job.profile.length_mm - z_mm[1], 6)


def lengths(grip: LandGrip) -> list[float]:
    """Long grip and short: up to a diameter of the land, most of it, just enough, or less.

    None is longer than the jaws are, which end short of the land's end where that is enough: what
    tools keep clear of ends there then.
    """
    whole = grip.length_mm
    if grip.holding.kind == "mandrel":
        return [whole] if grip.obstacle is None else []
    clear = whole - grip.holding.jaw_standoff_mm
    most_held = most_grip_mm(grip.holding, grip.land.diameter_mm)
    lengths: set[float] = set()
    if grip.obstacle is None:
        least = min(whole, grip.least_mm)
        longest = min(
            clear if clear >= least else whole, max(least, grip.land.diameter_mm), most_held
        )
        lengths |= {longest, max(least, min(longest, 0.75 * whole)), least}
    if grip.shortest_mm is not None:
        most = min(clear if clear >= grip.shortest_mm else whole, grip.least_mm)
        shorter = (most, 0.5 * most, grip.shortest_mm)
        lengths |= {n for n in shorter if grip.shortest_mm <= n <= most}
    return sorted(lengths, reverse=True)


def stands_well(job: Job, held: Held) -> bool:
    """Whether a short grip carries what stands out of it, and the chuck has room for the rest."""
    if not fits_behind(job.profile, held, job.shop):
        return False
    if not held_short(held):
        return True
    low, high = stick_out_mm(job.profile, held.toward, held.grip.z_mm)
    return high - low <= SHORT_STICK_OUT.value * held.grip.diameter_mm


def clears_end(job: Job, held: Held) -> bool:
    """Whether the jaws keep their stand-off from the free end, so that it can be faced."""
    if held.holding.kind == "mandrel":
        return True
    low, high = held.grip.z_mm
    room = job.profile.length_mm - high if held.toward == "low" else low
    return room >= held.holding.jaw_standoff_mm - SKIN_MM


def _bared(job: Job, before: Trial, held: Held) -> bool:
    """Whether what is gripped has been cut, and all that jaws pass on their way."""
    if held.land is not None and before.skinned() & set(held.land.segments):
        return False
    low, high = held.grip.z_mm
    z0, z1 = (0.0, high) if held.toward == "low" else (low, job.profile.length_mm)
    r = held.grip.diameter_mm / 2.0
    if held.grip.surface == "outer":
        room = box(z0, r + SKIN_MM, z1, job.profile.max_diameter_mm / 2.0 + 1.0)
    elif r > SKIN_MM:
        room = box(z0, 0.0, z1, r - SKIN_MM)
    else:
        return False
    return not thick(before.chuckings[-1][1].stock & room)


def between_centres(
    job: Job, pair: Trial, lands: Sequence[Land], ends: Sequence[Toward] = ()
) -> Iterator[Held]:
    """Between centres, driven at either end, where both have room for a centre that may stay.

    The dog is clamped on a land that no other surface must run true to; where it is turned end for
    end (`ends` names the one to drive) on what was finished so, with something soft between.
    """
    if any(no_centre(job.profile, end, job.intent) is not None for end in ENDS):
        return
    related = set() if ends else {s for group in job.groups for s in group.segments}
    toward = pair.chuckings[-1][0].toward
    for holding in (h for h in job.shop.holdings if h.kind == "between-centres"):
        for end in ends or (other_end(toward), toward):
            for land in sorted(lands, key=lambda land: _from_end(job, land.z_mm, end)):
                at_end = _from_end(job, land.z_mm, end)
                length = least_grip_mm(holding, land.diameter_mm)
                if (
                    land.surface != "outer"
                    or at_end > length
                    or not takes(holding, land.diameter_mm)
                    or land.z_mm[1] - land.z_mm[0] < length - SKIN_MM
                    or related & set(land.segments)
                    or not passable(job.profile, land, end)
                ):
                    continue
                held = held_between(job.profile, end, holding, land, length)
                if _bared(job, pair, held):
                    yield held
