"""Which thread a hole is drilled for: its tapping drill, and how wide the hole may be."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from turnability.features.standards import rows
from turnability.features.standards.threads import SAME_PITCH, ThreadSize, thread_sizes

SAME_MM = 0.02
"""A hole this near a tapping drill's size is drawn with it."""
_INCH = 25.4
_FRACTION = re.compile(r"(?:(\d+)-)?(\d+)/(\d+)")


@dataclass(frozen=True, slots=True)
class TappingHole:
    """A thread and its tapping drill."""

    thread: ThreadSize
    drill: str
    drill_mm: float

    @property
    def limits_mm(self) -> tuple[float, float]:
        """Between which the hole may lie before it is tapped: the nut's minor diameter.

        The tables' limits of metric threads are of grade 8, 1.6 times the usual 6H.
        """
        least, most = self.thread.inner_mm
        return (least, least + (most - least) / (1.6 if self.thread.form == "metric" else 1.0))


def tapping_hole(diameter_mm: float) -> TappingHole | None:
    """The thread whose tapping drill has this diameter, coarse before fine; None for others.

    Nor for whole millimetres: holes of 5 mm are drawn for much else than M6.
    """
    if abs(diameter_mm - round(diameter_mm)) <= SAME_MM:
        return None
    near = [hole for hole in tapping_holes() if abs(hole.drill_mm - diameter_mm) <= SAME_MM]
    return min(
        near,
        key=lambda hole: (
            round(abs(hole.drill_mm - diameter_mm), 3),
            hole.thread.series not in ("coarse", "UNC"),
            hole.thread.major_mm,
        ),
        default=None,
    )


def tapping_hole_of(major_mm: float, pitch_mm: float) -> TappingHole | None:
    """The tapping hole of a thread by its diameter and pitch; None where no table has a drill."""
    return next(
        (
            hole
            for hole in tapping_holes()
            if abs(hole.thread.major_mm - major_mm) <= SAME_MM
            and abs(hole.thread.pitch_mm - pitch_mm) <= SAME_PITCH * pitch_mm
        ),
        None,
    )


@cache
def tapping_holes() -> tuple[TappingHole, ...]:
    """Metric and unified threads with the drills that their tables name."""
    sizes = {size.designation: size for size in thread_sizes()}
    metric = [
        TappingHole(sizes[row["designation"]], f"{row['tap_drill']} mm", float(row["tap_drill"]))
        for row in rows("thread_metric")
        if row["series"] != "further"
    ]
    unified = [
        TappingHole(sizes[row["designation"]], _called(drill), drill_mm)
        for row in rows("thread_unified")
        for drill in (row["tap_drill"],)
        if (drill_mm := drill_of(drill)) is not None
    ]
    return (*metric, *unified)


def drill_of(name: str) -> float | None:
    """Diameter in mm of a drill called by a number, a letter or a fraction of an inch."""
    named = next((row for row in rows("drill_names") if row["name"] == name), None)
    if named is not None:
        return float(named["inch"]) * _INCH
    fraction = _FRACTION.fullmatch(name)
    if fraction is None:
        return None
    whole, top, bottom = fraction.groups()
    return (int(whole or 0) + int(top) / int(bottom)) * _INCH


def _called(drill: str) -> str:
    return f"{drill} in" if "/" in drill else f"drill {drill}"
