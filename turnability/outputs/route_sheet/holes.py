"""What is to be said of drills and reamers: how deep they go at full diameter, what goes before."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from turnability.part.model import Profile
from turnability.setups.cutting.standing import largest_mm
from turnability.setups.cutting.values import Values
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.model import Operation, Setup
from turnability.shop.model import Shop
from turnability.shop.told_apart import COUNTERSINK
from turnability.units import MM_PER_INCH, length_text, mm_text, place_text

if TYPE_CHECKING:
    from turnability.report import Report

_FLAT_DEG = 180.0
CHIPS_DIAMETERS = 3.0
"""Deeper than so many a drill's chips do not come out by themselves (common practice)."""


def point_text(
    operation: Operation,
    setup: Setup,
    shop: Shop,
    profile: Profile,
    inch: bool,
) -> str:
    """To where its point and its full diameter go, in or out of the part; a countersink's mouth."""
    if operation.kind not in ("drill", "ream") or operation.ends_at is None:
        return ""
    tool = next((t for t in shop.tools if t.name == operation.tool), None)
    if tool is not None and tool.kind == COUNTERSINK:
        wide = largest_mm([s for s in profile.segments if s.id in operation.segments])
        return "" if wide is None else f", until its mouth is ⌀{length_text(round(wide, 3), inch)}"
    point = operation.ends_at[0]
    limits = {} if tool is None else tool.limits
    angle = limits.get("point_angle_deg", _FLAT_DEG)
    reams = operation.kind == "ream"
    tip = limits.get("lead_mm", 0.0) if reams else 0.0
    if angle < _FLAT_DEG:
        tip = limits.get("diameter_mm", 0.0) / 2.0 / math.tan(math.radians(angle / 2.0))
    back = 1.0 if setup.toward_chuck == "low" else -1.0
    if not 0.0 <= point <= profile.length_mm:
        return _through_text(operation, setup, point, tip, inch)
    name = "end" if reams else "point"
    deep = f"no deeper than z {place_text(point, inch)}"
    if not tip:
        return f", {deep}"
    at = place_text(point + back * tip, inch)
    return f", its {name} {deep}, full diameter to z {at}"


def _through_text(
    operation: Operation,
    setup: Setup,
    point: float,
    tip: float,
    inch: bool,
) -> str:
    """How far it must come out: a point alone leaves a cone in the hole, or the bar behind it."""
    raw = setup.grip.kind in (RAW_BAR, RAW_PIECE)
    back = 1.0 if setup.toward_chuck == "low" else -1.0
    full = point + back * tip
    through = "" if not operation.segments else "through, "
    words = f"full diameter to z {place_text(full, inch)}"
    if tip:
        name = "end" if operation.kind == "ream" else "point"
        words += f", its {name} to z {place_text(point, inch)}"
    where = "in the bar" if raw else "keep that free behind it"
    if setup.grip.kind == RAW_PIECE:
        low, high = setup.grip.z_mm
        out = low - point if setup.toward_chuck == "low" else point - high
        where = "in the piece"
        if out > 0.0:
            far = length_text(math.ceil(10.0 * out) / 10.0, inch)
            where = (
                f"{far} beyond the piece: set it that far off the chuck's face or stop, unless the "
                "chuck's own hole is wider"
            )
    return f", {through}{words} ({where})"


def as_drilled_text(report: Report, operation: Operation) -> str:
    """That this drill does not finish a bore of it as it is stated, and which finding says so."""
    from turnability.rules.drilled_where_finer import NAME

    mine = set(operation.segments)
    said = [f.id for f in report.findings if f.rule == NAME and mine & set(f.where.segments)]
    if operation.kind != "drill" or not said:
        return ""
    return f"; does not finish it as stated ({', '.join(said)})"


def led_in(setup: Setup, number: int, value: Values | None, profile: Profile, inch: bool) -> str:
    """What leads a drill into the full, a centre drill and a smaller one, and what clears it."""
    if value is None or value.operation.kind != "drill":
        return ""
    return ". ".join(
        filter(None, (_before(setup, number, value, inch), _chips(setup, value, profile)))
    )


def _chips(setup: Setup, value: Values, profile: Profile) -> str:
    """That chips must be brought out of a deep hole; nothing of a countersink."""
    end = value.operation.ends_at
    if end is None or not value.pointed:
        return ""
    free = profile.length_mm if setup.toward_chuck == "low" else 0.0
    deep = abs(free - min(max(end[0], 0.0), profile.length_mm)) / value.diameter_mm
    if deep <= CHIPS_DIAMETERS:
        return ""
    return f"Draw it out every {CHIPS_DIAMETERS:g} diameters and oftener deep down, to clear chips"


def _before(setup: Setup, number: int, value: Values, inch: bool) -> str:
    centred = any(o.support == "tailstock" for o in setup.operations[: number - 1])
    if value.pilot_mm is None:
        return "Centre-drill before it" if value.into_full and not centred else ""
    about = f"{mm_text(value.pilot_mm / MM_PER_INCH, 1)} in" if inch else f"{value.pilot_mm:.0f} mm"
    return f"Centre-drill, then drill about ⌀{about}, no deeper, before it"
