"""What the suite does in CI where the real parts are missing: it refuses, and says so."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.parametrize(
    ("ci", "marks", "begins"),
    [("true", "", False), ("true", "not shared_parts", True), ("", "", True)],
)
def test_ci_says_in_one_line_that_the_real_parts_are_missing(
    tmp_path: Path, ci: str, marks: str, begins: bool
) -> None:
    """With xdist too, whose workers would bury the reason under their own end."""
    here = Path(__file__).resolve()
    words = ["-n", "2", "-q", "--co", str(here.with_name("test_units.py"))]
    run = subprocess.run(
        [sys.executable, "-m", "pytest", *words, *(["-m", marks] if marks else [])],
        cwd=here.parents[1],
        env={**os.environ, "CI": ci, "TURNABILITY_SHARED_PARTS": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    said = run.stdout + run.stderr
    assert (run.returncode == 0) is begins, said
    assert "INTERNALERROR" not in said
    assert ("set TURNABILITY_SHARED_PARTS to their folder" in said) is not begins
    assert begins or len(said.strip().splitlines()) <= 3
