"""The single collets of standard sets: each closes only from its own label down."""

from __future__ import annotations

import csv
from importlib import resources

Span = tuple[float, float]

COLLET_SETS = ("ER8", "ER11", "ER16", "ER20", "ER25", "ER32", "ER40", "ER50")


def collets_of(name: str) -> tuple[Span, ...]:
    """Ranges [least, greatest] in mm of a DIN 6499 set, a collet for each whole step down.

    Each closes by what the table gives (1 mm for ER32); together they leave no gap. Raises
    KeyError for a set that the table does not hold.
    """
    text = (resources.files("turnability.shop") / "tables" / "collet_er.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    entry = {row["size"]: row for row in csv.DictReader(lines)}[name]
    least, most, step = (
        float(entry[key]) for key in ("range_min_mm", "range_max_mm", "collapse_mm")
    )
    labels: list[float] = []
    label = most
    while label > least + 1e-9:
        labels.append(label)
        label -= step
    return tuple((max(least, label - step), label) for label in reversed(labels))
