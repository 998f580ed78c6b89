"""Centre holes of ISO 6411 (DIN 332-1), forms A, B and R, by pilot and mouth.

The pilot is held to IT12 (its tolerance class K12 is that wide), the mouths to IT13 (our choice:
the standard leaves them to the depth).
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.standards import DRAWN_MM, grade_mm, rows

KINDS: tuple[FeatureKind, ...] = ("centre-hole",)


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """Form, pilot and mouth, such as A2.5/5.3; the mouth's residual."""
    form, d, seat = (one.parameters.get(key) for key in ("form", "d_mm", "seat_mm"))
    if not isinstance(d, float) or not isinstance(seat, float):
        return []
    for row in rows("centre_hole"):
        if not row[f"{form}_D_mm"]:
            continue
        pilot, mouth = float(row["d_mm"]), float(row[f"{form}_D_mm"])
        measured = one.diameter_mm[1] if form == "B" else seat
        within = abs(d - pilot) <= grade_mm(pilot, 12) + DRAWN_MM
        if form == "B":
            a = float(row["A_D_mm"])
            within = within and abs(seat - a) <= grade_mm(a, 13) + DRAWN_MM
        if within and abs(measured - mouth) <= grade_mm(mouth, 13) + DRAWN_MM:
            name = f"{form}{pilot:g}/{mouth:g}"
            return [StandardMatch("ISO 6411", name, measured - mouth)]
    return []
