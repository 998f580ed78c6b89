"""Which of the files that were named are to be analysed."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path


def inputs_among(files: Sequence[Path]) -> tuple[list[Path], list[Path]]:
    """The files to analyse, each once and in order, and those passed over.

    `check *.step` finds on its second run what the first one wrote: annotated copies are passed
    over, known by what the writer left in them, unless nothing else was named.
    """
    from turnability.part.writing.write import is_annotated

    distinct = list({os.path.realpath(file): file for file in reversed(files)}.values())[::-1]
    own = [file for file in distinct if is_annotated(file)] if len(distinct) > 1 else []
    if len(own) == len(distinct):
        return distinct, []
    return [file for file in distinct if file not in own], own
