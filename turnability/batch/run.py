"""One run over a repository: what is known is looked up, the rest analysed, all of it compared."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from turnability.batch.changed import changed_since
from turnability.batch.compare import Row, counts_of, earlier_of, row_of
from turnability.batch.content import content_of, intents_content
from turnability.batch.find import Found, PartFile, PassedOver, find, nothing_in
from turnability.batch.hands import Hands, J, K, R, here
from turnability.batch.judge import SolidsIntent
from turnability.batch.lock import locked
from turnability.batch.memory import Entry, Memory, Run
from turnability.batch.model import Judged, Key, Lost, Result
from turnability.batch.program import program_id
from turnability.batch.worker import Task, Worker, do, lost
from turnability.errors import TurnabilityError
from turnability.shop.model import Shop
from turnability.standing.model import Project

MEMORY = "memory.sqlite"


@dataclass(frozen=True, slots=True)
class Wish:
    """What a run is asked for. `home` is the folder of the memory and of the lock.

    `since`: the name of the run to compare with; None for the last one. `only_new`: findings that
    that run had do not fail a build. `again`: what could not be used before is tried again.
    `jobs`: parts at a time; None for one a core, or for all that the workers of `cluster` take, the
    address of a Dask scheduler.
    """

    folder: Path
    home: Path
    shop: Path | None = None
    project: Path | None = None
    ignored: tuple[str, ...] = ()
    jobs: int | None = 1
    time_limit_s: float = 120.0
    memory_limit_bytes: int = 4 << 30
    name: str | None = None
    since: str | None = None
    only_new: bool = False
    fail_on: str = "error"
    changed_since: str | None = None
    again: bool = False
    leave_out: tuple[Path, ...] = ()
    cluster: str | None = None

    @property
    def limits(self) -> tuple[float, int]:
        """Seconds for one step of one solid, and bytes of memory for one part."""
        return self.time_limit_s, self.memory_limit_bytes


@dataclass(frozen=True, slots=True)
class Step:
    """One file done: how many of how many, whether it was known, what came of it."""

    path: str
    done: int
    files: int
    known: bool
    seconds: float
    words: str
    left_s: float | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """All that a run says. `since` is the run that it was compared with; None for the first."""

    wish: Wish
    shop: Shop
    rows: tuple[Row, ...]
    passed_over: tuple[PassedOver, ...]
    gone: tuple[str, ...]
    since: Run | None
    began: float
    seconds: float
    analysed: int
    counts: dict[str, int]


Tell = Callable[[Step], None]


Then = Callable[[Outcome, Memory, Hands], None]


def run(wish: Wish, tell: Tell, then: Then = lambda outcome, memory, hands: None) -> Outcome:
    """Analyse what is not known yet, remember it, and say how everything stands.

    Each result is kept as soon as it is there, so that a run that is ended goes on where it
    stopped. `tell` is called after each file, `then` at the end while the folder is still held.
    Raises TurnabilityError for what ends the whole run; what was done until then is kept.
    """
    from turnability.analysis import shop_of
    from turnability.standing.project_file import load_project, project_of

    began = time.time()
    where = wish.project or project_of(wish.folder / "any.step")
    project = None if where is None else load_project(where)
    named = wish.shop
    if named is None and project is not None and project.repository.shop is not None:
        named = Path(project.folder) / project.repository.shop
    wish = replace(wish, shop=None if named is None else named.absolute())
    shop = shop_of(wish.shop)
    found = find(wish.folder, project, wish.ignored, wish.leave_out)
    if not found.parts:
        raise nothing_in(wish.folder, found.passed_over, project, wish.ignored)
    found = _narrowed(found, wish, where)
    with ExitStack() as stack:
        stack.enter_context(locked(wish.home))
        memory = Memory(wish.home / MEMORY)
        stack.callback(memory.close)
        hands = _Hands(wish, stack)
        if wish.again:
            memory.forget_unusable()
        before = _before(memory, wish)
        number = memory.begin(wish.name, wish.changed_since is None)
        held, analysed = _results(found.parts, shop, wish, memory, tell, hands)
        outcome = _compared(held, found, shop, wish, project, memory, before)
        outcome = replace(outcome, began=began, seconds=time.time() - began, analysed=analysed)
        entries = [entry for _, entry in _with_counts(held, outcome.rows)]
        memory.end(number, entries, json.dumps(outcome.counts))
        if wish.changed_since is None:
            memory.tidy(number)
        then(outcome, memory, hands)
        return replace(outcome, seconds=time.time() - began)


Held = list[tuple[PartFile, Entry]]


def _narrowed(found: Found, wish: Wish, project: Path | None) -> Found:
    """Only the parts that changed since a state that git knows, if that was asked for."""
    if wish.changed_since is None:
        return found
    changed = changed_since(wish.folder, wish.changed_since)
    everywhere = [path for path in (project, wish.shop) if path is not None]
    if any(os.path.realpath(path) in changed for path in everywhere):
        return found
    parts = tuple(
        part
        for part in found.parts
        if any(os.path.realpath(file) in changed for file in (part.file, *part.intents))
    )
    return replace(found, parts=parts)


def _before(memory: Memory, wish: Wish) -> Run | None:
    """The run to compare with."""
    runs = memory.runs()
    if wish.since is None or wish.since == "last":
        return runs[-1] if runs else None
    named = [one for one in runs if one.name == wish.since]
    if not named:
        names = ", ".join(dict.fromkeys(one.name for one in runs if one.name))
        raise TurnabilityError(
            f"--since {wish.since}",
            f"no run has this name (there are: {names})" if names else "no run has a name yet",
            "Name one of them" if names else "Name a run with --name, or compare with --since last",
        )
    return named[-1]


def _results(
    parts: Sequence[PartFile], shop: Shop, wish: Wish, memory: Memory, tell: Tell, hands: Hands
) -> tuple[Held, int]:
    """The number of the result that holds for each file, and how many were analysed for it."""
    program = program_id()
    held: dict[str, Entry] = {}
    waiting: dict[Key, list[PartFile]] = {}
    intents: dict[tuple[Path, ...], str] = {}
    done = 0
    for part in parts:
        content = content_of(part.file)
        if part.intents not in intents:
            intents[part.intents] = intents_content(part.intents)
        key = Key(content, intents[part.intents], shop.sha256, program)
        known = memory.result_of(key) if content else None
        if known is None:
            waiting.setdefault(key, []).append(part)
            continue
        done += 1
        held[part.path] = Entry(part.path, known, content)
        tell(Step(part.path, done, len(parts), True, 0.0, "unchanged", None))
    tasks = ((key, _task(key, files[0], wish, memory)) for key, files in waiting.items())
    began, analysed = time.monotonic(), 0
    for key, result in hands.each(tasks, do, lost):
        analysed += 1
        # what tells of the moment alone is kept for this run's page, where no later run finds it
        moment = f"{key.intent} at {time.time()}"
        number = memory.put(replace(key, intent=moment) if result.fleeting else key, result)
        rest = len(waiting) - analysed
        left_s = rest * (time.monotonic() - began) / analysed
        for i, part in enumerate(waiting[key]):
            done += 1
            held[part.path] = Entry(part.path, number, key.content)
            spent = 0.0 if i else result.seconds
            words = _words(result) if i == 0 else "the same file again"
            tell(Step(part.path, done, len(parts), i > 0, spent, words, left_s))
        if result.fleeting and not wish.folder.is_dir():
            raise TurnabilityError(
                str(wish.folder), "the folder has gone", "What was done is kept. Run it again"
            )
    return [(part, held[part.path]) for part in parts], analysed


class _Hands:
    """Those who do the run's work, of a cluster or on this machine; called when there is some."""

    def __init__(self, wish: Wish, stack: ExitStack) -> None:
        self._wish = wish
        self._stack = stack
        self._called: Hands | None = None

    def each(
        self,
        jobs: Iterable[tuple[K, J]],
        do: Callable[[Worker, J], R],
        lost: Callable[[J, Lost], R],
    ) -> Iterator[tuple[K, R]]:
        for first in (jobs := iter(jobs)):
            if self._called is None:
                self._called = self._stack.enter_context(self._call())
            yield from self._called.each(chain((first,), jobs), do, lost)

    def _call(self) -> AbstractContextManager[Hands]:
        wish = self._wish
        if wish.cluster is None:
            return here(wish.jobs or os.cpu_count() or 1, *wish.limits)
        from turnability.batch.cluster import on_cluster

        return on_cluster(wish.cluster, wish.jobs, wish.limits)


def _task(key: Key, part: PartFile, wish: Wish, memory: Memory) -> Task:
    return Task(
        path=part.path,
        file=str(part.file),
        content=key.content,
        intent=key.intent,
        zipped=part.zipped,
        shop=None if wish.shop is None else str(wish.shop),
        shop_sha256=key.shop,
        intents=tuple(
            SolidsIntent(_solid_of(part, intent), str(intent), str(intent))
            for intent in part.intents
        ),
        parts=memory.parts_of(key.content, key.program),
    )


def _solid_of(part: PartFile, intent: Path) -> int | None:
    """The solid that an intent file beside a part is for by its name; None for all."""
    stem = part.file.name.rpartition(".")[0]
    number = intent.name.removeprefix(f"{stem}.").partition(".")[0]
    return int(number) if intent.parent == part.file.parent and number.isdigit() else None


def _words(result: Result) -> str:
    verdicts = dict.fromkeys(
        "unusable" if one.verdict is None else one.verdict for one in result.judged
    )
    return ", ".join(verdicts)


def _compared(
    held: Held,
    found: Found,
    shop: Shop,
    wish: Wish,
    project: Project | None,
    memory: Memory,
    before: Run | None,
) -> Outcome:
    now = {part.path: entry for part, entry in held}
    old_entries = {} if before is None else memory.entries(before.id)
    if wish.changed_since is not None:
        # the others were not looked for, so they are no less there
        old_entries = {
            path: entry
            for path, entry in old_entries.items()
            if path in now or not (wish.folder / path).is_file()
        }
    earlier, moved, gone = earlier_of(now, old_entries)
    rows: list[Row] = []
    for part, entry in held:
        judged = memory.judged(entry.result)
        old = earlier.get(part.path)
        if old is None:
            old_judged: dict[int, Judged] = {}
        elif old.result == entry.result:
            old_judged = {one.solid: one for one in judged}
        else:
            old_judged = {one.solid: one for one in memory.judged(old.result)}
        rows += [
            row_of(
                part.path,
                entry.result,
                part.owner,
                one,
                old_judged.get(one.solid),
                project=project,
                file=part.file,
                moved_from=moved.get(part.path),
                fail_on=wish.fail_on,
                only_new=wish.only_new,
            )
            for one in judged
        ]
    return Outcome(
        wish=wish,
        shop=shop,
        rows=tuple(rows),
        passed_over=found.passed_over,
        gone=gone if wish.changed_since is None else (),
        since=before,
        began=0.0,
        seconds=0.0,
        analysed=0,
        counts=counts_of(rows),
    )


def _with_counts(held: Held, rows: Sequence[Row]) -> Iterator[tuple[PartFile, Entry]]:
    new: dict[str, int] = {}
    fixed: dict[str, int] = {}
    for row in rows:
        new[row.path] = new.get(row.path, 0) + len(row.new or ())
        fixed[row.path] = fixed.get(row.path, 0) + len(row.fixed or ())
    for part, entry in held:
        yield part, replace(entry, new=new.get(part.path, 0), fixed=fixed.get(part.path, 0))
