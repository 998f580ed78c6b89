"""SARIF 2.1.0: valid by OASIS's schema, places that are there, fingerprints that stay."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlparse

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outputs.sample import SOURCE, disc_report, housing_report, plate_report
from turnability.analysis import analyze
from turnability.outputs._fingerprint import fingerprints
from turnability.outputs._step_lines import step_lines
from turnability.outputs.formats import sarif
from turnability.report import Report
from turnability.rules.model import Acceptance
from turnability.standing.model import Baseline

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
SCHEMA = json.loads(Path(__file__).with_name("sarif-2.1.0.schema.json").read_text("utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(
    SCHEMA, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
)


def log_of(report: Report, folder: Path) -> Any:
    target = folder / f"x{sarif.SUFFIX}"
    sarif.write(report, target)
    log = json.loads(target.read_text("utf-8"))
    VALIDATOR.validate(log)
    (run,) = log["runs"]
    return run


def standing_report() -> Report:
    """The drawn housing with everything that a project and an earlier report may add."""
    report = housing_report()
    one, two, three = report.findings
    until = date(2027, 6, 30)
    findings = (
        replace(one, state="unchanged", accepted=Acceptance("by hand", "lead", until, False)),
        replace(two, state="new", counts_as="off"),
        replace(
            three,
            state="new",
            counts_as="warning",
            accepted=Acceptance("soon gone", "lead", until, True),
        ),
    )
    baseline = Baseline("old.json", "0" * 64, "0.0.9", None, True, fixed=(two,), not_judged=(one,))
    crashed = replace(report.rules[1], status="crashed", reason="KeyError: {0}")
    rules = (report.rules[0], crashed, report.rules[2])
    return replace(report, findings=findings, baseline=baseline, rules=rules)


@pytest.mark.parametrize(
    "report", [housing_report(), plate_report(), disc_report(), standing_report()]
)
def test_logs_are_valid_by_the_standards_schema(report: Report, tmp_path: Path) -> None:
    run = log_of(report, tmp_path)
    fixed = len(report.baseline.fixed) if report.baseline else 0
    assert len(run["results"]) == len(report.findings) + fixed
    ids = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    for result in run["results"]:
        assert ids[result["ruleIndex"]] == result["ruleId"]


def test_the_schema_refuses_what_is_wrong() -> None:
    with pytest.raises(jsonschema.ValidationError):
        VALIDATOR.validate({"version": "2.1.0", "runs": [{"tool": {}}]})


def test_how_findings_stand_is_told_in_the_standards_words(tmp_path: Path) -> None:
    run = log_of(standing_report(), tmp_path)
    one, two, three, gone = run["results"]
    assert [r["baselineState"] for r in run["results"]] == ["unchanged", "new", "new", "absent"]
    assert [s["status"] for s in one["suppressions"]] == ["accepted"]
    assert "by hand" in one["suppressions"][0]["justification"]
    assert [s["status"] for s in two["suppressions"]] == ["accepted"]
    assert [s["status"] for s in three["suppressions"]] == ["underReview"]
    assert (one["level"], two["level"], three["level"]) == ("error", "warning", "warning")
    assert "suppressions" not in gone
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    notes = invocation["toolExecutionNotifications"]
    assert [note["level"] for note in notes] == ["error", "note"]
    assert "KeyError: {{0}}" in notes[0]["message"]["text"], "no placeholder (3.11.5)"


def test_regions_are_the_lines_of_the_faces_entities(tmp_path: Path) -> None:
    step = FIXTURES / "end_cap.step"
    report = analyze(step)
    run = log_of(report, tmp_path)
    lines = step.read_text("latin-1").split("\n")
    ids = {face.index: face.step_id for face in report.part.faces}
    seen = 0
    for finding, result in zip(report.findings, run["results"], strict=True):
        places = result["locations"] + result.get("relatedLocations", [])
        regions = [
            p["physicalLocation"]["region"] for p in places if "region" in p["physicalLocation"]
        ]
        assert len(regions) == len(finding.where.faces)
        for face, region in zip(finding.where.faces, regions, strict=True):
            assert re.match(rf"#{ids[face]}\s*=\s*ADVANCED_FACE", lines[region["startLine"] - 1])
            assert lines[region["endLine"] - 1].rstrip().endswith(";")
            seen += 1
        logical = result["locations"][0].get("logicalLocations", [])
        assert [entry["name"] for entry in logical] == list(finding.where.features)
        kinds = {feature.id: feature.kind for feature in report.features}
        assert all(entry["kind"] == kinds[entry["name"]] for entry in logical)
    assert seen > 0


def test_entities_over_several_lines_and_after_comments(tmp_path: Path) -> None:
    file = tmp_path / "part.step"
    file.write_text(
        "ISO-10303-21;\r\nHEADER;\r\nENDSEC;\r\nDATA;\r\n#1=POINT('#7=',\r\n(0.,\r\n1.));\r\n"
        "/* #7=X( */ #7 = ADVANCED_FACE('a;b',\r\n(#1),#1,.T.);\r\n"
        "ENDSEC;\r\nEND-ISO-10303-21;\r\n",
        newline="",
    )
    source = replace(SOURCE, path=str(file), sha256=None)
    assert step_lines(source, [1, 7, 9, None]) == {1: (5, 7), 7: (8, 9)}


def test_a_file_that_changed_since_has_no_lines(tmp_path: Path) -> None:
    file = tmp_path / "part.step"
    file.write_bytes((FIXTURES / "end_cap.step").read_bytes())
    assert step_lines(replace(SOURCE, path=str(file), sha256="0" * 64), [1, 2, 3]) == {}
    assert step_lines(replace(SOURCE, path=str(tmp_path / "gone.step")), [1]) == {}
    assert step_lines(replace(SOURCE, path=None), [1]) == {}


@pytest.mark.parametrize(
    "name",
    ["plain.step", "with space.step", "Gehäuse #1 100% 'x'.step", "a/b c/d.step", "[x](y).stp"],
)
def test_artifacts_are_uris_that_lead_back_to_the_file(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for path in (Path(name), tmp_path / name):
        source = replace(SOURCE, path=str(path))
        report = replace(housing_report(), part=replace(housing_report().part, source=source))
        location = log_of(report, tmp_path)["artifacts"][0]["location"]
        assert unquote(location["uri"]) == name
        assert re.fullmatch(r"[A-Za-z0-9/._~%-]+", location["uri"]), "RFC 3986"
        assert location["uriBaseId"] in log_of(report, tmp_path)["originalUriBaseIds"]
    away = replace(SOURCE, path=str(tmp_path.parent / name))
    report = replace(housing_report(), part=replace(housing_report().part, source=away))
    location = log_of(report, tmp_path)["artifacts"][0]["location"]
    assert urlparse(location["uri"]).scheme == "file"
    assert unquote(urlparse(location["uri"]).path).endswith(name)
    assert "uriBaseId" not in location


def test_words_make_no_links_and_no_placeholders(tmp_path: Path) -> None:
    report = housing_report()
    finding = replace(report.findings[1], message="see [this](http://x) {0} \x07 [plain].")
    run = log_of(replace(report, findings=(finding,)), tmp_path)
    text = run["results"][0]["message"]["text"]
    assert text.startswith(r"see \[this\](http://x) {{0}} ")
    assert text.endswith("[plain].")
    assert "\x07" not in text


class TestFingerprints:
    def test_they_differ_within_a_report(self) -> None:
        report = housing_report()
        twice = replace(report.findings[1], id="N4")
        prints = fingerprints(replace(report, findings=(*report.findings, twice)))
        assert len(set(prints.values())) == 4
        assert prints["N4"] == f"{prints['N2']}:2"

    @given(st.sampled_from([1e-6, -1e-6, 4e-7, 2e-3]), st.integers(1, 900), st.booleans())
    def test_they_stay_when_everything_is_numbered_anew(
        self, noise: float, face: int, turned: bool
    ) -> None:
        """Noise of an exporter, other faces, features and ids, the part end for end."""
        report = housing_report()
        assert report.part.profile is not None
        length = report.part.profile.length_mm
        again = []
        for finding in reversed(report.findings):
            z = finding.where.z_mm
            assert z is not None
            moved = (length - z[1], length - z[0]) if turned else z
            where = replace(
                finding.where,
                z_mm=(moved[0] + noise, moved[1] + noise),
                faces=(face,),
                features=(f"F{face}",),
                segments=(),
            )
            again.append(replace(finding, id=f"x{finding.id}", where=where, message="anew"))
        before = fingerprints(report)
        after = fingerprints(replace(report, findings=tuple(again)))
        assert {f"x{k}": v for k, v in before.items()} == after

    @given(st.floats(0.5, 50.0), st.integers(0, 2))
    def test_they_stay_when_the_part_becomes_longer(self, more: float, before: int) -> None:
        """At its low end, between two of the places, or at its high end."""
        report = housing_report()
        profile = report.part.profile
        assert profile is not None
        placed = sorted(report.findings, key=lambda f: f.where.z_mm or (0.0, 0.0))
        moved = []
        for k, finding in enumerate(placed):
            z = finding.where.z_mm
            assert z is not None
            by = more if k >= before else 0.0
            moved.append(
                replace(finding, where=replace(finding.where, z_mm=(z[0] + by, z[1] + by)))
            )
        longer = replace(profile, length_mm=profile.length_mm + more)
        again = replace(report, part=replace(report.part, profile=longer), findings=tuple(moved))
        assert fingerprints(again) == fingerprints(report)

    def test_alike_places_are_counted_from_the_nearest_end(self) -> None:
        report = housing_report()
        profile, one = report.part.profile, report.findings[0]
        assert profile is not None
        length = profile.length_mm

        def prints(*starts: float) -> list[str]:
            placed = tuple(
                replace(one, id=f"N{k}", where=replace(one.where, z_mm=(z, z + 2.0)))
                for k, z in enumerate(starts)
            )
            made = fingerprints(replace(report, findings=placed))
            return [made[f"N{k}"] for k in range(len(starts))]

        first, second, third = prints(10.0, 30.0, length - 22.0)
        assert (second, third) == (f"{first}:3", f"{first}:2")
        turned = prints(length - 12.0, length - 32.0, 20.0)
        assert turned == [first, second, third]

    def test_another_place_rule_or_part_is_another(self) -> None:
        report = housing_report()
        one = report.findings[0]
        before = fingerprints(report)["N1"]
        assert one.where.z_mm is not None
        assert one.where.diameter_mm is not None
        z = (one.where.z_mm[0], one.where.z_mm[1] + 0.3)
        across = (one.where.diameter_mm[0], one.where.diameter_mm[1] + 0.3)
        others = [
            replace(report, findings=(replace(one, where=replace(one.where, z_mm=z)),)),
            replace(report, findings=(replace(one, where=replace(one.where, diameter_mm=across)),)),
            replace(report, findings=(replace(one, rule="long-slender"),)),
            replace(report, part=replace(report.part, source=replace(SOURCE, path="other.step"))),
        ]
        assert all(fingerprints(other)["N1"] != before for other in others)
