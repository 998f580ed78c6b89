"""Who does a run's work: processes on this machine, or workers of a cluster (`cluster`)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from typing import Protocol, Self, TypeVar

from turnability.batch.model import Lost
from turnability.batch.worker import Pool, Worker


class Job(Protocol):
    """Something to do that rests on files: plain, picklable, free of the kernel's shapes."""

    @property
    def files(self) -> tuple[str, ...]:
        """All files that it rests on."""

    def is_here(self) -> bool:
        """Whether this machine has these very files under these names."""

    def with_files(self, at: Mapping[str, str]) -> Self:
        """The same, its files elsewhere."""


K = TypeVar("K")
J = TypeVar("J", bound=Job)
R = TypeVar("R")


class Hands(Protocol):
    """Those who do the work."""

    def each(
        self,
        jobs: Iterable[tuple[K, J]],
        do: Callable[[Worker, J], R],
        lost: Callable[[J, Lost], R],
    ) -> Iterator[tuple[K, R]]:
        """Do all of them, and give the results as they come; few jobs are drawn ahead.

        `do` is a function of a module, so that it can be sent by its name; `lost` gives what stands
        for the result of a job that comes to none.
        """


@contextmanager
def here(jobs: int, time_limit_s: float, memory_limit_bytes: int) -> Iterator[Hands]:
    """So many processes on this machine; none is left at the end, however it comes."""
    pool = Pool(time_limit_s, memory_limit_bytes)
    threads = ThreadPoolExecutor(jobs, thread_name_prefix="turnability")
    try:
        yield _Here(pool, threads, 2 * jobs)
    finally:
        threads.shutdown(wait=False, cancel_futures=True)
        pool.close()
        threads.shutdown(wait=True)


class _Here:
    def __init__(self, pool: Pool, threads: ThreadPoolExecutor, ahead: int) -> None:
        self._pool = pool
        self._threads = threads
        self._ahead = ahead

    def each(
        self,
        jobs: Iterable[tuple[K, J]],
        do: Callable[[Worker, J], R],
        lost: Callable[[J, Lost], R],
    ) -> Iterator[tuple[K, R]]:
        going: dict[Future[R], K] = {}
        for key, job in jobs:
            going[self._threads.submit(self._do, do, job)] = key
            if len(going) >= self._ahead:
                yield from _finished(going)
        while going:
            yield from _finished(going)

    def _do(self, do: Callable[[Worker, J], R], job: J) -> R:
        return do(self._pool.worker(), job)


def _finished(going: dict[Future[R], K]) -> Iterator[tuple[K, R]]:
    done, _ = wait(going, return_when=FIRST_COMPLETED)
    for future in done:
        yield going.pop(future), future.result()
