"""What holds for the whole sheet: what the design states, the effort, why there is no plan."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.outputs._effort import effort_text
from turnability.outputs.summary import places_text
from turnability.rules import no_land_to_grip
from turnability.units import length_text, mm_text, number_text

if TYPE_CHECKING:
    from turnability.intent.model import Intent
    from turnability.part.model import Source
    from turnability.report import Report
    from turnability.shop.model import Shop


def general_lines(report: Report) -> Iterator[tuple[str, str]]:
    """A word and its text each; nothing of what the intent does not state; last the effort."""
    if places := places_text(report.part.source):
        yield "Places", places
    if report.intent is not None:
        yield from _stated(report.intent, report.inch)
    if report.effort is not None:
        yield "Effort", effort_text(report.effort)


def solid_text(source: Source) -> str:
    """Which solid of a file that holds several: ", solid 2 of 5 (spacer)"."""
    if source.solids == 1:
        return ""
    named = f" ({source.solid_name})" if source.solid_name else ""
    return f", solid {source.solid} of {source.solids}{named}"


def _stated(intent: Intent, inch: bool) -> Iterator[tuple[str, str]]:
    if intent.quantity is not None:
        yield "Pieces", str(intent.quantity)
    unless = []
    if intent.general_tolerance is not None:
        unless.append(f"tolerances {intent.general_tolerance}")
    if intent.ra_um is not None:
        unless.append(f"Ra {mm_text(intent.ra_um)} µm")
    if intent.edges_mm is not None:
        low, high = intent.edges_mm
        if high <= 0.0:
            unless.append("edges left sharp, free of burrs")
        else:
            least = f"{number_text(low, inch)} to " if low < high else ""
            unless.append(f"outside edges broken {least}{length_text(high, inch)}")
    if unless:
        yield "General", "; ".join(unless)
    for one in intent.edges:
        low, high = one.break_mm
        size = "left sharp" if high <= 0.0 else f"broken {number_text(low, inch)} to "
        size += "" if high <= 0.0 else length_text(high, inch)
        yield "Edge", f"{one.place.text(inch)}: {size}"
    for spared in intent.no_grip:
        why = f": {spared.why}" if spared.why else ""
        on = f" ({', '.join(spared.place.segments)})" if spared.place.segments else ""
        yield "Spare", f"no jaws on {spared.place.text(inch)}{on}{why}"


def no_plan_text(report: Report, shop: Shop) -> str:
    """Why no setup could be planned, and the finding that says what would help."""
    if not shop.holdings:
        return "the shop file names no holding: describe what holds the work in [[holding]] tables"
    found = next((f.id for f in report.findings if f.rule == no_land_to_grip.NAME), None)
    if found is not None:
        return f"no holding of the shop takes its stock ({found})"
    return "what it rests on could not be judged: turnability check says what, and why"
