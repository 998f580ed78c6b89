"""A thin ring in the jaws: how far it is squeezed out of round, and how hard it is bent.

A ring under n equal radial loads, evenly spread, by the theory of thin rings (bending alone). The
closed forms are those of the handbooks (from memory), borne out by a second derivation as a
Fourier series. Lengths in mm, forces in N, moduli in N/mm².
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Squeezed:
    """What the jaws do to a ring, in mm on the radius and N/mm².

    `inward_mm` under each jaw, `outward_mm` midway between; `lobing_mm` is what a bore turned
    round meanwhile is out of round by once it is let go, peak to valley on the radius.
    """

    inward_mm: float
    outward_mm: float
    lobing_mm: float
    stress_n_per_mm2: float


def inward(jaws: int = 3) -> float:
    """Movement at each load in W·R³/(E·I)."""
    half = math.pi / jaws
    sine = math.sin(half)
    return 0.5 * ((half / 2.0 + sine * math.cos(half) / 2.0) / sine**2 - 1.0 / half)


def outward(jaws: int = 3) -> float:
    """Movement midway between loads in W·R³/(E·I)."""
    half = math.pi / jaws
    sine = math.sin(half)
    return 0.25 * (2.0 / half - 1.0 / sine - half * math.cos(half) / sine**2)


def moment_at_load(jaws: int = 3) -> float:
    """Bending moment under a load in W·R."""
    half = math.pi / jaws
    return 0.5 * (1.0 / half - 1.0 / math.tan(half))


def squeezed(
    force_n: float, outer_mm: float, inner_mm: float, width_mm: float, e: float, jaws: int = 3
) -> Squeezed:
    """A ring of rectangular section, of diameters in mm, under a force of `force_n` at each jaw.

    The stress is that of bending and of the hoop force at the jaw. Raises ValueError for no ring.
    """
    wall = (outer_mm - inner_mm) / 2.0
    if not (inner_mm > 0.0 and wall > 0.0 and width_mm > 0.0):
        raise ValueError("a ring has a bore, a wall and a width")
    radius = (outer_mm + inner_mm) / 4.0
    unit = force_n * radius**3 / (e * width_mm * wall**3 / 12.0)
    bent = moment_at_load(jaws) * force_n * radius / (width_mm * wall**2 / 6.0)
    hoop = force_n / (2.0 * math.tan(math.pi / jaws)) / (width_mm * wall)
    into, out = inward(jaws) * unit, outward(jaws) * unit
    return Squeezed(into, out, into + out, bent + hoop)
