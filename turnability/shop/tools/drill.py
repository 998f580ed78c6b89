"""Drills on the axis: twist drills, and slot drills (two-lip end mills) where the point is flat.

Chips leave a hole through the flutes. Behind the usable flutes a twist drill's body is drawn as
wide as an entry must be to let them out, wider than the shank it has. A slot drill squares the
floor that a drill left: few chips, so it goes as deep as its flutes, or deeper in a wider hole.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from turnability.cited import Cited
from turnability.half_plane.curves import Ring, line_ring
from turnability.shop.books import cite, practice, rows, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Relaxation, Tool
from turnability.shop.rings import box
from turnability.shop.tool_kind import Example, each_of_a_set
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "drill"
KEYS = (
    Key("diameter_mm", "length", "the drill's diameter"),
    Key("diameters_mm", "lengths", "a whole set: one drill of each diameter"),
    Key("point_angle_deg", "number", "angle of the point", default=118.0, least=60.0, most=180.0),
    Key("flute_length_mm", "length", "length of the flutes with the point"),
    Key("overall_length_mm", "length", "length of the whole drill"),
    Key("chuck_diameter_mm", "length", "outside of what holds the drill"),
)
EXAMPLES = (
    Example({"kind": NAME, "diameter_mm": 9.0}),
    Example({"kind": NAME, "diameter_mm": 6.8, "point_angle_deg": 135.0, "flute_length_mm": 40.0}),
    Example({"kind": NAME, "name": "spade", "diameter_mm": 55.0, "flute_length_mm": 160.0}),
    Example({"kind": NAME, "diameter_in": 0.25}),
    Example({"kind": NAME, "diameters_mm": [3.0, 5.0, 8.5]}),
    Example({"kind": NAME, "diameter_mm": 10.0, "point_angle_deg": 180.0}),
    Example({"kind": NAME}, "no diameter_mm"),
    Example({"kind": NAME, "diameter_mm": 5.0, "diameters_mm": [6.0]}, "both"),
    Example({"kind": NAME, "diameter_mm": 55.0}, "flute length is not known"),
    Example({"kind": NAME, "diameter_mm": 10.0, "flute_length_mm": 15.0}, "no usable depth"),
)
_ENDLESS_MM = 400.0
_LONG_MM = 2000.0


def expand(table: Checked) -> list[Checked]:
    """One table for each diameter of a set. Raises Fault."""
    return each_of_a_set(table, "diameters_mm", "diameter_mm", "drill")


def tool_from(table: Checked) -> Tool:
    """One drill; lengths by the file, DIN 338 and DIN 345, or ISO 1641 if flat. Raises Fault."""
    d = table["diameter_mm"]
    if d is None:
        raise Fault(None, "has no diameter_mm", "Add it, or diameters_mm for a set")
    point = table["point_angle_deg"]
    flute, overall, sources = _lengths(
        d, table, "drill_lengths" if point < 180.0 else "slot_drill_lengths"
    )
    flat = point >= 180.0
    usable = flute if flat else flute - practice("drill_flute_reserve").value * d
    cone = d / 2.0 / math.tan(math.radians(point / 2.0)) if point < 180.0 else 0.0
    if usable <= cone:
        raise Fault(
            "flute_length_mm" if table["flute_length_mm"] else "diameter_mm",
            ("leaves no usable depth: flute ", flute, " less 1.5 diameters for the chips"),
            "Give the true flute_length_mm",
        )
    chuck = table["chuck_diameter_mm"]
    if chuck is None:
        chuck = max(practice("drill_chuck_diameter").value, d + 20.0)
    held = max(flute, overall - practice("drill_in_chuck").value * d)
    collar = d / 2.0 + 0.05 if flat else practice("drill_chip_entry").value * d / 2.0
    body = (
        box(usable, -collar, held, collar),
        box(held, -chuck / 2.0, held + _ENDLESS_MM, chuck / 2.0),
    )
    made = Outlines((_outline(d, cone, usable),), body)
    return Tool(
        name=table["name"] or f"drill {table.size('diameter_mm', d)}",
        kind=NAME,
        access="end",
        on_axis=True,
        hand="neutral",
        outlines=made,
        designation=f"drill ⌀{table.size('diameter_mm', d)}, {point:g}°",
        weight=weight("flat-drill" if flat else NAME),
        relaxations=(
            Relaxation(
                "drill-length",
                Outlines((_outline(d, cone, _LONG_MM),), ()),
                "flute_length_mm",
                flute,
                "mm",
            ),
        ),
        limits={
            "diameter_mm": d,
            "point_angle_deg": point,
            "flute_length_mm": flute,
            "usable_length_mm": usable,
        },
        notes=doubts(sources),
        sources=sources,
    )


def pushed_on(drill: Tool) -> Outlines:
    """A twist drill's outlines with all but a diameter of its flutes in the work.

    So far it is pushed to bring its full width out of a through hole, where only that is wanting
    (common practice, no source): the chips then leave by its end.
    """
    d, flute = drill.limits["diameter_mm"], drill.limits["flute_length_mm"]
    cone = d / 2.0 / math.tan(math.radians(drill.limits["point_angle_deg"] / 2.0))
    deep = max(drill.limits["usable_length_mm"], flute - d)
    collar, *rest = drill.outlines.body
    held, wide = (max(curve.start[k] for curve in collar) for k in (0, 1))
    return Outlines((_outline(d, cone, deep),), (box(deep, -wide, held, wide), *rest))


def _outline(d: float, cone: float, length: float) -> Ring:
    half = d / 2.0
    if cone <= 0.0:
        return box(0.0, -half, length, half)
    return line_ring([(0.0, 0.0), (cone, -half), (length, -half), (length, half), (cone, half)])


def _lengths(
    d: float, table: Mapping[str, Any], book: str
) -> tuple[float, float, dict[str, Cited]]:
    """Flute and overall length in mm, and what the flute rests on where the file is silent."""
    flute, overall = table["flute_length_mm"], table["overall_length_mm"]
    entry = next((r for r in rows(book) if d <= float(r["diameter_to_mm"]) + 1e-9), None)
    sources: dict[str, Cited] = {}
    if flute is None:
        if entry is None:
            raise Fault(
                "diameter_mm", ("is ", d, ": its flute length is not known"), "Add flute_length_mm"
            )
        f = cite(entry, book, "flute_mm", "mm")
        flute, sources["flute_length_mm"] = f.value, f
        overall = overall or float(entry["overall_mm"])
    return flute, overall or flute + 3.0 * d, sources
