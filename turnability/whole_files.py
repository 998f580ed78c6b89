"""Files that are there whole or not at all."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

from turnability.errors import OutputUnwritable, printable

_numbers = count()
_LONGEST_NAME = 255
"""Bytes; of nearly all file systems, where this one doesn't say."""
_REMEDIES = {
    errno.ENOSPC: "Free some space and run it again",
    errno.EDQUOT: "Free some space and run it again",
    errno.ENAMETOOLONG: "Give it a shorter name",
    errno.EACCES: "Choose a folder that you may write to",
    errno.EPERM: "Choose a folder that you may write to",
    errno.EROFS: "Choose a folder that you may write to",
    errno.ENOTDIR: "Choose another folder",
}


def write_whole(target: Path, content: str | Callable[[Path], None]) -> None:
    """Write text (UTF-8), or whatever `content` writes to the path it is given, to `target`.

    It is written beside the target and then put in its place, so that nobody ever reads half a
    file and an older one survives a failure. Makes missing folders. A link is followed, and what
    is no ordinary file (a device, a pipe) is written to, never replaced. Raises OutputUnwritable.
    """
    with told(target):
        target = target.resolve() if target.is_symlink() else target
        plain = target.is_file() or not target.exists()
    if isinstance(content, str) and not plain:
        with told(target), target.open("w", encoding="utf-8", newline="\n") as file:
            file.write(content)
        return
    # A short name of its own: the target's may already be as long as the file system allows.
    beside = target.parent / f".turnability-{os.getpid()}-{next(_numbers)}.part"
    with told(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            if isinstance(content, str):
                with beside.open("x", encoding="utf-8", newline="\n") as file:
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
            else:
                content(beside)
            beside.replace(target)
        finally:
            beside.unlink(missing_ok=True)


def is_folder(path: Path) -> bool:
    """Whether a folder is there. What the system says against looking is told when it is used."""
    try:
        return path.is_dir()
    except (OSError, ValueError):  # a name too long, for one
        return False


def is_file(path: Path) -> bool:
    """Whether an ordinary file is there; as `is_folder`."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def is_no_folder(path: Path) -> bool:
    """Whether something else than a folder is there; as `is_folder`."""
    try:
        return path.exists() and not path.is_dir()
    except (OSError, ValueError):
        return False


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, if they are missing. Raises OutputUnwritable."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise _unwritable(folder, "the folder cannot be made", fault) from fault


def refuse_missing_folder(target: Path) -> None:
    """Raise OutputUnwritable where the folder that a named file should stand in is not there.

    A folder of results is made where somebody names it; a file in a folder that is missing is
    more likely misspelt.
    """
    folder = target.parent
    if not folder.is_dir():
        cause = f"there is no folder {printable(str(folder))} to write it in"
        raise OutputUnwritable(str(target), cause, "Correct the name, or make the folder first")


def refuse_long_name(target: Path) -> None:
    """Raise OutputUnwritable where a file's name is longer than the file system allows."""
    longest = _LONGEST_NAME
    there = next((f for f in (target.parent, *target.parent.parents) if f.is_dir()), None)
    if there is not None and hasattr(os, "pathconf"):
        with suppress(OSError, ValueError):
            longest = os.pathconf(there, "PC_NAME_MAX")
    size = len(os.fsencode(target.name))
    if size > longest:
        cause = f"the name of this result has {size} bytes, and files here may have {longest}"
        raise OutputUnwritable(str(target), cause, "Give the part's file a shorter name")


@contextmanager
def told(target: Path) -> Iterator[None]:
    """Raise what the system says against writing `target` as OutputUnwritable."""
    try:
        yield
    except OSError as fault:
        raise _unwritable(target, "it cannot be written", fault) from fault


def _unwritable(target: Path, cause: str, fault: OSError) -> OutputUnwritable:
    remedy = _REMEDIES.get(fault.errno or 0, "Choose another folder")
    return OutputUnwritable(str(target), f"{cause} ({fault.strerror or fault})", remedy)
