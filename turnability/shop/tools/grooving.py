"""Outside grooving blades."""

from __future__ import annotations

from collections.abc import Mapping

from turnability.cited import Cited
from turnability.shop.blade import make_blade, outside_blade
from turnability.shop.books import cite, practice, row, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Relaxation, Tool
from turnability.shop.rings import mirror_z
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "grooving"
BLADE_KEYS = (
    Key("width_mm", "length", "width of the edge", required=True),
    Key("corner_radius_mm", "length", "radius of the edge's corners", default=0.2, least=0.0),
    Key("side_clearance_mm", "length", "how much thinner the blade is, on each side", least=0.0),
    Key("shank_mm", "length", "width of the holder behind the blade"),
    Key("holder", "text", "what is engraved on the holder"),
    Key(
        "hand",
        "choice",
        "the side the blade stands on",
        default="right",
        choices=("right", "left", "neutral"),
    ),
)
KEYS = (*BLADE_KEYS, Key("depth_mm", "length", "how deep the blade may sink"))
EXAMPLES = (
    Example({"kind": NAME, "width_mm": 3.0}),
    Example({"kind": NAME, "width_mm": 2.0, "depth_mm": 6.0, "corner_radius_mm": 0.0}),
    Example({"kind": NAME, "width_mm": 4.0, "corner_radius_mm": 2.0, "hand": "left"}),
    Example({"kind": NAME, "width_in": 0.125, "depth_in": 0.5, "hand": "neutral"}),
    Example({"kind": NAME, "width_mm": 2.3}, "depth is not known"),
    Example({"kind": NAME, "width_mm": 3.0, "corner_radius_mm": 1.6}, "half the width"),
    Example({"kind": NAME, "width_mm": 3.0, "side_clearance_mm": 1.5}, "nothing is left"),
    Example({"kind": NAME, "width": 3.0}, "no unit"),
)


def tool_from(table: Checked) -> Tool:
    """The blade; its depth comes from the file or from common practice by width. Raises Fault."""
    width, depth = table["width_mm"], table["depth_mm"]
    sources: dict[str, Cited] = {}
    if depth is None:
        entry = row("grooving_width_depth", width_mm=f"{width:.1f}")
        if entry is None or abs(float(entry["width_mm"]) - width) > 1e-6:
            told = ("is ", width, ": the blade's depth is not known")
            raise Fault("width_mm", told, "Add depth_mm")
        usual = cite(entry, "grooving_width_depth", "typical_max_depth_turning_holder_mm", "mm")
        depth, sources["depth_mm"] = usual.value, usual
    return blade_tool(NAME, table, depth, {}, sources)


def blade_tool(
    kind: str,
    table: Checked,
    depth_mm: float,
    limits: Mapping[str, float],
    sources: Mapping[str, Cited],
) -> Tool:
    """An outside blade that sinks to `depth_mm`, as a tool of `kind`. Raises Fault."""
    width, hand = table["width_mm"], table["hand"]
    blade = make_blade(width, table["corner_radius_mm"], depth_mm, table["side_clearance_mm"])
    shank = table["shank_mm"]
    if shank is None:
        usual = practice("blade_block")
        shank, sources = usual.value, {**sources, "shank_mm": usual}
    ceiling = practice("blade_depth_per_width").value
    notes = doubts(sources)
    if depth_mm > ceiling * width + 1e-9:
        sunk = table.length("depth_mm" if "depth_mm" in table.in_inches else "width_mm", depth_mm)
        notes += (f"{sunk} is deeper than {ceiling:g} × the width: the blade may wander",)
    made, relaxed = outside_blade(blade, shank, hand == "neutral")
    if hand != "neutral":
        relaxed += (Relaxation("hand", mirror_z(made)),)
    if hand == "left":
        made = mirror_z(made)
        relaxed = tuple(
            Relaxation(r.cause, mirror_z(r.outlines), r.parameter, r.value, r.unit) for r in relaxed
        )
    return Tool(
        name=table["name"] or f"{kind} {table.size('width_mm', width)}",
        kind=kind,
        access="outer",
        on_axis=False,
        hand=hand,
        outlines=made,
        designation=table["holder"] or f"{kind} blade {table.length('width_mm', width)}",
        weight=weight(kind) + (weight("left-hand") if hand == "left" else 0.0),
        relaxations=relaxed,
        limits={
            "width_mm": width,
            "depth_mm": depth_mm,
            "corner_radius_mm": blade.corner_mm,
            "nose_radius_mm": blade.corner_mm,
            "shank_mm": shank,
            **limits,
        },
        notes=notes,
        sources=sources,
    )
