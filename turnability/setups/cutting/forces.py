"""Forces and power of one turning cut, by Kienzle's formula.

Fc = kc1.1 · b · h^(1 - mc), with b the length of the engaged edge and h its mean chip thickness,
so that b · h is the section depth · feed. For a straight edge at the lead angle κ that is the
textbook's b = a / sin κ, h = f · sin κ; a rounded nose takes its own share of the edge. The part
of the force that sets the diameter, the passive force, is a stated share of Fc.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.shop.materials import Material

_MEMORY = "common practice"
SHARE_STEEP = Cited(
    0.3, "-", _MEMORY, "passive force over Fc, lead angle 90° and over, from memory", verified=False
)
SHARE_FLAT = Cited(
    0.5, "-", _MEMORY, "passive force over Fc, lead angle 45°, from memory", verified=False
)
SHARE_NOSE = Cited(
    1.0, "-", _MEMORY, "passive force over Fc, depth falling to nothing on the nose, from memory",
    verified=False,
)  # fmt: skip
WEAR = Cited(
    1.3, "-", _MEMORY, "force of a worn edge over that of a sharp one, 1.3 to 1.5, from memory",
    verified=False,
)  # fmt: skip
EFFICIENCY = Cited(
    0.8, "-", "cutting-tool maker's formula page", "spindle efficiency of the worked problem",
    verified=True,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cut:
    """One pass: depth a side and feed a turn in mm, the tool's lead angle and nose radius."""

    depth_mm: float
    feed_mm: float
    lead_deg: float = 95.0
    nose_radius_mm: float = 0.4


def chip(cut: Cut) -> tuple[float, float]:
    """Length of the engaged edge b and mean chip thickness h in mm; b · h is depth · feed.

    The edge is the arc of the nose from its lowest point to where the straight edge begins, and
    the straight edge from there; where the depth ends on the arc, the arc alone. A lead angle
    over 90° engages as much straight edge as its mirror image.
    """
    if cut.depth_mm <= 0.0 or cut.feed_mm <= 0.0:
        return 0.0, 0.0
    kappa = math.radians(min(cut.lead_deg, 180.0 - cut.lead_deg))
    radius = max(cut.nose_radius_mm, 0.0)
    rise = radius * (1.0 - math.cos(kappa))
    if cut.depth_mm < rise:
        length = radius * math.acos(1.0 - cut.depth_mm / radius)
    else:
        length = radius * kappa + (cut.depth_mm - rise) / math.sin(kappa)
    return length, cut.depth_mm * cut.feed_mm / length


def main_force_n(material: Material, cut: Cut) -> float:
    """The main (tangential) cutting force Fc in N of a sharp edge."""
    width, thickness = chip(cut)
    if width <= 0.0:
        return 0.0
    return float(material.kc11.value * width * thickness ** (1.0 - material.mc.value))


def passive_share(cut: Cut) -> float:
    """Passive force over Fc: 0.3 at a lead angle of 90° and over, 0.5 at 45° (from memory).

    It rises to 1 as the depth falls below the nose radius, for the nose then pushes radially.
    """
    flat = max(0.0, math.cos(math.radians(cut.lead_deg))) / math.cos(math.radians(45.0))
    straight = SHARE_STEEP.value + (SHARE_FLAT.value - SHARE_STEEP.value) * flat
    on_nose = 0.0
    if cut.nose_radius_mm > 0.0:
        on_nose = min(1.0, max(0.0, 1.0 - cut.depth_mm / cut.nose_radius_mm))
    return straight + (SHARE_NOSE.value - straight) * on_nose


def passive_force_n(material: Material, cut: Cut, wear: float = WEAR.value) -> float:
    """The force Fp in N that pushes tool and work apart; `wear` is 1 for a sharp edge."""
    return wear * passive_share(cut) * main_force_n(material, cut)


def power_kw(force_n: float, speed_m_per_min: float, efficiency: float = EFFICIENCY.value) -> float:
    """Power that the motor gives for a main force at a cutting speed, in kW."""
    return force_n * speed_m_per_min / 60_000.0 / efficiency


def clamping_force_n(force_n: float, cut_diameter_mm: float, grip_diameter_mm: float) -> float:
    """Clamping force in N of all jaws together: 2.5 · Fc · d_cut / (0.2 · d_grip).

    Common practice: a safety of 2.5 against turning in the jaws, friction 0.2 of plain jaws on
    a finished surface. It says nothing of how fast jaws lose force with speed.
    """
    return SAFETY.value * force_n * cut_diameter_mm / (FRICTION.value * grip_diameter_mm)


SAFETY = Cited(2.5, "-", _MEMORY, "safety against turning in the jaws, from memory", verified=False)
FRICTION = Cited(
    0.2, "-", _MEMORY, "friction of plain jaws on finished metal, from memory", verified=False
)
