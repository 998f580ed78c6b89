"""Whether a chucking asks for the tailstock, and whether the end has room for its centre."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from turnability.cited import Cited
from turnability.intent.model import End, Intent
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.model import Grip, Operation
from turnability.setups.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.shop.books import Row, cite, rows
from turnability.shop.model import Shop

_HOLLOW = ("drill", "bore", "end groove")
_SAME_MM = 1e-3
SEAT_MM = Cited(
    60.0,
    "mm",
    "common practice",
    "largest bore whose mouth a blunt 60° centre carries, from memory",
    verified=False,
)


def support_of(
    profile: Profile,
    toward: Toward,
    grip: Grip,
    operations: Sequence[Operation],
    shop: Shop,
    intent: Intent | None = None,
) -> Literal["none", "tailstock"]:
    """The tailstock where the work stands out more than 4 diameters (common practice).

    Only where a lathe of the shop has one, the free end has room for a centre that may stay, and no
    work is done in or on it that a centre would stop. The centre is withdrawn before the work is
    parted off.
    """
    if not wants_support(profile, toward, grip):
        return "none"
    if not any(machine.tailstock for machine in shop.machines):
        return "none"
    if any(operation.kind in _HOLLOW for operation in operations):
        return "none"
    if no_centre(profile, "high" if toward == "low" else "low", intent) is not None:
        return "none"
    return "tailstock"


def wants_support(profile: Profile, toward: Toward, grip: Grip) -> bool:
    """Whether the work stands out of the jaws farther than a chuck alone carries."""
    return slenderness(profile, toward, grip.z_mm) > CHUCK_ONLY_LIMIT.value


def no_centre(profile: Profile, end: End, intent: Intent | None = None) -> str | None:
    """Why no centre carries this end, in words; None where one does.

    A solid end needs the face for a centre hole of the size for its work (ISO 6411 form A), a bored
    one a mouth that a 60° centre fills. A drawing that keeps centre holes off says so.
    """
    z = 0.0 if end == "low" else profile.length_mm
    radii = [
        r
        for segment in profile.outline.segments
        if segment.surface != "axis"
        for at, r in (segment.curve.start, segment.curve.end)
        if abs(at - z) <= _SAME_MM
    ]
    if not radii:
        return "it has no face"
    inner, outer = min(radii), max(radii)
    if inner > _SAME_MM:
        return None if 2.0 * inner <= SEAT_MM.value else "its bore is too wide for a centre"
    if intent is not None and intent.centre_holes is not None and end not in intent.centre_holes:
        return "the drawing lets no centre hole stay there"
    hole = centre_hole_mm(2.0 * outer)
    if hole is None or 2.0 * outer < hole.value:
        return "its face has no room for a centre hole"
    return None


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
