"""What a modelling script shows, as STEP files: run apart, with a time limit."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from turnability.errors import PartUnreadable
from turnability.watch.run_script import SHOWN

LIMIT_S = 120.0
_MOST_SAID = 20_000
_TRACE_LINES = 12
"""Of a fault so many last lines are told: they name the place in the script."""


@dataclass(frozen=True, slots=True)
class Shown:
    """The STEP files of what a script shows, its own modules, what it printed, why it failed."""

    files: tuple[Path, ...] = ()
    modules: tuple[Path, ...] = ()
    said: str = ""
    error: PartUnreadable | None = None


def run_script(script: Path, folder: Path, limit_s: float = LIMIT_S) -> Shown:
    """Run a script and write what it shows to `folder`.

    It fails where it raises, shows nothing, or takes longer than the limit. Its process and all
    that it started are ended in any case.
    """
    environment = dict(os.environ)
    environment["PYTHONPATH"] = os.pathsep.join(str(Path(p).absolute()) for p in sys.path)
    command = [sys.executable, "-P", "-m", "turnability.watch.run_script"]
    (folder / SHOWN).unlink(missing_ok=True)
    with tempfile.TemporaryFile() as said:
        child = subprocess.Popen(
            [*command, str(script.absolute()), str(folder.absolute())],
            cwd=script.absolute().parent,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            code = child.wait(limit_s)
        except subprocess.TimeoutExpired:
            cause = f"the script did not end within {limit_s:g} s"
            remedy = "Make it quicker, or give it more time with --script-limit"
            return Shown(error=PartUnreadable(str(script), cause, remedy))
        finally:
            _end(child)
        said.seek(0)
        words = said.read(_MOST_SAID * 4).decode("utf-8", "replace")[-_MOST_SAID:].rstrip()
    made: dict[str, list[str]] = {"files": [], "modules": []}
    with suppress(OSError, ValueError):
        made = json.loads((folder / SHOWN).read_text(encoding="utf-8"))
    files, modules = (tuple(Path(file) for file in made[key]) for key in ("files", "modules"))
    if code == 0 and files:
        return Shown(files, modules, words)
    error = PartUnreadable(str(script), _why(words, code), "Correct it and save it again")
    return Shown((), modules, error=error)


def _end(child: subprocess.Popen[bytes]) -> None:
    """End the child and what it started, whether or not it ended by itself."""
    if hasattr(os, "killpg"):
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(child.pid, signal.SIGKILL)
    elif child.poll() is None:
        child.kill()
    child.wait()


def _why(words: str, code: int) -> str:
    if code < 0:
        return f"the script's process died ({signal.Signals(-code).name})"
    last = "\n".join(words.splitlines()[-_TRACE_LINES:])
    return f"the script failed:\n{last}\n" if last else f"the script ended with code {code}"
