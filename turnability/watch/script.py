"""What a modelling script shows, as STEP files: run apart, with a time limit."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from turnability.errors import PartUnreadable

LIMIT_S = 120.0
_MOST_SAID = 20_000


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
    with tempfile.TemporaryFile() as said, tempfile.TemporaryDirectory() as own:
        listed = Path(own) / "shown.json"
        child = subprocess.Popen(
            [*command, str(script.absolute()), str(folder.absolute()), str(listed)],
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
            made = json.loads(listed.read_text(encoding="utf-8"))
    files, modules = (tuple(Path(file) for file in made[key]) for key in ("files", "modules"))
    if code == 0 and files:
        return Shown(files, modules, words)
    cause = _why(script, words, code)
    error = PartUnreadable(str(script), cause, "Correct it and save it again")
    return Shown((), modules, words, error)


def _end(child: subprocess.Popen[bytes]) -> None:
    """End the child and what it started, whether or not it ended by itself."""
    if hasattr(os, "killpg"):
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(child.pid, signal.SIGKILL)
    elif child.poll() is None:
        child.kill()
    child.wait()


def _why(script: Path, words: str, code: int) -> str:
    """The last that it said, and at which of its lines, so far as that is told."""
    if code < 0:
        return f"the script's process died ({signal.Signals(-code).name})"
    last = words.splitlines()[-1].strip().rstrip(".") if words else ""
    lines = re.findall(rf'^  File ".*{re.escape(script.name)}", line (\d+)', words, re.MULTILINE)
    at = f" at line {lines[-1]}" if lines else ""
    return f"the script failed{at}: {last}" if last else f"the script ended with code {code}"
