"""Whip: the speed at which a bar, or work that stands out, bends out under its own weight.

Closed forms of a uniform bar; stepped work is `beam.lowest_frequency_rad_per_s`. Lengths in mm.
"""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

Ends: TypeAlias = Literal["pinned", "overhanging", "chuck and centre", "both clamped"]
BETA_L: dict[Ends, float] = {
    "pinned": math.pi,
    "overhanging": 1.8751040687,
    "chuck and centre": 3.9266023120,
    "both clamped": 4.7300407449,
}
"""First root of the frequency equation of a uniform beam for how its ends are held."""


def critical_rpm(
    diameter_mm: float,
    length_mm: float,
    ends: Ends,
    *,
    e: float,
    density_kg_per_mm3: float,
    bore_mm: float = 0.0,
) -> float:
    """First critical speed of a uniform bar or tube in turns a minute."""
    gyration = math.sqrt(diameter_mm**2 + bore_mm**2) / 4.0
    # kg/mm³ is 1000 t/mm³, and N, t, mm and s go together
    wave = math.sqrt(e / (density_kg_per_mm3 * 1e-3)) * gyration
    return 60.0 / math.tau * (BETA_L[ends] / length_mm) ** 2 * wave
