"""The project file: found upward, read with all faults at once, laid on findings."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.outputs.sample import SOURCE, housing_report
from turnability.analysis.standing import by_project
from turnability.errors import ProjectUnusable
from turnability.outputs.json_document import schema_text
from turnability.outputs.summary import summary_lines
from turnability.part.profile import drawn_profile
from turnability.report import Report
from turnability.standing.project_file import load_project, project_of

DAY = date(2026, 3, 1)
ENTRY = """
[[accepted]]
part = "float_housing"
rule = "unreached-surface"
z_mm = [60.0, 62.0]
diameter_mm = [48.0, 52.0]
reason = "ground afterwards"
by = "manufacturing lead"
until = 2026-03-01
"""


def report_in(folder: Path, name: str = "float_housing.step", **source: Any) -> Report:
    report = housing_report()
    made = replace(SOURCE, path=str(folder / name), **source)
    return replace(report, part=replace(report.part, source=made))


def by(text: str, folder: Path, day: date = DAY, report: Report | None = None) -> Report:
    (folder / "turnability.toml").write_text(text, "utf-8")
    project = load_project(folder / "turnability.toml")
    return by_project(report or report_in(folder), project, day)


class TestWhereItIsFound:
    def test_upward_to_the_root_of_the_repository(self, tmp_path: Path) -> None:
        deep = tmp_path / "repo" / "parts" / "deep"
        deep.mkdir(parents=True)
        (tmp_path / "turnability.toml").write_text("")
        (tmp_path / "repo" / ".git").mkdir()
        assert project_of(deep / "a.step") is None, "not beyond the root"
        (tmp_path / "repo" / "turnability.toml").write_text("")
        assert project_of(deep / "a.step") == tmp_path / "repo" / "turnability.toml"
        (deep / "turnability.toml").write_text("")
        assert project_of(deep / "a.step") == deep / "turnability.toml", "the nearest"

    def test_a_worktree_has_a_file_for_its_root(self, tmp_path: Path) -> None:
        (tmp_path / "tree").mkdir()
        (tmp_path / "tree" / ".git").write_text("gitdir: elsewhere")
        (tmp_path / "turnability.toml").write_text("")
        assert project_of(tmp_path / "tree" / "a.step") is None

    def test_a_folder_of_that_name_is_no_file(self, tmp_path: Path) -> None:
        (tmp_path / ".git").mkdir()
        (tmp_path / "turnability.toml").mkdir()
        assert project_of(tmp_path / "a.step") is None

    def test_paths_that_are_none(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.chdir(tmp_path)
        (tmp_path / "turnability.toml").write_text("")
        assert project_of(Path("a.step")) == Path("turnability.toml")
        assert project_of(Path("a\0b.step")) is None
        (tmp_path / "loop.step").symlink_to(tmp_path / "loop.step")
        project_of(Path("loop.step"))


class TestWhatIsWrongInIt:
    def said(self, text: str, folder: Path) -> str:
        (folder / "turnability.toml").write_text(text, "utf-8")
        with pytest.raises(ProjectUnusable) as raised:
            load_project(folder / "turnability.toml")
        return str(raised.value)

    def test_all_faults_at_once_with_their_lines(self, tmp_path: Path) -> None:
        text = self.said(
            "[levels]\n"
            'sharp-corner = "off"\n'
            'long-slender = "warn"\n'
            "no-stock-size = 3\n"
            "[[accepted]]\n"
            'part = "x"\n'
            'rule = "long-slendr"\n'
            "z_mm = [9, 2]\n"
            'until = "2027-01-01"\n'
            'by = ""\n'
            "solid = 1.5\n"
            "[acepted]\n",
            tmp_path,
        )
        found = {int(line.split(":")[0]): line for line in text.split("\n  line ")[1:]}
        assert sorted(found) == [2, 3, 4, 5, 7, 8, 9, 10, 11, 12]
        assert "Did you mean sharp-inside-corner?" in found[2]
        assert 'is "warn". Did you mean warning?' in found[3]
        assert "no reason" in found[5]
        assert "Did you mean long-slender?" in found[7]
        assert "Write a date without quotes, such as 2027-06-30" in found[9]
        assert "Did you mean accepted?" in found[12]

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("[accepted]\nrule = 'x'\n", "Begin each accepted with [[accepted]]"),
            ("levels = 3\n", "Write [levels] in single brackets"),
            ("[levels]\nlong-slender = 'off'\nlong-slender = 'note'\n", "is given twice"),
            (ENTRY.replace("2026-03-01", "2026-03-01T10:00:00"), "Write a date without quotes"),
            (ENTRY.replace("2026-03-01", "2026-02-30"), "until"),
            (ENTRY.replace("z_mm", "z"), "says no unit"),
            (ENTRY + "face = 3\n", "is no key here"),
        ],
    )
    def test_each_fault_is_told(self, text: str, says: str, tmp_path: Path) -> None:
        told = self.said(text, tmp_path)
        assert says in told
        assert "line " in told

    def test_files_that_cannot_be_read(self, tmp_path: Path) -> None:
        with pytest.raises(ProjectUnusable, match="no such file"):
            load_project(tmp_path / "none.toml")
        with pytest.raises(ProjectUnusable, match="is a folder"):
            load_project(tmp_path)
        (tmp_path / "latin.toml").write_bytes(b"# \xff\n")
        with pytest.raises(ProjectUnusable, match="UTF-8"):
            load_project(tmp_path / "latin.toml")


def test_the_readmes_example_is_as_it_says(tmp_path: Path) -> None:
    readme = (Path(__file__).resolve().parents[2] / "README.md").read_text("utf-8")
    text = readme.split("```toml\n[levels]")[1].split("```")[0]
    (tmp_path / "turnability.toml").write_text(f"[levels]{text}", "utf-8")
    project = load_project(tmp_path / "turnability.toml")
    assert project.levels == {"long-slender": "off", "outside-near-stock-size": "error"}
    (entry,) = project.accepted
    assert (entry.part, entry.z_mm, entry.diameter_mm) == ("float_housing", (30.0, 70.0), None)
    assert entry.until == date(2027, 6, 30)


class TestLevels:
    @pytest.mark.parametrize(
        ("weight", "fail_on", "fails"),
        [
            ("error", "error", True), ("warning", "error", False), ("warning", "warning", True),
            ("note", "warning", False), ("off", "warning", False), ("error", "never", False),
        ],
    )  # fmt: skip
    def test_exit_codes_follow_them_and_the_verdict_does_not(
        self, weight: str, fail_on: str, fails: bool, tmp_path: Path
    ) -> None:
        report = replace(
            report_in(tmp_path),
            findings=housing_report().findings[:1],
            options={"fail_on": fail_on},
        )
        decided = by(f'[levels]\nunreached-surface = "{weight}"\n', tmp_path, report=report)
        assert decided.fails is fails
        assert decided.verdict == report.verdict == "needs-changes"
        (document,) = decided.document()["findings"]
        assert (document["level"], document["counts_as"]) == ("error", weight)

    def test_a_note_may_count_as_an_error(self, tmp_path: Path) -> None:
        text = '[levels]\nunreached-surface = "off"\noutside-near-stock-size = "error"\n'
        decided = by(text, tmp_path)
        assert decided.fails
        said = "\n".join(map(str, summary_lines(decided)))
        assert said.startswith(
            "float_housing: NEEDS CHANGES, each of them proven\n"
            "But by the project's levels 1 finding must change; the project lets 1 error stay\n"
        )
        assert max(len(line) for line in said.splitlines()) <= 100
        assert "Must change (" not in said, "that would speak against the verdict"
        must = said.split("Must change by the project's levels (1)")[1].split("\n\n")[0]
        assert "N3 outside-near-stock-size" in must
        assert "counts as error by the project (note by its rule)" in " ".join(must.split())
        assert "Turned off by turnability.toml: 1 of unreached-surface" in said
        assert "N1 unreached-surface" not in said


class TestAccepted:
    def test_it_stays_visible_marked_and_no_longer_fails(self, tmp_path: Path) -> None:
        decided = by(ENTRY, tmp_path)
        assert not decided.fails
        assert decided.verdict == "needs-changes"
        assert [f.may_stay for f in decided.findings] == [True, False, False]
        said = "\n".join(map(str, summary_lines(decided)))
        assert "Must change" not in said
        assert said.splitlines()[0].endswith("proven; the project lets 1 error stay")
        accepted = said.split("Accepted (1)")[1]
        assert "N1 unreached-surface" in accepted
        assert "accepted by manufacturing lead until 2026-03-01: ground afterwards" in accepted

    def test_it_expires_after_its_last_day_and_that_is_told(self, tmp_path: Path) -> None:
        assert not by(ENTRY, tmp_path, date(2026, 3, 1)).fails
        decided = by(ENTRY, tmp_path, date(2026, 3, 2))
        assert decided.fails
        said = " ".join(" ".join(map(str, summary_lines(decided))).split())
        assert "Must change (1)" in said
        assert (
            "acceptance by manufacturing lead expired after 2026-03-01 (ground afterwards)" in said
        )

    def test_one_that_matches_nothing_is_told(self, tmp_path: Path) -> None:
        decided = by(ENTRY.replace("60.0", "50.0"), tmp_path)
        assert decided.fails
        said = "\n".join(map(str, summary_lines(decided)))
        assert "turnability.toml line 2: accepts unreached-surface where there is none" in said
        assert "Nearest is N1, z_mm = [60, 62], diameter_mm = [48, 52]: correct it" in " ".join(
            said.split()
        )

    def test_one_whose_finding_is_gone_is_to_be_taken_out(self, tmp_path: Path) -> None:
        decided = by(ENTRY.replace("unreached-surface", "thin-wall"), tmp_path)
        said = " ".join("\n".join(map(str, summary_lines(decided))).split())
        assert "accepts thin-wall where there is none. Take it out" in said

    @pytest.mark.parametrize(
        ("was", "is_", "fits"),
        [
            ("60.0", "60.04", True), ("60.0", "60.06", False), ("52.0", "52.06", False),
            ("z_mm = [60.0, 62.0]\n", "", True), ("diameter_mm = [48.0, 52.0]\n", "", True),
            ("z_mm = [60.0, 62.0]", "z_in = [2.36220472, 2.44094488]", True),
            ("z_mm = [60.0, 62.0]", "z_mm = 60.0", False),
            ("unreached-surface", "long-slender", False),
            ("z_mm = [60.0, 62.0]\ndiameter_mm = [48.0, 52.0]\n", "", False),
        ],
    )  # fmt: skip
    def test_it_is_for_the_one_finding_at_its_place(
        self, was: str, is_: str, fits: bool, tmp_path: Path
    ) -> None:
        decided = by(ENTRY.replace(was, is_), tmp_path)
        assert decided.findings[0].may_stay is fits
        assert not any(finding.may_stay for finding in decided.findings[1:])

    @pytest.mark.parametrize(
        ("part", "file", "fits"),
        [
            ("float_housing", "float_housing.step", True),
            ("float_housing.step", "float_housing.step", True),
            ("./float_housing.step", "float_housing.step", True),
            ("parts/float_housing.step", "parts/float_housing.step", True),
            ("float_housing", "parts/float_housing.step", True),
            ("other/float_housing.step", "parts/float_housing.step", False),
            ("housing", "float_housing.step", False),
            ("Gehäuse 'ü' 1.0", "Gehäuse 'ü' 1.0.step", True),
        ],
    )
    def test_it_is_for_the_part_it_names(
        self, part: str, file: str, fits: bool, tmp_path: Path
    ) -> None:
        text = ENTRY.replace('"float_housing"', json.dumps(part, ensure_ascii=False))
        decided = by(text, tmp_path, report=report_in(tmp_path, file))
        assert decided.findings[0].may_stay is fits
        assert decided.project is not None
        assert decided.project.unused == (), "another part's entries are not this one's business"

    def test_it_may_be_for_one_solid_of_several(self, tmp_path: Path) -> None:
        text = ENTRY + "solid = 2\n"
        one, two = (report_in(tmp_path, solid=n, solids=2) for n in (1, 2))
        assert not by(text, tmp_path, report=one).findings[0].may_stay
        assert by(text, tmp_path, report=two).findings[0].may_stay

    def test_of_several_entries_the_longest_counts(self, tmp_path: Path) -> None:
        later = ENTRY.replace("2026-03-01", "2027-01-01").replace("ground", "honed")
        accepted = by(ENTRY + later, tmp_path).findings[0].accepted
        assert accepted is not None
        assert accepted.reason == "honed afterwards"

    def test_whole_part_findings_are_accepted_without_a_place(self, tmp_path: Path) -> None:
        text = ENTRY.replace("z_mm = [60.0, 62.0]\ndiameter_mm = [48.0, 52.0]\n", "")
        report = report_in(tmp_path)
        first = report.findings[0]
        whole = replace(first, where=replace(first.where, z_mm=None, diameter_mm=None))
        decided = by(text, tmp_path, report=replace(report, findings=(whole,)))
        assert decided.findings[0].may_stay

    def test_it_is_found_where_the_part_was_exported_turned_end_for_end(
        self, tmp_path: Path
    ) -> None:
        """The entry points at z 60 to 62 of 112; turned, its finding stands at 50 to 52."""
        report = turned_report(tmp_path)
        decided = by(ENTRY, tmp_path, report=report)
        accepted = decided.findings[0].accepted
        assert accepted is not None
        assert accepted.turned
        assert not decided.fails
        assert "the part lies turned" in " ".join(
            " ".join(map(str, summary_lines(decided))).split()
        )
        assert decided.project is not None
        assert decided.project.unused == ()

    def test_a_twin_of_what_was_mended_is_not_accepted_for_it(self, tmp_path: Path) -> None:
        """The accepted place is gone from the findings but still a place of the part."""
        report = turned_report(tmp_path, lies_turned=False)
        decided = by(ENTRY, tmp_path, report=report)
        assert decided.findings[0].accepted is None
        assert decided.fails
        # another entry, whose place is gone altogether, does not turn the part
        gone = ENTRY.replace("60.0, 62.0", "22.0, 24.0")
        both = by(ENTRY + gone, tmp_path, report=report)
        assert both.findings[0].accepted is None


def turned_report(folder: Path, lies_turned: bool = True) -> Report:
    """The drawn housing with its first finding counted from the other end; the body turned too."""
    report = report_in(folder)
    first = report.findings[0]
    profile = report.part.profile
    assert profile is not None
    assert first.where.z_mm is not None
    low, high = first.where.z_mm
    length = profile.length_mm
    where = replace(first.where, z_mm=(length - high, length - low))
    corners = [segment.curve.start for segment in profile.segments]
    if lies_turned:
        corners = [(length - z, r) for z, r in reversed(corners)]
    else:
        # what was accepted is mended, its corners are there still
        assert any(abs(z - low) < 0.5 for z, _ in corners)
    part = replace(report.part, profile=drawn_profile(corners))
    return replace(report, part=part, findings=(replace(first, where=where), *report.findings[1:]))


def test_the_document_keeps_to_the_schema(tmp_path: Path) -> None:
    decided = by(
        '[levels]\nlong-slender = "off"\n' + ENTRY + ENTRY.replace("60.0", "50.0"), tmp_path
    )
    document = json.loads(decided.to_json())
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(document)
    assert document["findings"][0]["accepted"] == {
        "reason": "ground afterwards", "by": "manufacturing lead", "until": "2026-03-01",
        "expired": False, "turned": False,
    }  # fmt: skip
    assert document["project"]["levels"] == {"long-slender": "off"}
    assert [entry["line"] for entry in document["project"]["unused"]] == [13]
