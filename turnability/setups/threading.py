"""Which tool of the shop cuts a thread: a tap or die of its size, else a threading point."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.features.model import Feature
from turnability.shop.model import Shop, Tool

_SAME_MM = 0.05
_SAME_PITCH = 0.005
POINTED = ("metric", "unified")
"""Forms with flanks of 60 degrees (ISO 68-1, ASME B1.1), which threading points cut."""


def tool_for(feature: Feature, shop: Shop) -> Tool | None:
    """The shop's tap or die for a thread, else a threading point; None where no tool cuts it.

    Taps and dies are taken to cut right-hand threads of one start, as they do unless marked.
    """
    pitch, major = (feature.parameters.get(key) for key in ("pitch_mm", "major_mm"))
    if not isinstance(pitch, int | float) or not isinstance(major, int | float):
        return None
    if feature.parameters.get("taper") or feature.parameters.get("form") == "pipe-taper":
        return None
    inside = feature.surface == "inner"
    kinds = ("tap", "internal-threading") if inside else ("die", "threading")
    whole, pointed = ([t for t in shop.thread_tools if t.kind == kind] for kind in kinds)
    return next(_whole(feature, whole, major, pitch), None) or next(
        _pointed(feature, pointed, pitch), None
    )


def _whole(feature: Feature, tools: Sequence[Tool], major: float, pitch: float) -> Iterator[Tool]:
    if feature.parameters.get("hand") == "left" or feature.parameters.get("starts") not in (
        None,
        1,
    ):
        return
    form = feature.parameters.get("form")
    for tool in tools:
        trapezoidal = " TR" in (tool.designation or "").upper()
        same = abs(tool.limits["major_mm"] - major) <= _SAME_MM
        close = abs(tool.limits["pitch_mm"] - pitch) <= _SAME_PITCH * pitch
        if same and close and trapezoidal == (form == "trapezoidal"):
            yield tool


def _pointed(feature: Feature, tools: Sequence[Tool], pitch: float) -> Iterator[Tool]:
    if feature.parameters.get("form") not in POINTED:
        return
    slack = _SAME_PITCH * pitch
    for tool in tools:
        least, most = tool.limits["least_pitch_mm"], tool.limits["most_pitch_mm"]
        enters = tool.limits.get("min_bore_mm", 0.0) <= feature.diameter_mm[0] + _SAME_MM
        if least - slack <= pitch <= most + slack and (enters or feature.surface == "outer"):
            yield tool
