"""The shop as it works another material than its own."""

from __future__ import annotations

from dataclasses import replace

from turnability.shop.materials import find_material, same_material
from turnability.shop.model import Shop


def with_material(shop: Shop, material: str | None, density_kg_per_mm3: float | None) -> Shop:
    """The shop with its stock of this material, or of its own where none is named.

    The density is the one given, else the shop's own where this is the shop's own material, else
    the table's, else unknown: a mass reckoned with another material's would be made up. Stock that
    is listed as of another material is left out. A shop that states nothing of its stock stays as
    it is.
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
        size
        for size in shop.stock
        if size.material is None or named is None or same_material(size.material, named)
    )
    return replace(
        shop,
        stock=stock,
        stock_policy=replace(policy, material=named, density_kg_per_mm3=density),
    )
