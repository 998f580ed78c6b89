"""Real parts by others, through the whole house: every run ends in a valid report.

`manifest.csv` beside them says what a person takes each for. A small drawn shop keeps it quick;
what its tools reach is not the question here.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.conftest import shared_parts_folder
from turnability.analysis import analyze_all
from turnability.outputs._short import SCREEN
from turnability.outputs.json_document import schema_text
from turnability.outputs.meridian_svg import drawing
from turnability.outputs.summary import WIDTH, summary_lines
from turnability.report import Report
from turnability.rules.drawn import drawn_shop

pytestmark = pytest.mark.shared_parts


def manifest() -> list[dict[str, str]]:
    file = shared_parts_folder() / "manifest.csv"
    if not file.is_file():
        return []
    with file.open(encoding="utf-8", newline="") as lines:
        return sorted(csv.DictReader(lines), key=lambda row: row["file"])


ROWS = manifest() or [{"file": "none", "kind": "missing", "solids": "0"}]


@pytest.mark.parametrize("row", ROWS, ids=[row["file"] for row in ROWS])
def test_every_real_part_gets_its_report(
    row: dict[str, str], shared_parts: Path, parts_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = "turnability.part.apart.child.read_parts"
    monkeypatch.setattr(read, lambda file, *_, **__: parts_of(file))
    results = analyze_all(shared_parts / row["file"], drawn_shop())
    assert len(results) == int(row["solids"])
    schema = jsonschema.Draft202012Validator(json.loads(schema_text()))
    for report in results:
        assert isinstance(report, Report), report
        schema.validate(report.document())
        assert report.crashed == ()
        assert drawing(report).startswith("<svg")
        told = [str(line) for line in summary_lines(report)]
        assert len(told) <= SCREEN
        assert max(map(len, told)) <= WIDTH
        if row["kind"].startswith("turned"):
            assert report.part.profile is not None, report.part.symmetry.reason
        elif row["kind"] == "not-turned":
            assert report.verdict == "not-axisymmetric"
