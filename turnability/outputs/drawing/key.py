"""The words under the drawing: findings, what stays uncut, features, setups, colours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs._findings import finding_text, grouped, likewise_text
from turnability.outputs._making import no_stock_text, setup_text, stock_text
from turnability.outputs._marked import mark_of, tag_text
from turnability.outputs._words import standing_words
from turnability.outputs.drawing.sheet import Sheet, text_width
from turnability.outputs.summary import CAUTION
from turnability.rules.speak import nearest_text, volume_text
from turnability.units import length_text, mm_text, number_text

if TYPE_CHECKING:
    from turnability.features.model import Feature
    from turnability.part.model import Departure
    from turnability.reach.model import Left
    from turnability.report import Report

_BETWEEN = 44.0
_SHARE = 0.56
_TOLD_EACH = 4
"""Of more uncut regions that one tool leaves for one reason the largest alone is measured."""


def draw_key(sheet: Sheet, report: Report, y: float, left: float, right: float) -> float:
    """Two columns of text from `y` on; gives the y below the longer one."""
    width = right - left - _BETWEEN
    wide = _SHARE * width
    return max(
        _draw_findings(sheet, report, y, left, wide),
        _draw_facts(sheet, report, y, left + wide + _BETWEEN, width - wide),
    )


def _draw_findings(sheet: Sheet, report: Report, y: float, x: float, width: float) -> float:
    sheet.text(x, y, "Findings" if report.findings else "No findings", size=15.0, bold=True)
    y += 24.0
    for first, others in grouped(report.findings):
        mark = mark_of(first)
        tag = 0.0 if mark is None else _draw_tag(sheet, x, y, tag_text(first), mark) + 8.0
        sheet.text(x + tag, y, f"{first.level}: {first.rule}", bold=True)
        y += 19.0
        if standing := standing_words(first):
            words = "; ".join(standing)
            y = sheet.paragraph(x, y, words, width, size=12.0, colour=palette.FAINT_INK)
        y = sheet.paragraph(x, y, finding_text(first), width)
        if others:
            y = sheet.paragraph(x, y, likewise_text(first, others, report.inch), width)
        y = sheet.paragraph(x, y, first.basis.text, width, size=12.0, colour=palette.FAINT_INK)
        y += 10.0
    return y


def _draw_facts(sheet: Sheet, report: Report, y: float, x: float, width: float) -> float:
    left = report.reach.left if report.reach else ()
    if left:
        sheet.text(x, y, "Uncut by every tool of the shop", size=15.0, bold=True)
        y += 24.0
        by_cause: dict[str, list[Left]] = {}
        for region in left:
            why = nearest_text(region.own_causes, region.nearest_tool)
            if region.nearest_tool is None:  # a tool's name stays as it is
                why = f"{why[0].upper()}{why[1:]}"
            by_cause.setdefault(why, []).append(region)
        for why, regions in by_cause.items():
            y = sheet.paragraph(x, y, f"{why}:", width, size=12.0) + 5.0
            few = len(regions) <= _TOLD_EACH
            for told in [[one] for one in regions] if few else [regions]:
                y = _draw_regions(sheet, told, x, y, width, report.inch)
            y += 2.0
        y += 6.0
    if report.features:
        sheet.text(x, y, "Features", size=15.0, bold=True)
        y += 22.0
        for feature in report.features:
            y = sheet.paragraph(x, y, feature_text(feature, report.inch), width, size=12.0)
        y += 12.0
    if report.part.departures:
        sheet.text(x, y, "Not turned (drilled or milled)", size=15.0, bold=True)
        y += 22.0
        for departure in report.part.departures:
            words = departure_text(departure, report.inch)
            y = sheet.paragraph(x, y, words, width, size=12.0)
        y += 12.0
    if report.setups:
        sheet.text(x, y, "Making it", size=15.0, bold=True)
        y += 22.0
        if report.stock is not None and report.stock.choice is not None:
            words = f"Stock: {stock_text(report.stock.choice, report.inch)}"
            y = sheet.paragraph(x, y, words, width, size=12.0)
        elif report.stock is not None:
            words = f"Stock: {no_stock_text(report.stock, report.inch)}"
            y = sheet.paragraph(x, y, words, width, size=12.0)
        for setup in report.setups:
            words = f"Setup {setup.order}: {setup_text(setup, report)}"
            y = sheet.paragraph(x, y, words, width, size=12.0)
        y = sheet.paragraph(
            x, y + 6.0, f"Caution: {CAUTION}", width, size=11.0, colour=palette.FAINT_INK
        )
        y += 12.0
    sheet.text(x, y, "Colours, here and in the annotated STEP", size=15.0, bold=True)
    y += 12.0
    for mark, colour in palette.MARKS.items():
        sheet.box(x, y, 26.0, 13.0, fill=colour, r=2.0)
        sheet.text(x + 34.0, y + 11.0, palette.SAYS[mark], size=12.0)
        y += 19.0
    return sheet.paragraph(x, y + 11.0, palette.OF_CORNERS, width, size=11.0)


def _draw_regions(
    sheet: Sheet, regions: Sequence[Left], x: float, y: float, width: float, inch: bool
) -> float:
    """The tags of regions one after another, then how large and how deep they are at most."""
    at = x
    for region in regions:
        if at > x and at + text_width(region.id, 12.0) + 10.0 > x + width:
            at, y = x, y + 22.0
        at += _draw_tag(sheet, at, y, region.id, "uncut") + 8.0
    largest = volume_text(max(region.volume_mm3 for region in regions), inch)
    deepest = length_text(max(region.deepest_mm for region in regions), inch)
    size = largest if len(regions) == 1 else f"each {largest} or less"
    words = f"{size}, up to {deepest} from the cut"
    if at + text_width(words, 12.0) > x + width:
        at, y = x, y + 22.0
    return sheet.paragraph(at, y, words, x + width - at, size=12.0) + 6.0


def _draw_tag(sheet: Sheet, x: float, y: float, words: str, mark: palette.Mark) -> float:
    """A coloured tag with its base line at y; gives its width."""
    width = text_width(words, 12.0) + 10.0
    sheet.box(x, y - 13.0, width, 18.0, fill=palette.MARKS[mark], r=9.0)
    sheet.text(
        x + width / 2.0,
        y + 0.2,
        words,
        size=12.0,
        colour=palette.ON_MARK[mark],
        bold=True,
        anchor="middle",
    )
    return width


def departure_text(departure: Departure, inch: bool) -> str:
    """One departure as words: where it is along z and its own sizes."""
    z = "–".join(dict.fromkeys(number_text(end, inch, 2) for end in departure.z_mm))
    words = [f"{departure.id} {departure.called}: z {z}"]
    for key, value in departure.parameters.items():
        name, _, unit = key.rpartition("_")
        if isinstance(value, bool) or not isinstance(value, int | float | str) or not value:
            continue
        if isinstance(value, str) or unit not in ("mm", "deg"):
            words.append(f"{key.replace('_', ' ')} {value}")
        else:
            told = f"{mm_text(value)}°" if unit == "deg" else number_text(value, inch)
            words.append(f"{name.replace('_', ' ')} {told}")
    return ", ".join(words)


def feature_text(feature: Feature, inch: bool) -> str:
    """One feature as words: where it is and the sizes that make it."""
    z = "–".join(dict.fromkeys(number_text(end, inch, 2) for end in feature.z_mm))
    across = "–".join(dict.fromkeys(number_text(end, inch) for end in feature.diameter_mm))
    form = feature.parameters.get("form")
    named = f"{feature.kind} ({form})" if isinstance(form, str) else feature.kind
    words = [f"{feature.id} {named}: z {z}, ⌀{across}"]
    for key, value in feature.parameters.items():
        name, _, unit = key.rpartition("_")
        if unit not in ("mm", "deg") or isinstance(value, bool):
            continue
        if isinstance(value, int | float) and value:
            told = f"{mm_text(value)}°" if unit == "deg" else number_text(value, inch)
            words.append(f"{name.replace('_', ' ')} {told}")
    words += [f"{match.designation} ({match.standard})" for match in feature.matches]
    other = feature.alternative
    if other is not None:
        sure = "or just as well" if other.confidence == "either" else "likely, else"
        words.append(f"{sure} {other.kind}: {other.why}")
    return ", ".join(words)
