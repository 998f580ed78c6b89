"""What is ground, honed or lapped after turning: what turning leaves there, and what it must hold.

The lathe makes another size than the drawing's, within other limits; which, the table beside says
where the intent does not.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cache
from importlib import resources

from turnability.cited import Cited
from turnability.intent.agree import together
from turnability.intent.model import (
    Ground,
    Intent,
    Named,
    Related,
    Roughness,
    Span,
    Tolerance,
    span_words,
)
from turnability.part.model import Part, Place, Stated

TURNED_RA_UM = Cited(
    3.2, "µm", "common practice", "roughness that a wheel takes away, from memory", verified=False
)
FINEST_RA_UM = {"grinding": 0.1, "honing": 0.1, "lapping": 0.01}
"""What each leaves at its very best (handbooks, from memory)."""
_ONE_MM = 2e-3
_MOST_USUAL = 5.0
_ROUND_SHARE = 0.25
_STEPS_MM = (0.01, 0.05)
"""A turned size is told to the larger of these within that share of what is left at least."""


def sized(one: Ground, meant: Intent, part: Part) -> Ground:
    """The same with the sort of its surface, what turning leaves there and the size turned to.

    `meant` is all that is stated. What is left counts from the limit with the most material, so
    that the least is always there. Unchanged where its place is not on the part.
    """
    if part.profile is None or not one.place.segments or one.place.on_diameter_mm is None:
        return one
    surface = next(s.surface for s in part.profile.segments if s.id == one.place.segments[0])
    if surface == "axis":
        return one
    low, high = one.place.on_diameter_mm
    leave, basis = one.leave_mm, None
    if leave is None or one.basis is not None:  # looked up anew where it was looked up before
        by = one.by if surface == "inner" else "grinding"
        by = "grinding" if by == "lapping" else by
        leave, basis = _usual(by, surface, high, part.profile.length_mm)
    turned = None
    if surface != "end" and high - low <= _ONE_MM:
        own = next((t for t in meant.tolerances if t.of == "diameter" and _on(t.place, one)), None)
        turned = _turned(high, own, leave, inside=surface == "inner")
        if basis is not None:  # nobody is told to turn to a micrometre what is ground anyway
            turned = (_rounded(turned[0], leave), _rounded(turned[1], leave))
    return replace(one, surface=surface, leave_mm=leave, basis=basis, turned_mm=turned)


def most_left(one: Ground, part: Part) -> float | None:
    """What turning may leave of a surface of one sort at most, in mm; None where it has no size.

    Several times the usual: what is more is a slip, or is turned off before (this program's own
    choice).
    """
    if part.profile is None or one.place.on_diameter_mm is None:
        return None
    surface = next(s.surface for s in part.profile.segments if s.id == one.place.segments[0])
    if surface == "axis":
        return None
    by = "honing" if one.by == "honing" and surface == "inner" else "grinding"
    usual, _ = _usual(by, surface, one.place.on_diameter_mm[1], part.profile.length_mm)
    return round(_MOST_USUAL * usual[1], 3)


def as_turned(part: Part, intent: Intent | None) -> tuple[Part, Intent | None]:
    """What the lathe has to hold: both as they are where nothing is ground.

    Else the intent and what the file states are one, in which each ground surface has the size that
    it is turned to and `TURNED_RA_UM`, and nothing must run true yet to what is ground true; the
    part then states nothing of it any more. Both are settled.
    """
    if intent is None or not intent.ground:
        return part, intent
    meant, ground = together(intent, part), intent.ground
    names = ground_segments(intent)
    trued = trued_segments(intent)
    turned = replace(
        meant,
        tolerances=(
            *(t for t in meant.tolerances if not _is_ground(t, ground)),
            *(tolerance for one in ground if (tolerance := _tolerance(one)) is not None),
        ),
        roughness=(
            *(r for r in meant.roughness if not any(_on(r.place, one) for one in ground)),
            *(Roughness(one.place, TURNED_RA_UM.value) for one in ground),
        ),
        related=tuple(r for one in meant.related if (r := _unground(one, trued)) is not None),
    )
    stated = part.stated
    kept = Stated(
        tuple(s for s in stated.sizes if not _any(names, s.at, s.to)),
        tuple(
            t
            for t in stated.tolerances
            if not _any(names, t.at, *_datums(stated, [x for d in t.datums for x in d.letters]))
        ),
        stated.datums,
    )
    return replace(part, stated=kept), turned


def ground_segments(intent: Intent | None) -> frozenset[str]:
    """Segments that are finished after turning, whole or in part."""
    found = intent.ground if intent is not None else ()
    return frozenset(s for one in found for s in one.place.segments)


def trued_segments(intent: Intent | None) -> frozenset[str]:
    """Those of them that come true only by it: a hone follows the bore as it was bored."""
    found = intent.ground if intent is not None else ()
    return frozenset(s for one in found if _trues(one) for s in one.place.segments)


def left_to_grind(part: Part, intent: Intent | None, outside_mm: float) -> float:
    """By how much turning leaves the outside of this diameter larger than drawn, at most, in mm."""
    found = [
        one.leave_mm[1]
        for one in (intent.ground if intent is not None else ())
        if one.surface == "outer"
        and one.leave_mm is not None
        and one.place.on_diameter_mm is not None
        and one.place.on_diameter_mm[1] >= outside_mm - _ONE_MM
    ]
    return max(found, default=0.0)


def finished(one: Ground, meant: Intent) -> tuple[Tolerance | None, float | None]:
    """The size and the roughness, Ra in µm, that it has in the end; None where none is stated."""
    size = next((t for t in meant.tolerances if t.of == "diameter" and _on(t.place, one)), None)
    rough = [r.ra_um for r in meant.roughness if _on(r.place, one)]
    return size, min(rough, default=meant.ra_um)


def _trues(one: Ground) -> bool:
    return one.by != "honing" or one.surface != "inner"


def _turned(drawn_mm: float, own: Tolerance | None, leave: Span, *, inside: bool) -> Span:
    nominal = drawn_mm if own is None or own.nominal_mm is None else own.nominal_mm
    limits = (nominal, nominal)
    if own is not None and own.deviations_mm is not None:
        limits = (nominal + own.deviations_mm[0], nominal + own.deviations_mm[1])
    elif own is not None and own.limits_mm is not None:
        limits = own.limits_mm
    if inside:
        most = min(nominal, limits[0])
        return (round(most - leave[1], 6), round(most - leave[0], 6))
    most = max(nominal, limits[1])
    return (round(most + leave[0], 6), round(most + leave[1], 6))


def _rounded(size_mm: float, leave: Span) -> float:
    step = _ROUND_SHARE * leave[0]
    step = max(s for s in _STEPS_MM if s <= step + 1e-9)
    return round(round(size_mm / step) * step, 6)


def _tolerance(one: Ground) -> Tolerance | None:
    if one.turned_mm is None or one.place.on_diameter_mm is None:
        return None
    (low, high), nominal = one.turned_mm, one.place.on_diameter_mm[1]
    return Tolerance(
        "diameter",
        one.place,
        f"turned to {span_words(one.turned_mm)} for {one.by}",
        limits_mm=one.turned_mm,
        deviations_mm=(round(low - nominal, 6), round(high - nominal, 6)),
        width_mm=round(high - low, 6),
        nominal_mm=nominal,
        basis=one.basis,
    )


def _is_ground(tolerance: Tolerance, ground: Sequence[Ground]) -> bool:
    if tolerance.of == "length":
        own = set(tolerance.place.segments)
        return any(one.surface == "end" and own & set(one.place.segments) for one in ground)
    return any(_on(tolerance.place, one) for one in ground)


def _on(place: Named, one: Ground) -> bool:
    """Whether what is stated of a place is stated of what is ground."""
    if not set(place.segments) & set(one.place.segments):
        return False
    a, b = place.on_z_mm, one.place.on_z_mm
    if a is None or b is None or a[0] == a[1] or b[0] == b[1]:
        return True
    return min(a[1], b[1]) - max(a[0], b[0]) > _ONE_MM


def _unground(related: Related, names: frozenset[str]) -> Related | None:
    """What is left of a group whose ground surfaces come true only by grinding."""
    if not any(names.intersection(place.segments) for place in related.places):
        return related
    places = tuple(p for p in related.places if not names.intersection(p.segments))
    return replace(related, places=places) if len(places) > 1 else None


def _any(names: frozenset[str], *places: Place | None) -> bool:
    return any(names.intersection(place.segments) for place in places if place is not None)


def _datums(stated: Stated, letters: Collection[str]) -> list[Place]:
    return [datum.at for datum in stated.datums if datum.letter in letters]


def _usual(by: str, surface: str, diameter_mm: float, length_mm: float) -> tuple[Span, Cited]:
    row = next(
        row
        for row in _rows()
        if (row["by"], row["surface"]) == (by, surface)
        and float(row["d_over"]) < diameter_mm <= float(row["d_to"])
        and float(row["l_over"]) < length_mm <= float(row["l_to"])
    )
    least, most = float(row["least"]), float(row["most"])
    place = f"{least:g} to {most:g} mm left for {by}, of work not hardened in between, from memory"
    return (least, most), Cited(most, "mm", "common practice", place, verified=False)


@cache
def _rows() -> tuple[dict[str, str], ...]:
    text = resources.files("turnability.intent") / "tables" / "ground_allowance.csv"
    lines = [line for line in text.read_text("utf-8").splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))
