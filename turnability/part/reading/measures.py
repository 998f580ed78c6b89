"""Measures with their units as mm and degrees (ISO 10303-41)."""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

from turnability.part.reading.records import Records, Typed, Word, at, number_in, references

Unit: TypeAlias = Literal["mm", "deg"]
_DEEPEST = 5
_SI: dict[str, tuple[float, Unit]] = {
    "METRE": (1000.0, "mm"),
    "RADIAN": (math.degrees(1.0), "deg"),
}
_PREFIX = {
    "MICRO": 1e-6,
    "MILLI": 1e-3,
    "CENTI": 1e-2,
    "DECI": 1e-1,
    "DECA": 1e1,
    "HECTO": 1e2,
    "KILO": 1e3,
}


def measure(records: Records, number: int) -> tuple[float, Unit] | None:
    """What a measure with unit says, in mm or degrees.

    None for other quantities, for one whose unit is not known, and for what is no finite number.
    """
    found = _measure(records, number, 0)
    # Inches and degrees come out in binary dust: 0.03 in would be 0.7619999999999999 mm.
    return None if found is None else (round(found[0], 9) + 0.0, found[1])


def _measure(records: Records, number: int, depth: int) -> tuple[float, Unit] | None:
    for keyword, values in records[number].items():
        if "MEASURE_WITH_UNIT" not in keyword and keyword != "MEASURE_REPRESENTATION_ITEM":
            continue
        # A representation item has its name first.
        value = next(
            (n for v in values if isinstance(v, Typed | float) for n in [number_in(v)]), None
        )
        unit = next((n for v in values for n in references(v)), None)
        size = None if unit is None else _unit(records, unit, depth + 1)
        if value is not None and size is not None and math.isfinite(value * size[0]):
            return value * size[0], size[1]
    return None


def _unit(records: Records, number: int, depth: int) -> tuple[float, Unit] | None:
    """Size of a unit of length or plane angle."""
    if depth > _DEEPEST:
        return None
    if si := records.simple(number, "SI_UNIT"):
        prefix, name = si[-2:] if len(si) >= 2 else (None, None)
        known = _SI.get(name.word) if isinstance(name, Word) else None
        factor = _PREFIX.get(prefix.word) if isinstance(prefix, Word) else 1.0
        return None if known is None or factor is None else (factor * known[0], known[1])
    for factors in references(at(records.simple(number, "CONVERSION_BASED_UNIT"), 1)):
        return _measure(records, factors, depth + 1)
    return None
