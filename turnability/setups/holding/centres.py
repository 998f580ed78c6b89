"""Whether an end carries a centre: a hole in its face, or the mouth that is bored in it."""

from __future__ import annotations

from turnability.cited import Cited
from turnability.intent.model import End, Intent
from turnability.part.model import Profile
from turnability.shop.books import Row, cite, rows

_SAME_MM = 1e-3
SEAT_MM = Cited(
    60.0,
    "mm",
    "common practice",
    "largest bore whose mouth a blunt 60° centre carries, from memory",
    verified=False,
)


def no_centre(
    profile: Profile, end: End, intent: Intent | None = None, *, solid: bool = False
) -> str | None:
    """Why no centre carries this end, in words; None where one does.

    A solid end needs the face for a centre hole of the size for its work (ISO 6411 form A), a bored
    one a mouth that a 60° centre fills. A drawing that keeps centre holes off says so. `solid`: a
    bored end is bored afterwards, which takes the centre hole away.
    """
    found = _radii_at(profile, end)
    if found is None:
        return "it has no face"
    inner, outer = found
    if inner > _SAME_MM:
        return (
            None if solid or 2.0 * inner <= SEAT_MM.value else "its bore is too wide for a centre"
        )
    if intent is not None and intent.centre_holes is not None and end not in intent.centre_holes:
        return "the drawing lets no centre hole stay there"
    hole = centre_hole_mm(2.0 * outer)
    if hole is None or 2.0 * outer < hole.value:
        return "its face has no room for a centre hole"
    return None


def _radii_at(profile: Profile, end: End) -> tuple[float, float] | None:
    """Least and largest radius of an end's face; None where it has none."""
    z = 0.0 if end == "low" else profile.length_mm
    radii = [
        r
        for segment in profile.outline.segments
        if segment.surface != "axis"
        for at, r in (segment.curve.start, segment.curve.end)
        if abs(at - z) <= _SAME_MM
    ]
    return (min(radii), max(radii)) if radii else None


def seats_centre(profile: Profile, end: End) -> bool:
    """Whether the mouth of a bored end carries a centre as well as a hole drilled for one."""
    found = _radii_at(profile, end)
    usual = None if found is None else centre_hole_mm(2.0 * found[1])
    return (
        found is not None and usual is not None and usual.value <= 2.0 * found[0] <= SEAT_MM.value
    )


def centre_hole_mm(work_mm: float) -> Cited | None:
    """Mouth of the centre hole (form A) usual for this diameter of work, the least below 5 mm."""
    entries = rows("centre_hole")
    usual = next((entry for entry in entries if _covers(entry, work_mm)), None)
    least = min(entries, key=lambda entry: float(entry["A_D_mm"]))
    if usual is None and work_mm > 5.0:
        return None
    return cite(usual or least, "centre_hole", "A_D_mm", "mm")


def _covers(entry: Row, work_mm: float) -> bool:
    told = entry["work_dia_mm"]
    if told.startswith(">"):
        return work_mm > float(told[1:])
    low, _, high = told.partition("-")
    return bool(high) and float(low) <= work_mm <= float(high)
