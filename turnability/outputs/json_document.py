"""The report for programs: one JSON document by the report contract."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.report import Report

NAME = "JSON report"
SUFFIX = ".turnability.json"


def schema_text() -> str:
    """The JSON Schema (2020-12) of the document, as it is shipped beside this file."""
    return Path(__file__).with_name("report.schema.json").read_text(encoding="utf-8")


def write(report: Report, target: Path) -> bool:
    """Write the report's document."""
    write_whole(target, report.to_json())
    return True
