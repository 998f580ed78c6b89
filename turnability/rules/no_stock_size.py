"""Larger than any size on the shop's stock list."""

from __future__ import annotations

from turnability.rules.as_the_bar import offer
from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.followable import MOST_OF_OUTSIDE, largest_is_turned, modest
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View, Where
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import StockPolicy, StockSize
from turnability.stock.allowance import largest_bore_mm, policy_for
from turnability.stock.choose import largest_diameter_mm
from turnability.units import length_text, rounded_down

NAME = "no-stock-size"
LEVELS = ("warning",)
WHY = "Stock that is not kept has to be bought, forged or built up, which takes time and money."
LIMIT = "the largest diameter and its allowance, within the largest size listed"
BASIS = "the stock list in the shop file"


def check(view: View) -> Judgement:
    """A warning where no size of the list leaves its allowance on the largest diameter."""
    profile = view.part.profile
    if profile is None or view.stock is None:
        return NotJudged("the shop file holds no stock list, or none of this material")
    if view.stock.choice is not None:
        return ()
    inch = view.shop.inch
    wanted = view.stock.wanted_mm or profile.max_diameter_mm
    policy = view.shop.stock_policy or COMMON_POLICY
    solid = [s for s in view.shop.stock if s.form in ("bar", "hex")]
    top = max(solid, key=lambda s: s.across_mm, default=None)
    if top is not None:
        policy = policy_for(top, policy)
    largest = None if top is None else top.across_mm
    change = None
    to = 0.0 if largest is None else rounded_down(largest_diameter_mm(largest, policy), inch, 4)
    least = length_text(wanted, inch)
    if largest is None:
        listed = f"the list holds no bar{_tube(view, policy)}"
    else:
        listed = f"the largest listed is {length_text(largest, inch)}"
    if largest_is_turned(view) and modest(profile.max_diameter_mm, to, MOST_OF_OUTSIDE):
        change = Change(
            f"Reduce the largest diameter to {length_text(to, inch)}, or list a size of at least "
            f"{least} in the shop file.",
            "max_diameter_mm",
            profile.max_diameter_mm,
            to,
            proven=False,
        )
    as_bar = offer(view)
    stays = f" Or {as_bar.text[0].lower()}{as_bar.text[1:]}" if as_bar else ""
    return (
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"No stock of the shop's list holds this part: its largest diameter of "
                f"{length_text(profile.max_diameter_mm, inch)} wants a size of at least "
                f"{least}; {listed}. {WHY} "
                + (change.text if change else "Ask what can be had, or list such a size.")
                + stays
            ),
            where=Where(diameter_mm=(profile.max_diameter_mm, profile.max_diameter_mm)),
            basis=Basis(BASIS, "shop"),
            measured=wanted,
            limit=largest,
            unit="mm",
            change=change,
        ),
    )


def _tube(view: View, policy: StockPolicy) -> str:
    """What a tube would have to be in place of a bar, where the part is bored through."""
    profile = view.part.profile
    if profile is None or profile.through_bore_mm is None:
        return ""
    bright = StockSize("tube", "tube", profile.max_diameter_mm, 0.0, finish="bright")
    most = largest_bore_mm(bright, profile.through_bore_mm, policy)
    if most <= 0.0:
        return ""
    inside = length_text(rounded_down(most, view.shop.inch, 4), view.shop.inch)
    return f", and no tube of that outside with a bore of at most {inside}"


EXAMPLES = (
    Example("a pin from round 25", drawn_view),
    Example(
        "a pin where only 16 mm bars are kept",
        lambda: drawn_view(shop=drawn_shop(bars_mm=(10, 16))),
        ("warning",),
    ),
)
