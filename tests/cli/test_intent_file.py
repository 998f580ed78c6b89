"""`--intent`, and the intent file beside the part: exit codes and messages."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import Run

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("end_cap.step", "mooring_clamp.step"):
        shutil.copy(FIXTURES / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_given_or_beside(folder: Path, run: Run) -> None:
    (folder / "given.toml").write_text('material = "POM"\nquantity = 7\n')
    (folder / "end_cap.intent.toml").write_text('material = "PEEK"\n')
    code, out, _ = run("check", "end_cap.step")
    assert code == 0
    assert "of PEEK;" in out
    code, out, _ = run("check", "end_cap.step", "--intent", "given.toml")
    assert code == 0
    assert "of POM; 7 pieces" in out


def test_a_lost_place_ends_with_3_and_other_parts_go_on(folder: Path, run: Run) -> None:
    (folder / "end_cap.intent.toml").write_text("\n[[no_grip]]\ndiameter_mm = 45\n")
    code, out, err = run("check", "end_cap.step", "mooring_clamp.step", "--fail-on", "never")
    assert code == 3
    assert "end_cap.intent.toml line 2: no_grip 1 finds no surface of ⌀45" in err
    assert "mooring_clamp: " in out


def test_a_wrong_or_missing_file_ends_with_3(folder: Path, run: Run) -> None:
    (folder / "end_cap.intent.toml").write_text("quantity = 'four'\n")
    code, _, err = run("check", "end_cap.step")
    assert code == 3
    assert "end_cap.intent.toml line 1: top of the file, key quantity," in err
    code, _, err = run("check", "end_cap.step", "--intent", "no.toml")
    assert code == 3
    assert "no.toml: there is no such file. Check the name of the intent file" in err


def test_one_intent_for_several_parts_is_wrong_use(folder: Path, run: Run) -> None:
    (folder / "given.toml").write_text("quantity = 7\n")
    code, _, err = run("check", "end_cap.step", "mooring_clamp.step", "--intent", "given.toml")
    assert code == 2
    assert "--intent is for one part" in err
