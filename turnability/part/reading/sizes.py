"""Dimensions that a STEP file states, with their limits or fit (ISO 10303-47)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from turnability.part.model import SizeKind
from turnability.part.reading.aspects import LOCATIONS, SIZES, Aspects
from turnability.part.reading.measures import Unit, measure
from turnability.part.reading.names import clean
from turnability.part.reading.records import Records, at, references, text_in

CONTRADICTION = "lower limit not below the upper"
"""Stands among the modifiers where a file's limits cannot be meant; they are left away."""


class Size(NamedTuple):
    """One dimension; `at` and `to` are shape aspects. See `model.StatedSize` for the rest."""

    step_id: int
    kind: SizeKind
    what: str
    unit: Unit
    nominal: float | None
    least: float | None
    largest: float | None
    fit: str | None
    modifiers: tuple[str, ...]
    at: int
    to: int | None


class _Values(NamedTuple):
    nominal: float | None = None
    least: float | None = None
    largest: float | None = None
    unit: Unit = "mm"
    modifiers: tuple[str, ...] = ()


class Sizes:
    """The dimensions of one file."""

    def __init__(self, records: Records, aspects: Aspects) -> None:
        self._records = records
        self._aspects = aspects

    def all(self) -> Iterator[Size]:
        """Every dimension that states a value or a fit, in the file's order."""
        for number in self._records.named(*SIZES, *LOCATIONS):
            size = self._size(number)
            if size is not None:
                yield size

    def _size(self, number: int) -> Size | None:
        keywords = self._records.keywords(number)
        to: int | None = None
        place: int | None
        if keywords & set(LOCATIONS):
            place, to = self._aspects.ends(number)
        else:
            place = self._aspects.sized(number)
        fit = next(filter(None, map(self._fit, self._ranges.get(number, ()))), None)
        values = self._values(number)
        if place is None or (values.nominal, values.least, values.largest, fit) == (None,) * 4:
            return None
        least, largest = values.least, values.largest
        for tolerance in self._ranges.get(number, ()):
            below, above = self._deviations(tolerance, values.unit)
            if values.nominal is not None and below is not None and above is not None:
                least = round(values.nominal + below, 9)
                largest = round(values.nominal + above, 9)
        modifiers = values.modifiers
        if least is not None and largest is not None and least >= largest:
            # Some writers lose the lower deviation's sign; the standard wants it below the upper.
            least = largest = None
            modifiers = (*modifiers, CONTRADICTION)
        what = self._what(number)
        kind = _kind(what, bool(keywords & set(LOCATIONS)), values.unit)
        return Size(
            number,
            kind,
            what,
            values.unit,
            values.nominal,
            least,
            largest,
            fit,
            modifiers,
            place,
            to,
        )

    def _what(self, number: int) -> str:
        """The file's word for what is measured."""
        records = self._records
        for keyword in LOCATIONS:
            if said := text_in(at(records.simple(number, keyword), 0)):
                return clean(said)
        for keyword in SIZES:
            said = next(
                (t for v in reversed(records.simple(number, keyword)) if (t := text_in(v))), ""
            )
            if said:
                return clean(said)
        return clean(text_in(at(records.simple(number, "SHAPE_ASPECT_RELATIONSHIP"), 0)))

    @cached_property
    def _ranges(self) -> Mapping[int, list[int]]:
        """Tolerance values, limits and fits by dimension."""
        found: dict[int, list[int]] = {}
        for number in self._records.named("PLUS_MINUS_TOLERANCE"):
            ends = [
                n
                for v in self._records.simple(number, "PLUS_MINUS_TOLERANCE")
                for n in references(v)
            ]
            if len(ends) == 2:
                found.setdefault(ends[1], []).append(ends[0])
        return found

    def _fit(self, number: int) -> str | None:
        """A class such as "H7": form variance (the letter), zone variance, grade."""
        values = self._records.simple(number, "LIMITS_AND_FITS")
        if not values:
            return None
        letter, zone, grade = (clean(text_in(at(values, place))) for place in range(3))
        # Capitals are holes, small letters shafts (ISO 286-1); the zone says which was meant.
        if "shaft" in zone.lower():
            letter = letter.lower()
        elif "hole" in zone.lower():
            letter = letter.upper()
        bare = grade.upper().removeprefix("IT").strip()
        return f"{letter}{bare}" or None

    def _deviations(self, number: int, unit: Unit) -> tuple[float | None, float | None]:
        """Lower and upper deviation, in the unit of the dimension."""
        ends = [n for v in self._records.simple(number, "TOLERANCE_VALUE") for n in references(v)]
        if len(ends) != 2:
            return None, None
        found = [measure(self._records, n) for n in ends]
        known = [f[0] for f in found if f is not None and f[1] == unit]
        return (known[0], known[1]) if len(known) == 2 else (None, None)

    def _values(self, number: int) -> _Values:
        """What a dimension's representations say of it."""
        nominal = least = largest = None
        unit: Unit = "mm"
        modifiers: dict[str, None] = {}
        for item in self._items.get(number, ()):
            record = self._records[item]
            found = measure(self._records, item)
            if found is None:
                # A note: "theoretical", "auxiliary", "2X", "envelope requirement" and the like.
                for values in record.values():
                    if note := _note(text_in(at(values, 1)), text_in(at(values, 0))):
                        modifiers[note] = None
                continue
            words = list(self._qualifiers(item))
            modifiers.update(dict.fromkeys(words))
            name = self._name(item)
            value, unit = found
            if "upper limit" in name:
                largest = value
            elif "lower limit" in name:
                least = value
            elif nominal is None:
                nominal = value
                largest = value if "maximum" in words else largest
                least = value if "minimum" in words else least
        return _Values(nominal, least, largest, unit, tuple(modifiers))

    def _name(self, item: int) -> str:
        for keyword in ("REPRESENTATION_ITEM", "MEASURE_REPRESENTATION_ITEM"):
            values = self._records.simple(item, keyword)
            if said := text_in(at(values, 0)):
                return said.lower()
        return ""

    def _qualifiers(self, item: int) -> Iterable[str]:
        for value in self._records.simple(item, "QUALIFIED_REPRESENTATION_ITEM"):
            for number in references(value):
                said = clean(text_in(at(self._records.simple(number, "TYPE_QUALIFIER"), 0)))
                if said and said != "designed":
                    yield said

    @cached_property
    def _items(self) -> Mapping[int, list[int]]:
        """Items of the representations of each dimension."""
        found: dict[int, list[int]] = {}
        for link in self._records.named("DIMENSIONAL_CHARACTERISTIC_REPRESENTATION"):
            ends = self._records.text.references(link)
            if len(ends) != 2:
                continue
            for keyword in ("SHAPE_DIMENSION_REPRESENTATION", "REPRESENTATION"):
                values = self._records.simple(ends[1], keyword)
                items = list(references(at(values, 1)))
                found.setdefault(ends[0], []).extend(items)
        return found


def _note(text: str, name: str) -> str | None:
    """A note's own text; of one without, nothing."""
    return clean(text) if text and name in ("dimensional note", "") else None


def _kind(what: str, between: bool, unit: Unit) -> SizeKind:
    """By the names that the recommended practice gives to dimensions."""
    if unit == "deg":
        return "angle"
    said = what.lower()
    if "diameter" in said:
        return "diameter"
    if "radius" in said:
        return "radius"
    if between or "distance" in said:
        return "distance"
    if any(word in said for word in ("length", "thickness", "width", "height", "depth")):
        return "length"
    return "other"
