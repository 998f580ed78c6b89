"""Stands far out of the chuck for its diameter: it bends under the cut, chatters, may whip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.part.model import Profile
from turnability.rules.as_the_bar import offer
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, Level, NotJudged, View, Where
from turnability.setups.holding.centres import no_centre
from turnability.setups.holding.free import passes_the_spindle
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.holding.slender import (
    CHUCK_ONLY_LIMIT,
    CHUCK_ONLY_OK,
    TAILSTOCK_LIMIT,
    TAILSTOCK_OK,
    mean_outside_mm,
    slenderness,
    stick_out_mm,
)
from turnability.setups.holding.support import is_hollow
from turnability.setups.model import Datum, Grip, Operation, Setup, Support
from turnability.shop.model import Machine
from turnability.stock.model import raw_across_mm
from turnability.stock.own_outside import own_segments
from turnability.units import length_text, mm_text

NAME = "long-slender"
LEVELS = ("warning", "note")
WHY = "What stands far out of the chuck bends away from the tool, chatters and comes out tapered."
LIMIT = "3 diameters out of the chuck alone (warned above 4), 8 with a tailstock (warned above 12)"
BASIS = "common practice without a published source; steel"
CAUTION = (
    "Caution: a long slender bar, above all behind the spindle, can whip suddenly as speed rises "
    "and hurt whoever stands near: support it, begin slowly, keep clear, and follow the shop's own "
    "rules and a qualified machinist."
)


MOST_OF_IT = 0.5
"""Where less of what stands free is the bar's own outside, leaving that spares little (ours)."""


def check(view: View) -> Judgement:
    """The most slender setup of the plan, where it exceeds the ratio for its support.

    And the one whose end is bored while it stands out farthest without the support that it has.
    """
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    if not view.setups:
        return NotJudged("no plan of setups was made, so the free length is not known")
    return (*_turned(view, profile, view.setups), *_bored_free(view, profile, view.setups))


def _turned(view: View, profile: Profile, setups: Sequence[Setup]) -> tuple[Finding, ...]:
    worst = max(setups, key=lambda s: _ratio(view, s) / _limits(s)[0])
    ratio = _ratio(view, worst)
    fine, limit = _limits(worst)
    if ratio <= fine:
        return ()
    inch = view.shop.inch
    free = stick_out_mm(profile, worst.toward_chuck, worst.grip.z_mm)
    level: Level = "warning" if ratio > limit else "note"
    mean = length_text(round(mean_outside_mm(profile, free), 1), inch)
    held = "with a tailstock" if worst.support == "tailstock" else "without support"
    way_out = _way_out(view, profile, worst)
    as_bar = offer(view)
    stays = ""
    if as_bar is not None and _bar_lies_in(view, worst, free) >= MOST_OF_IT * (free[1] - free[0]):
        stays = f" Or {as_bar.text[0].lower()}{as_bar.text[1:]}"
    return (
        Finding(
            rule=NAME,
            level=level,
            message=(
                f"In setup {worst.order}, {length_text(free[1] - free[0], inch)} stand free "
                f"{held} at a mean diameter of {mean}: "
                f"{mm_text(ratio, 1)} diameters, where {fine:g} go well and {limit:g} are the "
                f"usual limit. {_calculated(worst, inch)}{WHY} {way_out}, "
                f"or make the part shorter or thicker.{stays} {CAUTION}"
            ),
            where=Where(z_mm=free),
            basis=Basis(BASIS, "common-practice"),
            measured=ratio,
            limit=fine if level == "note" else limit,
            unit="diameters",
        ),
    )


def _bored_free(view: View, profile: Profile, setups: Sequence[Setup]) -> tuple[Finding, ...]:
    """Work whose outside has a centre, and whose end is drilled or bored far out without it."""
    limit = CHUCK_ONLY_LIMIT.value
    far = [s for s in setups if _free_in_the_end(profile, s) and _ratio(view, s) > limit]
    if not far:
        return ()
    worst = max(far, key=lambda s: _ratio(view, s))
    ratio, inch = _ratio(view, worst), view.shop.inch
    free = stick_out_mm(profile, worst.toward_chuck, worst.grip.z_mm)
    works = _free_in_the_end(profile, worst)
    bored = any(o.kind != "drill" for o in works)
    ways = "; or ".join(_ways_to_bore(view, profile, worst))
    mean = length_text(round(mean_outside_mm(profile, free), 1), inch)
    return (
        Finding(
            rule=NAME,
            level="warning" if bored else "note",
            message=(
                f"In setup {worst.order}, {length_text(free[1] - free[0], inch)} stand free "
                f"without support at a mean diameter of {mean} while its end is "
                f"{'drilled and bored' if bored else 'drilled'}, as the centre that carries it "
                f"before stands where those tools go in: {mm_text(ratio, 1)} diameters, where "
                f"{CHUCK_ONLY_OK.value:g} go well and {limit:g} are the usual limit. {WHY} "
                f"{ways[0].upper()}{ways[1:]}; or make the part shorter or thicker. {CAUTION}"
            ),
            where=Where(z_mm=free),
            basis=Basis(BASIS, "common-practice"),
            measured=ratio,
            limit=limit,
            unit="diameters",
        ),
    )


def _free_in_the_end(profile: Profile, setup: Setup) -> list[Operation]:
    """What is done in the end of a setup once the centre of that is taken away."""
    if setup.support != "tailstock":
        return []
    on_centre = (n for n, o in enumerate(setup.operations) if o.support == "tailstock")
    after = setup.operations[next(on_centre, 0) :]
    return [o for o in after if o.support == "none" and is_hollow(profile, o)]


def _ways_to_bore(view: View, profile: Profile, setup: Setup) -> Iterator[str]:
    """What a machinist would do: a tube, a steady, the hole before the outside."""
    choice = view.stock.choice if view.stock is not None else None
    hollow = choice is not None and choice.inner_diameter_mm is not None
    if profile.through_bore_mm is not None and not hollow:
        yield "begin from a tube that leaves little to bore"
    lathe = _lathe(view)
    known = "" if lathe is not None and lathe.steady else (
        ", and state steady = true in the shop file where a lathe has one"
    )  # fmt: skip
    raw = setup.grip.kind in (RAW_BAR, RAW_PIECE)
    sawn = "saw the piece to length and " if setup.grip.kind == RAW_BAR else ""
    yield f"{sawn}run a steady on its free end while that is drilled and bored{known}"
    size = raw_across_mm(view.stock, profile.max_diameter_mm)
    if raw and passes_the_spindle(lathe, size if choice is None else choice.through_mm):
        last = ""
        if no_centre(profile, setup.free_end, view.intent) is None:
            last = ", and turn the outside after that, drawn out on a centre in the mouth"
        yield (
            f"draw it into the spindle until no more than {CHUCK_ONLY_LIMIT.value:g} diameters "
            f"stand out, drill and bore it first{last}"
        )


def _lathe(view: View) -> Machine | None:
    named = None if view.plan is None else view.plan.lathe
    return next((m for m in view.shop.machines if named in (None, m.name)), None)


def _way_out(view: View, profile: Profile, setup: Setup) -> str:
    """What would carry it, beyond what the plan does already."""
    if setup.support != "none":
        ways = []
        centred = any(o.support == "tailstock" for o in setup.operations)
        if centred and any(o.kind == "part off" for o in setup.operations):
            ways.append("withdraw the centre before parting off")
        followed = setup.bending is not None and bool(setup.bending.followed)
        steadied = any(o.support == "steady" for o in setup.operations)
        rests = ["steady"] * (not steadied) + ["follow rest"] * (not followed)
        if rests:
            ways.append(f"where it chatters set a {' or a '.join(rests)}")
        text = "; ".join(ways) or "cut lightly"
        return text[0].upper() + text[1:]
    if no_centre(profile, setup.free_end, view.intent) is None:
        return "Where it chatters set a centre in its free end, or a steady under what has none"
    if view.intent is not None and view.intent.centre_holes is not None:
        return "Let a centre hole stay in the free end, or cut it longer and that piece off last"
    return (
        "Let it be cut longer, on a centre in the piece that is cut off last, or give the free "
        "end room for a centre hole if it is no point"
    )


def _bar_lies_in(view: View, setup: Setup, free: tuple[float, float]) -> float:
    """How much of what stands free is the bar's own outside and is turned all the same, in mm."""
    profile = view.part.profile
    assert profile is not None
    turned = {s for o in setup.operations if o.kind in ("rough", "turn") for s in o.segments}
    return sum(
        max(0.0, min(high, free[1]) - max(low, free[0]))
        for s in profile.outline.segments
        if s.id in turned & own_segments(profile, view.part.departures)
        for low, high in (s.ends_z_mm,)
    )


def _calculated(setup: Setup, inch: bool) -> str:
    """What the calculation says beside the rule of thumb."""
    bending = setup.bending
    if bending is None:
        return ""
    error = length_text(bending.worst_diametral_error_mm, inch)
    alone = " without the follow rest that is planned" if bending.followed else ""
    return (
        f"By calculation the finishing cut bends it by up to {error} on diameter along one land"
        f"{alone}. "
    )


def _ratio(view: View, setup: Setup) -> float:
    assert view.part.profile is not None
    return slenderness(view.part.profile, setup.toward_chuck, setup.grip.z_mm)


def _limits(setup: Setup) -> tuple[float, float]:
    if setup.support == "none":
        return CHUCK_ONLY_OK.value, CHUCK_ONLY_LIMIT.value
    return TAILSTOCK_OK.value, TAILSTOCK_LIMIT.value


def _rod(length: float) -> View:
    return drawn_view([(0, 0), (length, 0), (length, 5), (0, 5)])


def _tube(by: Support) -> View:
    """A bush of 150 mm and ⌀22, turned on a centre, then bored with this support."""
    held = Grip("raw bar", "outer", (-20.0, -5.0), 25.0, 15.0)
    works = (
        Operation("turning tool", ("S3",), "turn", "tailstock"),
        Operation("bar 8", ("S1",), "bore", by),
    )
    setup = Setup(1, "low", held, Datum(None, "raw bar"), "tailstock", works, ())
    return drawn_view([(0, 6), (150, 6), (150, 11), (0, 11)], setups=(setup,))


EXAMPLES = (
    Example("a stepped pin of 30 mm", drawn_view),
    Example("a rod of 3.5 diameters", lambda: _rod(35), ("note",)),
    Example("a rod of 10 diameters", lambda: _rod(100), ("warning",)),
    Example("a bush of 7 diameters, bored on a steady", lambda: _tube("steady")),
    Example("the same, bored with its end free", lambda: _tube("none"), ("warning",)),
)
