"""Results that lie beside a run's own and tell of another state of the part's file.

An input that has become unusable, or has fewer solids than before, leaves the results of earlier
runs where they were. Nothing is deleted, but nobody must take them for today's.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any

from turnability.outputs import Output, all_outputs, format_names, formats_named


def earlier_results(
    folder: Path, stem: Path, file: Path, written: Collection[Path]
) -> tuple[Path, ...]:
    """Results below `folder` by the name `stem` that are not of the present state of `file`.

    `written`: what this run wrote. Results are current where the JSON beside them names the hash
    that the file has now, and another file's where it names another. What lies beside a JSON of
    this run (an output not asked for today) is current where it is no older than the file.
    """
    old: list[Path] = []
    for group in _groups(folder / stem):
        left = [path for path in group if path not in written]
        data = next((path for path in left if path.suffix == ".json"), None)
        source = None if data is None else _source_in(data)
        if source is not None:
            ours = _name(source.get("path")) in (file.name, None)
            old += left if ours and source.get("sha256") != _hash(file) else ()
        elif len(left) < len(group):
            old += (path for path in left if _changed_s(path) < _changed_s(file))
        else:
            old += left
    return tuple(sorted(old))


def _groups(stem: Path) -> Iterable[list[Path]]:
    """Results that are there, one group for each solid."""
    try:
        names = sorted(path.name for path in stem.parent.iterdir())
    except OSError:
        return ()
    suffixes = "|".join(re.escape(output.SUFFIX) for output in _every_output())
    ours = re.compile(rf"{re.escape(stem.name)}(?:\.(\d+))?(?:{suffixes})")
    groups: dict[str | None, list[Path]] = {}
    for name in names:
        if found := ours.fullmatch(name):
            groups.setdefault(found[1], []).append(stem.with_name(name))
    return groups.values()


def _every_output() -> tuple[Output, ...]:
    return (*all_outputs(), *formats_named(format_names()))


def _source_in(data: Path) -> dict[str, Any] | None:
    try:
        source = json.loads(data.read_text(encoding="utf-8"))["source"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    return source if isinstance(source, dict) else None


def _name(path: object) -> str | None:
    return path.replace("\\", "/").rsplit("/", 1)[-1] if isinstance(path, str) else None


def _changed_s(path: Path) -> float:
    """When a file was last written; one that is gone was, just now."""
    try:
        return path.stat().st_mtime
    except (OSError, ValueError):
        return math.inf


def _hash(file: Path) -> str | None:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest() if file.is_file() else None
    except (OSError, ValueError):
        return None
