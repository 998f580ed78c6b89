"""A run's work on a Dask scheduler: jobs and plain results go over the wire, shapes never do.

A worker takes files by the paths that this machine has (a shared folder). One that does not have
these very files there is sent their bytes. Whoever can reach the scheduler can run programs on all
workers: it belongs on a network of one's own, or behind TLS.
"""

from __future__ import annotations

import logging
import queue
import time
import uuid
import warnings
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from importlib import import_module
from pathlib import Path
from typing import Any

from turnability.batch.cluster_side import (
    Broken,
    FilesWanted,
    Limits,
    OtherProgram,
    Sent,
    first_line,
    put_away,
    work,
)
from turnability.batch.hands import Hands, J, K, R
from turnability.batch.model import Lost
from turnability.batch.program import program_id
from turnability.batch.worker import Worker
from turnability.errors import TurnabilityError

MOST_SENT_BYTES = 64 << 20
"""Larger files must lie where the workers see them (our choice)."""
CONNECT_S = 20.0
PATIENCE_S = 600.0
"""So long without any worker, or without an answer, ends the run (our choice)."""
_LOOK_S = 2.0
_TRIES = 5
_AT_ONCE = 64
_KEPT = "What was done is kept. Run it again"


@contextmanager
def on_cluster(address: str, most: int | None, limits: Limits) -> Iterator[Hands]:
    """The workers of a scheduler, whoever of them comes and goes, at most so many jobs at a time.

    Raises TurnabilityError where the scheduler cannot be used or goes away.
    """
    with _quiet():
        client = _client(address)
        name = f"turnability-{uuid.uuid4().hex[:12]}"
        try:
            yield _Cluster(client, address, name, most, limits)
        finally:
            if client.status == "running":
                with suppress(Exception):
                    client.run(put_away, name, on_error="ignore")
            with suppress(Exception):
                client.close(timeout=5)


def _client(address: str) -> Any:
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise TurnabilityError(
            f"--cluster {address}",
            "the library `distributed` is not installed",
            "Install it with pip install 'turnability[cluster]'",
        ) from None
    try:
        return distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError, TypeError) as fault:
        raise TurnabilityError(
            f"--cluster {address}",
            f"no Dask scheduler answers there ({first_line(fault)})",
            "Start one with `dask scheduler`, and give the address that it prints",
        ) from None


class _Cluster:
    def __init__(
        self,
        client: Any,
        address: str,
        name: str,
        most: int | None,
        limits: Limits,
    ) -> None:
        self._client = client
        self._what = f"--cluster {address}"
        self._name = name
        self._most = most
        self._limits = limits
        self._sending = False
        self._submitted = 0
        self._threads: tuple[float, int] = (-_LOOK_S, 0)
        self._check()

    def each(
        self,
        jobs: Iterable[tuple[K, J]],
        do: Callable[[Worker, J], R],
        lost: Callable[[J, Lost], R],
    ) -> Iterator[tuple[K, R]]:
        """As `Hands` says."""
        done: queue.SimpleQueue[Any] = queue.SimpleQueue()
        going: dict[Any, tuple[K, J, int]] = {}

        def hand_out(key: K, job: J, tried: int, send: bool) -> None:
            sent = _read(job) if send else None
            self._submitted += 1
            future = self._client.submit(
                work,
                job,
                do,
                self._limits,
                (self._name, program_id()),
                sent,
                key=f"{self._name}-{self._submitted}",
                pure=False,
            )
            going[future] = (key, job, tried)
            future.add_done_callback(done.put)

        def finished() -> Iterator[tuple[K, R]]:
            for future, answer in self._answers(done):
                key, job, tried = going.pop(future)
                if isinstance(answer, FilesWanted) and tried < _TRIES:
                    self._sending = True  # ask no other worker first: they are alike
                    hand_out(key, job, tried + 1, True)
                elif isinstance(answer, OtherProgram) and tried < _TRIES:
                    hand_out(key, job, tried + 1, self._sending)
                elif isinstance(answer, OtherProgram):
                    raise self._unlike({"a worker": answer.program})
                elif isinstance(answer, Broken) and tried < 1:
                    hand_out(key, job, tried + 1, self._sending)
                elif isinstance(answer, Broken):
                    yield key, lost(job, Lost(answer.cause, lasting=False))
                elif isinstance(answer, FilesWanted):
                    yield key, lost(job, Lost(_not_there(job), lasting=False))
                elif isinstance(answer, Lost):
                    yield key, lost(job, answer)
                else:
                    yield key, answer

        try:
            for key, job in jobs:
                hand_out(key, job, 0, self._sending)
                while len(going) >= self._ahead():
                    yield from finished()
            while going:
                yield from finished()
        finally:
            if going and self._client.status == "running":
                with suppress(Exception):
                    self._client.cancel(list(going), force=True)

    def _answers(self, done: queue.SimpleQueue[Any]) -> Iterator[tuple[Any, Any]]:
        """Those that are there now, fetched together; waits for the first."""
        since = time.monotonic()
        ready: list[Any] = []
        while not ready:
            with suppress(queue.Empty):
                ready.append(done.get(timeout=_LOOK_S))
            if self._client.status in ("closed", "closing"):
                raise self._gone()
            if self._threads_now():
                since = time.monotonic()
            elif time.monotonic() - since > PATIENCE_S:
                cause = f"no worker has been there for {PATIENCE_S:g} s"
                raise TurnabilityError(self._what, cause, _KEPT)
        with suppress(queue.Empty):
            while len(ready) < _AT_ONCE:
                ready.append(done.get_nowait())
        good = [future for future in ready if future.status == "finished"]
        answers = self._fetched(good)
        for future in ready:
            yield future, answers[future] if future in answers else self._failed(future)

    def _fetched(self, futures: list[Any]) -> dict[Any, Any]:
        """The results; what was lost with its worker is worked out anew meanwhile."""
        if not futures:
            return {}
        begun = time.monotonic()
        while True:
            try:
                got = self._client.gather(futures, errors="skip", asynchronous=False)
            except Exception as fault:
                if self._client.status in ("closed", "closing") or (
                    time.monotonic() - begun > PATIENCE_S
                ):
                    raise self._gone() from fault
                time.sleep(_LOOK_S)
                continue
            if len(got) == len(futures):
                return dict(zip(futures, got, strict=True))
            futures = [future for future in futures if future.status == "finished"]
            if not futures:
                return {}

    def _failed(self, future: Any) -> Any:
        from distributed import KilledWorker

        if future.status in ("cancelled", "lost"):
            raise self._gone()
        try:
            fault = future.exception(timeout=CONNECT_S)
        except Exception as error:
            raise self._gone() from error
        if isinstance(fault, KilledWorker):
            times = fault.allowed_failures + 1
            cause = f"{times} workers of the cluster were lost while they worked on it"
            return Lost(cause, lasting=True)
        if isinstance(fault, TurnabilityError):
            raise fault
        raise TurnabilityError(
            self._what, f"a worker failed with {first_line(fault)}", "See the worker's own log"
        )

    def _ahead(self) -> int:
        """Twice as many as there are threads now, so that none waits for the next."""
        ahead = max(2, 2 * self._threads_now())
        return ahead if self._most is None else min(ahead, self._most)

    def _threads_now(self) -> int:
        """Of all workers that are there; asked for now and then."""
        asked, threads = self._threads
        if self._client.status != "running":  # any question would wait
            return 0
        if time.monotonic() - asked >= _LOOK_S:
            try:
                threads = sum(self._client.nthreads().values())
            except Exception:  # no answer: whether it has gone for good is seen elsewhere
                threads = 0
            self._threads = (time.monotonic(), threads)
        return threads

    def _check(self) -> None:
        """Refuse workers with another program now, and not after hours."""
        try:
            self._client.wait_for_workers(1, timeout=CONNECT_S)
        except Exception:
            raise TurnabilityError(
                self._what,
                f"it has no worker within {CONNECT_S:g} s",
                "Start some with `dask worker`",
            ) from None
        answers = self._client.run(program_id, on_error="return")
        unlike = {
            name: answer if isinstance(answer, str) else first_line(answer)
            for name, answer in answers.items()
            if answer != program_id()
        }
        if unlike:
            raise self._unlike(unlike)

    def _unlike(self, programs: dict[str, str]) -> TurnabilityError:
        name, program = next(iter(programs.items()))
        more = f" and {len(programs) - 1} more" if len(programs) > 1 else ""
        return TurnabilityError(
            self._what,
            f"{name}{more} has not this run's program {program_id()}, but: {program}",
            "Install the same turnability for all workers and start them anew",
        )

    def _gone(self) -> TurnabilityError:
        return TurnabilityError(self._what, "the scheduler has gone", _KEPT)


def _read(job: J) -> tuple[Sent, ...] | None:
    """The bytes of a job's files as they are now; None where they cannot or shall not be sent."""
    made = []
    for path in job.files:
        try:
            if Path(path).stat().st_size > MOST_SENT_BYTES:
                return None
            made.append(Sent(path, zlib.compress(Path(path).read_bytes(), 1)))
        except OSError:
            return None
    return tuple(made)


def _not_there(job: J) -> str:
    missing = [path for path in job.files if not Path(path).is_file()]
    if missing:
        return f"there is no such file any more ({missing[0]})"
    return (
        "the cluster's workers do not see it under this path, and it is larger than "
        f"{MOST_SENT_BYTES >> 20} MB, so that it is not sent"
    )


@contextmanager
def _quiet() -> Iterator[None]:
    """What the library tells of lost connections is told in our words."""
    loggers = [logging.getLogger(name) for name in ("distributed", "tornado", "asyncio")]
    import_it = suppress(ImportError)
    with import_it:
        import distributed  # noqa: F401 (it sets the levels of its loggers)
    levels = [logger.level for logger in loggers]
    children = [
        logging.getLogger(name)
        for name in list(logging.root.manager.loggerDict)
        if name.startswith("distributed.")
    ]
    levels += [child.level for child in children]
    loggers += children
    for logger in loggers:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", message="Sending large graph")
            yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)
