"""Lengths as people read them. Everything else in the program is in mm and degrees."""

from __future__ import annotations

MM_PER_INCH = 25.4
"""Exact by definition (international yard and pound agreement, 1959)."""


def mm_text(value_mm: float, digits: int = 3) -> str:
    """Write a length in mm without trailing zeros: 12.5, 0.4, 20."""
    text = f"{value_mm:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def span_text(span_mm: tuple[float, float], inch: bool = False) -> str:
    """One length or a range: "12 mm", "12 to 20 mm"."""
    low, high = span_mm
    whole = length_text(high, inch)
    if length_text(low, inch) == whole:
        return whole
    return f"{length_text(low, inch).rsplit(' ', 1)[0]} to {whole}"


def length_text(value_mm: float, inch: bool = False) -> str:
    """Write a length with its unit, in inch for inch shops."""
    if inch:
        return f"{mm_text(value_mm / MM_PER_INCH, 4)} in"
    return f"{mm_text(value_mm)} mm"
