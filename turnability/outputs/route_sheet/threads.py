"""What the route sheet says of threads: operations leave them out, so each is told by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from turnability.rules.speak import thread_name
from turnability.units import length_text, span_text

if TYPE_CHECKING:
    from turnability.features.model import Feature
    from turnability.report import Report
    from turnability.setups.model import Setup
    from turnability.shop.model import Shop, Tool

NO_TOOL = "no tool for it in the shop; not planned"
UNCHECKED = "not planned: whether it gets there is not checked"
_SAME_MM = 0.05
_SAME_PITCH = 0.005
_POINTED = ("metric", "unified")
"""Forms with flanks of 60 degrees (ISO 68-1, ASME B1.1), which threading points cut."""


def thread_lines(report: Report, shop: Shop, setup: Setup) -> Iterator[str]:
    """A line for each thread whose surface this setup finishes."""
    for feature in report.features:
        if feature.kind == "thread" and _setup_of(feature, report) is setup:
            yield _line(feature, shop, report.inch)


def _line(feature: Feature, shop: Shop, inch: bool) -> str:
    on = ", ".join(feature.segments)
    where = f"{on or 'the part'} z {span_text(feature.z_mm, inch)}"
    if feature.parameters.get("evidence") == "cosmetic":
        name = feature.matches[0].designation if feature.matches else "a thread"
        return (
            f"{where} is drawn as if for {name}: if it is one, state it under [[thread]] in the "
            "intent; not planned"
        )
    tool = tool_for(feature, shop)
    how = NO_TOOL if tool is None else f"{tool.name}; {UNCHECKED}"
    name, pitch = thread_name(feature, inch), feature.parameters.get("pitch_mm")
    if not feature.matches and isinstance(pitch, int | float):
        name += f", pitch {length_text(round(pitch, 3), inch)},"
    return f"cut thread {name} on {where}: {how}"


def _setup_of(feature: Feature, report: Report) -> Setup | None:
    """The last setup that cuts the thread's surface, else the last that cuts anything beside it."""
    known = report.part.profile.segments if report.part.profile is not None else ()
    low, high = feature.z_mm
    beside = {
        s.id
        for s in known
        if s.surface == feature.surface
        and min(s.curve.start[0], s.curve.end[0]) < high
        and max(s.curve.start[0], s.curve.end[0]) > low
    }
    for mine in (set(feature.segments), beside):
        for setup in reversed(report.setups):
            if any(mine & set(operation.segments) for operation in setup.operations):
                return setup
    return report.setups[-1] if report.setups else None


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
    if feature.parameters.get("form") not in _POINTED:
        return
    slack = _SAME_PITCH * pitch
    for tool in tools:
        least, most = tool.limits["least_pitch_mm"], tool.limits["most_pitch_mm"]
        enters = tool.limits.get("min_bore_mm", 0.0) <= feature.diameter_mm[0] + _SAME_MM
        if least - slack <= pitch <= most + slack and (enters or feature.surface == "outer"):
            yield tool
