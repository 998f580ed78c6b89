"""The findings as a table for spreadsheets (RFC 4180, UTF-8).

A spreadsheet takes a cell that begins with = + - @ or a control character for a formula, and the
words come from files by strangers: such text gets an apostrophe in front, which spreadsheets show
as plain text (as OWASP's page on CSV injection advises). Numbers are left as they are.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from turnability.outputs._fingerprint import fingerprints
from turnability.outputs._words import standing_words
from turnability.outputs.drawing.sheet import clean
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.model import Finding

NAME = "findings (CSV)"
SUFFIX = ".turnability.csv"
Cell: TypeAlias = str | float | None
COLUMNS = (
    "part", "solid", "verdict", "id", "rule", "level", "counts_as", "state", "accepted",
    "accepted_until", "z_low_mm", "z_high_mm", "diameter_small_mm", "diameter_large_mm",
    "features", "step_ids", "measured", "limit", "unit", "message", "change", "change_from",
    "change_to", "change_proven", "basis", "basis_kind", "standing", "fingerprint",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def write(report: Report, target: Path) -> bool:
    """Write a heading and one row for each finding, those that an earlier report had last."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    prints = fingerprints(report)
    for finding in report.findings:
        rows.writerow(_cells(_row(report, finding, finding.state, prints[finding.id])))
    for finding in report.baseline.fixed if report.baseline else ():
        rows.writerow(_cells(_row(report, finding, "fixed", None)))
    write_whole(target, text.getvalue())
    return True


def _row(report: Report, finding: Finding, state: str | None, print_: str | None) -> list[Cell]:
    where, change, accepted = finding.where, finding.change, finding.accepted
    steps = {face.index: face.step_id for face in report.part.faces}
    ids = [steps.get(face) for face in where.faces] if state != "fixed" else []
    return [
        report.name,
        report.part.source.solid,
        report.verdict,
        finding.id,
        finding.rule,
        finding.level,
        finding.weight,
        state,
        None if accepted is None else "expired" if accepted.expired else "yes",
        None if accepted is None else accepted.until.isoformat(),
        *(where.z_mm or (None, None)),
        *(where.diameter_mm or (None, None)),
        " ".join(where.features),
        " ".join(f"#{number}" for number in ids if number is not None),
        finding.measured,
        finding.limit,
        finding.unit,
        finding.message,
        change and change.text,
        change and change.from_,
        change and change.to,
        None if change is None else "yes" if change.proven else "no",
        finding.basis.text,
        finding.basis.kind,
        "; ".join(standing_words(finding)),
        print_,
    ]


def _cells(row: list[Cell]) -> list[str]:
    return [_cell(value) for value in row]


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if not isinstance(value, str):
        return f"{round(float(value), 6):.15g}"
    text = clean(value)
    return f"'{text}" if text.lstrip().startswith(_FORMULA) or text[:1].isspace() else text
