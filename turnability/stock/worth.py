"""What makes one piece of stock dearer than another: the shop's price, else mass and size."""

from __future__ import annotations

import math

from turnability.cited import Cited
from turnability.shop.model import Shop, StockSize

REFERENCE_MM = 25.0
SIZE_PREMIUM = Cited(
    0.2,
    "-",
    "common practice",
    "a kilogram's price grows as this power of the size: cost grows faster than mass, from memory",
    verified=False,
)
HOLLOW_PREMIUM = Cited(
    1.3,
    "-",
    "common practice",
    "a kilogram of tube over one of bar, from memory",
    verified=False,
)
BY_MASS = (
    "by mass, with a premium for size and for tube that is assumed (common practice): the shop "
    "file states no price"
)
BY_COST = "by the prices in the shop file"


def section_mm2(size: StockSize) -> float:
    """Area of the cross-section in mm2: a disc, a hexagon across flats, or a ring."""
    if size.form == "hex":
        return math.sqrt(3.0) / 2.0 * size.across_mm**2
    return math.pi / 4.0 * (size.across_mm**2 - (size.inner_diameter_mm or 0.0) ** 2)


def price_of(size: StockSize, shop: Shop) -> float | None:
    """What a kilogram of it costs in the shop's currency; None where that is not stated."""
    if size.price_per_kg is None and shop.rates is not None:
        return shop.rates.material_per_kg
    return size.price_per_kg


def cost_of(size: StockSize, mass_kg: float | None, shop: Shop) -> float | None:
    """What a piece costs in the shop's currency; None without its price or a density."""
    price = price_of(size, shop)
    return None if price is None or mass_kg is None else price * mass_kg


def worth(
    size: StockSize, length_mm: float, mass_kg: float | None, shop: Shop
) -> tuple[bool, float, float]:
    """How dear a piece is, least first; a size without a price stands behind all that have one.

    The order of two sizes does not depend on the rest of the list, so a larger list never makes
    the choice dearer. Where all steel costs the same a kilogram only the mass differs. What
    is dearer of a material whose density is not known does not hang on it.
    """
    price = price_of(size, shop)
    if price is not None:
        amount = section_mm2(size) * length_mm if mass_kg is None else mass_kg
        return (False, price * amount, section_mm2(size))
    premium = (size.across_mm / REFERENCE_MM) ** SIZE_PREMIUM.value
    if size.inner_diameter_mm is not None:
        premium *= HOLLOW_PREMIUM.value
    return (True, section_mm2(size) * length_mm * premium, section_mm2(size))
