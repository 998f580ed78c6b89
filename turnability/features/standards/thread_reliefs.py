"""Thread reliefs of DIN 76-1, measured against the thread that they belong to.

Outside: groove diameter d less an offset (h13), inside: D plus one (H13); its length from the
shoulder lies between g1 (floor) and g2 (with the flank), the flank at least 30 degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
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
        for row, off in fitting(one.relief, side, major, floor, pitch):
            form = "A" if side == "outer" else "C"
            matches.append(StandardMatch("DIN 76-1", f"{form} P{row['pitch']}", off))
    return matches[:1]


def limits_of(pitch_mm: float) -> Row | None:
    """The row of outside threads for a pitch: run-out x1 and distance to the shoulder a1."""
    for row in rows("thread_undercut_metric"):
        if row["side"] == "external" and abs(float(row["pitch"]) / pitch_mm - 1.0) <= _SAME_PITCH:
            return row
    return None


def fitting(
    relief: Relief,
    side: Literal["outer", "inner"],
    major_mm: float,
    floor_mm: float,
    pitch_mm: float | None = None,
) -> Iterator[tuple[Row, float]]:
    """Rows that the relief agrees with, and its diameter's residual (mm)."""
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
        if not -DRAWN_MM <= over <= grade_mm(nominal, 13) + DRAWN_MM:
            continue
        # at 30 degrees, g2 leaves less floor than g1 for some pitches
        longest = float(row["g2_max"])
        least = min(float(row["g1_min"]), longest - 0.5 * offset / _TAN_FLANK)
        if relief.length_mm <= longest + DRAWN_MM and relief.floor_mm >= least - DRAWN_MM:
            yield row, off


def _beside(one: Found, thread: Found, pitch: float) -> bool:
    """The hollow begins where the thread ends, within a pitch, or lies at its end."""
    gaps = (one.z_mm[0] - thread.z_mm[1], thread.z_mm[0] - one.z_mm[1])
    if max(gaps) > pitch:
        return False
    middle = 0.5 * (one.z_mm[0] + one.z_mm[1])
    return not thread.z_mm[0] + pitch < middle < thread.z_mm[1] - pitch
