"""What the files of each part are called, so that no part's results overwrite another's."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path


def stems_for(files: Sequence[Path]) -> tuple[Path, ...]:
    """For each file the relative path, without ending, that its results are named by.

    Usually the file's own name without its ending. Equal names (also but for case, which some
    file systems ignore) keep their folders below the folder that they share; equal names in one
    folder keep their ending, as does `a.1.step` beside `a.step`, whose first solid is `a.1`.
    """
    alone = Counter(file.stem.casefold() for file in files)
    equal = [file for file in files if alone[file.stem.casefold()] > 1]
    shared = os.path.commonpath([_folder(file) for file in equal]) if equal else ""
    stems = [
        Path(os.path.relpath(_folder(file), shared), file.stem)
        if alone[file.stem.casefold()] > 1
        else Path(file.stem)
        for file in files
    ]
    taken = Counter(_key(stem) for stem in stems)
    made = []
    for file, stem in zip(files, stems, strict=True):
        numbered = re.fullmatch(r"(.+)\.\d+", stem.name)
        solid_of_another = numbered and _key(stem.with_name(numbered[1])) in taken
        made.append(
            stem.with_name(file.name) if taken[_key(stem)] > 1 or solid_of_another else stem
        )
    return tuple(made)


def _folder(file: Path) -> str:
    return str(file.resolve().parent)


def _key(stem: Path) -> str:
    return str(stem).casefold()
