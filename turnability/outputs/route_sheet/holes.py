"""What is to be said of a drill: how deep its point and its full diameter go, what goes before."""

from __future__ import annotations

import math

from turnability.setups.cutting.values import Values
from turnability.setups.model import Operation, Setup
from turnability.shop.model import Shop
from turnability.units import MM_PER_INCH, mm_text, number_text

_FLAT_DEG = 180.0


def point_text(operation: Operation, setup: Setup, shop: Shop, length_mm: float, inch: bool) -> str:
    """To where its point and its full diameter go; empty where the point comes out of the part."""
    if operation.kind != "drill" or operation.ends_at is None:
        return ""
    point = operation.ends_at[0]
    if not 0.0 <= point <= length_mm:
        return ""
    tool = next((t for t in shop.tools if t.name == operation.tool), None)
    limits = {} if tool is None else tool.limits
    angle = limits.get("point_angle_deg", _FLAT_DEG)
    deep = f"no deeper than z {number_text(round(point, 2), inch)}"
    if angle >= _FLAT_DEG:
        return f", {deep}"
    tip = limits.get("diameter_mm", 0.0) / 2.0 / math.tan(math.radians(angle / 2.0))
    at = point + (tip if setup.toward_chuck == "low" else -tip)
    return f", its point {deep}, full diameter to z {number_text(round(at, 2), inch)}"


def pilot_text(value: Values | None, inch: bool) -> str:
    """The smaller drill that goes before a large one into the solid."""
    if value is None or value.pilot_mm is None:
        return ""
    about = f"{mm_text(value.pilot_mm / MM_PER_INCH, 1)} in" if inch else f"{value.pilot_mm:.0f} mm"
    return f"Centre-drill, then drill about ⌀{about}, no deeper, before it"
