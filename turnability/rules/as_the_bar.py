"""What may be offered where the part's outside is a bar's own: to let it stay as the bar comes."""

from __future__ import annotations

from collections.abc import Collection

from turnability.intent.stated import BAR_OUTSIDE
from turnability.rules.model import Change, View
from turnability.shop.model import StockSize
from turnability.stock.own_outside import Delivered, delivered, own_segments, own_sizes, why_turned
from turnability.units import length_text

__all__ = ["BAR_OUTSIDE", "delivered_text", "offer", "own_bar"]


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
    own = own_segments(profile)
    if not own or (segments is not None and not own.issuperset(segments)):
        return None
    if why_turned(view.part, view.intent) is not None:
        return None
    comes = delivered(view.part, view.intent, bar)
    text = (
        f"Let the outside stay as {bar.name} comes ({delivered_text(comes, view.shop.inch)}), if "
        f"that surface will do: {BAR_OUTSIDE} = true in the intent file."
    )
    return Change(text, BAR_OUTSIDE, None, None, proven=False)


def delivered_text(comes: Delivered, inch: bool) -> str:
    """How true it comes: "h10 of EN 10278, 0 to −0.084 mm"."""
    limits = comes.deviations_mm
    least = "" if limits is None else f", 0 to −{length_text(-limits[0], inch)}"
    return f"{comes.fit} of EN 10278{least}"
