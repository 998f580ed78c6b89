"""A bored part is cut from solid bar although a usual tube would hold it."""

from __future__ import annotations

from dataclasses import replace

from turnability.part.model import Profile
from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.shop.material import COMMON_POLICY
from turnability.shop.materials import material_of
from turnability.shop.model import StockPolicy, StockSize
from turnability.shop.usual_stock import hollow_text, usual_tubes
from turnability.stock.allowance import largest_bore_mm, least_size_mm, policy_for
from turnability.stock.choose import fits, section_mm2
from turnability.stock.worth import HOLLOW_PREMIUM
from turnability.units import length_text, rounded_down, rounded_up

NAME = "tube-would-save"
LEVELS = ("note",)
WHY = "Solid bar must be drilled and bored, and its core becomes chips."
LIMIT = "a tube that saves a third of the stock, since a kilogram of tube costs more than of bar"
BASIS = "usual tubes and pipes of their standards; a third is common practice, no source"
LEAST_SAVED = 1.0 / 3.0
FLAT = 0.2
"""Rings no longer than this share of their diameter are cut from plate, too (our choice)."""
_FORMS = {"P": ("tube", "pipe"), "H": ("tube", "pipe"), "M": ("pipe",)}
"""What the listed standards are made of, by groups of ISO 513: precision and mechanical tube of
plain steel, pipe of that (ASME B36.10M) and of stainless steel (B36.19M)."""


def check(view: View) -> Judgement:
    """A note where the lightest usual tube saves much that the shop's list does not hold."""
    profile = view.part.profile
    if profile is None or view.stock is None:
        return NotJudged("the shop file holds no stock list")
    choice = view.stock.choice
    if choice is None or choice.form not in ("bar", "hex") or profile.through_bore_mm is None:
        return ()
    if any(size.form in ("tube", "pipe") for size in view.shop.stock):
        return ()  # the shop's own tubes were weighed already
    policy = view.shop.stock_policy or COMMON_POLICY
    able = [size for size in usual_tubes(view.shop.inch) if fits(size, profile, policy)]
    chosen = material_of(view.shop)
    kinds = _FORMS.get(chosen.material.group, ()) if chosen is not None else ()
    steel = [size for size in able if size.form in kinds]
    least = _least_hollow(profile, policy)
    # of what no standard is known, any size is asked for
    tube = min(steel, key=lambda size: (section_mm2(size), size.name), default=least)
    solid = section_mm2(StockSize(choice.form, choice.name, choice.across_mm))
    saved = 1.0 - section_mm2(tube) / solid
    if saved < LEAST_SAVED:
        return ()
    inch = view.shop.inch
    if steel:
        sizes = hollow_text(tube.name, tube.across_mm, tube.inner_diameter_mm or 0.0, inch)
        standard = (tube.source or "").split(";")[0]
        what, ask = f"{tube.name} ({sizes}; {standard})", "Ask what it costs"
    else:
        policy_of = view.shop.stock_policy
        named = (policy_of.material if policy_of else None) or "its material"
        outside = length_text(rounded_up(least.across_mm, inch), inch)
        inside = length_text(rounded_down(least.inner_diameter_mm or 0.0, inch), inch)
        what = (
            f"a hollow bar or tube of {named}, outside at least {outside} and inside at most "
            f"{inside},"
        )
        ask = f"Ask for such hollow bar or tube{_plate(profile, policy, inch)} and what it costs"
    return (
        Finding(
            rule=NAME,
            level="note",
            message=(
                f"The stock chosen is {choice.name}, but {what} would hold the part with "
                f"{'' if steel else 'up to '}{saved:.0%} less stock. {WHY} {ask}: a kilogram of "
                f"tube is dearer than of bar (about {HOLLOW_PREMIUM.value:g} times, common "
                "practice), and what mills hold differs."
            ),
            where=Where(
                z_mm=(0.0, profile.length_mm),
                diameter_mm=(profile.through_bore_mm, profile.max_diameter_mm),
            ),
            basis=Basis(BASIS, "common-practice"),
            measured=saved,
            limit=LEAST_SAVED,
            unit="-",
        ),
    )


def _plate(profile: Profile, policy: StockPolicy, inch: bool) -> str:
    """That a flat ring may be cut from plate as well; empty of anything longer."""
    if profile.length_mm > FLAT * profile.max_diameter_mm:
        return ""
    thick = rounded_up(profile.length_mm + 2.0 * policy.end_allowance_mm, inch)
    return f", or for rings cut from plate of at least {length_text(thick, inch)},"


def _least_hollow(profile: Profile, policy: StockPolicy) -> StockSize:
    """What a hollow must measure to hold the part, bright and with its bore true to its outside."""
    drawn = StockSize("tube", "hollow", profile.max_diameter_mm, 0.0, finish="bright")
    outside = least_size_mm(profile.max_diameter_mm, policy_for(drawn, policy))
    inside = largest_bore_mm(drawn, profile.through_bore_mm or 0.0, policy)
    return replace(drawn, across_mm=outside, inner_diameter_mm=max(inside, 0.0))


def _bush(bore: float, stock: tuple[StockSize, ...] = ()) -> View:
    shop = drawn_shop((20, 25, 50, 60))
    bush = [(0, bore / 2.0), (30, bore / 2.0), (30, 23), (0, 23)]
    return drawn_view(bush, shop=replace(shop, stock=shop.stock + stock))


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a bush of ⌀46 with a bore of ⌀8", lambda: _bush(8.0)),
    Example("a bush of ⌀46 with a bore of ⌀43", lambda: _bush(43.0), ("note",)),
    Example(
        "a bush of ⌀46 with a bore of ⌀43 where its tube is kept",
        lambda: _bush(43.0, (StockSize("tube", "tube 50 × 40", 50.0, 40.0),)),
    ),
)
