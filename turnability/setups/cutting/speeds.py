"""Speeds to begin with, and what holds them down: material, diameter, lathe, chuck, whip.

Starting values from memory of handbooks, taken at the low end of their range; the chuck's own
plate, local rules and a qualified machinist have the last word.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from turnability.cited import Cited
from turnability.shop.materials import Material

Edge: TypeAlias = Literal["carbide", "hss"]
Limit: TypeAlias = Literal[
    "cutting speed",
    "lathe",
    "chuck",
    "whip",
    "power",
    "free length",
    "short grip",
    "half nut",
    "hand feed",
]
UNSUPPORTED = Cited(
    0.5,
    "-",
    "common practice",
    "highest speed over the first critical speed of work that whips, from memory",
    verified=False,
)
GROOVING = Cited(
    0.6, "-", "common practice", "speed of grooving and parting over turning, from memory", False
)
THREADING = Cited(
    0.25, "-", "common practice", "speed of single-point threading over turning, from memory", False
)
COUNTERSINKING = Cited(
    0.5, "-", "common practice", "speed of countersinks over drilling, from memory", verified=False
)
REAMING = Cited(
    0.5, "-", "common practice", "speed of reamers over drilling, from memory", verified=False
)
TAPPING = Cited(
    0.5, "-", "common practice", "speed of taps and dies over drilling, from memory", verified=False
)


@dataclass(frozen=True, slots=True)
class Speed:
    """Spindle speed to begin with, the cutting speed it makes, and what limits it."""

    rpm: float
    cutting_m_per_min: float
    limit: Limit


def edge_of(kind: str) -> Edge:
    """What a tool of this kind is usually made of: drills, reamers, taps and the like are HSS."""
    return (
        "hss"
        if any(word in kind for word in ("drill", "tap", "ream", "die", "sink"))
        else "carbide"
    )


def cutting_speed_m_per_min(material: Material, kind: str) -> float:
    """Cutting speed to begin with in m/min for a tool of this kind: the low end of the range."""
    low = (material.hss if edge_of(kind) == "hss" else material.carbide)[0].value
    if "thread" in kind:
        return low * THREADING.value
    if "sink" in kind:
        return low * COUNTERSINKING.value
    if "ream" in kind:
        return low * REAMING.value
    if kind in ("tap", "die"):
        return low * TAPPING.value
    return low * GROOVING.value if "groov" in kind or "part" in kind else low


def rpm_at(cutting_m_per_min: float, diameter_mm: float) -> float:
    """Turns a minute at which a diameter runs past the tool at this speed."""
    return 1000.0 * cutting_m_per_min / (math.pi * diameter_mm)


def highest_speed(
    cutting_m_per_min: float,
    diameter_mm: float,
    lathe_rpm: float | None = None,
    chuck_rpm: float | None = None,
    critical_rpm: float | None = None,
    free_share: float = 1.0,
    grip_share: float = 1.0,
    grip_rpm: float | None = None,
) -> Speed:
    """The highest of the speeds that nothing forbids, at this diameter.

    `critical_rpm` is the first critical speed of work that may whip, of which half is kept,
    `free_share` what is kept of the cutting speed where much stands free without support,
    `grip_share` what is where little is gripped, `grip_rpm` as fast as others turn it there.
    What is not known (None) limits nothing here: the plate on the chuck still does.
    """
    limits: list[tuple[float, Limit]] = [(rpm_at(cutting_m_per_min, diameter_mm), "cutting speed")]
    if lathe_rpm is not None:
        limits.append((lathe_rpm, "lathe"))
    if chuck_rpm is not None:
        limits.append((chuck_rpm, "chuck"))
    if grip_rpm is not None:
        limits.append((grip_rpm, "short grip"))
    if critical_rpm is not None:
        limits.append((UNSUPPORTED.value * critical_rpm, "whip"))
    shares: tuple[tuple[float, Limit], ...] = (
        (free_share, "free length"),
        (grip_share, "short grip"),
    )
    usual = limits[0][0]
    limits += [(share * usual, limit) for share, limit in shares if share < 1.0]
    rpm, limit = min(limits, key=lambda entry: entry[0])
    return Speed(rpm, math.pi * diameter_mm * rpm / 1000.0, limit)
