"""A chucking holds less of the part than common practice asks for."""

from __future__ import annotations

import math

from turnability.part.model import Profile
from turnability.rules.drawn import CHUCK, Example, drawn_view
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.other_holdings import bored_before
from turnability.rules.speak import where_of
from turnability.setups.holding.grips import SHORT_STICK_OUT, holds_hardly, is_short, least_grip_mm
from turnability.setups.holding.slender import stick_out_mm
from turnability.setups.model import Datum, Grip, Land, Setup
from turnability.shop.holding import takes
from turnability.shop.model import Holding
from turnability.units import length_text, number_text, rounded_up, span_text

NAME = "short-grip"
LEVELS = ("warning", "note")
WHY = "A short grip lets the part tilt, or go, under more than a light cut."
LIMIT = (
    "the length of land that the holding asks for: 10 mm and half the diameter, if it says none; "
    "10 mm and no less than what stands out make it a note"
)
HUB_PER_BORE = 1.5
"""Least outside of a hub, in diameters of the bore through it (this program's own choice)."""
HUB_RELIEF_MM = 2.0
"""So much wider is the bore through a hub that is there to be held by (our choice)."""
MOST_LONGER = 0.25
"""No land is asked to grow by more than this share of the whole part (our choice)."""
_SAME_MM = 1e-3
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
    least = least_grip_mm(holding, grip.held_mm)
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
    assert view.part.profile is not None
    low, high = stick_out_mm(view.part.profile, setup.toward_chuck, grip.z_mm)
    stout = high - low <= grip.length_mm and grip.length_mm >= holding.least_grip_mm
    change = None if stout else _change(view, setup, holding)
    instead = f" {change.text}" if change else ""
    return Finding(
        rule=NAME,
        level="note" if stout else "warning",
        message=(
            f"Setup {setup.order} can hold only {length_text(grip.length_mm, inch)} of "
            f"{_held_text(grip, inch)} (z {span_text(grip.z_mm, inch)}), where "
            f"{holding.name} wants {length_text(least, inch)}. {WHY}{_hardly(grip)} "
            f"{_shouldered(grip, holding, inch)}, take light cuts, and let a "
            f"qualified machinist judge it.{instead}{_mandrel(view, setup)}"
        ),
        where=where_of(view, gripped, [(z0, r), (z1, r)]),
        basis=Basis(BASIS, "common-practice"),
        measured=grip.length_mm,
        limit=least,
        unit="mm",
        change=change,
    )


def _held_text(grip: Grip, inch: bool) -> str:
    if grip.across_flats_mm is None:
        return f"⌀{length_text(grip.diameter_mm, inch)}"
    return f"a hexagon of {length_text(grip.across_flats_mm, inch)} across flats"


def _shouldered(grip: Grip, holding: Holding, inch: bool) -> str:
    """How the part is kept from tilting in it: soft jaws are bored anyway, for flats milled."""
    if grip.across_flats_mm is not None:
        return (
            f"Take a collet for hexagon {number_text(grip.across_flats_mm, inch)}, or soft jaws "
            "milled to the flats, with a stop behind the part"
        )
    if holding.kind == "four-jaw":
        return "Set a stop behind the part in its jaws"
    if holding.kind == "soft-jaws":
        return "Bore its jaws with a shoulder behind the part"
    return "Bore soft jaws to the diameter with a shoulder behind the part"


def _hardly(grip: Grip) -> str:
    if not holds_hardly(grip):
        return ""
    across = "its diameter" if grip.across_flats_mm is None else "what is across it"
    return (
        f" That is {grip.length_mm / grip.held_mm:.0%} of {across}, which jaws alone hold "
        "hardly: a plug on the centre must press it against a shoulder."
    )


def _change(view: View, setup: Setup, holding: Holding) -> Change | None:
    """A land as long as is wanted; where the part is too short for that, a hub past its end."""
    inch, grip, profile = view.shop.inch, setup.grip, view.part.profile
    if profile is None or grip.surface != "outer":
        return None
    least = least_grip_mm(holding, grip.held_mm)
    # a disc has no room for what plain jaws want
    if profile.length_mm - holding.jaw_standoff_mm > least:
        if least - grip.length_mm > MOST_LONGER * profile.length_mm:
            return None  # that would make another part of it
        more = length_text(rounded_up(least - grip.length_mm, inch), inch)
        text = f"Draw that land {more} longer."
        return Change(text, "land_length_mm", grip.length_mm, least, proven=False)
    hubs = [land for land in view.lands or () if _ends_beside(land, setup, profile)]
    hub = max(hubs, key=lambda land: land.diameter_mm, default=None)
    # all of the part as it is drawn will stand out of the hub, by no more than its diameter
    across = rounded_up(SHORT_STICK_OUT.value * profile.length_mm, inch)
    mouth = _mouth_mm(profile, setup)
    wide = max(mouth, profile.through_bore_mm or 0.0) + (HUB_RELIEF_MM if mouth else 0.0)
    across = max(across, rounded_up(HUB_PER_BORE * wide, inch))
    drawn = hub is not None and hub.diameter_mm >= across
    if hub is not None and drawn:
        across = hub.diameter_mm
    if across >= grip.diameter_mm or not takes(holding, across):
        return None
    past = rounded_up(least_grip_mm(holding, across) + holding.jaw_standoff_mm, inch)
    if past > profile.length_mm:
        return None  # more hub than part
    size = f"⌀{length_text(across, inch)}"
    what = f"Let the hub of {size}" if drawn else f"Draw a hub of at least {size} that may"
    text = (
        f"{what} stand {length_text(past, inch)} past the {setup.toward_chuck} end, to be held by"
    )
    if mouth:
        text += (
            f", its bore {length_text(rounded_up(HUB_RELIEF_MM, inch), inch)} wider than the one "
            "drawn, which stays no longer to be bored than it is"
        )
    text += "."
    return Change(text, "hub_length_mm", 0.0, past, proven=False)


def _mouth_mm(profile: Profile, setup: Setup) -> float:
    """How wide a bore opens at the end that is held; nothing where that is solid."""
    at = 0.0 if setup.toward_chuck == "low" else profile.length_mm
    radii = [
        p[1]
        for s in profile.outline.segments
        if s.surface != "axis"
        for p in (s.curve.start, s.curve.end)
        if abs(p[0] - at) <= _SAME_MM
    ]
    return 2.0 * min(radii, default=0.0)


def _ends_beside(land: Land, setup: Setup, profile: Profile) -> bool:
    """Whether it is a slimmer cylinder outside that ends where the part is held."""
    if land.surface != "outer" or land.diameter_mm >= setup.grip.diameter_mm - _SAME_MM:
        return False
    if setup.toward_chuck == "low":
        return land.z_mm[0] <= _SAME_MM
    return land.z_mm[1] >= profile.length_mm - _SAME_MM


def _mandrel(view: View, setup: Setup) -> str:
    """That a mandrel, which the shop does not list, would hold it by a bore bored before."""
    longest = bored_before(view, setup)
    if longest is None or any(holding.kind == "mandrel" for holding in view.shop.holdings):
        return ""
    inch = view.shop.inch
    return (
        f" An expanding mandrel in the bore of ⌀{length_text(longest.diameter_mm, inch)} (z "
        f"{span_text(longest.z_mm, inch)}) would hold it too, and leave the outside free: the shop "
        "file lists none."
    )


def _held(length_mm: float) -> View:
    grip = Grip(CHUCK.name, "outer", (0.0, length_mm), 22.0, length_mm)
    return drawn_view(setups=(Setup(1, "low", grip, Datum("S6", "drawn"), "none", (), ()),))


def _on_flats(length_mm: float) -> View:
    """A hexagon of 19 across flats, whose bar brings them, held by as much of it."""
    corners = 19.0 / math.cos(math.pi / 6.0)
    grip = Grip(CHUCK.name, "outer", (0.0, length_mm), corners, length_mm, 19.0)
    setup = Setup(1, "low", grip, Datum("S6", "drawn"), "none", (), ())
    r = corners / 2.0
    return drawn_view([(0, 0), (30, 0), (30, 6), (8, 6), (8, r), (0, r)], setups=(setup,))


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
    Example("a hexagon of 19 held by 8 mm of its flats", lambda: _on_flats(8.0), ("warning",)),
    Example("⌀22 held over 6 mm", lambda: _held(6.0), ("warning",)),
)
