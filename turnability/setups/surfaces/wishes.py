"""What a part asks of those who share out its surfaces: narrow hollows, fine, close ones."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from turnability.features.chain import read_chain
from turnability.features.grooving import grooves
from turnability.intent.agree import together
from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.ground import trued_segments
from turnability.intent.model import Intent, Span
from turnability.part.model import Part, Profile, Segment, Stated
from turnability.setups.surfaces.finer import FineBore, fine_bore
from turnability.setups.surfaces.limits import UNSTATED, diameter_limit, general_width, stated_ra_um
from turnability.shop.told_apart import DRILLED_GRADE, DRILLED_RA_UM

SEAT_GRADE = 7
"""IT7 wants a corner and light cuts along it: a blade fed sideways bends (common practice)."""
TIGHT_GRADE = 9
"""IT9: coarser is what one roughing and one finishing cut hold anyhow (common practice)."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the part asks of those who share out its surfaces.

    `grooves` are the surfaces of each narrow hollow, `fine` those that a drill does not finish,
    `tight` outsides that must run true or are stated to `TIGHT_GRADE` or tighter, `close` surfaces
    that must run true, or of which a size finer than usual or a form is stated. `true` are those
    that must run true to something, `seats` those stated to `SEAT_GRADE` or tighter that are no
    part of a narrow hollow, `ground` what is ground inside later, with between which
    diameters in mm it is turned, `bores` what is stated of straight bores that a drill does not
    finish, but for those of threads, `threads` the surfaces on which a thread is stated or wound.
    """

    grooves: tuple[frozenset[str], ...] = ()
    fine: frozenset[str] = frozenset()
    tight: frozenset[str] = frozenset()
    close: frozenset[str] = frozenset()
    true: frozenset[str] = frozenset()
    seats: frozenset[str] = frozenset()
    bores: tuple[FineBore, ...] = ()
    ground: tuple[tuple[str, Span], ...] = ()
    threads: frozenset[str] = frozenset()


def wishes_of(
    part: Part, profile: Profile, intent: Intent | None, related: Collection[str]
) -> Wishes:
    """Grooves by their shape; fine is what is related, or stated finer than a drill leaves it."""
    stated, meant = part.stated, together(intent, part)
    chain = read_chain(profile)
    narrow = []
    for hollows in (chain.outside, chain.inside):
        for groove in grooves(chain, hollows):
            own = frozenset(chain.owned(groove.own))
            narrow.append(own | chain.finishing_both(own))
    fine = {s.id for s in profile.segments if _is_fine(s, stated, intent)}
    outside = [s for s in profile.segments if s.surface == "outer"]
    tight = {
        s.id for s in outside if s.id in related or _over(s, TIGHT_GRADE, stated, intent) <= 1e-9
    }
    threads = {s for one in meant.threads for s in one.place.segments}
    close = {s.id for s in profile.segments if _is_close(s, stated, intent)}
    round_ = [s for s in profile.segments if s.surface in ("outer", "inner")]
    seats = frozenset(
        s.id
        for s in round_
        if not any(s.id in one for one in narrow) and _over(s, SEAT_GRADE, stated, intent) <= 1e-9
    )
    later = trued_segments(intent)  # the wheel takes away a line, and what warmth has shifted
    return Wishes(
        tuple(narrow),
        frozenset(fine) | frozenset(related),
        frozenset(tight) - later,
        (frozenset(close) | frozenset(related)) - later,
        frozenset(related),
        seats - later,
        tuple(
            bore
            for s in profile.segments
            if s.id not in threads | later and (bore := fine_bore(s, stated, meant)) is not None
        ),
        tuple(
            (s, one.turned_mm)
            for one in (intent.ground if intent is not None else ())
            if one.surface == "inner" and one.turned_mm is not None
            for s in one.place.segments
        ),
        frozenset(threads) | _wound(part, profile),
    )


def _wound(part: Part, profile: Profile) -> frozenset[str]:
    """Surfaces along most of which the solid has a helix."""
    found = set()
    for thread in part.threads:
        for s in profile.segments:
            low, high = s.ends_z_mm
            along = min(high, thread.z_mm[1]) - max(low, thread.z_mm[0])
            if s.surface == thread.surface and along > 0.5 * (high - low):
                found.add(s.id)
    return frozenset(found)


def _is_close(segment: Segment, stated: Stated, intent: Intent | None) -> bool:
    """Whether its diameter is stated finer than a drawing without tolerances leaves it, or form."""
    mine = [t for t in (intent.tolerances if intent else ()) if segment.id in t.place.segments]
    if any(t.of == "surface" for t in mine):
        return True
    if any(segment.id in one.at.segments for one in stated.tolerances):
        return True
    diameter = 2.0 * max(segment.curve.start[1], segment.curve.end[1])
    limit, is_stated = diameter_limit([segment.id], diameter, intent, stated)
    usual = general_width(UNSTATED, diameter)
    if segment.surface not in ("outer", "inner") or not is_stated or limit is None:
        return False
    return usual is None or limit.value < usual.value - 1e-9


def _is_fine(segment: Segment, stated: Stated, intent: Intent | None) -> bool:
    if segment.surface != "inner":
        return False
    ra = stated_ra_um([segment.id], intent)
    if ra is not None and ra < DRILLED_RA_UM:
        return True
    return _over(segment, DRILLED_GRADE, stated, intent) < -1e-9


def _over(segment: Segment, grade: int, stated: Stated, intent: Intent | None) -> float:
    """By how much its diameter may vary more than this IT grade, in mm; endless if none says."""
    diameter = 2.0 * max(segment.curve.start[1], segment.curve.end[1])
    limit, is_stated = diameter_limit([segment.id], diameter, intent, stated)
    holds = fit_limits(FitClass("h", grade), diameter).width_mm
    if not is_stated or limit is None or holds is None:
        return float("inf")
    return limit.value - holds.value
