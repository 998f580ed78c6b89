"""The shop as it works another material than its own."""

from __future__ import annotations

from dataclasses import replace

from turnability.shop.model import Shop


def with_material(shop: Shop, material: str | None, density_kg_per_mm3: float | None) -> Shop:
    """The shop with its stock of this material; the shop itself where none is named.

    The density is the one given, else the shop's own where this is the shop's own material, else
    unknown: a mass reckoned with another material's would be made up. A shop that states nothing
    of its stock stays as it is.
    """
    policy = shop.stock_policy
    if policy is None or (material is None and density_kg_per_mm3 is None):
        return shop
    own = material is None or _same(material, policy.material)
    density = density_kg_per_mm3
    if density is None and own:
        density = policy.density_kg_per_mm3
    named = policy.material if material is None else material
    return replace(shop, stock_policy=replace(policy, material=named, density_kg_per_mm3=density))


def _same(material: str, other: str | None) -> bool:
    return other is not None and material.strip().casefold() == other.strip().casefold()
