"""For programs: JSON on stdout, formats, baselines, project files; quiet; colour; odd names."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.conftest import Run
from tests.outputs.sample import disc_report, housing_report
from turnability.outputs import all_outputs
from turnability.outputs.json_document import schema_text
from turnability.report import Report

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
ALL = ("--format", "sarif", "--format", "junit", "--format", "markdown", "--format", "csv")


@pytest.fixture
def parts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, list[Report]]:
    """Files in an empty repository whose analysis is drawn; the STEP text is a fixture's."""
    results = {"bad.step": [housing_report()], "fine.step": [disc_report()]}

    def analyze_all(part: Path, shop: Any, solid: int | None = None, **more: Any) -> Any:
        found = [_read_from(part, report, shop.inch) for report in results[part.name]]
        return tuple(found if solid is None else found[solid - 1 : solid])

    monkeypatch.setattr("turnability.analysis.analyze_all", analyze_all)
    monkeypatch.chdir(tmp_path)
    (tmp_path / ".git").mkdir()
    for name in results:
        _lay(Path(name))
    return results


def _lay(path: Path) -> None:
    path.write_bytes((FIXTURES / "release_pin.step").read_bytes())


def _read_from(part: Path, report: Report, inch: bool) -> Report:
    digest = hashlib.sha256(part.read_bytes()).hexdigest()
    source = replace(report.part.source, path=str(part), sha256=digest)
    return replace(report, part=replace(report.part, source=source), inch=inch)


def several(report: Report, count: int) -> list[Report]:
    part = report.part
    return [
        replace(report, part=replace(part, source=replace(part.source, solid=n, solids=count)))
        for n in range(1, count + 1)
    ]


class TestJson:
    def test_stdout_holds_the_document_and_nothing_else(self, run: Run, parts: Any) -> None:
        code, out, err = run("check", "bad.step", "--json", "-", "--out", "o")
        assert (code, err) == (1, "")
        document = json.loads(out)
        jsonschema.Draft202012Validator(json.loads(schema_text())).validate(document)
        written = json.loads(Path("o/bad.turnability.json").read_text("utf-8"))
        assert {**document, "timings_s": 0} == {**written, "timings_s": 0}

    def test_one_line_for_each_solid_of_each_file(self, run: Run, parts: Any) -> None:
        parts["bad.step"] = several(housing_report(), 2)
        code, out, _ = run("check", "bad.step", "fine.step", "--json", "-")
        assert code == 1
        documents = [json.loads(line) for line in out.splitlines()]
        assert [(d["source"]["path"], d["source"]["solid"]) for d in documents] == [
            ("bad.step", 1), ("bad.step", 2), ("fine.step", 1),
        ]  # fmt: skip

    def test_into_a_file(self, run: Run, parts: Any) -> None:
        code, out, err = run("check", "bad.step", "--json", "new/all.jsonl", "--out", "o")
        assert (code, out) == (3, "")
        assert "new/all.jsonl: there is no folder new to write it in. Correct the name" in err
        assert not Path("new").exists()
        assert not Path("o").exists()
        Path("new").mkdir()
        code, out, err = run("check", "bad.step", "fine.step", "--json", "new/all.jsonl")
        assert (code, err) == (1, "")
        assert "wrote new/all.jsonl" in out
        assert len(Path("new/all.jsonl").read_text("utf-8").splitlines()) == 2
        (Path("taken")).mkdir()
        assert run("check", "bad.step", "--json", "taken")[0] == 2

    def test_a_file_that_cannot_be_written(self, run: Run, parts: Any) -> None:
        Path("file").write_text("x")
        code, _, err = run("check", "fine.step", "--json", "file/all.json")
        assert code == 3
        assert "file" in err

    def test_it_arrives_whole_through_any_encoding(self) -> None:
        done = subprocess.run(
            [sys.executable, "-m", "turnability.cli", "check", "--json", "-", "--no-project",
             str(FIXTURES / "mooring_clamp.step")],
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": "ascii"},
            timeout=120,
            check=False,
        )  # fmt: skip
        assert done.returncode == 1
        assert json.loads(done.stdout)["verdict"] == "not-axisymmetric"
        assert done.stderr == b""

    def test_errors_stay_on_stderr(self, run: Run, parts: Any) -> None:
        Path("shop.toml").write_text("naem = 'x'\n")
        code, out, err = run("check", "fine.step", "--json", "-", "--shop", "shop.toml")
        assert (code, out) == (3, "")
        assert "naem" in err


class TestQuietAndColour:
    def test_quiet_leaves_the_code_and_the_files(self, run: Run, parts: Any) -> None:
        assert run("check", "bad.step", "--quiet", "--out", "o") == (1, "", "")
        assert Path("o/bad.turnability.json").is_file()
        assert run("check", "fine.step", "--quiet") == (0, "", "")

    @pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
    @pytest.mark.parametrize(
        ("settings", "coloured"),
        [
            ({"NO_COLOR": "1"}, False),
            ({"NO_COLOR": ""}, True),
            ({"TERM": "dumb"}, False),
        ],
    )
    def test_colour_only_where_it_is_welcome(
        self, settings: dict[str, str], coloured: bool, tmp_path: Path
    ) -> None:
        """With nothing set it is welcome: `test_a_terminal_gets_colours_and_a_bar`."""
        import pty

        code = (
            "import sys; from unittest.mock import patch; from turnability import cli\n"
            "from tests.outputs.sample import plate_report\n"
            "drawn = lambda *_, **__: (plate_report(),)\n"
            "with patch('turnability.analysis.analyze_all', drawn): cli.main()"
        )
        leader, follower = pty.openpty()
        plain = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR")}
        with subprocess.Popen(
            [sys.executable, "-c", code, "check", "--no-project",
             str(FIXTURES / "mooring_clamp.step")],
            stdout=follower, stderr=follower,
            env={**plain, "TERM": "xterm-256color", **settings},
        ) as child:  # fmt: skip
            os.close(follower)
            seen = b""
            while True:
                try:
                    piece = os.read(leader, 4096)
                except OSError:  # Linux says so when the other end has closed
                    break
                if not piece:
                    break
                seen += piece
        os.close(leader)
        assert child.returncode == 1
        assert "NOT A TURNED PART" in seen.decode("utf-8")
        assert (b"\x1b[" in seen) is coloured

    def test_units_may_be_chosen(self, run: Run, parts: Any) -> None:
        assert "⌀3.5433 × 4.4094 in" in run("check", "bad.step", "--units", "inch")[1]
        assert "⌀90 × 112 mm" in run("check", "bad.step", "--units", "mm")[1]
        assert run("check", "bad.step", "--units", "cm")[0] == 2


class TestFormats:
    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            (("--format", "sarf", "--out", "o"), "Did you mean sarif?"),
            (("--format", "xyz", "--out", "o"), "csv, junit, markdown, sarif"),
            (("--format", "../x", "--out", "o"), "no such format"),
            (("--format", "sarif"), "Give a folder to --out as well"),
        ],
    )
    def test_wrong_use(self, arguments: tuple[str, ...], says: str, run: Run, parts: Any) -> None:
        code, out, err = run("check", "bad.step", *arguments)
        assert (code, out) == (2, "")
        assert says in err
        assert not Path("o").exists()

    def test_help_names_them(self, run: Run) -> None:
        assert "csv, junit, markdown, sarif" in " ".join(run("check", "--help")[1].split())

    def test_results_of_an_earlier_state_are_told_of(self, run: Run, parts: Any) -> None:
        run("check", "fine.step", "--out", "o", *ALL)
        Path("fine.step").write_text("another state", "utf-8")
        err = run("check", "fine.step", "--out", "o")[2]
        for suffix in ("csv", "junit.xml", "md", "sarif"):
            assert f"fine.turnability.{suffix}" in err
        assert "from an earlier state" in err

    @pytest.mark.parametrize(
        "name",
        [
            "with space.step", "Gehäuse ⌀40 ü.step", "it's \"quoted\" $HOME `x`.step",
            "=1+1.step", "<b>&amp;.step", "-dash.step", "a.b.c.step", "[x](y) | #1 @z.step",
            "新しい.step", "n" * 200 + ".step", "no ending", "line\nbreak.step",
        ],
    )  # fmt: skip
    @pytest.mark.skipif(os.name == "nt", reason="names there are more limited")
    def test_odd_names_come_through_everything(self, name: str, run: Run, parts: Any) -> None:
        parts[name] = [housing_report()]
        _lay(Path(name))
        code, _, err = run("check", "--out", "o", *ALL, "--", name)
        assert (code, err) == (1, "")
        stem = Path(name).stem
        count = len(all_outputs()) + len(ALL) // 2
        assert len(list(Path("o").iterdir())) == count
        log = json.loads(Path(f"o/{stem}.turnability.sarif").read_text("utf-8"))
        assert log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]
        document = json.loads(Path(f"o/{stem}.turnability.json").read_text("utf-8"))
        assert document["source"]["path"] == name
        with Path(f"o/{stem}.turnability.csv").open(encoding="utf-8", newline="") as table:
            assert {row["part"].lstrip("'") for row in csv.DictReader(table)} == {
                stem.replace("\r", "")
            }
        code, _, err = run("check", "--out", "o", "--baseline", "o", *ALL, "--", name)
        assert (code, err) == (0, ""), "compared with its own earlier report"

    @pytest.mark.skipif(sys.platform != "linux", reason="other limits")
    @pytest.mark.parametrize("length", [228, 231, 251])
    def test_a_name_too_long_for_one_result_is_told_before_any_is_written(
        self, length: int, run: Run, parts: Any
    ) -> None:
        """300 characters are more than a name may have here: the longest are tried (255 bytes)."""
        name = "n" * (length - 5) + ".step"
        parts[name] = [disc_report()]
        _lay(Path(name))
        code, _, err = run("check", name, "--out", "o", *ALL)
        fits = len("n" * (length - 5) + ".turnability.junit.xml") <= 255
        assert code == (0 if fits else 3)
        assert fits or "Give the part's file a shorter name" in err
        assert fits == any(Path("o").iterdir())
        code, _, err = run("check", "n" * 300 + ".step", "--out", "o", *ALL)
        assert code == 3
        assert "shorter name" in err

    def test_existing_files_are_replaced_whole(self, run: Run, parts: Any) -> None:
        run("check", "bad.step", "--out", "o", *ALL)
        before = {path.name: path.read_bytes() for path in Path("o").iterdir()}
        for path in Path("o").iterdir():
            path.write_bytes(b"x" * 1_000_000)
        run("check", "bad.step", "--out", "o", *ALL)
        after = {path.name: path.read_bytes() for path in Path("o").iterdir()}
        assert before.keys() == after.keys()
        timed = ("turnability.json", "turnability.html")  # they hold how long it took
        assert all(before[n] == after[n] for n in before if not n.endswith(timed))

    @pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
    def test_a_full_disk_is_told(
        self, run: Run, parts: Any, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        import errno

        def full(_: int) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr("turnability.whole_files.os.fsync", full)
        code, _, err = run("check", "fine.step", "--out", "o", "--format", "csv")
        assert code == 3
        assert "No space left on device" in err
        assert "Free some space" in err
        assert not [p for p in Path("o").iterdir() if not p.name.endswith(".annotated.step")]


class TestBaseline:
    def old(self, run: Run, *names: str) -> None:
        run("check", *names, "--out", "old", "--quiet")

    def test_only_new_findings_count(self, run: Run, parts: Any) -> None:
        self.old(run, "bad.step")
        code, out, err = run("check", "bad.step", "--baseline", "old/bad.turnability.json")
        assert (code, err) == (0, "")
        assert "Against bad.turnability.json: 0 new, 3 unchanged, 0 fixed" in out
        assert "NEEDS CHANGES" in out, "the verdict is of the part as it is"
        report = housing_report()
        one = report.findings[0]
        assert one.where.z_mm is not None
        other = replace(one, id="N4", where=replace(one.where, z_mm=(10.0, 12.0)))
        parts["bad.step"] = [replace(report, findings=(*report.findings[1:], other))]
        code, out, _ = run("check", "bad.step", "--baseline", "old/bad.turnability.json")
        assert code == 1
        assert "1 new, 2 unchanged, 1 fixed" in out
        assert "N4 unreached-surface  F9  new" in out
        assert "Fixed (1)\n  unreached-surface  z 60–62, ⌀48–52" in out

    def test_warnings_count_where_they_are_asked_to(self, run: Run, parts: Any) -> None:
        self.old(run, "bad.step")
        arguments = ("--baseline", "old", "--fail-on", "warning")
        assert run("check", "bad.step", *arguments)[0] == 0
        document = json.loads(Path("old/bad.turnability.json").read_text("utf-8"))
        document["findings"] = [f for f in document["findings"] if f["level"] != "warning"]
        Path("old/bad.turnability.json").write_text(json.dumps(document), "utf-8")
        assert run("check", "bad.step", *arguments)[0] == 1
        assert run("check", "bad.step", "--baseline", "old")[0] == 0

    def test_a_folder_holds_those_of_all_parts_and_solids(self, run: Run, parts: Any) -> None:
        parts["bad.step"] = several(housing_report(), 2)
        self.old(run, "bad.step", "fine.step")
        code, out, err = run("check", "bad.step", "fine.step", "--baseline", "old", "--json", "-")
        assert (code, err) == (0, "")
        documents = [json.loads(line) for line in out.splitlines()]
        assert [d["baseline"]["path"] for d in documents] == [
            "old/bad.1.turnability.json", "old/bad.2.turnability.json", "old/fine.turnability.json"
        ]  # fmt: skip
        Path("old/bad.2.turnability.json").unlink()
        code, _, err = run("check", "bad.step", "--baseline", "old")
        assert code == 1
        assert "old/bad.2.turnability.json: there is no such earlier report" in err

    def test_one_file_is_for_one_part_and_solid(self, run: Run, parts: Any) -> None:
        self.old(run, "bad.step", "fine.step")
        one = "old/bad.turnability.json"
        code, out, err = run("check", "bad.step", "fine.step", "--baseline", one)
        assert (code, out) == (2, "")
        assert "Name the folder" in err
        parts["bad.step"] = several(housing_report(), 2)
        code, _, err = run("check", "bad.step", "--baseline", one)
        assert code == 3
        assert "it is of solid 1 of 1, and not of solid 1 of 2" in err

    def test_into_the_same_folder(self, run: Run, parts: Any) -> None:
        """The earlier report is read before today's takes its place."""
        self.old(run, "bad.step")
        code, out, err = run("check", "bad.step", "--baseline", "old", "--out", "old")
        assert (code, err) == (0, "")
        assert "3 unchanged" in out

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            ('{"report_version": 2}', "report_version 2"),
            ("{", "not JSON"),
            ('{"report_version": 1, "source": {}}', "damaged"),
            (None, "no such file"),
        ],
    )
    def test_bad_ones_are_told_before_the_analysis(
        self, content: str | None, says: str, run: Run, parts: Any
    ) -> None:
        if content is not None:
            Path("old.json").write_text(content)
        code, out, err = run("check", "bad.step", "--baseline", "old.json", "--out", "o")
        assert (code, out) == (3, "")
        assert err.startswith("turnability: old.json: ")
        assert says in err
        assert err.count("\n") == 1
        assert not list(Path("o").iterdir())

    def test_another_shop_is_told(self, run: Run, parts: Any) -> None:
        self.old(run, "bad.step")
        parts["bad.step"] = [replace(housing_report(), shop_sha256="1" * 64)]
        assert "made with another shop file" in run("check", "bad.step", "--baseline", "old")[1]


class TestProject:
    TEXT = '[levels]\nunreached-surface = "note"\n'

    def test_it_is_found_beside_the_part(self, run: Run, parts: Any) -> None:
        Path("turnability.toml").write_text(self.TEXT)
        code, out, err = run("check", "bad.step")
        assert (code, err) == (0, "")
        assert "counts as note by the project (error by its rule)" in " ".join(out.split())
        assert run("check", "bad.step", "--no-project")[0] == 1
        assert run("check", "bad.step", "--fail-on", "warning")[0] == 1

    def test_it_may_be_named(self, run: Run, parts: Any) -> None:
        Path("elsewhere.toml").write_text(self.TEXT)
        assert run("check", "bad.step", "--project", "elsewhere.toml")[0] == 0
        assert run("check", "bad.step", "--project", "none.toml")[0] == 3
        assert run("check", "bad.step", "--project", "")[0] == 2
        assert run("check", "bad.step", "--project", "elsewhere.toml", "--no-project")[0] == 2

    def test_a_bad_one_ends_the_run_with_all_its_faults(self, run: Run, parts: Any) -> None:
        Path("turnability.toml").write_text("[levels]\nx = 1\n[[accepted]]\nby = ''\n")
        code, out, err = run("check", "bad.step", "fine.step")
        assert (code, out) == (3, "")
        assert "turnability.toml: 6 faults" in err
        assert err.count("turnability:") == 1

    def test_each_part_has_its_own(self, run: Run, parts: Any) -> None:
        for folder, text in (("a", self.TEXT), ("b", "")):
            Path(folder).mkdir()
            _lay(Path(folder, "bad.step"))
            Path(folder, "turnability.toml").write_text(text)
        assert run("check", "a/bad.step")[0] == 0
        assert run("check", "b/bad.step")[0] == 1
        out = run("check", "a/bad.step", "b/bad.step", "--json", "-")[1]
        weights = [json.loads(line)["findings"][0]["counts_as"] for line in out.splitlines()]
        assert weights == ["note", "error"]
