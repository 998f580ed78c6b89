"""Geometric tolerances and datums that a STEP file states (ISO 10303-47, names of ISO 1101)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from turnability.part.model import DatumReference
from turnability.part.reading.aspects import described
from turnability.part.reading.measures import measure
from turnability.part.reading.names import clean
from turnability.part.reading.records import (
    Records,
    Value,
    at,
    number_in,
    references,
    text_in,
    words_in,
)

KINDS = {
    "ANGULARITY_TOLERANCE": "angularity",
    "CIRCULAR_RUNOUT_TOLERANCE": "circular-runout",
    "COAXIALITY_TOLERANCE": "coaxiality",
    "CONCENTRICITY_TOLERANCE": "concentricity",
    "CYLINDRICITY_TOLERANCE": "cylindricity",
    "FLATNESS_TOLERANCE": "flatness",
    "LINE_PROFILE_TOLERANCE": "line-profile",
    "PARALLELISM_TOLERANCE": "parallelism",
    "PERPENDICULARITY_TOLERANCE": "perpendicularity",
    "POSITION_TOLERANCE": "position",
    "ROUNDNESS_TOLERANCE": "roundness",
    "STRAIGHTNESS_TOLERANCE": "straightness",
    "SURFACE_PROFILE_TOLERANCE": "surface-profile",
    "SYMMETRY_TOLERANCE": "symmetry",
    "TOTAL_RUNOUT_TOLERANCE": "total-runout",
}
_BASE = "GEOMETRIC_TOLERANCE"
_WITH_DATUMS = "GEOMETRIC_TOLERANCE_WITH_DATUM_REFERENCE"
_WITH_MODIFIERS = "GEOMETRIC_TOLERANCE_WITH_MODIFIERS"
_UNEQUAL = "UNEQUALLY_DISPOSED_GEOMETRIC_TOLERANCE"
_OTHERS = (_BASE, _WITH_DATUMS, _WITH_MODIFIERS, "MODIFIED_GEOMETRIC_TOLERANCE", _UNEQUAL)


class Tolerance(NamedTuple):
    """One tolerance; `at` is the aspect or dimension it is for. See `model.StatedTolerance`."""

    step_id: int
    kind: str
    name: str | None
    value_mm: float | None
    per_mm: float | None
    zone: str | None
    modifiers: tuple[str, ...]
    datums: tuple[DatumReference, ...]
    at: int


class DatumAspect(NamedTuple):
    """A datum's letter and its aspect."""

    step_id: int
    letter: str


def datums(records: Records) -> Iterator[DatumAspect]:
    """Every datum with a letter, in the file's order."""
    for number in records.named("DATUM"):
        if letter := _letter(records, number):
            yield DatumAspect(number, letter)


def tolerances(records: Records) -> Iterator[Tolerance]:
    """Every geometric tolerance, in the file's order; a value that is not known is None."""
    zones = _Zones(records)
    for number in records.named(*KINDS, *_OTHERS):
        keywords = records.keywords(number)
        values = records.simple(number, _BASE)
        if not values:
            values = next(iter(records[number].values()), ())
        size = next(references(at(values, 2)), None)
        place = next(references(at(values, 3)), None)
        if place is None:
            continue
        found = None if size is None else measure(records, size)
        per = next(
            (
                length[0]
                for n in references(
                    at(records.simple(number, "GEOMETRIC_TOLERANCE_WITH_DEFINED_UNIT"), 0)
                )
                if (length := measure(records, n)) is not None and length[1] == "mm"
            ),
            None,
        )
        yield Tolerance(
            number,
            next((KINDS[k] for k in KINDS if k in keywords), "other"),
            described(at(values, 0)),
            found[0] if found is not None and found[1] == "mm" else None,
            per,
            zones.of.get(number),
            tuple(dict.fromkeys(_modifiers(records, number))),
            tuple(_references(records, number, values)),
            place,
        )


class _Zones:
    """Forms of tolerance zones by tolerance."""

    def __init__(self, records: Records) -> None:
        self._records = records

    @cached_property
    def of(self) -> Mapping[int, str]:
        found: dict[int, str] = {}
        records = self._records
        for zone in records.named("TOLERANCE_ZONE"):
            for values in records[zone].values():
                inside = [n for v in values for n in references(v)]
                forms = [
                    form
                    for n in inside
                    for v in records.simple(n, "TOLERANCE_ZONE_FORM")
                    if (form := described(v)) is not None
                ]
                for number in inside if forms else ():
                    if number not in found and _is_tolerance(records, number):
                        found[number] = forms[0]
        return found


def _is_tolerance(records: Records, number: int) -> bool:
    return bool(records.keywords(number) & {*KINDS, *_OTHERS})


def _modifiers(records: Records, number: int) -> Iterator[str]:
    """Modifiers in words: "maximum material requirement", "free state"."""
    for keyword, values in records[number].items():
        if keyword in (_WITH_MODIFIERS, "MODIFIED_GEOMETRIC_TOLERANCE"):
            for value in values:
                yield from map(_spoken, words_in(value))
        elif keyword == _UNEQUAL:
            yield "unequally disposed"
        elif keyword == "GEOMETRIC_TOLERANCE_WITH_MAXIMUM_TOLERANCE":
            yield "with a largest value"


def _references(
    records: Records, number: int, values: tuple[Value, ...]
) -> Iterator[DatumReference]:
    """The datums of a tolerance in their order of precedence."""
    listed = records.simple(number, _WITH_DATUMS) or values[4:5]
    if len(listed) > 1:  # the entity is simple: all attributes stand in one list
        listed = listed[4:5]
    older: list[tuple[float, DatumReference]] = []
    for reference in (n for value in listed for n in references(value)):
        keywords = records.keywords(reference)
        if "DATUM_SYSTEM" in keywords:
            for part in _all_references(records, reference):
                if "DATUM_REFERENCE_COMPARTMENT" in records.keywords(part):
                    yield from _compartment(records, part)
        elif "DATUM_REFERENCE_COMPARTMENT" in keywords:
            yield from _compartment(records, reference)
        elif "DATUM" in keywords:
            if letter := _letter(records, reference):
                yield DatumReference((letter,))
        else:
            for keyword in ("DATUM_REFERENCE", "REFERENCED_MODIFIED_DATUM"):
                whole = records.simple(reference, keyword)
                letters = tuple(filter(None, (_letter(records, n) for n in references(whole))))
                if letters:
                    place = number_in(at(whole, 0))
                    spoken = tuple(map(_spoken, words_in(whole)))
                    older.append((place or 0.0, DatumReference(letters, spoken)))
    yield from (reference for _, reference in sorted(older, key=lambda one: one[0]))


def _compartment(records: Records, number: int) -> Iterator[DatumReference]:
    """One compartment of a frame: a datum, or several that make a common one."""
    letters: list[str] = []
    modifiers: list[str] = []
    waiting = [number]
    seen = {number}
    while waiting:
        one = waiting.pop(0)
        for keyword, values in records[one].items():
            if not keyword.startswith(("DATUM_REFERENCE", "GENERAL_DATUM_REFERENCE")):
                continue
            # name, description, product's shape, product definitional, base, modifiers
            for value in values[4:] if len(values) > 4 else values:
                modifiers += [_spoken(w) for w in words_in(value)]
                for inner in references(value):
                    if letter := _letter(records, inner):
                        letters.append(letter)
                    elif inner not in seen and _leads_on(records, inner):
                        seen.add(inner)
                        waiting.append(inner)
                    else:
                        modifiers += _with_value(records, inner)
    if letters:
        yield DatumReference(tuple(dict.fromkeys(letters)), tuple(dict.fromkeys(modifiers)))


def _leads_on(records: Records, number: int) -> bool:
    return "DATUM_REFERENCE_ELEMENT" in records.keywords(number)


def _with_value(records: Records, number: int) -> list[str]:
    values = records.simple(number, "DATUM_REFERENCE_MODIFIER_WITH_VALUE")
    return [_spoken(word) for value in values for word in words_in(value)]


def _letter(records: Records, number: int) -> str | None:
    """A datum's letter: its last text."""
    for keyword in ("DATUM", "COMMON_DATUM"):
        values = records.simple(number, keyword)
        if values and (said := clean(text_in(values[-1]))):
            return said
    return None


def _all_references(records: Records, number: int) -> Iterator[int]:
    for values in records[number].values():
        for value in values:
            yield from references(value)


def _spoken(word: str) -> str:
    """MAXIMUM_MATERIAL_REQUIREMENT as people write it."""
    return word.replace("_", " ").lower()
