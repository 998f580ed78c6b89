"""What runs in the workers of a cluster: a job done with processes of the run's own."""

from __future__ import annotations

import atexit
import tempfile
import threading
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from turnability.batch.hands import J, R
from turnability.batch.program import program_id
from turnability.batch.worker import Pool, Worker

Limits = tuple[float, int]
_IDLE_S = 600.0
"""A run that has asked for nothing for so long may have been killed: its processes end."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A file on the wire: its path here, its bytes deflated."""

    path: str
    data: bytes


@dataclass(frozen=True, slots=True)
class FilesWanted:
    """What a worker answers that does not have the files of its job."""


@dataclass(frozen=True, slots=True)
class OtherProgram:
    """What a worker answers whose program is not the run's."""

    program: str


@dataclass(frozen=True, slots=True)
class Broken:
    """What a worker answers where something failed that nobody foresaw."""

    cause: str


class _Kept:
    """The processes that a run has in this worker, and when it asked last."""

    def __init__(self, limits: Limits) -> None:
        self.pool = Pool(*limits)
        self.busy = 0
        self.asked = time.monotonic()


_kept: dict[str, _Kept] = {}
_lock = threading.Lock()


def work(
    job: J,
    do: Callable[[Worker, J], R],
    limits: Limits,
    run: tuple[str, str],
    sent: tuple[Sent, ...] | None,
) -> R | FilesWanted | OtherProgram | Broken:
    """Do a job in a worker of the cluster, with a process of its own for the kernel.

    `run` is the run's name and its program. Raises nothing: not every error can be sent.
    """
    try:
        return _work(job, do, limits, run, sent)
    except Exception as fault:
        return Broken(f"a worker of the cluster failed with {first_line(fault)}")


def _work(
    job: J,
    do: Callable[[Worker, J], R],
    limits: Limits,
    run: tuple[str, str],
    sent: tuple[Sent, ...] | None,
) -> R | FilesWanted | OtherProgram:
    name, program = run
    if program_id() != program:
        return OtherProgram(program_id())
    with _processes_of(name, limits) as pool:
        if job.is_here():
            return do(pool.worker(), job)
        if sent is None:
            return FilesWanted()
        with tempfile.TemporaryDirectory(prefix="turnability-") as folder:
            at: dict[str, str] = {}
            for i, one in enumerate(sent):
                # each in a folder of its own: their names say what they are for
                file = Path(folder) / str(i) / Path(one.path).name
                file.parent.mkdir()
                file.write_bytes(zlib.decompress(one.data))
                at[one.path] = str(file)
            return do(pool.worker(), job.with_files(at))


@contextmanager
def _processes_of(name: str, limits: Limits) -> Iterator[Pool]:
    now = time.monotonic()
    with _lock:
        old = [n for n, k in _kept.items() if not k.busy and now - k.asked > _IDLE_S and n != name]
        leaving = [_kept.pop(one) for one in old]
        kept = _kept.setdefault(name, _Kept(limits))
        kept.busy += 1
        kept.asked = now
    for one in leaving:
        one.pool.close()
    try:
        yield kept.pool
    finally:
        with _lock:
            kept.busy -= 1


def put_away(name: str | None = None) -> None:
    """End the processes that a run (None for all) has in this worker of the cluster."""
    with _lock:
        names = list(_kept) if name is None else [name] if name in _kept else []
        leaving = [_kept.pop(one) for one in names]
    for one in leaving:
        one.pool.close()


atexit.register(put_away)


def first_line(fault: object) -> str:
    """What kind of fault it is, and the first line of what it says."""
    words = str(fault).strip().splitlines()
    name = type(fault).__name__
    return f"{name}: {words[0]}" if words else name
