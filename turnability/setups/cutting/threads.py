"""How a thread is cut: how fast, how deep, in how many passes; and how slowly to let go in time.

Starting values of common practice, from memory, as those of every other cut here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.setups.cutting.speeds import (
    Limit,
    Speed,
    cutting_speed_m_per_min,
    highest_speed,
)
from turnability.shop.materials import Material
from turnability.shop.model import Machine, Tool
from turnability.shop.thread_code import HEIGHT

_PRACTICE = "common practice"
BY_HAND_RPM = Cited(
    150.0, "1/min", _PRACTICE, "fastest at which a half nut is opened by hand, from memory", False
)
BY_HAND_S = Cited(
    1.0, "s", _PRACTICE, "from the last full thread to what stands behind it, from memory", False
)
TAPPED_RPM = Cited(
    100.0, "1/min", _PRACTICE, "fastest at which a tap is led by the tailstock, from memory", False
)
LEAST_RPM = Cited(
    30.0, "1/min", _PRACTICE, "below this the spindle is turned by hand, from memory", False
)
PASSES = (
    (0.5, 4), (0.8, 5), (1.0, 5), (1.25, 6), (1.5, 6), (1.75, 8), (2.0, 8), (2.5, 10), (3.0, 12),
    (3.5, 12), (4.0, 14), (5.0, 14), (6.0, 16),
)  # fmt: skip
"""Passes of a carbide point by the pitch up to which (common practice, from memory)."""
MORE_BY_HAND = Cited(
    1.5, "-", _PRACTICE, "passes on a lathe moved by hand over those of a CNC, from memory", False
)
_CREST_TO_SHARP = {"outer": 7.0 / 8.0, "inner": 6.0 / 8.0}
"""From the crest, turned or bored, to the sharp root, by H (ISO 68-1)."""


@dataclass(frozen=True, slots=True)
class Carried:
    """What holds the spindle down while a thread is cut: its chuck, whip, the shares of a speed."""

    chuck_rpm: float | None = None
    critical_rpm: float | None = None
    free_share: float = 1.0
    grip_share: float = 1.0


@dataclass(frozen=True, slots=True)
class ThreadRun:
    """One thread's starting values; None where a tap or die makes it in one.

    `depth_mm` a side, as the cross slide goes; `first_mm` of that in the first of `passes`.
    `by_hand`: too little room to run under power on a lathe whose nut is opened by hand.
    """

    speed: Speed
    depth_mm: float | None = None
    passes: int | None = None
    first_mm: float | None = None
    by_hand: bool = False
    opened_by_hand: bool = False


def point_depth_mm(tool: Tool, pitch_mm: float, side: str) -> float:
    """How deep a point of 60 degrees goes in from the crest: to the sharp root less its nose.

    A nose as round as the standard's lets it stop at d3 or D; a finer one cuts deeper.
    """
    nose = tool.limits.get("nose_radius_mm", HEIGHT * pitch_mm / 6.0)
    return _CREST_TO_SHARP[side] * HEIGHT * pitch_mm - nose


def thread_run(
    tool: Tool,
    side: str,
    major_mm: float,
    pitch_mm: float,
    room_mm: float | None,
    material: Material,
    lathe: Machine | None,
    carried: Carried,
) -> ThreadRun:
    """`room_mm` is what the tool has to run out in, None where nothing stands behind the thread."""
    manual = lathe is None or lathe.control != "cnc"
    whole = tool.kind in ("tap", "die")
    speed = highest_speed(
        cutting_speed_m_per_min(material, tool.kind),
        major_mm,
        lathe.max_rpm if lathe is not None else None,
        carried.chuck_rpm,
        carried.critical_rpm,
        carried.free_share,
        carried.grip_share,
    )
    if whole:
        limit = TAPPED_RPM.value if manual else math.inf
        return ThreadRun(_held(speed, limit, "hand feed", major_mm))
    limit, by_hand = math.inf, False
    if manual:
        limit = BY_HAND_RPM.value
        if room_mm is not None:
            clear = max(0.0, room_mm - half_width_mm(tool, pitch_mm, side))
            limit = min(limit, 60.0 * clear / pitch_mm / BY_HAND_S.value)
            by_hand = limit < LEAST_RPM.value
            limit = max(limit, LEAST_RPM.value)
    passes = next((n for most, n in PASSES if pitch_mm <= most + 1e-6), PASSES[-1][1])
    if manual:
        passes = math.ceil(MORE_BY_HAND.value * passes)
    depth = point_depth_mm(tool, pitch_mm, side)
    return ThreadRun(
        _held(speed, limit, "half nut", major_mm),
        depth,
        passes,
        depth / math.sqrt(passes),  # equal chips: depths rise as the root of their number
        by_hand,
        manual,
    )


def half_width_mm(tool: Tool, pitch_mm: float, side: str) -> float:
    """How far a point's flank stands before the middle of its groove, at full depth."""
    nose = tool.limits.get("nose_radius_mm", 0.0)
    return (point_depth_mm(tool, pitch_mm, side) + nose) * math.tan(math.radians(30.0))


def _held(speed: Speed, rpm: float, limit: Limit, diameter_mm: float) -> Speed:
    if speed.rpm <= rpm:
        return speed
    return replace(
        speed, rpm=rpm, cutting_m_per_min=math.pi * diameter_mm * rpm / 1000.0, limit=limit
    )
