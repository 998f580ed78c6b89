"""The rim of the command line: odd names, empty ones, results of earlier runs, a break."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run
from tests.outputs.sample import disc_report
from turnability.errors import PartUnreadable
from turnability.outputs import all_outputs
from turnability.part.writing.write import write_annotated
from turnability.report import Report

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
SUFFIXES = sorted(output.SUFFIX for output in all_outputs())


@pytest.fixture
def analysed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """Names of files whose analysis was asked for; each holds as many solids as its text says."""
    seen: list[str] = []

    def analyze_all(part: Path, shop: Any, solid: int | None = None, **more: Any) -> Any:
        seen.append(part.name)
        if not part.exists() or part.read_text().startswith("broken"):
            raise PartUnreadable(str(part), "it is broken", "Mend it")
        count = int(part.read_text().split()[0]) if part.read_text()[:1].isdigit() else 1
        made = [report_on(part, number, count) for number in range(1, count + 1)]
        return made if solid is None else made[solid - 1 : solid]

    monkeypatch.setattr("turnability.analysis.analyze_all", analyze_all)
    monkeypatch.setattr("turnability.outputs.annotated_step.write", write_stand_in)
    monkeypatch.chdir(tmp_path)
    return seen


def report_on(part: Path, solid: int, solids: int) -> Report:
    report = disc_report()
    digest = hashlib.sha256(part.read_bytes()).hexdigest()
    source = replace(report.part.source, path=str(part), sha256=digest, solid=solid, solids=solids)
    return replace(report, part=replace(report.part, source=source))


def write_stand_in(report: Report, target: Path) -> bool:
    target.write_text("drawn")
    return True


@pytest.mark.parametrize(
    "arguments", [["--out", ""], ["--shop", ""], ["--intent", ""], [""], ["--out="]]
)
def test_an_empty_path_is_wrong_use(arguments: list[str], run: Run, analysed: list[str]) -> None:
    Path("fine.step").write_text("1")
    code, out, err = run("check", "fine.step", *arguments)
    assert (code, out, analysed) == (2, "", [])
    assert "it is empty" in err
    assert [path.name for path in Path().iterdir()] == ["fine.step"], "nothing is written here"


@pytest.mark.parametrize("arguments", [["check", ""], ["new", ""], ["show", "--out", ""]])
def test_an_empty_path_of_a_shop_is_wrong_use(arguments: list[str], run: Run) -> None:
    code, out, err = run("shop", *arguments)
    assert (code, out) == (2, "")
    assert "it is empty" in err


def test_whether_a_file_may_be_read_is_no_question_of_use(
    run: Run, analysed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the contract an input that cannot be used gives 3, whatever is asked of it first."""
    Path("fine.step").write_text("1")
    monkeypatch.setattr(os, "access", lambda *_, **__: False)
    assert run("check", "fine.step")[0] == 0
    assert analysed == ["fine.step"]


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="needs a user who may be refused")
def test_a_file_that_may_not_be_read(run: Run, tmp_path: Path) -> None:
    (tmp_path / "closed.step").write_text("1")
    (tmp_path / "closed.step").chmod(0)
    code, _, err = run("check", tmp_path / "closed.step")
    assert code == 3
    assert "Permission denied" in err


def test_a_file_in_the_place_of_the_folder_is_wrong_use_before_all_else(
    run: Run, analysed: list[str]
) -> None:
    Path("taken").write_text("x")
    code, _, err = run("check", "none.step", "--out", "taken")
    assert (code, analysed) == (2, [])
    assert "taken: this is a file" in err


def test_a_link_to_itself_is_told(run: Run, tmp_path: Path) -> None:
    loop = tmp_path / "loop.step"
    loop.symlink_to(loop)
    code, _, err = run("check", loop)
    assert code == 3
    assert err.startswith(f"turnability: {loop}: this is a link to itself")


@pytest.mark.skipif(sys.platform != "linux", reason="names there are no bytes")
def test_a_name_that_is_no_text_is_told_before_anything_is_written(
    run: Run, tmp_path: Path
) -> None:
    named = os.fsencode(tmp_path) + b"/cap\xff.step"
    Path(os.fsdecode(named)).write_bytes((FIXTURES / "end_cap.step").read_bytes())
    code, out, err = run("check", os.fsdecode(named), "--out", tmp_path / "out")
    assert (code, out) == (3, "")
    assert r"cap\xff.step: its path holds bytes that are no UTF-8" in err
    assert list((tmp_path / "out").iterdir()) == []


@pytest.mark.skipif(sys.platform != "linux", reason="other limits")
def test_a_name_too_long_for_its_results_is_told_before_the_analysis(
    run: Run, analysed: list[str]
) -> None:
    name = "c" * 250 + ".step"
    Path(name).write_text("1")
    Path("fine.step").write_text("1")
    code, out, err = run("check", name, "fine.step", "--out", "out")
    assert (code, analysed) == (3, ["fine.step"])
    assert "and files here may have 255. Give the part's file a shorter name" in err
    assert out.count("TURNABLE") == 1
    assert run("check", name)[0] == 0, "without results the name is no matter"


@pytest.mark.parametrize(
    "command",
    [
        ("check", "PART", "--out", "LONG"),
        ("check", "PART", "--json", "LONG"),
        ("check", "PART", "--baseline", "LONG"),
        ("check", "PART", "--shop", "LONG"),
        ("plan", "PART", "--out", "LONG"),
        ("shop", "show", "--out", "LONG"),
        ("shop", "new", "LONG"),
        ("batch", "FOLDER", "--out", "LONG"),
        ("watch", "LONG", "--no-browser"),
    ],
    ids=" ".join,
)
def test_a_name_that_no_file_can_have_is_told(
    command: tuple[str, ...], run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """300 characters: more than the 255 bytes that a name may have on nearly all file systems."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "parts").mkdir()
    part = tmp_path / "parts" / "cap.step"
    part.write_bytes((FIXTURES / "end_cap.step").read_bytes())
    long = "y" * 300
    words = {"PART": str(part), "FOLDER": str(part.parent), "LONG": long}
    code, _, err = run(*(words.get(word, word) for word in command))
    assert code == 3
    assert long in err
    assert "itself failed" not in err
    assert len(err.strip().splitlines()) <= 2


def test_names_cannot_move_the_cursor_or_break_the_line(run: Run) -> None:
    code, _, err = run("check", "a\x1b[31m\nb.step")
    assert code == 3
    assert err.startswith("turnability: a?[31m?b.step: there is no such file")


def test_own_results_are_passed_over_on_a_second_run(
    run: Run, analysed: list[str], tmp_path: Path
) -> None:
    Path("a.step").write_text("1")
    for name in ("a.annotated.step", "renamed.step"):
        write_annotated(FIXTURES / "end_cap.step", tmp_path / name, [])
    Path("b.annotated.step").write_text("2 solids by other hands")
    code, _, err = run("check", "a.annotated.step", "a.step", "b.annotated.step", "renamed.step")
    assert code == 0
    assert analysed == ["a.step", "b.annotated.step"]
    assert err.count("\n") == 2
    assert err.startswith(
        "turnability: a.annotated.step: passed over, for turnability itself wrote"
    )
    assert "renamed.step: passed over" in err


def test_own_results_are_analysed_where_nothing_else_is_named(
    run: Run, analysed: list[str], tmp_path: Path
) -> None:
    names = ["a.annotated.step", "b.annotated.step"]
    for name in names:
        write_annotated(FIXTURES / "end_cap.step", tmp_path / name, [])
    assert run("check", names[0])[2] == ""
    assert run("check", *names)[2] == ""
    assert analysed == [names[0], *names]


def names_of(stem: str) -> str:
    return ", ".join(stem + suffix for suffix in SUFFIXES)


def test_results_of_an_earlier_state_are_named_and_kept(run: Run, analysed: list[str]) -> None:
    part = Path("pin.step")
    part.write_text("1")
    assert run("check", part, "--out", "out")[::2] == (0, "")
    assert run("check", part, "--out", "out")[::2] == (0, "")
    part.write_text("broken")
    code, _, err = run("check", part, "--out", "out")
    assert code == 3
    told = f"turnability: pin.step: in out, {names_of('pin')} are from an earlier state of this "
    assert err.splitlines()[1] == f"{told}file. Nothing was deleted."
    assert {path.name for path in Path("out").iterdir()} == {"pin" + s for s in SUFFIXES}
    part.unlink()
    assert told in run("check", part, "--out", "out")[2]


def test_more_and_fewer_solids_than_before(run: Run, analysed: list[str]) -> None:
    part = Path("pin.step")
    part.write_text("1")
    run("check", part, "--out", "out")
    part.write_text("2")
    code, _, err = run("check", part, "--out", "out")
    assert code == 0
    assert f"in out, {names_of('pin')} are from an earlier state" in err
    for name in Path("out").glob("pin.[ta]*"):
        name.unlink()
    assert run("check", part, "--out", "out")[2] == ""
    part.write_text("1 again")
    err = run("check", part, "--out", "out")[2]
    assert f"in out, {names_of('pin.1')}, {names_of('pin.2')} are from an earlier state" in err


def test_one_solid_of_several_leaves_the_others_current(run: Run, analysed: list[str]) -> None:
    part = Path("pin.step")
    part.write_text("3")
    run("check", part, "--out", "out")
    assert run("check", part, "--solid", "2", "--out", "out")[2] == ""
    part.write_text("3 changed")
    err = run("check", part, "--solid", "2", "--out", "out")[2]
    assert f"{names_of('pin.1')}, {names_of('pin.3')} are" in err
    assert "pin.2" not in err


def test_results_of_another_file_are_no_business_of_this_one(run: Run, analysed: list[str]) -> None:
    """The results of `pin.2.step` are called like those of a second solid of `pin.step`."""
    Path("pin.2.step").write_text("1")
    Path("pin.step").write_text("1")
    run("check", "pin.2.step", "--out", "out")
    assert run("check", "pin.step", "--out", "out")[2] == ""


def test_a_result_that_was_not_written_again_is_told(run: Run, analysed: list[str]) -> None:
    part = Path("pin.step")
    part.write_text("1")
    run("check", part, "--out", "out")
    Path("out/pin.turnability.json").unlink()
    Path("out/pin.turnability.json").mkdir()
    os.utime("out/pin.turnability.json", (1.0, 1.0))
    part.write_text("1 changed")
    code, _, err = run("check", part, "--out", "out")
    assert code == 3
    assert "pin.turnability.json: it cannot be written" in err
    assert "in out, pin.turnability.json is from an earlier state" in err


def hear_breaks() -> None:
    """A shell's background jobs, such as a build server's, are started with Ctrl-C ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(os.name == "nt", reason="other signals")
def test_a_break_exits_with_130_and_leaves_no_half_file(tmp_path: Path) -> None:
    parts = [str(FIXTURES / f"{name}.step") for name in ("release_pin", "end_cap", "float_housing")]
    with subprocess.Popen(
        [sys.executable, "-m", "turnability.cli", "check", *parts, "--out", str(tmp_path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        preexec_fn=hear_breaks,  # noqa: PLW1509 (it only resets a signal)
    ) as child:
        assert child.stdout is not None
        for line in child.stdout:
            if line.startswith("wrote"):
                child.send_signal(signal.SIGINT)
                break
        _, err = child.communicate(timeout=60)
    assert child.returncode == 130
    assert err == "turnability: stopped; results already written are whole.\n"
    written = {path.name for path in tmp_path.iterdir()}
    assert written, "it was broken off after the first result"
    assert "float_housing.turnability.json" not in written
    assert not [name for name in written if name.startswith(".")]
    for path in tmp_path.glob("*.json"):
        json.loads(path.read_text(encoding="utf-8"))
    for path in tmp_path.glob("*.step"):
        assert path.read_text().rstrip().endswith("END-ISO-10303-21;")


def test_a_solid_that_is_not_there_is_an_input_that_cannot_be_used(run: Run) -> None:
    code, out, err = run("check", FIXTURES / "end_cap.step", "--solid", 9)
    assert (code, out) == (3, "")
    assert "there is no solid 9; the file holds only one. Ask for no solid in particular" in err
    code, _, err = run("check", FIXTURES / "release_pin.step", "--solid", 9)
    assert code == 3
    assert "there is no solid 9; the file holds 2 solids. Ask for one from 1 to 2" in err


def test_an_output_that_is_not_asked_for_today_is_old_only_if_the_file_changed(
    run: Run, analysed: list[str]
) -> None:
    part = Path("pin.step")
    part.write_text("1")
    run("check", part, "--out", "out", "--format", "csv")
    assert Path("out/pin.turnability.csv").exists()
    assert run("check", part, "--out", "out")[2] == ""
    os.utime("out/pin.turnability.csv", (1.0, 1.0))
    part.write_text("1 changed")
    assert "in out, pin.turnability.csv is from an earlier state" in run(
        "check", part, "--out", "out"
    )[2]  # fmt: skip
