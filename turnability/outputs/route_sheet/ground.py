"""What the sheet says of what another machine finishes: stock left, centres, what follows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from turnability.intent.ground import as_turned
from turnability.rules import ground_after_turning
from turnability.setups.holding.centres import centre_hole_mm
from turnability.setups.holding.grinding import centred_ends, centres, drilled_mm
from turnability.units import length_text, number_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.setups.model import Operation, Setup


_SAME_MM = 2e-3


def ground_texts(report: Report) -> Mapping[str, str]:
    """Beside each such surface, by its segment: the size it is turned to, or what is left on it."""
    made: dict[str, str] = {}
    for one in report.intent.ground if report.intent is not None else ():
        if one.leave_mm is None:
            continue
        low, high = one.turned_mm or one.leave_mm
        span = f"{number_text(low, report.inch)}–{number_text(high, report.inch)}"
        text = f" (to ⌀{span} for {one.by})" if one.turned_mm else f" (leave {span} for {one.by})"
        drilled = drilled_mm(one, report.setups, report.tools)
        if drilled is not None and one.turned_mm and drilled[1] < low:
            size = number_text(drilled[1], report.inch)
            text = f" (⌀{size} as drilled, the rest is for {one.by})"
        made |= dict.fromkeys(one.place.segments, text)
    return made


def centre_text(report: Report, setup: Setup, operation: Operation) -> str:
    """That the end which this faces is centre-drilled for grinding; nothing of any other."""
    profile = report.part.profile
    _, intent = as_turned(report.part, report.intent)
    if profile is None or intent is None or not intent.ground:
        return ""
    end = centres(profile, setup, operation)
    if end is None or end not in centred_ends(profile, intent):
        return ""
    if any(o.support == "tailstock" for o in setup.operations):
        return "; its centre hole stays for grinding"
    z = 0.0 if end == "low" else profile.length_mm
    across = max(
        2.0 * r
        for s in profile.outline.segments
        for at, r in (s.curve.start, s.curve.end)
        if abs(at - z) <= 1e-3
    )
    hole = centre_hole_mm(across)
    size = "" if hole is None else f" ⌀{length_text(hole.value, report.inch)} at its mouth"
    return f"; then centre-drill it{size}: the hole stays for grinding"


def held_text(report: Report, setup: Setup) -> str:
    """That what is gripped has not its drawn size yet, where it is ground afterwards."""
    grip = setup.grip
    for one in report.intent.ground if report.intent is not None else ():
        across, along = one.place.on_diameter_mm, one.place.on_z_mm
        if one.turned_mm is None or across is None or along is None or one.surface != grip.surface:
            continue
        beside = min(grip.z_mm[1], along[1]) <= max(grip.z_mm[0], along[0])
        if beside or abs(across[1] - grip.diameter_mm) > _SAME_MM:
            continue
        low, high = (number_text(d, report.inch) for d in one.turned_mm)
        return f" (⌀{low}–{high} until it is ground)"
    return ""


def after_lines(report: Report) -> Iterator[str]:
    """What is ground once the part is turned, with the finding that says how it is held."""
    for finding in report.findings:
        if finding.rule == ground_after_turning.NAME:
            yield f"{finding.message} ({finding.id})"
