"""The shop as it works another material than its own."""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.shop.materials import find_material, is_steel, same_material
from turnability.shop.model import Shop, StockPolicy, StockSize

COMMON_POLICY = StockPolicy(
    diameter_allowance=Cited(
        0.05,
        "in",
        "common practice",
        "a diameter stays 0.050 in (1.27 mm) under the bright bar it is turned from",
        verified=False,
    ),
    end_allowance_mm=1.0,
    parting_width_mm=3.0,
    density_kg_per_mm3=None,
    material=None,
    unstated=frozenset({"diameter_allowance", "end_allowance_mm", "parting_width_mm"}),
)
"""What is taken of what the shop file's stock policy leaves out: common practice, no source."""

_OF_STEEL = ("hot rolled bar", "bright bar")
"""What EN 10060 and EN 10278 call bars; both are for steel alone."""


def with_material(shop: Shop, material: str | None, density_kg_per_mm3: float | None) -> Shop:
    """The shop with its stock of this material, or of its own where none is named.

    The density is the one given, else the shop's own where this is the shop's own material, else
    the table's, else unknown: a mass reckoned with another material's would be made up. Stock that
    is listed as of another material is left out; what is listed without one, and named as only
    steel bars are ("hot rolled bar 120"), is called "bar 120" for another material than steel. A
    shop that states no stock policy is given the common one, for speeds, forces and bending hang on
    the material whether stock is listed or not; it stays as it is only where nothing is named.
    """
    if shop.stock_policy is None and material is None and density_kg_per_mm3 is None:
        return shop
    policy = shop.stock_policy or COMMON_POLICY
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
