"""Sizes of standards that features are matched with: tables with their sources, one file a kind."""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources

Row = dict[str, str]


@cache
def rows(table: str) -> tuple[Row, ...]:
    """All rows of `tables/<table>.csv`, comment lines (#) left out; each names its `source`."""
    text = (resources.files(__name__) / "tables" / f"{table}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple(csv.DictReader(lines))
