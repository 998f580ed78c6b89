"""What the command line says and how it ends: results to stdout, messages to stderr, exit codes."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import typer

from turnability.errors import TurnabilityError, printable

FINE, FOUND, WRONG_USE, UNUSABLE, STOPPED = 0, 1, 2, 3, 130
"""Exit codes of the report contract; 130 is the shell's own for a run stopped by Ctrl-C."""


class NoRoom(Exception):
    """What should be printed cannot be."""


def run(what: str, work: Callable[[], int | None]) -> None:
    """Do work on `what` and exit, with the code that it gives or the one for how it failed."""
    try:
        code = work() or FINE
    except (typer.Exit, typer.BadParameter, NoRoom):
        raise
    except KeyboardInterrupt:
        complain("stopped; results already written are whole")
        code = STOPPED
    except TurnabilityError as error:
        complain(str(error))
        code = UNUSABLE
    except Exception as fault:
        complain_of_fault(what, fault)
        code = UNUSABLE
    raise typer.Exit(code)


def say(text: str) -> None:
    """To stdout; when its reader has gone, into nothing, so that files still get written."""
    try:
        sys.stdout.write(text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        mute_stdout()
    except OSError as error:
        raise NoRoom(f"standard output: {error.strerror}. Send it where there is room") from error


def mute_stdout() -> None:
    """Let whatever is still said go nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def shown(name: Path | str) -> str:
    """A name without what could break a line, move a cursor or change its colours."""
    return printable(str(name))


def complain(message: str) -> None:
    """One line on stderr."""
    end = "" if message.endswith((".", "!", "?")) else "."
    sys.stderr.write(f"turnability: {message}{end}\n")


def complain_of_fault(what: str, fault: Exception) -> None:
    """A fault of the program in one line; the whole of it where TURNABILITY_DEBUG asks for it."""
    if os.environ.get("TURNABILITY_DEBUG"):
        import traceback

        traceback.print_exception(fault)
    complain(
        f"{shown(what)}: turnability itself failed ({type(fault).__name__}: {fault}). "
        "Please report it, with the file if you may share it"
    )


def path_typed(text: str) -> Path:
    """A path as it was typed. Whether it can be read is the reader's to say, with exit code 3."""
    if not text:
        raise typer.BadParameter("it is empty (an unset variable?)")
    return Path(text)
