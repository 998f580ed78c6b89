"""Hashes of what a result rests on: files as they are now."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path


def content_of(file: Path) -> str:
    """The SHA-256 of a file; empty where it cannot be read, which whoever reads it will tell."""
    try:
        with file.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError:
        return ""


def intents_content(files: Sequence[Path]) -> str:
    """One hash over intent files and the solids that their names say they are for."""
    if not files:
        return ""
    digest = hashlib.sha256()
    for file in files:
        digest.update(file.name.rpartition(".intent.toml")[0].rpartition(".")[2].encode() + b"\0")
        digest.update(content_of(file).encode())
    return digest.hexdigest()
