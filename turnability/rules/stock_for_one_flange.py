"""One flange or head alone sets the size of the bar, and most of it becomes chips."""

from __future__ import annotations

from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import cost_text
from turnability.stock.model import Split
from turnability.stock.own_outside import hexagon_mm
from turnability.units import length_text, mass_text, span_text

NAME = "stock-for-one-flange"
LEVELS = ("warning", "note")
WHY = "A bar as thick as the flange is bought and turned away along the whole part."
LIMIT = (
    "two pieces would save half of the stock and 250 g a piece, or 10 kg over the stated quantity "
    "(a note); 1 kg a piece or more (a warning). A spanner's hexagon is no flange"
)
BASIS = (
    "geometry of the two pieces of stock from the shop's list, grips left out; half of it, 250 g "
    "and 1 kg are common practice, no source: less does not pay for a second part and its joint"
)
HALF = 0.5
LEAST_KG = 0.25
MUCH_ORDER_KG = 10.0
MUCH_KG = 1.0


def check(view: View) -> Judgement:
    """What making the flange apart would save, for the designer to weigh against its price."""
    if view.stock is None:
        return NotJudged("the shop file holds no stock list")
    split = view.stock.split
    if split is None or split.saved_fraction < HALF or not _pays(view, split):
        return ()
    inch = view.shop.inch
    saved = f"{split.saved_fraction:.0%} of the stock"
    if split.saved_mass_kg is not None:
        saved = f"{mass_text(split.saved_mass_kg, inch)} of stock ({split.saved_fraction:.0%})"
    if split.saved_cost is not None:
        saved += f", {cost_text(split.saved_cost, view.shop)}"
    names = tuple(
        s.id
        for s in (view.part.profile.outline.segments if view.part.profile else ())
        if s.surface == "outer"
        and max(s.curve.start[1], s.curve.end[1]) >= split.flange_mm / 2.0 - 1e-3
    )
    return (
        Finding(
            rule=NAME,
            level="warning" if (split.saved_mass_kg or 0.0) >= MUCH_KG else "note",
            message=(
                f"The ⌀{length_text(split.flange_mm, inch)} at z {span_text(split.z_mm, inch)} "
                f"alone sets the stock. {WHY} Made apart at "
                f"z {length_text(split.at_z_mm, inch)} (the rest from {split.core_stock}, the "
                f"flange from {split.flange_stock}) it would save {saved}; the joint may be a "
                f"spigot of ⌀{length_text(split.core_mm, inch)} through the flange, shrunk, "
                "pressed, screwed or welded; its price is another part and another fit, and "
                "whether it holds the load is the designer's to say."
            ),
            where=Where(names, (), (), split.z_mm, (split.core_mm, split.flange_mm)),
            basis=Basis(BASIS, "geometry"),
            measured=split.saved_fraction,
            limit=HALF,
            unit="-",
        ),
    )


def _pays(view: View, split: Split) -> bool:
    """Whether it saves enough for a second part; where no density is known the share decides."""
    profile = view.part.profile
    if profile is not None and hexagon_mm(profile, view.part.departures) is not None:
        return False  # the head of a bolt: it comes from hexagonal bar, or is bought
    if split.saved_mass_kg is None:
        return True
    pieces = (view.intent.quantity if view.intent else None) or 1
    return split.saved_mass_kg >= LEAST_KG or pieces * split.saved_mass_kg >= MUCH_ORDER_KG


def _headed(radius: float, length: float = 200.0) -> View:
    shaft = [(0, 0), (length, 0), (length, 8), (10, 8), (10, radius), (0, radius)]
    return drawn_view(shaft, shop=drawn_shop((20, 25, 30, 50, 90)))


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a shaft with a collar little larger", lambda: _headed(9.0)),
    Example("a shaft of ⌀16 with a head of ⌀26, which saves 47 %", lambda: _headed(13.0)),
    Example("a pin of ⌀16 and 30 with a head of ⌀26, 60 g", lambda: _headed(12.5, 30.0)),
    Example("a bolt with a large head", lambda: _headed(23.0, 60.0), ("note",)),
    Example("a shaft of ⌀16 with a head of ⌀80", lambda: _headed(40.0), ("warning",)),
)
