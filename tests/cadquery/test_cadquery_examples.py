"""The examples under scripts/examples run and find what closed forms say they must."""

from __future__ import annotations

import runpy
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = Path(__file__).resolve().parents[2] / "scripts" / "examples"


def loaded(name: str) -> dict[str, Any]:
    return runpy.run_path(str(EXAMPLES / f"{name}.py"))


def test_an_example_runs_as_a_script() -> None:
    """That it finds its imports and begins by itself; what they find stands below."""
    example = EXAMPLES / "thicken_wall.py"
    run = subprocess.run(
        [sys.executable, str(example)], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout.count("\n") >= 2


def test_the_throat_opens_until_the_bar_gets_behind_it() -> None:
    """A round bar cuts a recess no deeper than f - d/2 (geometry): the throat is that much less.

    The starter shop's bars are 12 with f 9 and 20 with f 13 (ISO 5609): 30 - 2 · 3 = 24 by either.
    """
    throat, report = loaded("open_throat")["open_throat"]()
    assert throat == 24
    assert any(tool.startswith("bore ") for tool in report.reach.chosen_tools)


def test_the_wall_grows_until_bending_is_within_its_limit(
    capsys: pytest.CaptureFixture[str],
) -> None:
    example = loaded("thicken_wall")
    wall, part = example["thicken"]()
    assert wall > example["WALLS_MM"][0]
    assert not example["bends"](part.turnability(shop=example["SHOP"]))
    said = capsys.readouterr().out.splitlines()
    numbers = [float(line.split(" varies by ")[1].split()[0]) for line in said]
    # A thicker wall is stiffer: the second moment of area grows with it.
    assert numbers == sorted(numbers, reverse=True)
