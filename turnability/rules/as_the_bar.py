"""What may be offered where the part's outside is a bar's own: to let it stay as the bar comes."""

from __future__ import annotations

from collections.abc import Collection

from turnability.intent.stated import BAR_OUTSIDE
from turnability.rules.model import Change, View
from turnability.shop.materials import is_steel, material_of
from turnability.shop.model import Shop, StockSize
from turnability.stock.own_outside import (
    Delivered,
    delivered,
    own_segments,
    own_sizes,
    turns_corners,
    why_turned,
)
from turnability.units import length_text

__all__ = ["BAR_OUTSIDE", "NOT_KNOWN", "bars_known", "delivered_text", "offer", "own_bar"]

NOT_KNOWN = "how true bars of this material come is not known here: agree it with who sells them"


def own_bar(view: View) -> StockSize | None:
    """The listed bar, hexagon or tube whose outside is the part's; None where none is."""
    profile = view.part.profile
    if profile is None:
        return None
    found = own_sizes(profile, view.part.departures, view.shop.stock)
    return found[0] if found else None


def offer(view: View, segments: Collection[str] | None = None) -> Change | None:
    """To let the outside stay, where nobody has said whether it may and nothing stated forbids it.

    `segments`: those in question; None where any of that outside is. Unproven.
    """
    profile, bar = view.part.profile, own_bar(view)
    if profile is None or bar is None or (view.intent and view.intent.bar_outside is not None):
        return None
    own = own_segments(profile, view.part.departures)
    corners = turns_corners(profile, view.part.departures)
    if not (own or corners) or (segments is not None and not own.issuperset(segments)):
        return None
    if why_turned(view.part, view.intent) is not None:
        return None
    comes = delivered(view.part, view.intent, bar)
    text = (
        f"Let the {'flats' if corners else 'outside'} stay as {bar.name} comes "
        f"({delivered_text(comes, view.shop)}), if that surface will do: {BAR_OUTSIDE} = true in "
        "the intent file."
    )
    return Change(text, BAR_OUTSIDE, None, None, proven=False)


def bars_known(shop: Shop) -> bool:
    """Whether how true the shop's bars come is known: EN 10278 is of steel alone."""
    chosen = material_of(shop)
    return chosen is not None and is_steel(chosen.material.name)


def delivered_text(comes: Delivered, shop: Shop) -> str:
    """How true it comes: "h10 of EN 10278, 0 to −0.084 mm"; of what is no steel nobody says."""
    if not bars_known(shop):
        return NOT_KNOWN
    limits = comes.deviations_mm
    least = "" if limits is None else f", 0 to −{length_text(-limits[0], shop.inch)}"
    return f"{comes.fit} of EN 10278{least}"
