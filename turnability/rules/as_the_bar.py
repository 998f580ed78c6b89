"""What may be offered where the part's outside is a bar's own: to let it stay as the bar comes."""

from __future__ import annotations

from collections.abc import Collection

from turnability.intent.stated import BAR_OUTSIDE
from turnability.rules.model import Change, View
from turnability.shop.material import COMMON_POLICY
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

__all__ = ["BAR_OUTSIDE", "delivered_text", "not_known", "offer", "own_bar", "trueness_known"]


def own_bar(view: View) -> StockSize | None:
    """The listed bar, hexagon or tube whose outside is the part's; None where none is."""
    profile = view.part.profile
    if profile is None:
        return None
    policy = view.shop.stock_policy or COMMON_POLICY
    found = own_sizes(profile, view.part.departures, view.shop.stock, policy)
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
        f"({delivered_text(comes, view.shop, bar)}), if that surface will do: {BAR_OUTSIDE} = true "
        "in the intent file."
    )
    return Change(text, BAR_OUTSIDE, None, None, proven=False)


def trueness_known(shop: Shop, bar: StockSize) -> bool:
    """Whether how true it comes is known: EN 10278 is of bars of steel alone."""
    chosen = material_of(shop)
    return bar.form in ("bar", "hex") and chosen is not None and is_steel(chosen.material.name)


def not_known(bar: StockSize) -> str:
    """That how true it comes is not known, and whom to ask."""
    what = "bars of this material" if bar.form in ("bar", "hex") else "tubes"
    return f"how true {what} come is not known here: agree it with who sells them"


def delivered_text(comes: Delivered, shop: Shop, bar: StockSize) -> str:
    """How true it comes: "h10 of EN 10278, 0 to −0.084 mm"; of tube, or no steel, nobody says."""
    if not trueness_known(shop, bar):
        return not_known(bar)
    limits = comes.deviations_mm
    least = "" if limits is None else f", 0 to −{length_text(-limits[0], shop.inch)}"
    return f"{comes.fit} of EN 10278{least}"
