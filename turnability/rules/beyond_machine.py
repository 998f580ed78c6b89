"""Larger than any lathe of the shop takes."""

from __future__ import annotations

from dataclasses import dataclass

from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.shop.holding import way_through
from turnability.shop.model import Machine
from turnability.units import length_text

NAME = "beyond-machine"
LEVELS = ("error", "warning")
WHY = "The part must swing over the bed, and part and grip must lie between headstock and centre."
LIMIT = "swing, length between centres, bar capacity and spindle bore of each lathe"
BASIS = "the lathes in the shop file"


@dataclass(frozen=True, slots=True)
class _Judged:
    """What stops a lathe, and what only hinders it."""

    stops: list[str]
    hinders: list[str]
    measured: float | None = None
    limit: float | None = None


def check(view: View) -> Judgement:
    """An error where no lathe takes the part, a warning where each is hindered."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    if not view.shop.machines:
        return NotJudged("the shop file names no machine")
    judged = [(machine, _judge(machine, view)) for machine in view.shop.machines]
    if any(not j.stops and not j.hinders for _, j in judged):
        return ()
    able = [(machine, j) for machine, j in judged if not j.stops]
    named = able or judged
    each = "; ".join(f"{m.name}: {', '.join(j.stops or j.hinders)}" for m, j in named)
    first = named[0][1]
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


def _judge(machine: Machine, view: View) -> _Judged:
    profile, inch = view.part.profile, view.shop.inch
    assert profile is not None
    piece = view.stock.choice if view.stock else None
    across = piece.across_mm if piece else profile.max_diameter_mm
    what = "stock" if piece else "part"
    length = piece.length_mm - piece.stub_mm if piece else profile.length_mm
    held = max(
        (s.grip.length_mm for s in view.setups or () if s.grip.kind == "raw bar"), default=0.0
    )
    stops: list[str] = []
    hinders: list[str] = []
    pairs: list[tuple[float, float]] = []

    def too_large(value: float, limit: float | None, into: list[str], text: str) -> bool:
        if limit is None or value <= limit:
            return False
        into.append(f"{text}{length_text(value, inch)}, {length_text(limit, inch)} at most")
        pairs.append((value, limit))
        return True

    if not too_large(across, machine.swing_mm, stops, f"swing: {what} of ⌀"):
        too_large(
            across,
            machine.swing_over_cross_slide_mm,
            hinders,
            f"swing over cross slide: {what} of ⌀",
        )
    if too_large(
        length + held,
        machine.between_centres_mm,
        stops,
        f"between centres: {what} with its grip of ",
    ):
        # a bar may stand out behind the spindle instead, but the part's own length may not
        passes = way_through(machine)
        if passes is not None and across <= passes[1] and profile.length_mm <= pairs[-1][1]:
            stops.pop()
            pairs.pop()
        elif passes is not None and across > passes[1]:
            stops[-1] += (
                f" (nor does ⌀{length_text(across, inch)} go through the spindle: "
                f"its {passes[0]} is {length_text(passes[1], inch)})"
            )
    measured, limit = pairs[0] if pairs else (None, None)
    return _Judged(stops, hinders, measured, limit)


def _disc(radius: float, length: float, bars: tuple[float, ...]) -> View:
    return drawn_view(
        [(0, 0), (length, 0), (length, radius), (0, radius)], shop=drawn_shop(bars_mm=bars)
    )


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a long bar that passes the spindle", lambda: _disc(11, 495, (25,))),
    Example("a disc over the cross slide", lambda: _disc(90, 20, (200,)), ("warning",)),
    Example("a disc over the bed", lambda: _disc(150, 20, (310,)), ("error",)),
    Example("a long thick shaft", lambda: _disc(20, 600, (50,)), ("error",)),
)
