"""Sizes of standards that features are matched with: tables with their sources, one file a kind.

A file that has `KINDS` (the kinds of feature it looks at) and `agree(one, chain, found)` is asked
for the matches of every such feature; it is found by being there. `OTHER_READING`, if it has one,
is what a feature that agrees could be too.
"""

from __future__ import annotations

import csv
import math
from functools import cache
from importlib import resources

Row = dict[str, str]

DRAWN_MM = 0.02
"""What a nominal size may be off in a drawn solid beside the tolerance (splines, roundings)."""


@cache
def rows(table: str) -> tuple[Row, ...]:
    """All rows of `tables/<table>.csv`, comment lines (#) left out; each names its `source`."""
    text = (resources.files(__name__) / "tables" / f"{table}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


_STEPS_MM = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
_UNITS = {11: 100.0, 12: 160.0, 13: 250.0, 14: 400.0}


def grade_mm(size_mm: float, grade: int) -> float:
    """Width of the tolerance IT11 to IT14 at a size up to 500 mm, unrounded.

    Source: ISO 286-1, i = 0.45 D^(1/3) + 0.001 D in µm with D the geometric mean of the step.
    """
    top = next((step for step in _STEPS_MM if size_mm <= step), _STEPS_MM[-1])
    low = max((step for step in _STEPS_MM if step < top), default=1)
    mean = math.sqrt(low * top)
    return _UNITS[grade] * (0.45 * math.pow(mean, 1.0 / 3.0) + 0.001 * mean) / 1000.0
