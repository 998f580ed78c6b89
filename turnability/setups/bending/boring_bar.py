"""How far a boring bar gives: a round cantilever under the passive force at its nose."""

from __future__ import annotations

import math

from turnability.cited import Cited
from turnability.shop.books import row

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
