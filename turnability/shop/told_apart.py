"""Tools told apart by what they are for: blades, sturdy and pointed corners, bars, drills."""

from __future__ import annotations

from turnability.cited import Cited
from turnability.shop.model import Tool

POINTED_DEG = 60.0
"""Smaller corners chip where they rough; the others are asked to."""
POINTED_TAKES_MM = 2.0
"""The most that a pointed corner is given to take, a side (common practice, no source)."""
SIDEWAYS = Cited(
    10.0,
    "-",
    "common practice",
    "widths along which a blade finishes sideways, light cuts, from memory",
    verified=False,
)
DRILLED_GRADE = 12
"""A drill holds IT12 and leaves Ra 6.3 µm (common practice, from memory)."""
DRILLED_RA_UM = 6.3
CHIPS_OF_FLUTE = 1.5
"""Diameters of a flute that no hole uses: its point, and room for chips (common practice)."""
COUNTERSINK = "outline"
"""Kind of the tools on the axis that are no drills and follow none: ground to a shape."""


def is_blade(tool: Tool) -> bool:
    """Whether the tool is a grooving or parting blade, by its kind's name."""
    return "groov" in tool.kind or "part" in tool.kind or "blade" in tool.kind


def is_pointed(tool: Tool | None) -> bool:
    """Whether it turns the outside with a corner that is no good for heavy cuts."""
    return tool is not None and _turns(tool) and tool.limits["corner_angle_deg"] < POINTED_DEG


def is_sturdy(tool: Tool) -> bool:
    """Whether it turns the outside with a corner that takes the bulk."""
    return _turns(tool) and not is_pointed(tool)


def is_bar(tool: Tool) -> bool:
    """Whether it is a boring bar: no blade on one, which leaves no fine wall."""
    return tool.access == "inner" and not tool.on_axis and not is_blade(tool)


def is_twist(tool: Tool) -> bool:
    """A drill with a point."""
    return tool.kind == "drill" and not is_flat(tool)


def is_flat(tool: Tool) -> bool:
    """A slot drill: it squares the floor that a pointed drill left."""
    return tool.on_axis and tool.limits.get("point_angle_deg", 0.0) >= 180.0


def is_reamer(tool: Tool) -> bool:
    """Whether it widens a drilled hole by tenths, to size."""
    return tool.kind == "reamer"


def diameter_of(tool: Tool) -> float:
    """Of a drill; 0 where it has none."""
    return tool.limits.get("diameter_mm", 0.0)


def enters_mm(bar: Tool) -> float:
    """Least bore that a bar goes into; 0 where it is not known."""
    if not {"f_mm", "bar_diameter_mm"} <= set(bar.limits):
        return 0.0
    return bar.limits["f_mm"] + bar.limits["bar_diameter_mm"] / 2.0


def _turns(tool: Tool) -> bool:
    return tool.access == "outer" and not is_blade(tool) and "corner_angle_deg" in tool.limits
