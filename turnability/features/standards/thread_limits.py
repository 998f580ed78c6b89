"""Between which limits the crest of a thread is turned or bored: the bolt's major, the nut's minor.

Of a thread whose class nothing states the usual one is taken: 6g and 6H, below 1.6 mm 6h and 5H
(ISO 965-1), 2A and 2B (ASME B1.1), class A of ISO 228-1. A trapezoidal thread's crest has the same
limits in every class (ISO 2903).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from turnability.features.standards import Row, rows
from turnability.features.standards.threads import SAME_PITCH, Side, ThreadSize

_INCH = 25.4
_STATED = re.compile(r"(?<![\w.])((?:[3-9][a-hA-H]){1,2}|[123][AB])(?![\w])")
_LEAST_METRIC_MM = 1.6
"""Below this diameter the usual classes are others (ISO 965-1: 6h, 5H)."""
_CREST_CLASS = re.compile(r"(?P<grade>\d)(?:(?P<outer>[efgh])|(?P<inner>[GH]))")
_SHORT_INCH = 0.25
_COARSE_INCH = 1.0 / 12.5
"""Pitches of 12 to the inch and coarser (class 3B)."""


@dataclass(frozen=True, slots=True)
class CrestLimits:
    """Least and greatest diameter of the crest in mm, the class, and whether it was stated."""

    low_mm: float
    high_mm: float
    called: str
    standard: str
    stated: bool


def crest_limits(size: ThreadSize, side: Side, designation: str = "") -> CrestLimits | None:
    """The crest's limits for the class that the designation states, else for the usual one.

    None where the class is one that no table here holds.
    """
    stated = class_of(designation)
    if size.form == "metric":
        return _metric(size, side, stated)
    if size.form == "unified":
        return _unified(size, side, stated)
    if size.form == "trapezoidal":
        return _trapezoidal(size, side, stated)
    if stated is None and size.form == "pipe-parallel":
        span = size.outer_mm if side == "outer" else size.inner_mm
        called = "class A" if side == "outer" else "its only class"
        return CrestLimits(*span, called, "ISO 228-1", False)
    return None


def class_of(designation: str) -> str | None:
    """The tolerance class that a designation ends with: "6h" of "M12-6h", "5g6g", "2A"."""
    found = _STATED.findall(designation.replace("-", " "))
    return str(found[-1]) if found else None


def _metric(size: ThreadSize, side: Side, stated: str | None) -> CrestLimits | None:
    row = _row("thread_tolerance_metric", size.pitch_mm)
    usual = ("6g", "6H") if size.major_mm >= _LEAST_METRIC_MM else ("6h", "5H")
    called = stated or usual[side == "inner"]
    crest = _CREST_CLASS.fullmatch(called[-2:])  # of two, such as 5g6g, the second is the crest's
    letter = None if crest is None else crest[side]
    if row is None or crest is None or letter is None:
        return None
    width = row.get(f"{'td' if side == 'outer' else 'td1'}_{crest['grade']}")
    off = "0" if letter in "hH" else row[letter.lower()]
    if not width or not off:
        return None
    if side == "outer":
        high = size.major_mm - float(off)
        low = high - float(width)
    else:
        low = size.minor_inside_mm + float(off)
        high = low + float(width)
    return CrestLimits(low, high, called, "ISO 965-1", stated is not None)


def _trapezoidal(size: ThreadSize, side: Side, stated: str | None) -> CrestLimits | None:
    """Position h or H and grade 4 always: a class says where the pitch diameter lies."""
    row = _row("thread_tolerance_trapezoidal", size.pitch_mm)
    fits = stated is None or (stated[-1] in ("ce" if side == "outer" else "H"))
    if row is None or not fits:
        return None
    if side == "outer":
        low, high = size.major_mm - float(row["td_4"]), size.major_mm
    else:
        low, high = size.minor_inside_mm, size.minor_inside_mm + float(row["td1_4"])
    return CrestLimits(low, high, stated or "every class", "ISO 2903", True)


def _row(table: str, pitch_mm: float) -> Row | None:
    near = SAME_PITCH * pitch_mm
    return next((r for r in rows(table) if abs(float(r["pitch"]) - pitch_mm) <= near), None)


def _unified(size: ThreadSize, side: Side, stated: str | None) -> CrestLimits | None:
    """By the formulas of ASME B1.1 (from memory), in inch and to its four or three places."""
    called = stated or ("2A" if side == "outer" else "2B")
    p, d = size.pitch_mm / _INCH, size.major_mm / _INCH
    two_thirds = p ** (2.0 / 3.0)
    if side == "outer" and called in ("1A", "2A", "3A"):
        engaged = d if size.series in ("UNC", "UNF") else 9.0 * p
        on_flank = 0.0015 * d ** (1.0 / 3.0) + 0.0015 * math.sqrt(engaged) + 0.015 * two_thirds
        allowance = 0.0 if called == "3A" else round(0.3 * on_flank, 4)
        high = round(d - allowance, 4)
        low = round(high - round((0.09 if called == "1A" else 0.06) * two_thirds, 4), 4)
    elif side == "inner" and called in ("1B", "2B", "3B"):
        low = size.minor_inside_mm / _INCH
        fine = 0.05 * two_thirds + 0.03 * p / d - 0.002
        if called == "3B":
            least = 0.12 * p if p > _COARSE_INCH else 0.23 * p - 1.5 * p * p
            high = round(low + min(max(fine, least), 0.394 * p), 4)
        else:
            wide = 0.25 * p - 0.4 * p * p
            high = round(low + (min(max(fine, wide), 0.394 * p) if d < _SHORT_INCH else wide), 3)
        low = round(low, 3)
    else:
        return None
    return CrestLimits(low * _INCH, high * _INCH, called, "ASME B1.1", stated is not None)
