"""A bored part is cut from solid bar although a usual tube would hold it."""

from __future__ import annotations

from dataclasses import replace

from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.shop.materials import material_of
from turnability.shop.model import StockSize
from turnability.shop.usual_stock import usual_tubes
from turnability.stock.choose import COMMON_POLICY, fits, section_mm2
from turnability.stock.worth import HOLLOW_PREMIUM
from turnability.units import length_text

NAME = "tube-would-save"
LEVELS = ("note",)
WHY = "Solid bar must be drilled and bored, and its core becomes chips."
LIMIT = "a tube that saves a third of the stock, since a kilogram of tube costs more than of bar"
BASIS = "usual tubes and pipes of their standards; a third is common practice, no source"
LEAST_SAVED = 1.0 / 3.0
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
    if not able:
        return ()
    chosen = material_of(view.shop)
    kinds = _FORMS.get(chosen.material.group, ()) if chosen is not None else ()
    steel = [size for size in able if size.form in kinds]
    tube = min(steel or able, key=lambda size: (section_mm2(size), size.name))
    solid = section_mm2(StockSize(choice.form, choice.name, choice.across_mm))
    saved = 1.0 - section_mm2(tube) / solid
    if saved < LEAST_SAVED:
        return ()
    inch = view.shop.inch
    inside = tube.inner_diameter_mm or 0.0
    wall = (tube.across_mm - inside) / 2.0
    sizes = (
        f"outside {length_text(tube.across_mm, inch)}, wall {length_text(wall, inch)}, inside "
        f"{length_text(inside, inch)}"
    )
    ask = "Ask what it costs" if steel else "Ask for such hollow bar or tube and what it costs"
    offered = f"The stock chosen is {choice.name}, but "
    if steel:
        offered += f"{tube.name} ({sizes}; {tube.source})"
    else:
        named = view.shop.stock_policy.material if view.shop.stock_policy else None
        offered += f"a hollow bar or tube of {named or 'its material'} of about {sizes}"
    return (
        Finding(
            rule=NAME,
            level="note",
            message=(
                f"{offered} would hold the part with "
                f"{saved:.0%} less stock. {WHY} {ask}: a kilogram of tube is dearer "
                f"than of bar (about {HOLLOW_PREMIUM.value:g} times, common practice), and what "
                "mills hold differs."
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
