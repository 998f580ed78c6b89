"""Lengths, masses and numbers of things as people read them. All else is in mm, degrees, kg."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

MM_PER_INCH = 25.4
"""Exact by definition (international yard and pound agreement, 1959)."""
KG_PER_POUND = 0.45359237
"""Exact by the same."""
OUNCES_PER_POUND = 16
_LONG_IN = 100.0
_NUMBER = r"\d+(?:\.\d+)?"
_METRIC = re.compile(
    rf"(?<![\w.])(?:({_NUMBER})( to | × ))?({_NUMBER}) (mm[²³]?|m|kg|g)(?![\w²³/])"
)


def counted(number: int, one: str, many: str = "") -> str:
    """So many of something: "1 part", "2 parts"."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def mm_text(value_mm: float, digits: int = 3) -> str:
    """Write a length in mm without trailing zeros: 12.5, 0.4, 20."""
    text = f"{value_mm:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def span_text(span_mm: tuple[float, float], inch: bool = False) -> str:
    """One length or a range, to 0.01 mm or 0.0001 in: "12 mm", "12 to 20 mm"."""
    unit = "in" if inch else "mm"
    low, high = (number_text(value, inch, 3 if inch else 2) for value in span_mm)
    return f"{high} {unit}" if low == high else f"{low} to {high} {unit}"


def number_text(value_mm: float, inch: bool = False, digits: int = 3) -> str:
    """Write a length without its unit: in mm with so many digits, in inch with one more.

    Bars and the like, from 100 in on, have two.
    """
    if not inch:
        return mm_text(value_mm, digits)
    value = value_mm / MM_PER_INCH
    return mm_text(value, min(digits + 1, 2) if abs(value) >= _LONG_IN else digits + 1)


def place_text(z_mm: float, inch: bool = False) -> str:
    """A place along the axis without its unit, to 0.01 mm or 0.0001 in, as ranges have it."""
    return number_text(z_mm, inch, 3 if inch else 2)


def length_text(value_mm: float, inch: bool = False) -> str:
    """Write a length with its unit, in inch for inch shops."""
    if inch:
        return f"{number_text(value_mm, True)} in"
    return f"{mm_text(value_mm)} mm"


def mass_text(mass_kg: float, inch: bool = False) -> str:
    """A mass in kg, below 1 kg in g; for inch shops in pounds, below one in ounces."""
    if not inch:
        grams = mass_kg * 1000.0
        if round(grams) >= 1000:
            return f"{mm_text(mass_kg, 2)} kg"
        if grams >= 9.5 or grams <= 0.0:
            return f"{grams:.0f} g"
        return f"{mm_text(grams, 1 - math.floor(math.log10(grams)))} g"
    pounds = mass_kg / KG_PER_POUND
    if round(pounds, 2) >= 1.0:
        return f"{mm_text(pounds, 2)} lb"
    ounces = OUNCES_PER_POUND * pounds
    return f"{mm_text(ounces, 1 if ounces >= 1.0 else 2)} oz"


def in_unit(words: str, inch: bool) -> str:
    """Words that hold metric lengths and masses, told in inches and pounds where that is wished."""
    return _METRIC.sub(_in_inches, words) if inch else words


def _in_inches(found: re.Match[str]) -> str:
    low, between, high, unit = found.groups()
    value = float(high)
    if unit in ("kg", "g"):
        if low is not None:
            return found[0]
        return mass_text(value if unit == "kg" else value / 1000.0, inch=True)
    power = {"²": 2, "³": 3}.get(unit[-1], 1)
    if power > 1:
        return found[0] if low else f"{value / MM_PER_INCH**power:.3g} in{unit[-1]}"
    scale = 1000.0 if unit == "m" else 1.0
    first = "" if low is None else f"{number_text(scale * float(low), inch=True)}{between}"
    return first + length_text(scale * value, inch=True)


def rounded_up(value_mm: float, inch: bool = False, digits: int = 3) -> float:
    """The next larger length in mm with so few figures in the unit it is told in: "at least"."""
    return _rounded(value_mm, inch, digits, math.ceil)


def rounded_down(value_mm: float, inch: bool = False, digits: int = 3) -> float:
    """The next smaller length in mm with so few figures in the unit it is told in: "at most"."""
    return _rounded(value_mm, inch, digits, math.floor)


def _rounded(value_mm: float, inch: bool, digits: int, to: Callable[[float], int]) -> float:
    unit = MM_PER_INCH if inch else 1.0
    value = value_mm / unit
    if value == 0.0:
        return 0.0
    places = digits - 1 - math.floor(math.log10(abs(value)))
    # what is a hair off a round number only by arithmetic is that number
    scaled = round(value * 10.0**places, 6)
    return round(to(scaled) / 10.0**places, 9) * unit
