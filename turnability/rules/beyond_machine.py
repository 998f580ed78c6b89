"""Larger than any lathe of the shop takes."""

from __future__ import annotations

import math
from dataclasses import replace

from turnability.rules.as_the_bar import offer, own_bar
from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.followable import MOST_OF_OUTSIDE, largest_is_turned, modest
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View, Where
from turnability.setups.effort.lathes import CHUCK_MM, SPEED, lathes_of
from turnability.setups.model import LatheJudged
from turnability.shop.holding import passes_a_spindle
from turnability.units import length_text

NAME = "beyond-machine"
LEVELS = ("error", "warning")
WHY = "The part must swing over the bed, and part and grip must lie between headstock and centre."
LIMIT = "swing, length between centres, bar capacity and spindle bore of each lathe"
BASIS = "the lathes in the shop file"


def check(view: View) -> Judgement:
    """An error where no lathe takes the part, a warning where each is hindered.

    One that only turns too slowly for carbide makes it: small pins are turned so everywhere.
    """
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    if not view.shop.machines:
        return NotJudged("the shop file names no machine")
    if view.setups is None and view.intent is not None and view.intent.bar_outside:
        return NotJudged("no plan was made, so it is not known what stands out of the spindle")
    piece = view.stock.choice if view.stock else None
    cnc = view.reach is not None and bool(view.reach.cnc_only_segments)
    judged = lathes_of(profile, piece, view.setups or (), view.shop, cnc)
    if any(not one.stops and all(h.startswith(f"{SPEED}:") for h in one.hinders) for one in judged):
        return ()
    able = [one for one in judged if not one.stops]
    named = able or judged
    each = "; ".join(f"{one.name}: {', '.join(one.stops or one.hinders)}" for one in named)
    first, change = named[0], None
    head = (
        "Every lathe that swings this part is hindered" if able else "No lathe of the shop takes it"
    )
    advice = "Have a machinist look at it before the design is frozen."
    if not able:
        advice = "Make it smaller, split it, or have it made where a larger lathe stands."
        changes = [(one, made) for one in judged if (made := _change(view, one)) is not None]
        if changes:
            first, change = min(changes, key=lambda pair: _share(pair[1]))
            advice = f"{change.text} Or split it, or have it made where a larger lathe stands."
    told = f"{head}: {each}. {WHY} "
    finding = Finding(
        rule=NAME,
        level="warning" if able else "error",
        message=f"{told}{advice}",
        where=Where(z_mm=(0.0, profile.length_mm), diameter_mm=(0.0, profile.max_diameter_mm)),
        basis=Basis(BASIS, "shop"),
        measured=first.measured,
        limit=first.limit,
        unit="mm",
        change=change,
    )
    bar, as_bar = own_bar(view), offer(view)
    if able or not bar or not as_bar or not passes_a_spindle(bar.across_mm, view.shop):
        return (finding,)
    message = f"{told}{as_bar.text} Then all of it but what is cut may lie in the spindle. {advice}"
    return (
        replace(
            finding, message=message, change=as_bar, otherwise=finding.message, instead=finding
        ),
    )


def _change(view: View, one: LatheJudged) -> Change | None:
    """The least by which the part must shrink for the one thing that stops this lathe."""
    profile, inch = view.part.profile, view.shop.inch
    if profile is None or len(one.stops) != 1 or one.measured is None or one.limit is None:
        return None
    thick = one.stops[0].startswith("swing")
    size = profile.max_diameter_mm if thick else profile.length_mm
    # downwards to a tenth: stock and grip stay as they are, or shrink with it
    to = math.floor((size - (one.measured - one.limit)) * 10.0 + 1e-6) / 10.0
    if not modest(size, to, MOST_OF_OUTSIDE) or (thick and not largest_is_turned(view)):
        return None
    told = length_text(to, inch)
    if thick:
        text = f"Reduce the largest diameter to {told}, then {one.name} swings it."
        return Change(text, "max_diameter_mm", size, to, proven=False)
    text = (
        f"Make it no longer than {told}, then {one.name} is not stopped; chuck and jaws take about "
        f"{length_text(CHUCK_MM.value, inch)} of that yet ({CHUCK_MM.source}, from memory)."
    )
    return Change(text, "length_mm", size, to, proven=False)


def _share(change: Change) -> float:
    assert change.from_ is not None
    assert change.to is not None
    return (change.from_ - change.to) / change.from_


def _disc(radius: float, length: float, bars: tuple[float, ...]) -> View:
    return drawn_view(
        [(0, 0), (length, 0), (length, radius), (0, radius)], shop=drawn_shop(bars_mm=bars)
    )


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a bar of which 400 stand out on a bed of 500", lambda: _disc(11, 400, (25,))),
    Example(
        "the same with 495, where the chuck takes 80", lambda: _disc(11, 495, (25,)), ("warning",)
    ),
    Example("a disc over the cross slide", lambda: _disc(90, 20, (200,)), ("warning",)),
    Example("a disc over the bed", lambda: _disc(150, 20, (310,)), ("error",)),
    Example("a long thick shaft", lambda: _disc(20, 600, (50,)), ("error",)),
)
