"""Larger than any lathe of the shop takes."""

from __future__ import annotations

from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.setups.lathes import SPEED, lathes_of

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
    piece = view.stock.choice if view.stock else None
    cnc = view.reach is not None and bool(view.reach.cnc_only_segments)
    judged = lathes_of(profile, piece, view.setups or (), view.shop, cnc)
    if any(not one.stops and all(h.startswith(f"{SPEED}:") for h in one.hinders) for one in judged):
        return ()
    able = [one for one in judged if not one.stops]
    named = able or judged
    each = "; ".join(f"{one.name}: {', '.join(one.stops or one.hinders)}" for one in named)
    first = named[0]
    head = (
        "Every lathe that swings this part is hindered" if able else "No lathe of the shop takes it"
    )
    advice = (
        "Have a machinist look at it before the design is frozen."
        if able
        else "Make it smaller, split it, or have it made where a larger lathe stands."
    )
    return (
        Finding(
            rule=NAME,
            level="warning" if able else "error",
            message=f"{head}: {each}. {WHY} {advice}",
            where=Where(z_mm=(0.0, profile.length_mm), diameter_mm=(0.0, profile.max_diameter_mm)),
            basis=Basis(BASIS, "shop"),
            measured=first.measured,
            limit=first.limit,
            unit="mm",
        ),
    )


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
