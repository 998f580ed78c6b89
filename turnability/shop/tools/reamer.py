"""Reamers: they widen a drilled hole by a few tenths and cut at their sides alone.

They are drawn without their lead, for reach asks where they leave nothing of the hole that a drill
of their own size would not. How far the lead keeps their full diameter off a floor is told of the
plan (`led`). They go as deep as their flutes; deeper where it is stated how long or how wide behind
them they are: a neck and shank no wider than the flutes follow into the bore.
"""

from __future__ import annotations

import re
from dataclasses import replace

from turnability.cited import Cited
from turnability.half_plane.curves import line_ring
from turnability.shop.books import practice, reaming_allowance, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Relaxation, Tool
from turnability.shop.rings import box
from turnability.shop.tool_kind import Example, each_of_a_set
from turnability.toml_file.keys import Checked, Fault, Faults, Key

NAME = "reamer"
USUAL_FIT = "H7"
"""What a reamer is sold for where nothing else is engraved (DIN 1420 has its limits by fit)."""
KEYS = (
    Key("diameter_mm", "length", "the reamer's diameter"),
    Key("diameters_mm", "lengths", "a whole set: one reamer of each diameter"),
    Key("cutting_length_mm", "length", "length of the flutes", required=True),
    Key("overall_length_mm", "length", "length of the whole reamer"),
    Key("shank_diameter_mm", "length", "widest of neck and shank; left out, the flutes' own"),
    Key("fit", "text", "class of the hole that it is ground for, as engraved", default=USUAL_FIT),
    Key("lead_mm", "length", "length of its lead, which cuts"),
    Key("allowance_mm", "length", "the most it takes off, on diameter"),
    Key("chuck_diameter_mm", "length", "outside of what holds the reamer"),
)
_GOOD = {"kind": NAME, "diameter_mm": 10.0, "cutting_length_mm": 38.0}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"allowance_mm": 0.1, "chuck_diameter_mm": 30.0}),
    Example(_GOOD | {"fit": "F7", "lead_mm": 2.0}),
    Example(_GOOD | {"overall_length_mm": 133.0, "shank_diameter_mm": 9.0}),
    Example({"kind": NAME, "diameters_mm": [6.0, 8.0, 12.0], "cutting_length_mm": 26.0}),
    Example({"kind": NAME, "diameter_in": 0.5, "cutting_length_in": 1.5}),
    Example({"kind": NAME, "cutting_length_mm": 38.0}, "no diameter_mm"),
    Example({"kind": NAME, "diameter_mm": 10.0}, "no cutting_length_mm"),
    Example(_GOOD | {"diameters_mm": [6.0]}, "beside diameter_mm"),
    Example(_GOOD | {"allowance_mm": 10.0}, "as much as the reamer"),
    Example(_GOOD | {"fit": "h7"}, "no class of a hole"),
    Example(_GOOD | {"lead_mm": 5.0}, "half the reamer's diameter"),
    Example(_GOOD | {"overall_length_mm": 38.0}, "no longer than its flutes"),
)
_LONG_MM = 2000.0
_HOLE = re.compile(r"[A-Z]{1,2}(1[01]|[5-9])")
_MOST_LEAD = 0.25
"""Of a small reamer's diameter no more is lead, where nobody says how long it is (our choice)."""


def expand(table: Checked) -> list[Checked]:
    """One table for each diameter of a set. Raises Fault."""
    return each_of_a_set(table, "diameters_mm", "diameter_mm", NAME)


def tool_from(table: Checked) -> Tool:
    """One reamer; it enters only where a hole within its allowance stands. Raises Fault, Faults."""
    d, length = table["diameter_mm"], table["cutting_length_mm"]
    if d is None:
        raise Fault(None, "has no diameter_mm", "Add it, or diameters_mm for a set")
    faults: list[Fault] = []
    sources: dict[str, Cited] = {}
    allowance = table["allowance_mm"]
    if not allowance:
        sources["allowance_mm"] = reaming_allowance(d).most
        allowance = sources["allowance_mm"].value
    if allowance >= d:
        told = ("is ", allowance, ": as much as the reamer of ", d)
        way = "Write what it takes off a drilled hole, such as 0.2 mm"
        faults.append(Fault("allowance_mm", told, way))
    fit = table["fit"]
    if not _HOLE.fullmatch(fit):
        way = 'Write what is engraved, as "H7"'
        faults.append(Fault("fit", f"is no class of a hole: {fit!r}", way))
    lead = table["lead_mm"]
    if not lead:
        usual = practice("reamer_lead")
        lead = min(usual.value, _MOST_LEAD * d)
        sources["lead_mm"] = replace(usual, value=lead)
    if lead >= d / 2.0:
        half_of = ("is ", lead, ": half the reamer's diameter of ", d, " or more")
        way = "Write the length alone that tapers, such as 1.5 mm"
        faults.append(Fault("lead_mm", half_of, way))
    chuck = table["chuck_diameter_mm"] or max(practice("drill_chuck_diameter").value, d + 20.0)
    overall, shank_d = table["overall_length_mm"], table["shank_diameter_mm"]
    if overall is not None and overall <= length:
        short = ("is ", overall, ": no longer than its flutes of ", length)
        faults.append(Fault("overall_length_mm", short, "Write the length from end to end"))
    if faults:
        raise Faults(faults)
    held = length + d
    if overall is not None:
        held = max(length, overall - practice("drill_in_chuck").value * d)
    slim = shank_d <= d if shank_d is not None else overall is not None
    wide = min(shank_d or d, d) / 2.0 if slim else max(d / 2.0 + 0.05, (shank_d or 0.0) / 2.0)
    deep = held if slim else length

    def drawn(long: float) -> Outlines:
        half, core = d / 2.0, (d - allowance) / 2.0
        sides = (box(0.0, core, long, half), box(0.0, -half, long, -core))
        if long > held:
            return Outlines(sides, (box(0.0, -core, long, core),))
        shank = (box(long, -wide, held, wide),) if long < held else ()
        block = box(held, -chuck / 2.0, held + 400.0, chuck / 2.0)
        return Outlines(sides, (box(0.0, -core, long, core), *shank, block))

    return Tool(
        name=table["name"] or f"{NAME} {table.size('diameter_mm', d)}",
        kind=NAME,
        access="end",
        on_axis=True,
        hand="neutral",
        outlines=drawn(length),
        designation=f"reamer ⌀{table.size('diameter_mm', d)} {fit}",
        weight=weight(NAME),
        relaxations=(Relaxation("drill-length", drawn(_LONG_MM), "usable_length_mm", deep, "mm"),),
        limits={
            "diameter_mm": d,
            "allowance_mm": allowance,
            "least_hole_mm": d - allowance,
            "usable_length_mm": deep,
            "cutting_length_mm": length,
            "lead_mm": lead,
        },
        fit=fit,
        notes=doubts(sources),
        sources=sources,
    )


def led(reamer: Tool) -> Outlines:
    """Its outlines with its end tapered at 45° over its lead, as it really is."""
    d, lead, long = (reamer.limits[k] for k in ("diameter_mm", "lead_mm", "cutting_length_mm"))
    tip = [(0.0, lead - d / 2.0), (lead, -d / 2.0), (long, -d / 2.0)]
    return Outlines(
        (line_ring([*tip, *((z, -r) for z, r in reversed(tip))]),),
        tuple(ring for ring in reamer.outlines.body[1:]),
    )
