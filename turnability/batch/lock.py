"""One run at a time on one output: a lock that ends with its process, whatever ended that."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from turnability.errors import OutputUnwritable

NAME = ".turnability-batch.lock"


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder for this process. Raises OutputUnwritable where another one does."""
    path = folder / NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        file = path.open("a+", encoding="utf-8")
    except OSError as fault:
        cause = f"it cannot be written to ({fault.strerror or fault})"
        raise OutputUnwritable(str(folder), cause, "Choose another folder") from fault
    with file:
        try:
            _take(file.fileno())
        except OSError:
            holder = ""
            with suppress(OSError):
                file.seek(0)
                holder = file.read().strip()
            cause = "another run is writing to this folder" + (
                f" (process {holder})" if holder.isdigit() else ""
            )
            remedy = "Wait until it has ended, or give this one another folder with --out"
            raise OutputUnwritable(str(folder), cause, remedy) from None
        file.seek(0)
        file.truncate()
        file.write(f"{os.getpid()}\n")
        file.flush()
        yield


if sys.platform == "win32":
    import msvcrt

    def _take(number: int) -> None:
        # a byte far beyond the text, so that others can still read who holds it
        os.lseek(number, 1 << 20, os.SEEK_SET)
        msvcrt.locking(number, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _take(number: int) -> None:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
