"""The keys that a table may hold: types, units, bounds, and what is wrong.

Lengths end in `_mm`; each may be written in inches instead, ending in `_in`, and is converted.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal, TypeAlias, TypeVar

from turnability.units import MM_PER_INCH

_A = TypeVar("_A")
_B = TypeVar("_B")
KeyKind = Literal[
    "text",  # a line of text
    "choice",  # one of `choices`
    "flag",  # true or false
    "number",  # a plain number; the unit, if any, is in the key's name
    "length",  # a length
    "span",  # [least, greatest], two lengths
    "lengths",  # a list of lengths
    "pairs",  # a list of [length, length]
    "polygons",  # a list of lists of [z, r] in mm
    "date",  # a day
]
Words: TypeAlias = str | tuple[str | float, ...]
"""What a message says; a number in it is a length in mm, told in the unit of the file."""
MOST_MM = 100_000.0
LEAST_MM = 0.001
"""No length of a workshop is more (100 m) or, but for 0, less: a slip, or no unit of length."""
_ENTRIES_SHOWN = 5
"""So many wrong values of one list are told each by itself."""
_METRIC = ("length", "span", "lengths", "pairs")
_UNITS = ("mm", "in", "inch", "cm", "m", "um", "deg", "rad", "degrees", "kw", "hp", "w", "rpm")
_WHAT = {
    "text": 'text in quotes, such as "..."',
    "choice": "text in quotes",
    "flag": "true or false",
    "number": "a number",
    "length": "a number",
    "span": "two numbers, [least, greatest]",
    "lengths": "a list of numbers, [a, b, ...]",
    "pairs": "a list of pairs, [[outside, inside], ...]",
    "polygons": "a list of polygons, each a list of points [z, r] in mm",
    "date": "a date without quotes, such as 2027-06-30",
}


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its name with unit, what it holds, whether it must be there, its bounds.

    `single`: a span that may be written as one number.
    """

    name: str
    kind: KeyKind
    about: str
    required: bool = False
    default: Any = None
    choices: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    single: bool = False

    @property
    def inch_name(self) -> str | None:
        """The same key in inches, for lengths."""
        if self.kind in _METRIC and self.name.endswith("_mm"):
            return self.name.removesuffix("_mm") + "_in"
        return None


class Fault(Exception):
    """One thing wrong in a table: at which key (None: the table itself), why, the way out.

    `entry`: at which value of the key's list, from 0.
    """

    def __init__(
        self, key: str | None, cause: Words, remedy: Words, entry: int | None = None
    ) -> None:
        super().__init__(key, cause, remedy, entry)
        self.key = key
        self.entry = entry
        self.cause = cause
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{told(self.cause)}. {told(self.remedy)}"


def told(words: Words, inch: bool = False) -> str:
    """The words as one text, its lengths with their unit."""
    parts = (words,) if isinstance(words, str) else words
    scale, unit = (MM_PER_INCH, "in") if inch else (1.0, "mm")
    return "".join(p if isinstance(p, str) else f"{p / scale:.6g} {unit}" for p in parts)


class Faults(Exception):
    """Several things wrong in one table."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__(faults)
        self.faults = tuple(faults)


def both(first: Callable[[], _A], second: Callable[[], _B]) -> tuple[_A, _B]:
    """Two readings at once, so that both are told where both are wrong. Raises Faults."""
    faults: list[Fault] = []
    read: list[Any] = []
    for reading in (first, second):
        try:
            read.append(reading())
        except Fault as fault:
            faults.append(fault)
        except Faults as several:
            faults += several.faults
    if faults:
        raise Faults(faults)
    return read[0], read[1]


class Checked(dict[str, Any]):
    """A table's values under their metric keys, None or the default where absent.

    `in_inches` are the metric keys whose lengths the file gives in inches.
    """

    in_inches: frozenset[str] = frozenset()

    def but(self, **values: Any) -> Checked:
        """The same table with other values."""
        other = Checked({**self, **values})
        other.in_inches = self.in_inches
        return other

    def size(self, key: str, value_mm: float) -> str:
        """A length as a name holds it: 6.35, or 0.25 in where the file gives `key` in inches."""
        return f"{value_mm / MM_PER_INCH:.6g} in" if key in self.in_inches else f"{value_mm:.6g}"

    def length(self, key: str, value_mm: float) -> str:
        """A length as a sentence holds it: 6.35 mm, or 0.25 in likewise."""
        return told((value_mm,), key in self.in_inches)


def check(table: Mapping[str, Any], keys: Sequence[Key]) -> tuple[Checked, list[Fault]]:
    """The table's values under their metric keys (None or default where absent), and all faults."""
    faults: list[Fault] = []
    known = {key.name for key in keys} | {key.inch_name for key in keys if key.inch_name}
    strange = [name for name in table if name not in known]
    faults += [_unknown(name, keys) for name in strange]
    meant = {_meant(name, keys) for name in strange}  # not also told as missing
    values = Checked()
    values.in_inches = frozenset(k.name for k in keys if k.inch_name and k.inch_name in table)
    for key in keys:
        values[key.name] = key.default
        written = [name for name in (key.name, key.inch_name) if name and name in table]
        if len(written) > 1:
            faults.append(Fault(written[1], f"is given beside {written[0]}", "Keep one of the two"))
        elif written:
            try:
                scale = 1.0 if written[0] == key.name else MM_PER_INCH
                values[key.name] = _value(key, written[0], table[written[0]], scale)
            except Fault as fault:
                faults.append(fault)
            except Faults as several:
                faults += several.faults
        elif key.required and key not in meant:
            also = f" (or {key.inch_name})" if key.inch_name else ""
            faults.append(Fault(None, f"has no {key.name}{also}", f"Add it: {key.about}"))
    return values, faults


def close(word: str, known: Iterable[str]) -> str | None:
    """The known word that is probably meant, None where none is near."""
    return next(iter(difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)), None)


def nearest(word: str, known: Iterable[str]) -> str:
    """A remedy naming the nearest known word, or all of them."""
    names = sorted(known)
    meant = close(word, names)
    return "It may be " + ", ".join(names) if meant is None else f"Did you mean {meant}?"


def _unit_less(name: str) -> tuple[str, str | None]:
    """A key's stem and its unit, None where it carries none."""
    stem, _, unit = name.rpartition("_")
    return (stem, unit) if stem and unit in _UNITS else (name, None)


def _meant(name: str, keys: Sequence[Key]) -> Key | None:
    """The key that an unknown one stands for: the same but for its unit, or nearly the same."""
    stem, _ = _unit_less(name)
    for key in keys:
        base, unit = _unit_less(key.name)
        if unit is not None and base == stem:
            return key
    meant = close(name, (key.name for key in keys))
    return next((key for key in keys if key.name == meant), None)


def _unknown(name: str, keys: Sequence[Key]) -> Fault:
    stem, unit = _unit_less(name)
    key = _meant(name, keys)
    if key is not None and stem == _unit_less(key.name)[0]:
        way = f"Write {key.name}" + (f" or {key.inch_name}" if key.inch_name else "")
        return Fault(name, f"has the unit {unit}" if unit else "says no unit", way)
    return Fault(name, "is no key here", nearest(name, (key.name for key in keys)))


def _value(key: Key, name: str, value: Any, scale: float) -> Any:
    if key.kind == "text":
        if not isinstance(value, str):
            raise _wrong(key, name, value)
        if not value.strip():
            more = "" if key.required else ", or leave this key out"
            raise Fault(name, "is empty", f"Write text between the quotes{more}")
        return value.strip()
    if key.kind == "choice":
        if not isinstance(value, str):
            raise _wrong(key, name, value)
        if value not in key.choices:
            raise Fault(name, f'is "{value}"', nearest(value, key.choices))
        return value
    if key.kind == "flag":
        if not isinstance(value, bool):
            raise _wrong(key, name, value)
        return value
    if key.kind == "date":
        if not isinstance(value, date) or isinstance(value, datetime):
            raise _wrong(key, name, value)
        return value
    if key.kind in ("number", "length"):
        return _number(key, name, value, scale)
    if not isinstance(value, list):
        raise _wrong(key, name, value)
    if key.kind == "polygons":
        return value
    if key.kind == "pairs":
        return _each(name, value, lambda pair: _span(key, name, pair, scale))
    if key.kind == "span":
        low, high = _span(key, name, value, scale)
        if low > high:
            runs = told(("runs from ", low, " down to ", high), scale != 1.0)
            raise Fault(name, runs, "Write the smaller first")
        return (low, high)
    if not value:
        raise Fault(name, "is empty", f"Write {_WHAT[key.kind]}")
    return _each(name, value, lambda entry: _number(key, name, entry, scale))


def _each(name: str, values: Sequence[Any], read: Callable[[Any], _A]) -> list[_A]:
    """All values of a list. Raises Faults with every wrong one; of many the rest are counted."""
    good: list[_A] = []
    faults: list[Fault] = []
    for entry, value in enumerate(values):
        try:
            good.append(read(value))
        except Fault as fault:
            faults.append(Fault(fault.key, fault.cause, fault.remedy, entry))
    if faults:
        raise Faults(shortened(name, faults))
    return good


def shortened(name: str, faults: Sequence[Fault]) -> list[Fault]:
    """The faults of one list's values, those beyond the first few as one."""
    shown = list(faults[:_ENTRIES_SHOWN])
    if more := len(faults) - len(shown):
        cause = "is wrong too" if more == 1 else f"and {more - 1} more after it are wrong too"
        shown.append(Fault(name, cause, "Mend them likewise", faults[_ENTRIES_SHOWN].entry))
    return shown


def _span(key: Key, name: str, value: Any, scale: float) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise _wrong(key, name, value)
    return (_number(key, name, value[0], scale), _number(key, name, value[1], scale))


def _number(key: Key, name: str, value: Any, scale: float) -> float:
    """The number, lengths in mm, within the key's bounds. Raises Fault."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _wrong(key, name, value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise Fault(name, f"is {number}", "Write a finite number")
    if key.kind != "number":
        return _length(key, name, number * scale, scale != 1.0)
    if key.least is not None and number < key.least:
        raise Fault(name, f"is {number:g}", f"Write at least {key.least:g}")
    if key.most is not None and number > key.most:
        raise Fault(name, f"is {number:g}", f"Write at most {key.most:g}")
    return number


def _length(key: Key, name: str, value_mm: float, inch: bool) -> float:
    if key.least is None and value_mm <= 0.0:
        raise Fault(name, told(("is ", value_mm), inch), "Write a length greater than 0")
    least = key.least or 0.0
    if least >= 0.0 and value_mm > 0.0:  # deviations may be negative, and as small as they like
        least = max(least, LEAST_MM)
    most = MOST_MM if key.most is None else key.most
    if value_mm < least:
        raise Fault(name, told(("is ", value_mm), inch), told(("Write at least ", least), inch))
    if value_mm > most:
        raise Fault(name, told(("is ", value_mm), inch), told(("Write at most ", most), inch))
    return value_mm


def _wrong(key: Key, name: str, value: Any) -> Fault:
    kind = "length" if key.kind == "lengths" and not isinstance(value, list) else key.kind
    what = _WHAT[kind]
    if key.single:
        what = "one number, or two, [least, greatest],"
    if kind == "length" or key.single:
        what += " without its unit, in inch" if name.endswith("_in") else " without its unit, in mm"
    return Fault(name, f"is {_shown(value)}", f"Write {what}")


def _shown(value: Any) -> str:
    shown = f'the text "{value}"' if isinstance(value, str) else str(value).lower()
    return shown if len(shown) <= 40 else shown[:37] + "..."
