"""The terminal: summaries in its colours and width, a bar while many parts are analysed."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeAlias

from turnability.cli.saying import say

if TYPE_CHECKING:
    from rich.console import Console

    from turnability.report import Report

Step: TypeAlias = Callable[[str | None], None]
"""Called with a file's name when work on it begins, with None when it is done."""
WIDEST = 110
"""Lines longer than this are hard to read, however wide the screen."""


@contextmanager
def progress(files: int, wanted: bool = True) -> Iterator[tuple[Console | None, Step]]:
    """A console where stdout is a terminal, with a bar below it where there are several files.

    NO_COLOR (set to anything) and a terminal that calls itself dumb get plain text.
    """
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    if not wanted or plain or not sys.stdout.isatty():
        yield None, lambda name: None
        return
    from rich.console import Console

    console = Console(highlight=False)
    if files < 2:
        yield console, lambda name: None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, TimeElapsedColumn(), console=console, transient=True) as bar:
        task = bar.add_task("", total=files)

        def step(name: str | None) -> None:
            if name is None:
                bar.advance(task)
            else:
                bar.update(task, description=name.replace("[", r"\["))

        yield console, step


def print_summary(
    report: Report, console: Console | None, equal: Sequence[int] = (), below: int = 0
) -> None:
    """The summary on stdout, in colours where there is a console; `equal`: as `summary_lines`.

    `below`: lines that will be said after it, for which a screen is to have room too.
    """
    from turnability.outputs._short import SCREEN
    from turnability.outputs.summary import summary_lines

    if console is None:
        from turnability.outputs.summary import WIDTH

        width = screen_width() or WIDTH
        say("\n".join(str(line) for line in summary_lines(report, width, equal)))
        return
    from rich.text import Text

    height = max(SCREEN, console.height - 1) - below
    for line in summary_lines(report, min(console.width, WIDEST), equal, height):
        console.print(Text.assemble(*((span.text, span.style or "") for span in line.spans)))


def screen_width() -> int | None:
    """Columns that text may have on the terminal; None where stdout is none."""
    from shutil import get_terminal_size

    return min(get_terminal_size().columns, WIDEST) if sys.stdout.isatty() else None
