"""What the route sheet says of threads: operations leave them out, so each is told by itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.rules.speak import thread_name
from turnability.setups.threading import tool_for
from turnability.units import length_text, span_text

if TYPE_CHECKING:
    from turnability.features.model import Feature
    from turnability.report import Report
    from turnability.setups.model import Setup
    from turnability.shop.model import Shop

NO_TOOL = "no tool for it in the shop; not planned"
UNCHECKED = "not planned: whether it gets there is not checked"


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
