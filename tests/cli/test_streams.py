"""Where the output cannot go: the exit codes stay the contract's and no traceback is seen."""

import subprocess
import sys
from pathlib import Path

import pytest

FIXTURE = Path(__file__).resolve().parents[2] / "fixtures" / "mooring_clamp.step"


def turnability(redirection, *arguments):
    line = f'"$0" -m turnability.cli "$@" {redirection}'
    return subprocess.run(
        ["sh", "-c", line, sys.executable, *arguments], capture_output=True, text=True, check=False
    )


def test_closed_stderr_keeps_the_code():
    assert turnability("2>&-", "shop", "check", "nowhere.toml").returncode == 3


def test_closed_stdout_is_no_fault():
    done = turnability(">&-", "schema")
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_stdout_is_told_in_one_line():
    done = turnability(">/dev/full", "schema")
    assert done.returncode == 3
    assert "No space left" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_folder_among_the_inputs_stops_no_other(tmp_path, run):
    code, out, err = run("check", tmp_path, FIXTURE)
    assert code == 3
    assert "this is a folder" in err
    assert "mooring_clamp" in out
