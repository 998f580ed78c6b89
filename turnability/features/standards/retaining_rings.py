"""Grooves for retaining rings, DIN 471 (on shafts) and DIN 472 (in bores), normal series.

The groove diameter lies in the table's own tolerance; the width is m, H13; the shaft or bore is
held to grade 11 either way, for a fit moves it off the nominal size (our choice). Beside one lip of
the shaft's or bore's diameter the other may stand lower, as an end that the ring is slipped over
often does, while its wall is half of t or more (our choice: less holds no ring).
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.sides import is_parallel
from turnability.features.standards import DRAWN_MM, grade_mm, rows

KINDS: tuple[FeatureKind, ...] = ("groove", "recess")
_WALL_DEG = 5.0
_WALL_SHARE = 0.5


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """The ring's designation by shaft or bore and thickness; the groove diameter's residual."""
    width, walls = one.parameters.get("width_mm"), one.parameters.get("wall_angles_deg")
    if not isinstance(width, float) or not isinstance(walls, tuple):
        return []
    if one.relief is not None and one.relief.rise_mm >= one.relief.depth_mm - limits.SAME_MM:
        return []  # sunk beside a shoulder
    if any(abs(wall) > _WALL_DEG for wall in walls):
        return []
    outside = one.kind == "groove"
    small, large = one.diameter_mm
    lip, floor = (large, small) if outside else (small, large)
    lips = {lip, _higher_lip(one, chain, outside)}
    table, standard = ("471", "DIN 471") if outside else ("472", "DIN 472")
    matches = []
    for row in rows(f"retaining_ring_din{table}"):
        d1, d2, m = float(row["d1"]), float(row["d2"]), float(row["m"])
        off = floor - d2
        low, high = float(row["d2_tol_minus"]), float(row["d2_tol_plus"])
        # drawn to 1 µm here: the groove diameters of neighbouring sizes lie close
        if not low - 1e-3 <= off <= high + 1e-3:
            continue
        if all(abs(each - d1) > grade_mm(d1, 11) + 1e-3 for each in lips):
            continue
        if abs(lip - floor) < 2.0 * _WALL_SHARE * float(row["t"]) - 1e-3:
            continue
        if -DRAWN_MM <= width - m <= grade_mm(m, 13) + DRAWN_MM:
            matches.append(StandardMatch(standard, f"{row['d1']}x{row['s']}", off))
    return matches


def _higher_lip(one: Found, chain: Chain, outside: bool) -> float:
    """The diameter up to which the higher of its walls stands; its lip's where they are others'."""
    walls = [
        side.curve
        for side in chain.sides
        if side.segment is not None and side.segment.id in one.owns and not is_parallel(side.curve)
    ]
    _, (small, large) = spread(walls) if walls else (one.z_mm, one.diameter_mm)
    return large if outside else small
