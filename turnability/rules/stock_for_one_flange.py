"""One flange or head alone sets the size of the bar, and most of it becomes chips."""

from __future__ import annotations

from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import mass_text
from turnability.units import length_text, span_text

NAME = "stock-for-one-flange"
LEVELS = ("warning", "note")
WHY = "A bar as thick as the flange is bought and turned away along the whole part."
LIMIT = "two pieces would save half of the stock (a note), and 1 kg or more of it (a warning)"
BASIS = (
    "geometry of the two pieces of stock from the shop's list, grips left out; half of it and 1 kg "
    "are common practice, no source"
)
HALF = 0.5
MUCH_KG = 1.0


def check(view: View) -> Judgement:
    """What making the flange apart would save, for the designer to weigh against its price."""
    if view.stock is None:
        return NotJudged("the shop file holds no stock list")
    split = view.stock.split
    if split is None or split.saved_fraction < HALF:
        return ()
    inch = view.shop.inch
    saved = f"{split.saved_fraction:.0%} of the stock"
    if split.saved_mass_kg is not None:
        saved = f"{mass_text(split.saved_mass_kg)} of stock ({split.saved_fraction:.0%})"
    if split.saved_cost is not None:
        currency = view.shop.rates.currency if view.shop.rates is not None else ""
        saved += f", {split.saved_cost:.2f} {currency}".rstrip()
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
                f"flange from {split.flange_stock}) it would save {saved}. The joint may be a "
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


def _headed(radius: float, length: float = 200.0) -> View:
    shaft = [(0, 0), (length, 0), (length, 8), (10, 8), (10, radius), (0, radius)]
    return drawn_view(shaft, shop=drawn_shop((20, 25, 30, 50, 90)))


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a shaft with a collar little larger", lambda: _headed(9.0)),
    Example("a shaft of ⌀16 with a head of ⌀26, which saves 47 %", lambda: _headed(13.0)),
    Example("a bolt with a large head", lambda: _headed(23.0, 60.0), ("note",)),
    Example("a shaft of ⌀16 with a head of ⌀80", lambda: _headed(40.0), ("warning",)),
)
