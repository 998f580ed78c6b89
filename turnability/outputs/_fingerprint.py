"""A name for each finding that stays from revision to revision of a part.

Made of part, rule, diameters and how far the place runs along z; not of the numbers of findings,
features or faces, which change with every export, nor of where along z it lies: that moves when
the part becomes longer somewhere or is exported turned end for end. Places that are alike in all
this are counted from the nearest end.
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
    for finding in sorted(report.findings, key=lambda one: _from_nearest_end(one, length)):
        solid = source.solid if source.solids > 1 else None
        words = repr((report.name, solid, finding.rule, *_place(finding, length)))
        digest = hashlib.sha256(words.encode("utf-8", "replace")).hexdigest()[:32]
        seen[digest] += 1
        made[finding.id] = digest if seen[digest] == 1 else f"{digest}:{seen[digest]}"
    return made


def _from_nearest_end(finding: Finding, length_mm: float | None) -> tuple[float, float]:
    """For sorting: steps from the nearest end, then along z where both ends are as near."""
    z = finding.where.z_mm
    if z is None:
        return (0.0, 0.0)
    near = z[0] if length_mm is None else min(z[0], length_mm - z[1])
    return (_steps(near), z[0])


def _place(finding: Finding, length_mm: float | None) -> tuple[object, object]:
    z, diameter = finding.where.z_mm, finding.where.diameter_mm
    along: object = None
    if z is not None:
        whole = length_mm is not None and z[1] - z[0] > length_mm - _STEP_MM
        along = "all of it" if whole else _steps(z[1] - z[0])
    return along, None if diameter is None else tuple(_steps(end) for end in diameter)


def _steps(value_mm: float) -> int:
    return math.floor((value_mm + _OFFSET_MM) / _STEP_MM)
