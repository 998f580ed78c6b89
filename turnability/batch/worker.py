"""One file read and judged in a process of its own, tried twice before it is given up."""

from __future__ import annotations

import os
import tempfile
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar, cast

from turnability.analysis.apart import ANALYSIS
from turnability.batch.content import content_of, intents_content
from turnability.batch.judge import SolidsIntent
from turnability.batch.model import Judged, Lost, Result
from turnability.batch.unzip import unzip
from turnability.errors import AnalysisDied, KernelDied, PartUnreadable, TurnabilityError
from turnability.part.apart.child import Kernel, read_parts
from turnability.part.model import Part

_T = TypeVar("_T")
_JUDGED = "turnability.batch.judge:judged"
_MODULES = (
    "OCP.STEPControl",
    "turnability.part.parts",
    "turnability.part.turned",
    "turnability.analysis.stages",
    "turnability.batch.judge",
)
_FILES_A_PROCESS = 200
"""A process is replaced after so many files, whatever it may have kept of them."""


@dataclass(frozen=True, slots=True)
class Task:
    """One file to analyse. `parts` is its geometry from an earlier run, if it is known.

    `content` and `intent` are the hashes that the file and its intents had when the run looked;
    `path` is what people call it.
    """

    path: str
    file: str
    content: str
    intent: str
    zipped: bool
    shop: str | None
    shop_sha256: str
    intents: tuple[SolidsIntent, ...]
    parts: tuple[Part, ...] | None = None

    @property
    def files(self) -> tuple[str, ...]:
        """All files that it rests on."""
        shop = () if self.shop is None else (self.shop,)
        return (self.file, *shop, *(one.file for one in self.intents))

    def is_here(self) -> bool:
        """Whether this machine has these very files under these names."""
        return (
            content_of(Path(self.file)) == self.content
            and (self.shop is None or content_of(Path(self.shop)) == self.shop_sha256)
            and intents_content([Path(one.file) for one in self.intents]) == self.intent
        )

    def with_files(self, at: Mapping[str, str]) -> Task:
        """The same, its files elsewhere."""
        return replace(
            self,
            file=at[self.file],
            shop=None if self.shop is None else at[self.shop],
            intents=tuple(replace(one, file=at[one.file]) for one in self.intents),
        )


class Worker:
    """A process with the CAD kernel, its limits, and the files done in it so far."""

    def __init__(
        self,
        time_limit_s: float,
        memory_limit_bytes: int,
        stopped: threading.Event | None = None,
    ) -> None:
        self._time_limit_s = time_limit_s
        self._stopped = stopped or threading.Event()
        self._kernel = Kernel(memory_limit_bytes, _MODULES)
        self._done = 0

    def close(self) -> None:
        """End the process."""
        self._kernel.close()

    def call(self, function: str, arguments: Sequence[object], what: str, died: _T) -> _T:
        """Call a function in the process, twice if need be; `died` where it dies of it."""

        def once() -> _T:
            items = self._kernel.items(
                function, *arguments, what=what, time_limit_s=self._time_limit_s
            )
            (answer,) = list(items)
            return cast(_T, answer)

        try:
            return _Tries(self._stopped).twice(once)
        except TurnabilityError:
            return died

    def do(self, task: Task) -> Result:
        """Read and judge one file; whatever happens is in the result."""
        began = time.perf_counter()
        self._done += 1
        if self._done % _FILES_A_PROCESS == 0:
            self._kernel.close()
        tries = _Tries(self._stopped)
        parts: tuple[Part, ...] | None = task.parts
        failed: list[Judged] = []
        try:
            if parts is None:
                parts, failed = self._read(task, tries)
            judged = [self._judge(part, task, tries) for part in parts]
        except TurnabilityError as error:
            gone = not os.path.exists(task.file)  # noqa: PTH110
            one = Judged(1, 1, _name(task), failed=_told(error, task))
            return Result((one,), None, _since(began), tries.most, fleeting=gone)
        whole = sorted((*judged, *failed), key=lambda one: one.solid)
        changed = not task.is_here()
        return Result(
            tuple(whole), None if failed else parts, _since(began), tries.most, fleeting=changed
        )

    def _read(self, task: Task, tries: _Tries) -> tuple[tuple[Part, ...], list[Judged]]:
        with tempfile.TemporaryDirectory(prefix="turnability-") as folder:
            file = Path(task.file)
            if task.zipped:
                file = Path(folder) / "part.step"
                unzip(Path(task.file), file)
            found = list(tries.twice(lambda: self._parts(file)))
            for i, one in enumerate(found):
                if isinstance(one, KernelDied):
                    number = i + 1
                    tries.most = 2
                    with suppress(TurnabilityError):
                        (found[i],) = self._parts(file, number)
        failed = [
            Judged(i + 1, len(found), _name(task), failed=_told(one, task))
            for i, one in enumerate(found)
            if isinstance(one, PartUnreadable)
        ]
        return tuple(one for one in found if isinstance(one, Part)), failed

    def _parts(self, file: Path, solid: int | None = None) -> Sequence[Part | PartUnreadable]:
        return read_parts(file, solid, self._time_limit_s, self._kernel)

    def _judge(self, part: Part, task: Task, tries: _Tries) -> Judged:
        arguments = (part, task.shop, task.shop_sha256, task.intents, task.path)

        def once() -> Judged:
            items = self._kernel.items(
                _JUDGED,
                *arguments,
                what=task.path,
                time_limit_s=self._time_limit_s,
                work=ANALYSIS,
            )
            (judged,) = list(items)
            return cast(Judged, judged)

        try:
            return tries.twice(once)
        except TurnabilityError as error:
            source = part.source
            return Judged(source.solid, source.solids, _name(task), failed=_told(error, task))


def do(worker: Worker, task: Task) -> Result:
    """A task done by a worker, for those who hand out work."""
    return worker.do(task)


def lost(task: Task, why: Lost) -> Result:
    """What stands for the result of a task that came to none."""
    error = PartUnreadable(task.path, why.cause, "Run it again, or on this machine alone")
    one = Judged(1, 1, _name(task), failed=str(error))
    return Result((one,), None, 0.0, fleeting=not why.lasting)


class _Tries:
    """How often the hardest step of a file was tried."""

    def __init__(self, stopped: threading.Event) -> None:
        self.most = 1
        self._stopped = stopped

    def twice(self, work: Callable[[], _T]) -> _T:
        if self._stopped.is_set():  # a process begun now would outlast the run
            raise PartUnreadable("the run", "it was ended", "Run it again")
        try:
            return work()
        except (KernelDied, AnalysisDied):
            if self._stopped.is_set():  # the run has ended it, not the file
                raise
            self.most = 2
            return work()


class Pool:
    """Workers for threads: each thread has its own, and all end together."""

    def __init__(self, time_limit_s: float, memory_limit_bytes: int) -> None:
        self._stopped = threading.Event()
        self._limits = (time_limit_s, memory_limit_bytes, self._stopped)
        self._own = threading.local()
        self._all: list[Worker] = []

    def worker(self) -> Worker:
        """This thread's own."""
        worker: Worker | None = getattr(self._own, "worker", None)
        if worker is None:
            worker = self._own.worker = Worker(*self._limits)
            self._all.append(worker)
        return worker

    def close(self) -> None:
        """End all processes; what they were at comes to nothing."""
        self._stopped.set()
        for worker in self._all:
            worker.close()


def _told(error: TurnabilityError, task: Task) -> str:
    """The error in words, by the part's own path and not that of a temporary file."""
    kind = type(error)
    return str(kind(task.path, error.cause, error.remedy))


def _name(task: Task) -> str:
    return task.path.rsplit("/", 1)[-1].rpartition(".")[0]


def _since(began: float) -> float:
    return time.perf_counter() - began
