"""Between which limits the crest of a thread is turned or bored: the bolt's major, the nut's minor.

Of a thread whose class nothing states the usual one is taken: 6g and 6H (ISO 965-1), 2A and 2B
(ASME B1.1), and
class A of ISO 228-1.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from turnability.features.standards import rows
from turnability.features.standards.threads import SAME_PITCH, Side, ThreadSize

_INCH = 25.4
_STATED = re.compile(r"(?<![\w.])((?:[3-9][a-hA-H]){1,2}|[123][AB])(?![\w])")
_LEAST_METRIC_MM = 1.6
"""Below this diameter the usual classes are others (ISO 965-1: 6h, 5H)."""
_SHORT_INCH = 0.25


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
    row = next(
        (
            r
            for r in rows("thread_tolerance_metric")
            if abs(float(r["pitch"]) - size.pitch_mm) <= SAME_PITCH * size.pitch_mm
        ),
        None,
    )
    if row is None or (stated is None and size.major_mm < _LEAST_METRIC_MM):
        return None
    called = stated or ("6g" if side == "outer" else "6H")
    crest = called[-2:]  # of two, such as 5g6g, the second is the crest's
    if side == "outer" and crest in ("6g", "6h"):
        high = size.major_mm - (float(row["g"]) if crest == "6g" else 0.0)
        low = high - float(row["td_6"])
    elif side == "inner" and crest == "6H":
        low = size.minor_inside_mm
        high = low + float(row["td1_6"])
    else:
        return None
    return CrestLimits(low, high, called, "ISO 965-1", stated is not None)


def _unified(size: ThreadSize, side: Side, stated: str | None) -> CrestLimits | None:
    """By the formulas of ASME B1.1 (from memory), in inch and to its four or three places."""
    called = stated or ("2A" if side == "outer" else "2B")
    p, d = size.pitch_mm / _INCH, size.major_mm / _INCH
    if side == "outer" and called == "2A":
        engaged = d if size.series in ("UNC", "UNF") else 9.0 * p
        two_thirds = p ** (2.0 / 3.0)
        on_flank = 0.0015 * d ** (1.0 / 3.0) + 0.0015 * math.sqrt(engaged) + 0.015 * two_thirds
        high = round(d - round(0.3 * on_flank, 4), 4)
        low = round(high - round(0.06 * two_thirds, 4), 4)
    elif side == "inner" and called == "2B":
        wide = 0.25 * p - 0.4 * p * p
        if d < _SHORT_INCH:
            wide = min(max(0.05 * p ** (2.0 / 3.0) + 0.03 * p / d - 0.002, wide), 0.394 * p)
        low = size.minor_inside_mm / _INCH
        high = low + wide
        low, high = round(low, 3), round(high, 3)
    else:
        return None
    return CrestLimits(low * _INCH, high * _INCH, called, "ASME B1.1", stated is not None)
