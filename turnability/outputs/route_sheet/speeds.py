"""A speed to begin with, in words: turns, what runs past the tool, and what holds it down."""

from __future__ import annotations

import math

from turnability.setups.cutting.speeds import Speed
from turnability.setups.effort.lathes import TINY_MM


def speed_text(speed: Speed, inch: bool) -> str:
    """Turns a minute, cutting speed and its limit."""
    metres = speed.cutting_m_per_min
    cutting = f"{metres / 0.3048:.0f} ft/min" if inch else f"{metres:.0f} m/min"
    limit = "" if speed.limit == "cutting speed" else f", held down by the {speed.limit}"
    if speed.limit == "lathe" and 1000.0 * metres / (math.pi * speed.rpm) <= TINY_MM.value:
        limit = ", the lathe's highest: enough on thin work with a sharp edge"
    return f"{rpm_text(speed.rpm)} rpm ({cutting}{limit})"


def rpm_text(rpm: float) -> str:
    """To two figures, downwards: a speed to begin with is no exact one."""
    step = 10.0 if rpm < 1000.0 else 50.0 if rpm < 10000.0 else 1000.0
    return f"{max(10.0, rpm // step * step):.0f}"
