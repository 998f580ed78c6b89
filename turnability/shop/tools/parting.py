"""Parting blades: an outside blade that reaches the centre of the largest bar it parts."""

from __future__ import annotations

from turnability.cited import Cited
from turnability.shop.books import cite, row
from turnability.shop.model import Tool
from turnability.shop.tool_kind import Example
from turnability.shop.tools.grooving import BLADE_KEYS, blade_tool
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "parting"
KEYS = (*BLADE_KEYS, Key("max_diameter_mm", "length", "the largest solid bar it parts"))
EXAMPLES = (
    Example({"kind": NAME, "width_mm": 3.0}),
    Example({"kind": NAME, "width_mm": 2.2, "max_diameter_mm": 40.0, "hand": "neutral"}),
    Example({"kind": NAME, "width_mm": 2.2}, "largest diameter is not known"),
)


def tool_from(table: Checked) -> Tool:
    """The blade; what it parts comes from the file or from common practice. Raises Fault."""
    width, largest = table["width_mm"], table["max_diameter_mm"]
    sources: dict[str, Cited] = {}
    if largest is None:
        entry = row("grooving_width_depth", width_mm=f"{width:.1f}")
        if entry is None or abs(float(entry["width_mm"]) - width) > 1e-6:
            raise Fault(
                "width_mm",
                ("is ", width, ": the largest diameter is not known"),
                "Add max_diameter_mm",
            )
        usual = cite(entry, "grooving_width_depth", "typical_max_cutoff_dia_blade_mm", "mm")
        largest, sources["max_diameter_mm"] = usual.value, usual
    return blade_tool(NAME, table, largest / 2.0, {"max_diameter_mm": largest}, sources)
