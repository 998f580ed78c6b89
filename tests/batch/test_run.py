"""Runs over small repositories: what is analysed, what a bad part costs, what is remembered."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from turnability.batch import worker
from turnability.batch.lock import locked
from turnability.batch.run import Outcome, Step, Wish, run
from turnability.errors import OutputUnwritable, TurnabilityError

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
SHOP = """
name = "one outline"
[[tool]]
name = "broad"
kind = "outline"
access = "outer"
on_axis = false
hand = "right"
cutting = [[[0.0, 0.0], [3.0, 0.0], [3.0, 6.0], [0.0, 6.0]]]
body = [[[0.0, 6.0], [20.0, 6.0], [20.0, 100.0], [0.0, 100.0]]]
"""


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """Two parts, a damaged one, and a shop of one tool."""
    folder = tmp_path / "parts"
    (folder / "deep").mkdir(parents=True)
    shutil.copy(FIXTURES / "mooring_clamp.step", folder)
    shutil.copy(FIXTURES / "flow_venturi.step", folder / "deep")
    text = (FIXTURES / "mooring_clamp.step").read_text()
    (folder / "bad.step").write_text(text[: len(text) // 2])
    (folder / "shop.toml").write_text(SHOP)
    (folder / "turnability.toml").write_text(
        '[repository]\nshop = "shop.toml"\n[[folder]]\npath = "deep"\nowner = "sensors"\n'
    )
    return folder


def go(folder: Path, steps: list[Step] | None = None, **more: object) -> Outcome:
    wish = replace(Wish(folder, folder.parent / "out"), **more)  # type: ignore[arg-type]
    return run(wish, (lambda step: None) if steps is None else steps.append)


def test_unchanged_moved_and_changed(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    steps: list[Step] = []
    first = go(repository, steps)
    assert first.analysed == 3
    assert first.since is None
    assert [step.done for step in steps] == [1, 2, 3]
    rows = {row.path: row for row in first.rows}
    assert rows["bad.step"].failed is not None
    assert "cut off" in rows["bad.step"].failed
    assert rows["deep/flow_venturi.step"].owner == "sensors"
    assert rows["deep/flow_venturi.step"].failed is None
    assert rows["deep/flow_venturi.step"].new is None, "there was nothing to compare with"

    def no_reading(*_: object) -> None:
        raise AssertionError("geometry that is known is read again")

    monkeypatch.setattr(worker.Worker, "_read", no_reading)
    (repository / "deep" / "flow_venturi.step").rename(repository / "throat.step")
    second = go(repository)
    assert second.analysed == 0
    (moved,) = [row for row in second.rows if row.path == "throat.step"]
    assert moved.moved_from == "deep/flow_venturi.step"
    assert moved.new == moved.fixed == ()
    assert moved.unchanged == len(rows["deep/flow_venturi.step"].rules) or moved.unchanged > 0
    assert second.gone == ()

    (repository / "bad.step").unlink()
    (repository / "shop.toml").write_text(SHOP.replace("6.0]", "6.5]"))
    third = go(repository)
    assert third.analysed == 2, "another shop asks for new verdicts"
    assert third.gone == ("bad.step",)
    assert all(row.failed is None for row in third.rows)


def test_findings_that_went_are_fixed_and_come_back_as_new(repository: Path) -> None:
    (repository / "bad.step").unlink()
    part = repository / "mooring_clamp.step"
    venturi = repository / "deep" / "flow_venturi.step"
    first = go(repository, name="base")
    old = {row.path: row for row in first.rows}
    assert not old["mooring_clamp.step"].failed
    shutil.copy(venturi, part)
    (row,) = [r for r in go(repository, since="base", only_new=True).rows if r.path == part.name]
    assert row.new
    assert row.fixed
    # against the run before it stands as it was
    (row,) = [r for r in go(repository, since="last", only_new=True).rows if r.path == part.name]
    assert row.new == row.fixed == ()
    assert not row.fails, "nothing is new"
    (row,) = [r for r in go(repository).rows if r.path == part.name]
    assert row.fails, "without --since all findings count"
    with pytest.raises(TurnabilityError, match="there are: base"):
        go(repository, since="never")


def test_a_bad_part_costs_itself_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "parts"
    folder.mkdir()
    (folder / "shop.toml").write_text(SHOP)
    text = (FIXTURES / "mooring_clamp.step").read_text()
    for name in ("crash", "hang", "hungry", "once", "sound"):
        # different contents, for the same content is analysed once
        (folder / f"{name}.step").write_text(text.replace("DATA;", f"DATA;\n/* {name} */", 1))
    monkeypatch.setattr(worker, "_JUDGED", "tests.batch.dying:judged")
    monkeypatch.setenv("TURNABILITY_TEST_MARK", str(tmp_path / "mark"))
    outcome = go(
        folder, shop=folder / "shop.toml", time_limit_s=8.0, memory_limit_bytes=3 << 30, jobs=2
    )
    failed = {row.path: row.failed for row in outcome.rows}
    assert failed["sound.step"] is None
    assert failed["once.step"] is None, "what dies once is tried again"
    assert "the analysis died on it (SIGSEGV)" in str(failed["crash.step"])
    assert "the analysis did not finish within 8 s" in str(failed["hang.step"])
    assert "the analysis needed more than 3 GiB of memory" in str(failed["hungry.step"])
    sound = [row for row in outcome.rows if row.failed is None]
    assert len({(row.verdict, row.rules, row.errors) for row in sound}) == 1
    assert go(folder, shop=folder / "shop.toml").analysed == 0, "the causes are remembered"


def test_a_killed_run_goes_on_where_it_stopped(repository: Path) -> None:
    (repository / "bad.step").unlink()
    shutil.copy(FIXTURES / "cable_gland.step", repository / "z.step")
    out = repository.parent / "out"
    command = [sys.executable, "-m", "turnability.cli", "batch", str(repository)]
    command += ["--out", str(out), "--jobs", "1"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert child.stdout.readline().startswith("1/3 ")
        with pytest.raises(OutputUnwritable, match=rf"another run.*process {child.pid}"):
            go(repository)
        child.send_signal(signal.SIGKILL)
    steps: list[Step] = []
    outcome = go(repository, steps)
    assert 1 <= outcome.analysed <= 2
    assert len(outcome.rows) == 3
    assert outcome.since is None, "a run that was killed is none to compare with"


def test_two_runs_refuse_each_other(tmp_path: Path, repository: Path) -> None:
    with (
        locked(tmp_path / "out"),
        pytest.raises(OutputUnwritable, match=f"process {os.getpid()}"),
    ):
        go(repository)
    with locked(tmp_path / "out"):
        pass


def test_only_what_changed_since_a_commit(repository: Path) -> None:
    def git(*arguments: str) -> None:
        who = ("-c", "user.name=t", "-c", "user.email=t@example.org")
        subprocess.run(["git", "-C", repository, *who, *arguments], check=True, capture_output=True)

    git("init", "-b", "main")
    git("add", ".")
    git("commit", "-m", "parts")
    git("checkout", "-b", "change")
    (repository / "deep" / "flow_venturi.intent.toml").write_text('material = "no such"\n')
    shutil.copy(FIXTURES / "mooring_clamp.step", repository / "new.step")
    git("add", "new.step")
    git("commit", "-m", "one more")
    steps: list[Step] = []
    outcome = go(repository, steps, changed_since="main")
    assert {step.path for step in steps} == {"deep/flow_venturi.step", "new.step"}
    assert outcome.gone == ()
    go(repository)
    # a copy is no move: what it was copied from is still there, though nobody looked for it
    shutil.copy(repository / "mooring_clamp.step", repository / "copy.step")
    (row,) = (r for r in go(repository, changed_since="main").rows if r.path == "copy.step")
    assert row.moved_from is None
    (repository / "copy.step").unlink()
    (repository / "mooring_clamp.step").rename(repository / "moved.step")
    (row,) = (r for r in go(repository, changed_since="main").rows if r.path == "moved.step")
    assert row.moved_from == "mooring_clamp.step"
    with pytest.raises(TurnabilityError, match="--changed-since"):
        go(repository, changed_since="no-such-branch")
    with pytest.raises(TurnabilityError, match="no name of a commit"):
        go(repository, changed_since="--output=x")


def test_a_folder_that_goes_away_ends_the_run(
    repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = worker.Worker.do

    def do(self: worker.Worker, task: worker.Task) -> object:
        shutil.rmtree(repository, ignore_errors=True)
        return real(self, task)

    monkeypatch.setattr(worker.Worker, "do", do)
    with pytest.raises(TurnabilityError, match="folder has gone"):
        go(repository)


def test_a_run_that_is_broken_off_keeps_no_blame(
    repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(repository / "deep" / "flow_venturi.step", repository / "hang.step")
    shutil.copy(FIXTURES / "mooring_clamp.step", repository / "deep" / "flow_venturi.step")
    monkeypatch.setattr(worker, "_JUDGED", "tests.batch.dying:judged")

    def break_off(step: Step) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(Wish(repository, repository.parent / "out", jobs=2), break_off)
    monkeypatch.undo()
    assert {row.path: row.failed for row in go(repository).rows}["hang.step"] is None
