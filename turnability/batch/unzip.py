"""The STEP text in a zipped file (`.stpz`): one zip entry, or a gzip stream.

What is unpacked goes to a file whose name is given here: names in the archive are never used as
paths. The size is limited while unpacking, whatever the archive says of itself.
"""

from __future__ import annotations

import gzip
import zipfile
import zlib
from pathlib import Path
from typing import Protocol

from turnability.errors import PartUnreadable

MOST_BYTES = 1 << 30
"""More than this is not unpacked (our choice)."""
_AGAIN = "Zip one STEP file alone, or put the STEP file itself there"
_STEP = (".step", ".stp", ".p21")


def unzip(archive: Path, target: Path, most_bytes: int = MOST_BYTES) -> None:
    """Write the one STEP file of the archive to `target`. Raises PartUnreadable."""
    what = str(archive)
    try:
        with archive.open("rb") as stream:
            if stream.read(2) == b"\x1f\x8b":
                with gzip.open(archive) as inner:
                    _copy(inner, target, what, most_bytes)
                return
        with zipfile.ZipFile(archive) as pack:
            steps = [e for e in pack.infolist() if e.filename.lower().endswith(_STEP)]
            if len(steps) != 1:
                raise PartUnreadable(what, f"it holds {len(steps)} STEP files", _AGAIN)
            with pack.open(steps[0]) as inner:
                _copy(inner, target, what, most_bytes)
    except (
        OSError,
        EOFError,
        zipfile.BadZipFile,
        zlib.error,
        RuntimeError,  # encrypted
        NotImplementedError,
    ) as fault:
        raise PartUnreadable(what, f"it cannot be unpacked ({fault})", _AGAIN) from None


class _Stream(Protocol):
    def read(self, size: int, /) -> bytes: ...


def _copy(inner: _Stream, target: Path, what: str, most_bytes: int) -> None:
    done = 0
    with target.open("wb") as out:
        while block := inner.read(1 << 20):
            done += len(block)
            if done > most_bytes:
                cause = f"it holds more than {most_bytes / (1 << 20):g} MB"
                raise PartUnreadable(what, cause, "Split the file, or simplify the part")
            out.write(block)
