"""Centre drills: pilot and 60 degree cone in one, for centre holes of ISO 6411 form A or B."""

from __future__ import annotations

import math

from turnability.half_plane.curves import Point, line_ring
from turnability.shop.books import Row, cite, practice, rows, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Tool
from turnability.shop.rings import box
from turnability.shop.tool_kind import Example, each_of_a_set
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "centre-drill"
KEYS = (
    Key("size_mm", "length", "diameter of the pilot, which names the centre drill"),
    Key("sizes_mm", "lengths", "a whole set: one centre drill of each size"),
    Key("form", "choice", "A, or B with a protecting chamfer", default="A", choices=("A", "B")),
    Key("pilot_length_mm", "length", "length of the pilot with its point"),
    Key("shank_diameter_mm", "length", "diameter of the body, where the cone ends"),
    Key("chuck_diameter_mm", "length", "outside of what holds the centre drill"),
)
_GOOD = {"kind": NAME, "size_mm": 2.5}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"form": "B"}),
    Example({"kind": NAME, "name": "centre", "sizes_mm": [1.0, 2.0, 3.15, 5.0]}),
    Example(_GOOD | {"pilot_length_mm": 3.1, "shank_diameter_mm": 6.0}),
    Example(
        {"kind": NAME, "size_in": 0.125, "pilot_length_in": 0.125, "shank_diameter_in": 0.3125}
    ),
    Example({"kind": NAME}, "no size_mm"),
    Example({"kind": NAME, "size_mm": 2.2}, "is no size"),
    Example(_GOOD | {"form": "R"}, "form"),
    Example(_GOOD | {"pilot_length_mm": 0.5}, "shorter than its own point"),
    Example(_GOOD | {"shank_diameter_mm": 2.0}, "no room for the cone"),
)
_CONE_DEG, _CHAMFER_DEG = 60.0, 120.0
"""The centre's cone and the protecting chamfer (ISO 6411, names and angles from memory)."""
_COLLAR_MM = 0.05


def expand(table: Checked) -> list[Checked]:
    """One table for each size of a set. Raises Fault."""
    return each_of_a_set(table, "sizes_mm", "size_mm", "centre drill")


def tool_from(table: Checked) -> Tool:
    """One centre drill; what the file leaves out comes from the table. Raises Fault."""
    d, form = table["size_mm"], table["form"]
    if d is None:
        raise Fault(None, "has no size_mm", "Add it: the diameter of the pilot")
    entry = next((r for r in rows("centre_hole") if abs(float(r["d_mm"]) - d) < 1e-6), None)
    pilot, shank = table["pilot_length_mm"], table["shank_diameter_mm"]
    sources = {}
    if entry is None and (pilot is None or shank is None or form == "B"):
        raise _unknown(d)
    if pilot is None and entry is not None:
        stated = cite(entry, "centre_hole", "t_A_mm", "mm")
        pilot, sources["pilot_length_mm"] = stated.value, stated
    if shank is None and entry is not None:
        stated = cite(entry, "centre_hole", "drill_shank_mm", "mm")
        shank, sources["mouth_diameter_mm"] = stated.value, stated
    points = _half(d, pilot, shank, _protected(entry) if form == "B" else None)
    usable, mouth = points[-1][0], 2.0 * points[-1][1]
    chuck = table["chuck_diameter_mm"] or max(practice("drill_chuck_diameter").value, mouth + 20.0)
    held = usable + 2.0 * mouth
    collar = mouth / 2.0 + _COLLAR_MM
    lower = [(z, -r) for z, r in points]
    return Tool(
        name=table["name"] or f"centre drill {table.size('size_mm', d)}",
        kind=NAME,
        access="end",
        on_axis=True,
        hand="neutral",
        outlines=Outlines(
            (line_ring([(0.0, 0.0), *lower, *reversed(points)]),),
            (
                box(usable, -collar, held, collar),
                box(held, -chuck / 2.0, held + 400.0, chuck / 2.0),
            ),
        ),
        designation=f"centre drill {form} {table.size('size_mm', d)}",
        weight=weight(NAME),
        limits={
            "pilot_diameter_mm": d,
            "pilot_length_mm": pilot,
            "mouth_diameter_mm": mouth,
            "usable_length_mm": usable,
        },
        notes=doubts(sources),
        sources=sources,
    )


def _half(d: float, pilot: float, shank: float, chamfer: tuple[float, float] | None) -> list[Point]:
    """The outline above the axis, from behind the tip to where the body begins. Raises Fault."""
    point = d / 2.0 / math.tan(math.radians(practice("centre_drill_point").value / 2.0))
    if pilot <= point:
        told = ("is ", pilot, ": shorter than its own point of ", point)
        raise Fault("pilot_length_mm", told, "Measure it from the tip to the cone")
    if shank <= d:
        told = ("is ", shank, ": no room for the cone behind a pilot of ", d)
        raise Fault("shank_diameter_mm", told, "Write the diameter of the body")
    points = [(point, d / 2.0), (pilot, d / 2.0)]
    for diameter, angle in (
        [(shank, _CONE_DEG)]
        if chamfer is None
        else [(chamfer[0], _CONE_DEG), (chamfer[1], _CHAMFER_DEG)]
    ):
        z, r = points[-1]
        rise = diameter / 2.0 - r
        points.append((z + rise / math.tan(math.radians(angle / 2.0)), diameter / 2.0))
    return points


def _protected(entry: Row | None) -> tuple[float, float]:
    """Where the cone and where the protecting chamfer of form B end, diameters. Raises Fault."""
    if entry is None or not entry["B_D_mm"]:
        raise Fault("form", "is B, which this size does not have", "Write A")
    return float(entry["A_D_mm"]), float(entry["B_D_mm"])


def _unknown(d: float) -> Fault:
    sizes: list[str | float] = []
    for entry in rows("centre_hole"):
        sizes += [", "] if sizes else []
        sizes.append(float(entry["d_mm"]))
    return Fault(
        "size_mm",
        ("is ", d, ", which is no size of the table"),
        ("Add pilot_length_mm and shank_diameter_mm, or take one of ", *sizes),
    )
