"""`turnability batch` as people and build servers call it: exit codes, lines, JSON lines."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from tests.batch.test_run import FIXTURES, SHOP
from turnability.cli import app, batch_log


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    folder = tmp_path / "parts"
    folder.mkdir()
    shutil.copy(FIXTURES / "flow_venturi.step", folder)
    (folder / "shop.toml").write_text(SHOP)
    return folder


def batch(parts: Path, *more: str) -> Result:
    arguments = ["batch", str(parts), "--jobs", "1", "--shop", str(parts / "shop.toml"), *more]
    return CliRunner().invoke(app, arguments)


def test_exit_codes_and_lines(parts: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(parts.parent / "cache"))
    first = batch(parts)
    assert first.exit_code == 1, "one broad tool leaves the throat uncut"
    assert "1/1 flow_venturi.step: " in first.stdout
    assert sorted(p.name for p in parts.iterdir()) == ["flow_venturi.step", "shop.toml"]
    assert batch(parts, "--fail-on", "never").exit_code == 0
    again = batch(parts, "--since", "last", "--log", "json")
    assert again.exit_code == 0, "nothing is new"
    events = [json.loads(line) for line in again.stdout.splitlines()]
    assert [event["event"] for event in events] == ["part", "result", "end"]
    assert events[-1]["exit"] == 0
    assert events[-1]["analysed"] == 0
    (parts / "bad.step").write_text("no STEP")
    assert "1 solid: 1 undetermined; 1 file unusable" in batch(parts).stdout
    (parts / "flow_venturi.step").rename(parts.parent / "flow_venturi.step")
    assert "0 solids; 1 file unusable" in batch(parts).stdout
    (parts.parent / "flow_venturi.step").rename(parts / "flow_venturi.step")
    worst = batch(parts, "--quiet")
    assert worst.exit_code == 3, "3 outranks 1"
    assert "bad.step" in worst.stderr


def test_the_search_for_the_fewest_tools_is_told_and_not_made_twice(parts: Path) -> None:
    site = parts.parent / "site"
    first = batch(parts, "--out", str(site))
    assert "tools to own: 0, sought for " in first.stdout, "nothing holds it, so no sheet"
    page = (site / "whole.html").read_text(encoding="utf-8")
    again = batch(parts, "--out", str(site))
    assert "tools to own" not in again.stdout, "nothing has changed"
    asked = batch(parts, "--out", str(site), "--log", "json")
    (found,) = (
        event
        for event in map(json.loads, asked.stdout.splitlines())
        if event["event"] == "crib-found"
    )
    assert (found["known"], found["seconds"], found["tools"]) == (True, 0.0, 0)
    assert (site / "whole.html").read_text(encoding="utf-8") == page


def test_a_long_search_is_told_of_in_a_pipe(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with batch_log.telling(as_json=False, quiet=False) as tell:
        tell.crib(1, 9)
        assert capsys.readouterr().out == "", "it has only begun"
        monkeypatch.setattr(batch_log, "_SILENT_S", 0.0)
        tell.crib(2, 9)
        assert capsys.readouterr().out == "tools: 2/9 parts planned anew without one\n"


def test_wrong_use_and_what_cannot_be_used(parts: Path) -> None:
    out = parts.parent / "out"
    out.write_text("a file")
    assert batch(parts, "--out", str(out)).exit_code == 2
    assert batch(parts, "--jobs", "0").exit_code == 2
    out.unlink()
    assert batch(parts.parent / "nowhere", "--out", str(out)).exit_code == 3
    assert batch(parts, "--out", str(out), "--since", "never").exit_code == 3


def test_a_folder_without_parts_passes_no_build(parts: Path) -> None:
    empty = parts.parent / "empty"
    empty.mkdir()
    out = ("--out", str(parts.parent / "site"))
    nothing = batch(parts, *out, "--ignore", "*.step")
    assert nothing.exit_code == 3
    assert "no part was found in it (*.step, *.stp, *.p21, *.stpz)" in nothing.stderr
    assert "what is to be ignored: *.step" in nothing.stderr
    asked = ["batch", str(empty), "--shop", str(parts / "shop.toml"), *out]
    assert CliRunner().invoke(app, asked).exit_code == 3
    file = parts / "flow_venturi.step"
    one = CliRunner().invoke(app, ["batch", str(file), "--shop", str(parts / "shop.toml"), *out])
    assert one.exit_code == 3
    assert "it is a file, and `batch` takes a folder" in one.stderr
    assert f"or name its folder, {parts}" in one.stderr
    assert not (parts.parent / "site" / "index.html").exists()
