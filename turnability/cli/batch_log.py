"""What a batch run says of itself: a bar on a terminal, a line a part in a pipe, or JSON lines."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Protocol

from turnability.cli.saying import FINE, FOUND, UNUSABLE, complain, say, shown
from turnability.units import counted

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

    from turnability.batch.crib import Crib
    from turnability.batch.run import Outcome, Step

_MOST_LINES = 40
"""So many parts are named under one heading; the site and `--log json` have all."""


_SILENT_S = 15.0
"""In a pipe the search for tools to spare is told of again after so long."""


class Telling(Protocol):
    """What a run is told by."""

    def step(self, step: Step) -> None:
        """One file is done."""

    def crib(self, done: int, of: int) -> None:
        """So many parts are planned anew without a tool."""

    def crib_found(self, crib: Crib, seconds: float | None) -> None:
        """The tools to own, and how long it was sought; None where it was known."""

    def end(self, outcome: Outcome) -> None:
        """All is done."""


@contextmanager
def telling(as_json: bool, quiet: bool) -> Iterator[Telling]:
    """The way to tell that fits stdout."""
    if as_json:
        yield _Json()
        return
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    if quiet or plain or not sys.stdout.isatty():
        yield _Lines(quiet)
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (BarColumn(), MofNCompleteColumn(), TextColumn("{task.description}", markup=False))
    with Progress(*columns, console=Console(highlight=False), transient=True) as bar:
        yield _Bar(bar, bar.add_task("", total=None))


def exit_code(outcome: Outcome) -> int:
    """By the contract: 3 outranks 1."""
    if any(row.failed is not None or row.crashed for row in outcome.rows):
        return UNUSABLE
    return FOUND if any(row.fails for row in outcome.rows) else FINE


class _Lines:
    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet
        self._said_s = time.monotonic()

    def step(self, step: Step) -> None:
        self._said_s = time.monotonic()
        if not self._quiet and not step.known:
            say(f"{step.done}/{step.files} {shown(step.path)}: {step.words}, {step.seconds:.1f} s")

    def crib(self, done: int, of: int) -> None:
        if not self._quiet and time.monotonic() - self._said_s >= _SILENT_S:
            self._said_s = time.monotonic()
            say(f"tools: {done}/{of} parts planned anew without one")

    def crib_found(self, crib: Crib, seconds: float | None) -> None:
        if not self._quiet and seconds is not None:
            say(f"tools to own: {len(crib.tools)}, sought for {seconds:.1f} s")

    def end(self, outcome: Outcome) -> None:
        _tell_end(outcome)


class _Bar:
    def __init__(self, bar: Progress, task: TaskID) -> None:
        self._bar = bar
        self._task = task
        self._analysed = 0

    def step(self, step: Step) -> None:
        self._analysed += not step.known
        elapsed = self._bar.tasks[0].elapsed or 0.0
        rate = f"{60.0 * self._analysed / elapsed:.0f} a minute" if elapsed > 1.0 else ""
        left = "" if step.left_s is None else f", about {_span(step.left_s)} left"
        words = f"{rate}{left} {shown(step.path)}"
        self._bar.update(self._task, completed=step.done, total=step.files, description=words)

    def crib(self, done: int, of: int) -> None:
        words = "planned anew without a tool, to find those to spare"
        self._bar.update(self._task, completed=done, total=of, description=words)

    def crib_found(self, crib: Crib, seconds: float | None) -> None:
        words = f"{counted(len(crib.tools), 'tool')} to own"
        self._bar.update(self._task, description=words)

    def end(self, outcome: Outcome) -> None:
        self._bar.stop()
        _tell_end(outcome)


class _Json:
    def step(self, step: Step) -> None:
        self._say(
            event="part",
            path=step.path,
            done=step.done,
            files=step.files,
            known=step.known,
            seconds=round(step.seconds, 3),
            words=step.words,
            left_s=None if step.left_s is None else round(step.left_s, 1),
        )

    def crib(self, done: int, of: int) -> None:
        self._say(event="crib", done=done, of=of)

    def crib_found(self, crib: Crib, seconds: float | None) -> None:
        self._say(
            event="crib-found",
            tools=len(crib.tools),
            again=crib.again,
            unproven=list(crib.unproven),
            known=seconds is None,
            seconds=0.0 if seconds is None else round(seconds, 3),
        )

    def end(self, outcome: Outcome) -> None:
        for row in outcome.rows:
            self._say(
                event="result",
                path=row.path,
                solid=row.solid,
                owner=row.owner,
                verdict=row.verdict,
                errors=row.errors,
                warnings=row.warnings,
                new=None if row.new is None else [f.message for f in row.new],
                fixed=None if row.fixed is None else [f.message for f in row.fixed],
                unchanged=row.unchanged,
                moved_from=row.moved_from,
                failed=row.failed,
            )
        for over in outcome.passed_over:
            self._say(event="passed-over", path=over.path, why=over.why)
        self._say(
            event="end",
            exit=exit_code(outcome),
            seconds=round(outcome.seconds, 3),
            analysed=outcome.analysed,
            gone=outcome.gone,
            **outcome.counts,
        )

    def _say(self, **values: Any) -> None:
        say(json.dumps(values))


def _tell_end(outcome: Outcome) -> None:
    for over in outcome.passed_over:
        complain(f"{shown(over.path)}: passed over, for {over.why}")
    for row in outcome.rows:
        if row.failed is not None:
            complain(shown(row.failed))
        elif row.crashed:
            complain(
                f"{shown(row.title)}: a rule or stage crashed; its page says which. "
                "Please report this as a fault of turnability"
            )
    _section("new", [f"{r.title}: {f.message}" for r in outcome.rows for f in r.new or ()])
    _section("fixed", [f"{r.title}: {f.message}" for r in outcome.rows for f in r.fixed or ()])
    _section("moved", [f"{r.moved_from} is now {r.path}" for r in outcome.rows if r.moved_from])
    _section("gone", list(outcome.gone))
    counts = outcome.counts
    verdicts = ("turnable", "needs-changes", "not-turnable", "not-axisymmetric", "undetermined")
    told = [f"{counts[v]} {v}" for v in verdicts if counts.get(v)]
    files = sum(row.failed is not None and row.solids == 1 for row in outcome.rows)
    solids = counts["unusable"] - files
    told += [f"{solids} unusable"] if solids else []
    unusable = f"; {counted(files, 'file')} unusable" if files else ""
    listed = f": {', '.join(told)}" if told else ""
    say(f"{counted(counts['solids'], 'solid')}{listed}{unusable}")
    since = outcome.since
    against = (
        "the first run"
        if since is None
        else f"{counts['new']} new and {counted(counts['fixed'], 'fixed finding')} since "
        + (f"run {shown(since.name)}" if since.name else "the last run")
    )
    say(f"{against}; {counted(outcome.analysed, 'file')} analysed, in {_span(outcome.seconds)}")


def _section(title: str, lines: list[str]) -> None:
    for line in lines[:_MOST_LINES]:
        say(f"{title}: {shown(line)}")
    if len(lines) > _MOST_LINES:
        say(f"{title}: and {len(lines) - _MOST_LINES} more")


def _span(seconds: float) -> str:
    if seconds < 90.0:
        return f"{seconds:.1f} s" if seconds < 10.0 else f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds < 5400.0 else f"{seconds / 3600.0:.1f} h"
