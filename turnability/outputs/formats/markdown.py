"""The findings as a comment in a code review: CommonMark with tables (GFM).

Words from files stay words: nothing in them becomes markup, a link, a mention or a reference.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs._findings import finding_text, grouped, likewise_text, place_text
from turnability.outputs._words import (
    baseline_text,
    project_lines,
    project_verdict,
    standing_words,
)
from turnability.outputs.drawing.sheet import clean
from turnability.outputs.summary import (
    CAUTION,
    VERDICTS,
    by_weight,
    size_text,
)
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.model import Finding, Weight

NAME = "code review comment (Markdown)"
SUFFIX = ".turnability.md"
_MARKS = re.compile(r"([\\`*_\[\]<>#|~@$]|:(?=\S)|&(?=[#\w])|!(?=\[))")
"""What would be markup; a colon, quotation marks and the like read better bare."""
_AT_BEGIN = re.compile(r"^(\d{0,9})([-.)+])")
"""What makes a list or a line of the words behind it."""
_CALLS = re.compile(r"(?<=[@#!])(?=\w)|(?<=[Ww]{3})(?=\.)|(?<=[Gg][Hh]-)(?=\d)|(?<=:)(?=[\w+-]+:)")
_JOINER = "\u2060"
"""Shows nothing and breaks no line, and keeps a name apart from the sign that would call it."""
_TITLES: dict[Weight, str] = {
    "error": "Must change",
    "warning": "Better changed",
    "note": "Note",
    "off": "Turned off",
}


def write(report: Report, target: Path) -> bool:
    """Write the comment."""
    write_whole(target, "\n".join(_lines(report)) + "\n")
    return True


def _lines(report: Report) -> list[str]:
    source = report.part.source
    solid = f", solid {source.solid} of {source.solids}" if source.solids > 1 else ""
    word, _ = VERDICTS[report.verdict]
    lines = [
        f"### {escaped(f'{report.name}{solid}: {word}{project_verdict(report)}')}",
        "",
        escaped(size_text(report)),
    ]
    for said in (baseline_text(report), *project_lines(report)):
        lines += ["", escaped(said)] if said else []
    counting = [f for f in report.findings if not f.may_stay]
    for title, found in by_weight(counting, _TITLES.items()):
        lines += _table(title, found, report.inch)
    lines += _table("Accepted", [f for f in report.findings if f.may_stay], report.inch)
    if report.baseline is not None:
        lines += _table("Fixed", report.baseline.fixed, report.inch)
    unjudged = [s for s in report.rules if s.status in ("not-judged", "crashed")]
    if unjudged:
        lines += ["", "**Not judged**", ""]
        lines += [f"- {escaped(f'{s.rule} ({s.status}): {s.reason}')}" for s in unjudged]
    if report.setups:
        lines += ["", escaped(f"Caution: {CAUTION}")]
    return lines


def _table(title: str, found: Sequence[Finding], inch: bool) -> list[str]:
    if not found:
        return []
    rows = ["", f"**{title} ({len(found)})**", "", "| finding | where | what |", "|---|---|---|"]
    for first, others in grouped(found):
        words = [finding_text(first), *standing_words(first)]
        words += [likewise_text(first, others, inch)] if others else []
        cells = (f"{first.id} {first.rule}", place_text(first, inch), "\n".join(words))
        rows.append("| " + " | ".join(escaped(cell) for cell in cells) + " |")
    return rows


def escaped(words: str) -> str:
    """Words as Markdown that shows just them, in one line; breaks become `<br>`."""
    lines = [" ".join(line.split()) for line in clean(words).splitlines()]
    return "<br>".join(
        _AT_BEGIN.sub(r"\1\\\2", _MARKS.sub(r"\\\1", _CALLS.sub(_JOINER, line))) for line in lines
    )
