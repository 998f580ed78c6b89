"""Which program made a result: its version, and the content of its own files."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from turnability import __version__


@cache
def program_id() -> str:
    """The version, with a hash over the package's code and tables.

    A change of the program between two releases must not leave yesterday's results standing.
    """
    package = Path(__file__).resolve().parents[1]
    digest = hashlib.sha256()
    for file in sorted(package.rglob("*")):
        if file.suffix in (".py", ".csv", ".toml"):
            digest.update(file.relative_to(package).as_posix().encode() + b"\0")
            digest.update(hashlib.sha256(file.read_bytes()).digest())
    return f"{__version__}+{digest.hexdigest()[:16]}"
