"""How far a boring bar gives: a round cantilever under the passive force at its nose."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from turnability.cited import Cited
from turnability.setups.bending_model import BentBar
from turnability.setups.cutting.forces import Cut, passive_force_n
from turnability.shop.books import row
from turnability.shop.materials import Material
from turnability.shop.model import Tool

STEEL = Cited(
    206_000.0, "N/mm²", "trade article on boring-bar deflection (2019)", "example 2", verified=True
)
CARBIDE = Cited(
    600_000.0, "N/mm²", "handbooks", "Young's modulus of cemented carbide, from memory", False
)


def is_carbide(designation: str | None) -> bool:
    """Whether a bar's first letter (ISO 5609, ISO 6261) names a shank of carbide."""
    entry = row("boring_bar_type", letter=designation[:1]) if designation else None
    return entry is not None and entry["bar"].startswith("carbide")


def deflection_mm(
    force_n: float, overhang_mm: float, diameter_mm: float, e: float = STEEL.value
) -> float:
    """F·L³ / (3·E·I) at the nose, in mm."""
    return force_n * overhang_mm**3 / (3.0 * e * math.pi / 64.0 * diameter_mm**4)


def bent_bars(material: Material, cuts: Iterable[tuple[Tool | None, Cut]]) -> Iterator[BentBar]:
    """How far each bar gives under its own finishing cut; nothing of tools that are none."""
    for tool, cut in cuts:
        if tool is None or not {"overhang_mm", "bar_diameter_mm"} <= tool.limits.keys():
            continue
        e = (CARBIDE if is_carbide(tool.designation) else STEEL).value
        overhang, diameter = tool.limits["overhang_mm"], tool.limits["bar_diameter_mm"]
        force = passive_force_n(material, cut)
        yield BentBar(tool.name, overhang, diameter, deflection_mm(force, overhang, diameter, e))
