"""Lengths as people read them. Everything else in the program is in mm and degrees."""

from __future__ import annotations

MM_PER_INCH = 25.4
"""Exact by definition (international yard and pound agreement, 1959)."""


def mm_text(value_mm: float, digits: int = 3) -> str:
    """Write a length in mm without trailing zeros: 12.5, 0.4, 20."""
    text = f"{value_mm:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def span_text(span_mm: tuple[float, float], inch: bool = False) -> str:
    """One length or a range, to 0.01 mm or 0.001 in: "12 mm", "12 to 20 mm"."""
    unit, scale, digits = ("in", MM_PER_INCH, 3) if inch else ("mm", 1.0, 2)
    low, high = (mm_text(value / scale, digits) for value in span_mm)
    return f"{high} {unit}" if low == high else f"{low} to {high} {unit}"


def number_text(value_mm: float, inch: bool = False, digits: int = 3) -> str:
    """Write a length without its unit: in mm with so many digits, in inch with one more."""
    return mm_text(value_mm / MM_PER_INCH, digits + 1) if inch else mm_text(value_mm, digits)


def length_text(value_mm: float, inch: bool = False) -> str:
    """Write a length with its unit, in inch for inch shops."""
    if inch:
        return f"{mm_text(value_mm / MM_PER_INCH, 4)} in"
    return f"{mm_text(value_mm)} mm"
