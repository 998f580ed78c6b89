"""Thread reliefs of DIN 76-1, measured against the thread that they belong to.

Outside: groove diameter d less an offset (h13, up to M3 h12), inside: D plus one (H13); its length
from the shoulder lies between g1 (floor) and g2 (with the flank), the flank at least 30 degrees.
Outside the long form is A and the short one B, inside C and D.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.reliefs import Relief
from turnability.features.standards import DRAWN_MM, Row, grade_mm, rows

KINDS: tuple[FeatureKind, ...] = ("groove", "recess")
_FLANK_DEG = 29.0
_TAN_FLANK = math.tan(math.radians(30.0))
_SAME_PITCH = 0.005
_FORMS: dict[str, tuple[tuple[Literal["A", "B", "C", "D"], str, str], ...]] = {
    "outer": (("A", "g1_min", "g2_max"), ("B", "g1_short", "g2_short")),
    "inner": (("C", "g1_min", "g2_max"), ("D", "g1_short", "g2_short")),
}
_FINER_TO_MM = 3.0
"""Up to this thread dg is held to h12 outside (DIN 76-1; GB/T 3 says the same)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """A form and pitch (mm, as printed) that a relief agrees with; its diameter's residual (mm)."""

    form: Literal["A", "B", "C", "D"]
    pitch: str
    off_mm: float


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """The relief's form and pitch where it ends a thread of that pitch."""
    if one.relief is None:
        return []
    side: Literal["outer", "inner"] = "outer" if one.kind == "groove" else "inner"
    matches = []
    for thread in found:
        major, pitch = thread.parameters.get("major_mm"), thread.parameters.get("pitch_mm")
        if thread.kind != "thread" or thread.surface != side:
            continue
        if not isinstance(major, float | int) or not isinstance(pitch, float | int):
            continue
        if not _beside(one, thread, pitch):
            continue
        floor = one.diameter_mm[0] if side == "outer" else one.diameter_mm[1]
        for fit in fitting(one.relief, side, major, floor, pitch):
            matches.append(StandardMatch("DIN 76-1", f"{fit.form} P{fit.pitch}", fit.off_mm))
    return matches[:1]


def limits_of(pitch_mm: float) -> Row | None:
    """The row of outside threads for a pitch: run-out x1 and distance to the shoulder a1."""
    for row in rows("thread_undercut_metric"):
        if row["side"] == "external" and abs(float(row["pitch"]) / pitch_mm - 1.0) <= _SAME_PITCH:
            return row
    return None


def relief_mm(major_mm: float, pitch_mm: float, side: Literal["outer", "inner"]) -> float | None:
    """Diameter of the standard's relief behind a thread; None for a pitch that it has not."""
    for row in rows("thread_undercut_metric"):
        if (row["side"] == "external") != (side == "outer"):
            continue
        if abs(float(row["pitch"]) / pitch_mm - 1.0) <= _SAME_PITCH:
            offset = float(row["dg_offset"])
            return major_mm - offset if side == "outer" else major_mm + offset
    return None


def fitting(
    relief: Relief,
    side: Literal["outer", "inner"],
    major_mm: float,
    floor_mm: float,
    pitch_mm: float | None = None,
) -> Iterator[Fit]:
    """The forms and pitches that the relief agrees with, of each pitch the long form first."""
    for row in rows("thread_undercut_metric"):
        if (row["side"] == "external") != (side == "outer"):
            continue
        pitch = float(row["pitch"])
        if pitch_mm is not None and abs(pitch / pitch_mm - 1.0) > _SAME_PITCH:
            continue
        if relief.ramp_deg < _FLANK_DEG or relief.face is not None:
            continue
        offset = float(row["dg_offset"])
        nominal = major_mm - offset if side == "outer" else major_mm + offset
        if nominal <= 0.0:
            continue
        off = floor_mm - nominal
        over = off if side == "inner" else -off
        finer = side == "outer" and major_mm <= _FINER_TO_MM + DRAWN_MM
        if not -DRAWN_MM <= over <= grade_mm(nominal, 12 if finer else 13) + DRAWN_MM:
            continue
        for form, least, most in _FORMS[side]:
            if row[most] and _is_so_long(relief, float(row[least]), float(row[most]), offset):
                yield Fit(form, row["pitch"], off)
                break


def _is_so_long(relief: Relief, least: float, most: float, offset: float) -> bool:
    """Its floor is as long as g1 and all of it no longer than g2; at 30 degrees, g2 leaves less
    floor than g1 for some pitches."""
    floor = min(least, most - 0.5 * offset / _TAN_FLANK)
    return relief.length_mm <= most + DRAWN_MM and relief.floor_mm >= floor - DRAWN_MM


def _beside(one: Found, thread: Found, pitch: float) -> bool:
    """The hollow begins where the thread ends, within a pitch, or lies at its end."""
    gaps = (one.z_mm[0] - thread.z_mm[1], thread.z_mm[0] - one.z_mm[1])
    if max(gaps) > pitch:
        return False
    middle = 0.5 * (one.z_mm[0] + one.z_mm[1])
    return not thread.z_mm[0] + pitch < middle < thread.z_mm[1] - pitch
