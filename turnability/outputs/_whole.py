"""Files that are there whole or not at all."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from itertools import count
from pathlib import Path

from turnability.errors import OutputUnwritable

_numbers = count()
_REMEDIES = {
    errno.ENOSPC: "Free some space and run it again",
    errno.EDQUOT: "Free some space and run it again",
    errno.ENAMETOOLONG: "Give the part's file a shorter name",
    errno.EACCES: "Choose a folder that you may write to",
    errno.EPERM: "Choose a folder that you may write to",
    errno.EROFS: "Choose a folder that you may write to",
    errno.ENOTDIR: "Choose another folder",
}


def write_whole(target: Path, content: str | Callable[[Path], None]) -> None:
    """Write text (UTF-8), or whatever `content` writes to the path it is given, to `target`.

    It is written beside the target and then put in its place, so that nobody ever reads half a
    file and an older one survives a failure. Makes missing folders. Raises OutputUnwritable.
    """
    # A short name of its own: the target's may already be as long as the file system allows.
    beside = target.parent / f".turnability-{os.getpid()}-{next(_numbers)}.part"
    try:
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
    except OSError as fault:
        raise _unwritable(target, "it cannot be written", fault) from fault


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, if they are missing. Raises OutputUnwritable."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise _unwritable(folder, "the folder cannot be made", fault) from fault


def _unwritable(target: Path, cause: str, fault: OSError) -> OutputUnwritable:
    remedy = _REMEDIES.get(fault.errno or 0, "Choose another folder")
    return OutputUnwritable(str(target), f"{cause} ({fault.strerror or fault})", remedy)
