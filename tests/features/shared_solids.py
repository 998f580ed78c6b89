"""Real parts as the part's reader gives them, each read once for all tests."""

from __future__ import annotations

import warnings
from functools import cache
from pathlib import Path

from turnability.part.model import Part
from turnability.part.reading.read import solids_in
from turnability.part.turned import part_of


@cache
def shared_part(file: Path) -> Part:
    """The first solid of a file."""
    solid = solids_in(file)[0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return part_of(solid.shape, solid.source, solid.step_ids)
