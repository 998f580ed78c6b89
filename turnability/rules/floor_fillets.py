"""A square recess whose floor's fillets leave a grooving edge less room than its walls do.

Between walls `width` apart and fillets of radius R, an edge with corners of radius c gets down to
the floor where it is no wider than width - 2 (R - c).
"""

from __future__ import annotations

import math

from turnability.features.model import Feature
from turnability.rules.bar_arithmetic import Bar
from turnability.rules.model import Change
from turnability.units import length_text

FLOOR_RADIUS = "floor_radius_mm"
ALMOST = 0.9
"""A recess that keeps this share of its depth is much the same one (our choice)."""
_SAME_MM = 1e-3
_STEP_MM = 0.01


def widest_edge_mm(recess: Feature, corner_mm: float = 0.0) -> float | None:
    """The widest edge that gets down to its floor; None where its width is not known."""
    width, radius = (recess.number(name) for name in ("width_mm", "floor_radius_mm"))
    if width is None:
        return None
    return width - 2.0 * max(0.0, (radius or 0.0) - corner_mm)


def with_smaller_fillets(
    recess: Feature, entry: float, depth: float, bars: tuple[Bar, ...], inch: bool
) -> Change | None:
    """Fillets as small as a wide edge leaves them, and the depth that its bar cuts, both at once.

    None where that asks for much less depth, or where fillets are no matter.
    """
    width, radius = (recess.number(name) for name in ("width_mm", "floor_radius_mm"))
    if width is None or not radius or recess.matches:
        return None
    able = [
        (min(depth, bar.deepest_recess_mm), (width - bar.edge_mm) / 2.0 + bar.corner_mm)
        for bar in bars
        if bar.edge_mm is not None
        and bar.edge_mm <= width + _SAME_MM
        and bar.least_bore_mm <= entry + _SAME_MM
        and bar.deepest_recess_mm >= ALMOST * depth
    ]
    able = [(deep, least) for deep, least in able if least < radius - _SAME_MM]
    if not able:
        return None
    deep, least = max(able)
    least = math.floor(least / _STEP_MM + 1e-6) * _STEP_MM
    smaller = (
        f"its floor's fillets no larger than {length_text(round(least, 6), inch)} (drawn "
        f"{length_text(round(radius, 6), inch)})"
    )
    if deep >= depth - _SAME_MM:
        text = f"Make {smaller}."
        return Change(text, FLOOR_RADIUS, radius, least, proven=False)
    text = (
        f"Make the recess no deeper than {length_text(deep, inch)} (drawn "
        f"{length_text(depth, inch)}) and {smaller}."
    )
    also = (FLOOR_RADIUS, radius, least)
    return Change(text, "depth_mm", depth, deep, proven=False, also=also)
