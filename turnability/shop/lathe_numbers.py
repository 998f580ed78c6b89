"""Numbers of a lathe that contradict one another, or that no lathe has."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from turnability.toml_file.keys import Fault

LEAST_RIM_M_PER_MIN = 50.0
"""At its top speed a lathe's swing turns at hundreds of m/min, for that speed is meant for work far
smaller; so do large and slow lathes (common practice, no source). Less than this none is built for.
"""
LEAST_KW, MOST_KW = 0.01, 500.0
"""From a watchmaker's lathe to more than those for rolls and rotors have (from memory)."""
_WITHIN = (
    (
        "swing_over_cross_slide_mm",
        "swing_mm",
        "the swing over the bed",
        "What turns over the cross slide passes over the bed too",
    ),
    ("bar_capacity_mm", "spindle_bore_mm", "the spindle bore", "Bar is fed through that bore"),
    ("spindle_bore_mm", "swing_mm", "the swing over the bed", "The spindle is thicker than it"),
)
"""What cannot be more than another of the same lathe, and why."""
_SAME_MM = 1e-3


def wrong_of(table: Mapping[str, Any]) -> list[Fault]:
    """All that cannot be meant in a lathe's checked table (mm, rpm, kW)."""
    faults: list[Fault] = []
    for key, whole_key, whole, why in _WITHIN:
        value, most = table[key], table[whole_key]
        if value is not None and most is not None and value > most + _SAME_MM:
            cause = ("is ", value, f", but {whole} is ", most)
            faults.append(Fault(key, cause, f"{why}: correct the one that is wrong"))
    return faults + _too_slow(table) + _power(table)


def _too_slow(table: Mapping[str, Any]) -> list[Fault]:
    rpm, swing = table["max_rpm"], table["swing_mm"]
    if rpm is None or swing is None:
        return []
    rim = math.pi * swing / 1000.0 * rpm
    if rim >= LEAST_RIM_M_PER_MIN:
        return []
    return [
        Fault(
            "max_rpm",
            (f"is {rpm:g}: all that it swings, ", swing, f", would turn at {rim:.2g} m/min only"),
            "Write the highest speed engraved on the lathe, not the lowest, in turns a minute; or "
            "correct swing_mm",
        )
    ]


def _power(table: Mapping[str, Any]) -> list[Fault]:
    power = table["power_kw"]
    if power is None or LEAST_KW <= power <= MOST_KW:
        return []
    way = "Write what the lathe's plate says, in kW; leave the key out if it is not known"
    if LEAST_KW <= power / 1000.0 <= MOST_KW:
        way = f"If {power:g} W are meant, write power_kw = {power / 1000.0:g}"
    return [Fault("power_kw", f"is {power:g}, but lathes have {LEAST_KW:g} to {MOST_KW:g} kW", way)]
