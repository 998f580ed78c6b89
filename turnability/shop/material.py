"""The shop as it works another material than its own."""

from __future__ import annotations

from dataclasses import replace

from turnability.shop.materials import find_material, is_steel, same_material
from turnability.shop.model import Shop, StockSize

_OF_STEEL = ("hot rolled bar", "bright bar")
"""What EN 10060 and EN 10278 call bars; both are for steel alone."""


def with_material(shop: Shop, material: str | None, density_kg_per_mm3: float | None) -> Shop:
    """The shop with its stock of this material, or of its own where none is named.

    The density is the one given, else the shop's own where this is the shop's own material, else
    the table's, else unknown: a mass reckoned with another material's would be made up. Stock that
    is listed as of another material is left out; what is listed without one, and named as only
    steel bars are ("hot rolled bar 120"), is called "bar 120" for another material than steel. A
    shop that states nothing of its stock stays as it is.
    """
    policy = shop.stock_policy
    if policy is None:
        return shop
    own = material is None or (
        policy.material is not None and same_material(material, policy.material)
    )
    density = density_kg_per_mm3
    if density is None and own:
        density = policy.density_kg_per_mm3
    if density is None and material is not None:
        known = find_material(material)
        density = None if known is None else known.material.density_kg_per_mm3
    named = policy.material if material is None else material
    stock = tuple(
        size if named is None or size.material is not None else _called(size, named)
        for size in shop.stock
        if size.material is None or named is None or same_material(size.material, named)
    )
    return replace(
        shop,
        stock=stock,
        stock_policy=replace(policy, material=named, density_kg_per_mm3=density),
    )


def _called(size: StockSize, material: str) -> StockSize:
    """The size by a name that fits the material; it keeps the allowance of its finish."""
    for word in _OF_STEEL:
        if size.form == "bar" and size.name.startswith(word) and not is_steel(material):
            finish = size.finish or ("hot-rolled" if word.startswith("hot") else None)
            return replace(size, name=f"bar{size.name.removeprefix(word)}", finish=finish)
    return size
