"""A chucking holds less of the part than common practice asks for."""

from __future__ import annotations

from turnability.rules.drawn import CHUCK, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.grips import is_short, least_grip_mm
from turnability.setups.model import Datum, Grip, Setup
from turnability.setups.slender import stick_out_mm
from turnability.shop.model import Holding
from turnability.units import length_text, span_text

NAME = "short-grip"
LEVELS = ("warning", "note")
WHY = "A short grip lets the part tilt, or go, under more than a light cut."
LIMIT = (
    "the length of land that the holding asks for: 10 mm and half the diameter, if it says none; "
    "10 mm and no less than what stands out make it a note"
)
BASIS = (
    "common practice: grip at least 10 mm and half the diameter, or the holding's own limits; "
    "discs in soft jaws by no less than 3 mm"
)


def check(view: View) -> Judgement:
    """A warning for each setup that grips the part shorter than its holding asks for.

    A note where no more stands out than is gripped: a disc has little to tilt by.
    """
    if not view.shop.holdings:
        return NotJudged("the shop file names no holding")
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    by_name = {holding.name: holding for holding in view.shop.holdings}
    return [
        _finding(view, setup, by_name[setup.grip.kind])
        for setup in view.setups
        if setup.grip.kind in by_name and is_short(setup.grip, by_name[setup.grip.kind])
    ]


def _finding(view: View, setup: Setup, holding: Holding) -> Finding:
    inch, grip = view.shop.inch, setup.grip
    least = least_grip_mm(holding, grip.diameter_mm)
    gripped = [
        s
        for land in view.lands or ()
        for s in land.segments
        if land.surface == grip.surface
        and abs(land.diameter_mm - grip.diameter_mm) < 1e-3
        and land.z_mm[0] - 1e-6 <= grip.z_mm[0]
        and grip.z_mm[1] <= land.z_mm[1] + 1e-6
    ]
    z0, z1 = grip.z_mm
    r = grip.diameter_mm / 2.0
    # a disc has no room for what plain jaws want
    assert view.part.profile is not None
    room = view.part.profile.length_mm - holding.jaw_standoff_mm
    longer = "; or draw a longer land" if room > least else ""
    low, high = stick_out_mm(view.part.profile, setup.toward_chuck, grip.z_mm)
    stout = high - low <= grip.length_mm and grip.length_mm >= holding.least_grip_mm
    return Finding(
        rule=NAME,
        level="note" if stout else "warning",
        message=(
            f"Setup {setup.order} can hold only {length_text(grip.length_mm, inch)} of "
            f"⌀{length_text(grip.diameter_mm, inch)} (z {span_text(grip.z_mm, inch)}), where "
            f"{holding.name} wants {length_text(least, inch)}. {WHY} Bore soft jaws to the "
            "diameter with a shoulder behind the part, take light cuts, and let a qualified "
            f"machinist judge it{longer}."
        ),
        where=where_of(view, gripped, [(z0, r), (z1, r)]),
        basis=Basis(BASIS, "common-practice"),
        measured=grip.length_mm,
        limit=least,
        unit="mm",
    )


def _held(length_mm: float) -> View:
    grip = Grip(CHUCK.name, "outer", (0.0, length_mm), 22.0, length_mm)
    return drawn_view(setups=(Setup(1, "low", grip, Datum("S6", "drawn"), "none", (), ()),))


def _disc(held_mm: float) -> View:
    """⌀60 and 20 long, held by as much of it."""
    grip = Grip(CHUCK.name, "outer", (0.0, held_mm), 60.0, held_mm)
    setup = Setup(1, "low", grip, Datum("S4", "drawn"), "none", (), ())
    return drawn_view([(0, 0), (20, 0), (20, 30), (0, 30)], setups=(setup,))


EXAMPLES = (
    Example("a pin held by the bar", drawn_view),
    Example("⌀22 held over 12 mm", lambda: _held(12.0)),
    Example("a disc of ⌀60 × 20 held over 18 mm", lambda: _disc(18.0), ("note",)),
    Example("a disc of ⌀60 × 20 held over 6 mm", lambda: _disc(6.0), ("warning",)),
    Example("⌀22 held over 6 mm", lambda: _held(6.0), ("warning",)),
)
