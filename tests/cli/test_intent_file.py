"""`--intent`, and the intent file beside the part: exit codes and messages."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def check(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "turnability.cli", "check", *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        timeout=120,
        check=False,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("end_cap.step", "float_housing.step"):
        shutil.copy(FIXTURES / name, tmp_path / name)
    return tmp_path


def test_given_or_beside(folder: Path) -> None:
    (folder / "given.toml").write_text('material = "POM"\nquantity = 7\n')
    (folder / "end_cap.intent.toml").write_text('material = "PEEK"\n')
    beside = check(folder, "end_cap.step")
    given = check(folder, "end_cap.step", "--intent", "given.toml")
    assert beside.returncode == given.returncode == 0
    assert "of PEEK;" in beside.stdout
    assert "of POM; 7 pieces" in given.stdout


def test_a_lost_place_ends_with_3_and_other_parts_go_on(folder: Path) -> None:
    (folder / "end_cap.intent.toml").write_text("\n[[no_grip]]\ndiameter_mm = 45\n")
    done = check(folder, "end_cap.step", "float_housing.step", "--fail-on", "never")
    assert done.returncode == 3
    assert "end_cap.intent.toml line 2: no_grip 1 finds no surface of ⌀45" in done.stderr
    assert "float_housing: " in done.stdout
    assert "Traceback" not in done.stderr


def test_a_wrong_or_missing_file_ends_with_3(folder: Path) -> None:
    (folder / "end_cap.intent.toml").write_text("quantity = 'four'\n")
    wrong = check(folder, "end_cap.step")
    missing = check(folder, "end_cap.step", "--intent", "no.toml")
    assert wrong.returncode == missing.returncode == 3
    assert "end_cap.intent.toml line 1: top of the file, key quantity," in wrong.stderr
    assert "no.toml: there is no such file. Check the name of the intent file" in missing.stderr


def test_one_intent_for_several_parts_is_wrong_use(folder: Path) -> None:
    (folder / "given.toml").write_text("quantity = 7\n")
    done = check(folder, "end_cap.step", "float_housing.step", "--intent", "given.toml")
    assert done.returncode == 2
    assert "--intent is for one part" in done.stderr
