"""A name for each finding that stays from revision to revision of a part.

Made of part, rule and place; not of the numbers of findings, features or faces, which change with
every export, nor of z's direction.
"""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.model import Finding

_STEP_MM = 0.1
_OFFSET_MM = 0.0314
"""Where one step gives way to the next: at no size that anybody draws, in mm or in inch."""


def fingerprints(report: Report) -> dict[str, str]:
    """By finding's id: 32 hexadecimal digits, those of equal places with their count."""
    source, profile = report.part.source, report.part.profile
    length = None if profile is None else profile.length_mm
    seen: Counter[str] = Counter()
    made = {}
    for finding in report.findings:
        solid = source.solid if source.solids > 1 else None
        words = repr((report.name, solid, finding.rule, *_place(finding, length)))
        digest = hashlib.sha256(words.encode("utf-8", "replace")).hexdigest()[:32]
        seen[digest] += 1
        made[finding.id] = digest if seen[digest] == 1 else f"{digest}:{seen[digest]}"
    return made


def _place(finding: Finding, length_mm: float | None) -> tuple[object, object]:
    z, diameter = finding.where.z_mm, finding.where.diameter_mm
    rounded = None
    if z is not None:
        ways = [z] if length_mm is None else [z, (length_mm - z[1], length_mm - z[0])]
        rounded = min(_rounded(way) for way in ways)
    return rounded, None if diameter is None else _rounded(diameter)


def _rounded(ends: tuple[float, float]) -> tuple[int, int]:
    low, high = (math.floor((end + _OFFSET_MM) / _STEP_MM) for end in ends)
    return low, high
