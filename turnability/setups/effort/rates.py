"""Minutes that each thing at a lathe takes: common practice without a source, from memory."""

from __future__ import annotations

from turnability.cited import Cited
from turnability.intent.fits import FitClass, fit_limits


def _rate(value: float, unit: str, place: str) -> Cited:
    return Cited(value, unit, "common practice", f"{place}, from memory", verified=False)


RATES = {
    "setup": _rate(15.0, "min", "making ready one chucking, once an order"),
    "loading": _rate(2.0, "min", "loading and unloading one chucking, each piece"),
    "set over": _rate(8.0, "min", "setting work over by a dial in independent jaws, each piece"),
    "tailstock": _rate(15.0, "min", "setting a tailstock over and back, once an order"),
    "tool": _rate(4.0, "min", "setting one tool, once an order"),
    "change": _rate(0.5, "min", "changing tools, each piece"),
    "air": _rate(2.0, "-", "time at the lathe over time in the cut"),
    "program": _rate(20.0, "min", "beginning a program and its papers, once an order"),
    "program chucking": _rate(10.0, "min", "origin, stock, way in and dry run, once an order"),
    "program tool": _rate(3.0, "min", "calling and proving one tool, once an order"),
    "straight": _rate(1.0, "min", "programming one cylinder or face, once an order"),
    "sloped": _rate(1.5, "min", "programming one taper or chamfer, once an order"),
    "arc": _rate(2.0, "min", "programming one arc, once an order"),
    "curve": _rate(5.0, "min", "programming one free curve and its points, once an order"),
    "read": _rate(10.0, "min", "reading the drawing for manual work, once an order"),
    "outside thread": _rate(6.0, "min", "cutting an outside thread in passes, each piece"),
    "inside thread": _rate(10.0, "min", "cutting an inside thread in passes, each piece"),
    "tapped": _rate(1.5, "min", "tapping, each piece"),
    "tolerance": _rate(0.5, "min", "measuring and trial cuts for a width of 0.005 in, first piece"),
    "again": _rate(0.25, "-", "the same for each further piece over the first: dials are set"),
    "grinding": _rate(20.0, "min", "making a grinding machine ready, once an order"),
    "ground": _rate(8.0, "min", "grinding, honing or lapping one surface, each piece"),
    "steeper": _rate(
        1.5, "-", "exponent of that time over the width: 5 to 3 thousandths more than doubles it"
    ),
}
FIVE_THOU_MM = 0.127
TAPPED_UP_TO_MM = 16.0
"""Tapping is the easier way only below about M16 (common practice, no source)."""
_TIGHTEST_MM = 0.004
ORDINARY_GRADE = 11
"""Turning holds IT11 without more ado, measured by a caliper: that costs nothing. Of IT8 to IT11,
which handbooks give for turning (from memory), the finer ones are approached by a micrometer."""


def tolerance_minutes(width_mm: float, nominal_mm: float | None = None) -> float:
    """Measuring and trial cuts for one size of this tolerance on the first piece.

    Less what the ordinary grade of the nominal size takes, where that is known: no more than
    that is none.
    """
    ordinary = None
    if nominal_mm is not None:
        ordinary = fit_limits(FitClass("h", ORDINARY_GRADE), abs(nominal_mm)).width_mm
    if ordinary is None:
        return _approach_min(width_mm)
    return max(0.0, _approach_min(width_mm) - _approach_min(ordinary.value))


def _approach_min(width_mm: float) -> float:
    tight = FIVE_THOU_MM / max(width_mm, _TIGHTEST_MM)
    return float(RATES["tolerance"].value * tight ** RATES["steeper"].value)


def thread_minutes(inside: bool, diameter_mm: float) -> float:
    """One thread, each piece: tapped where it is inside and small, else cut in passes."""
    if inside and diameter_mm <= TAPPED_UP_TO_MM:
        return RATES["tapped"].value
    return RATES["inside thread" if inside else "outside thread"].value
