"""The shop's tables of standards and practice, read when first asked, as cited values."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

from turnability.cited import Cited

Row = dict[str, str]


@cache
def rows(table: str) -> tuple[Row, ...]:
    """All rows of `tables/<table>.csv`, comment lines (#) left out."""
    text = (resources.files("turnability.shop") / "tables" / f"{table}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


def row(table: str, **where: str) -> Row | None:
    """The first row whose columns hold the given texts; None where there is none."""
    for entry in rows(table):
        if all(entry[column] == text for column, text in where.items()):
            return entry
    return None


def cite(entry: Row, table: str, column: str, unit: str) -> Cited:
    """One number of a row with the row's source; `verified` only where the row says yes."""
    key = next(iter(entry.values()))
    return Cited(
        value=float(entry[column]),
        unit=unit,
        source=entry["source"],
        place=f"table {table}, row {key}, column {column}",
        verified=entry.get("verified", "").startswith("yes"),
    )


def cited(table: str, column: str, unit: str, **where: str) -> Cited:
    """The number in `column` of the row found by `where`. Raises LookupError."""
    entry = row(table, **where)
    if entry is None or not entry[column]:
        raise LookupError(f"table {table} has no {column} for {where}")
    return cite(entry, table, column, unit)


def practice(item: str) -> Cited:
    """A stated shape of practice (table outline_practice), such as the seat's setback."""
    entry = row("outline_practice", item=item)
    if entry is None:
        raise LookupError(f"no practice {item!r}")
    return cite(entry, "outline_practice", "value", entry["unit"])


@dataclass(frozen=True, slots=True)
class ReamingAllowance:
    """What a hole leaves a machine reamer on its diameter, mm (table reaming_allowance)."""

    least: Cited
    usual: Cited
    most: Cited


def reaming_allowance(diameter_mm: float) -> ReamingAllowance:
    """The allowance of a reamer of this diameter; beyond the table that of its largest."""
    table = "reaming_allowance"
    entry = next(
        (r for r in rows(table) if diameter_mm <= float(r["diameter_to_mm"]) + 1e-9),
        rows(table)[-1],
    )
    return ReamingAllowance(
        *(cite(entry, table, f"{what}_mm", "mm") for what in ("least", "usual", "most"))
    )


def drilled_for_mm(diameter_mm: float) -> float:
    """Diameter of the hole that is left to a reamer of this one."""
    return diameter_mm - reaming_allowance(diameter_mm).usual.value


def weight(kind: str, corner_deg: float = 90.0) -> float:
    """How dear a tool of this kind and corner angle is to choose (table tool_weight).

    The kinds small-nose and left-hand are what a nose under 0.8 mm and a left hand add.
    """
    for entry in rows("tool_weight"):
        if entry["kind"] == kind and corner_deg >= float(entry["corner_from_deg"]) - 1e-9:
            return float(entry["weight"])
    raise LookupError(f"no weight for a tool of kind {kind!r}")
