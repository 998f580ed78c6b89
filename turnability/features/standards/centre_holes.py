"""Centre holes of ISO 6411 (DIN 332-1), forms A, B and R, and DIN 332-1's C; of DIN 332-2, forms
D, DR and DS, by core, relief and mouth.

The pilot is held to IT12 (its tolerance class K12 is that wide), the mouths to IT13 (our choice:
the standard leaves them to the depth). Of a threaded one the relief is held to IT13 too, and the
core may be drawn between the nut's least core and the thread's own diameter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.standards import DRAWN_MM, Row, grade_mm, rows

KINDS: tuple[FeatureKind, ...] = ("centre-hole",)


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """Form, pilot and mouth, such as A2.5/5.3, or form and thread; the mouth's residual."""
    form, d, seat = (one.parameters.get(key) for key in ("form", "d_mm", "seat_mm"))
    if not isinstance(d, float) or not isinstance(seat, float):
        return []
    if isinstance(form, str) and form.startswith("D"):
        relief = one.parameters.get("relief_mm")
        assert isinstance(relief, float)
        fits = threaded_fitting(form, d, relief, seat, one.diameter_mm[1])
        return [
            StandardMatch("DIN 332-2", f"{form} {row['thread']}", seat - float(row["d4"]))
            for row in fits
        ]
    for row in rows("centre_hole"):
        if not row[f"{form}_D_mm"]:
            continue
        pilot, mouth = float(row["d_mm"]), float(row[f"{form}_D_mm"])
        guarded = form in ("B", "C")
        measured = one.diameter_mm[1] if guarded else seat
        within = abs(d - pilot) <= grade_mm(pilot, 12) + DRAWN_MM
        if guarded:
            a = float(row["A_D_mm"])
            within = within and abs(seat - a) <= grade_mm(a, 13) + DRAWN_MM
        if within and abs(measured - mouth) <= grade_mm(mouth, 13) + DRAWN_MM:
            name = f"{form}{pilot:g}/{mouth:g}"
            standard = "DIN 332-1" if form == "C" else "ISO 6411"
            return [StandardMatch(standard, name, measured - mouth)]
    return []


_CORE_SHARE = 0.97
"""The least core of the coarse threads is 0.97 of the drill's diameter or more (ISO 724, M3 to M24:
0.983 to 0.989; ours with room)."""


def threaded_fitting(
    form: str, core_mm: float, relief_mm: float, seat_mm: float, mouth_mm: float
) -> Iterator[Row]:
    """Rows of DIN 332-2 that core d2, relief d3, seat d4 and, for DS, mouth d5 agree with."""
    for row in rows("centre_hole_threaded"):
        pairs = [(relief_mm, float(row["d3"])), (seat_mm, float(row["d4"]))]
        if form == "DS":
            pairs.append((mouth_mm, float(row["d5"])))
        least, most = _CORE_SHARE * float(row["d2"]), float(row["d1"]) + DRAWN_MM
        if least <= core_mm <= most and all(
            abs(drawn - size) <= grade_mm(size, 13) + DRAWN_MM for drawn, size in pairs
        ):
            yield row
