"""A second chucking is needed, and the part has nothing that could be held in it."""

from __future__ import annotations

from turnability.rules.drawn import PIN, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import place_text, span_text, where_of
from turnability.setups.grips import LandGrip, grips_for, passable
from turnability.setups.model import SetupLeft
from turnability.shop.model import Holding
from turnability.units import length_text

NAME = "no-land-to-grip"
LEVELS = ("error",)
WHY = (
    "Jaws hold only a straight, unbroken cylinder that is long enough; on a taper, a curve or a "
    "thread the part can come loose at speed. How hard and how long to grip is for a qualified "
    "machinist and the shop's own rules to decide."
)
LIMIT = "a land within a holding's range, at least 10 mm and half its diameter long"
BASIS = (
    "common practice: grip at least 10 mm and half the diameter, unless the shop file states "
    "its holding's own limits"
)


def check(view: View) -> Judgement:
    """An error where the plan leaves something only because nothing could be gripped."""
    if not view.shop.holdings:
        return NotJudged("the shop file names no holding")
    if view.setups is None or view.lands is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    if not view.setups:
        return (_no_raw_grip(view),)
    hidden = [left for left in view.setups[-1].left if "jaws" in left.causes]
    return (_finding(view, hidden),) if hidden else ()


def _finding(view: View, hidden: list[SetupLeft]) -> Finding:
    inch = view.shop.inch
    where = where_of(view, [s for left in hidden for s in left.segments])
    first = view.setups[0] if view.setups else None
    side = "high" if first is not None and first.toward_chuck == "low" else "low"
    grips = grips_for(view.lands or (), view.shop)
    limit = _least(view)
    need = (
        f" Add a straight cylinder of at least {length_text(limit, inch)} near the {side} end, or "
        "shape the part so that everything is cut from one end and it is parted off."
        if limit is not None
        else " Shape the part so that everything is cut from one end and it is parted off."
    )
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"{place_text(where, inch)} cannot be cut in the first chucking from raw bar, and no "
            f"land can be held to cut it in a second one{_why_not(view, grips)}. {WHY}{need}"
        ),
        where=where,
        basis=Basis(BASIS, "common-practice"),
        measured=max((g.land.z_mm[1] - g.land.z_mm[0] for g in grips), default=0.0),
        limit=limit,
        unit="mm",
    )


def _no_raw_grip(view: View) -> Finding:
    inch = view.shop.inch
    assert view.part.profile is not None
    piece = view.stock.choice if view.stock else None
    size = piece.across_mm if piece else view.part.profile.max_diameter_mm
    ranges = "; ".join(f"{h.name}: {_range(h, inch)}" for h in view.shop.holdings)
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"No holding of the shop takes the raw stock of {length_text(size, inch)} ({ranges}), "
            f"so there is no first chucking. {WHY} Make the part smaller or larger, or have it "
            "made where a fitting chuck stands."
        ),
        where=where_of(view, ()),
        basis=Basis("the holdings in the shop file", "shop"),
        measured=size,
        unit="mm",
    )


def _range(holding: Holding, inch: bool) -> str:
    if holding.outside_mm is None:
        return "inside only"
    return f"⌀{span_text(holding.outside_mm, inch)}"


def _least(view: View) -> float | None:
    assert view.part.profile is not None
    d = view.part.profile.max_diameter_mm
    asked = [
        max(h.least_grip_mm, h.least_grip_per_diameter * d)
        for h in view.shop.holdings
        if h.outside_mm is not None
    ]
    return min(asked, default=None)


def _why_not(view: View, grips: tuple[LandGrip, ...]) -> str:
    """The longest lands, and what speaks against each."""
    inch = view.shop.inch
    if not grips:
        return " (it has no straight, unbroken cylinder)"
    lands = sorted({g.land for g in grips}, key=lambda land: land.z_mm[0] - land.z_mm[1])[:3]
    words = []
    for land in lands:
        obstacle = next((g.obstacle for g in grips if g.land == land and g.obstacle), None)
        if any(g.obstacle is None for g in grips if g.land == land):
            assert view.part.profile is not None
            reachable = any(passable(view.part.profile, land, end) for end in ("low", "high"))
            obstacle = (
                "holding it hides what must be cut, or it is itself cut in that chucking"
                if reachable
                else "plain jaws do not get to it past the larger ends"
            )
        across = length_text(land.diameter_mm, inch)
        words.append(f"z {span_text(land.z_mm, inch)} {land.surface} ⌀{across}: {obstacle}")
    return " (" + "; ".join(words) + ")"


EXAMPLES = (
    Example("a pin made from bar and parted off", drawn_view),
    Example(
        "a double cone, of which one end stays uncut",
        lambda: drawn_view(
            [(0, 0), (30, 0), (30, 4), (15, 11), (0, 4)],
            setup_left=(SetupLeft(("S4",), ("jaws",)),),
        ),
        ("error",),
    ),
    Example(
        "a pin whose bar no chuck takes",
        lambda: drawn_view(PIN, shop=drawn_shop(bars_mm=(200,)), setups=()),
        ("error",),
    ),
)
