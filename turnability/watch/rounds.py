"""Analyses a STEP file or a modelling script, again whenever what it rests on is saved."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from turnability.errors import PartUnreadable, TurnabilityError
from turnability.watch.script import LIMIT_S, run_script
from turnability.whole_files import is_file, is_folder, make_folder

if TYPE_CHECKING:
    from turnability.report import Report

_LOOK_AGAIN_MS = 1000
"""Files are also compared this often, should the system not tell of a change."""
_SETTLED_S = 0.15
"""A file that has not changed for so long is written to its end."""
_UNSETTLED_S = 10.0
States: TypeAlias = Mapping[Path, tuple[int, int, int] | None]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be watched. Results go to `folder`.

    `limit_s` is for a script's own run, `time_limit_s` for the analysis as `analyze` takes it.
    """

    path: Path
    folder: Path
    shop: Path | None = None
    intent: Path | None = None
    solid: int | None = None
    limit_s: float = LIMIT_S
    time_limit_s: float = 120.0

    @property
    def is_script(self) -> bool:
        """Whether the path names a script that models the part."""
        return self.path.suffix.lower() == ".py"


@dataclass(slots=True)
class Round:
    """What came of one save: reports with their pages, and what could not be used."""

    reports: list[Report] = field(default_factory=list)
    pages: list[Path] = field(default_factory=list)
    errors: list[TurnabilityError] = field(default_factory=list)
    said: str = ""


def rounds(wish: Wish, begin: Callable[[], object] = lambda: None) -> Iterator[Round]:
    """Analyse now and after each save, without end; `begin` is called before each.

    A save that cannot be used gives a round with its errors, and the next one is waited for. Raises
    PartUnreadable at once where the path, shop or intent is not there.
    """
    for path in (wish.path, wish.shop, wish.intent):
        if path is not None and not is_file(path):
            if is_folder(path):
                raise PartUnreadable(str(path), "this is a folder", "Name one file in it")
            raise PartUnreadable(str(path), "there is no such file", "Check the name and folder")
    make_folder(wish.folder)
    modules: tuple[Path, ...] = ()
    while True:
        before = _states(_files(wish, modules))
        begin()
        done = Round()
        modules = _analyse(wish, done) or modules
        yield done
        _wait(wish, modules, before)


def _analyse(wish: Wish, done: Round) -> tuple[Path, ...]:
    """Analyse all that is there into `done`; the script's modules."""
    modules: tuple[Path, ...] = ()
    files: tuple[Path, ...] = (wish.path,)
    intent = wish.intent
    if wish.is_script:
        shown = run_script(wish.path, wish.folder, wish.limit_s)
        files, modules, done.said = shown.files, shown.modules, shown.said
        done.errors += [shown.error] if shown.error else []
        beside = wish.path.with_suffix(".intent.toml")
        intent = intent or (beside if is_file(beside) else None)
    for file in files:
        try:
            _analyse_file(file, intent, wish, done)
        except TurnabilityError as error:
            done.errors.append(error)
    return modules


def _analyse_file(file: Path, intent: Path | None, wish: Wish, done: Round) -> None:
    from turnability.analysis import analyze_all
    from turnability.analysis.standing import by_project
    from turnability.outputs import write_all
    from turnability.standing.project_file import load_project, project_of

    named = project_of(wish.path)
    project = None if named is None else load_project(named)
    for result in analyze_all(
        file, wish.shop, intent=intent, solid=wish.solid, time_limit_s=wish.time_limit_s
    ):
        if isinstance(result, TurnabilityError):
            done.errors.append(result)
            continue
        if result.part.source.repeats:
            continue
        report = result if project is None else by_project(result, project)
        written = list(write_all(report, wish.folder, Path(file.stem)))
        pages = [path for kind in (".html", ".svg") for path in written if path.suffix == kind]
        done.reports.append(report)
        done.pages += pages[:1]


def _files(wish: Wish, modules: Iterable[Path]) -> set[Path]:
    """All that a round rests on, whether or not it is there."""
    stem = wish.path.stem
    beside = wish.path.absolute().parent
    intents = [beside / f"{stem}.intent.toml"]
    with suppress(OSError):
        intents += [p for p in beside.glob("*.intent.toml") if p.name.startswith(f"{stem}.")]
    if wish.is_script:  # also those that it could not load yet
        modules = {*modules, *beside.glob("*.py")}
    given = [path for path in (wish.path, wish.shop, wish.intent) if path is not None]
    return {path.absolute() for path in (*given, *intents, *modules)}


def _states(files: Iterable[Path]) -> States:
    return {file: _state(file) for file in files}


def _state(file: Path) -> tuple[int, int, int] | None:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def _wait(wish: Wish, modules: Sequence[Path], before: States) -> None:
    """Until some file is another than before, and is written to its end."""
    from watchfiles import watch

    def files() -> set[Path]:
        return _files(wish, modules)

    # What was not looked at before (a module new to the script) has only just been read.
    known = {**_states(files()), **before}

    def changed() -> bool:
        return any(known.get(file) != state for file, state in _states(files()).items())

    if not changed():
        folders = {file.parent for file in files() if file.parent.is_dir()}
        told = watch(
            *folders,
            recursive=False,
            yield_on_timeout=True,
            rust_timeout=_LOOK_AGAIN_MS,
            raise_interrupt=True,
        )
        for _ in told:
            if changed():
                break
    until = time.monotonic() + _UNSETTLED_S
    states: States = {}
    while (now := _states(files())) != states and time.monotonic() < until:
        states = now
        time.sleep(_SETTLED_S)
