"""End grooving blades: they sink into an end face along the axis, and are curved to do so.

The programmed point is the edge's corner nearest the axis, before it is rounded; the edge runs
outward from there, the blade toward +z. Seen along the axis the blade is an arc below its edge: it
enters a fresh face only where the groove's outer diameter lies within `first_cut_mm`; from there it
may be widened to both sides, until the arc meets the other wall. Its outer face is curved for the
least of these diameters, its inner face for the greatest, so at a height y below the edge they have
moved toward the axis by ρ - √(ρ² - y²), each by its own radius ρ.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from turnability.cited import Cited
from turnability.half_plane.curves import Ring
from turnability.shop.blade import Blade, make_blade, relaxed_edges
from turnability.shop.books import practice, rows, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Below, Outlines, Relaxation, Tool
from turnability.shop.rings import box, swap_axes
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key, both

NAME = "end-grooving"
KEYS = (
    Key("width_mm", "length", "width of the edge", required=True),
    Key("depth_mm", "length", "how deep the blade may sink", required=True),
    Key(
        "first_cut_mm",
        "span",
        "outer diameters of a first groove, [least, greatest], as engraved on the blade",
    ),
    Key("height_mm", "length", "how far the blade reaches below its edge"),
    Key("corner_radius_mm", "length", "radius of the edge's corners", default=0.2, least=0.0),
    Key("side_clearance_mm", "length", "how much thinner the blade is, on each side", least=0.0),
    Key("shank_mm", "length", "width of the holder behind the blade"),
    Key(
        "holder_side",
        "choice",
        "where the holder stands beyond the blade, seen from the axis",
        default="both",
        choices=("inside", "outside", "both"),
    ),
    Key("holder", "text", "what is engraved on the holder"),
)
_HEIGHTS = tuple(math.sqrt(k / 4.0) for k in range(1, 5))
"""Shares of the height at which it meets stock; it moves with y², so they are closer farther down.
The first stands back so far that a groove takes few rounds."""
_SLABS = tuple((k / 12.0) ** (2.0 / 3.0) for k in range(13))
"""Shares of the height between which it is cut into slabs to meet the part, which lets it the less
far in the more it is curved otherwise. A slab from a to b, whose faces move aside by as much as
b² - a², can be wrong about (b - a)(b² - a²): so spaced that is about the same in all."""
_GOOD = {"kind": NAME, "width_mm": 3.0, "depth_mm": 12.0, "first_cut_mm": [40.0, 60.0]}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"height_mm": 8.0}),
    Example(_GOOD | {"corner_radius_mm": 0.0, "holder_side": "outside"}),
    Example(_GOOD | {"width_mm": 4.0, "corner_radius_mm": 2.0, "holder_side": "inside"}),
    Example({"kind": NAME, "width_in": 0.125, "depth_in": 0.5, "first_cut_in": [1.5, 2.5]}),
    Example({k: v for k, v in _GOOD.items() if k != "first_cut_mm"}, "no first_cut_mm"),
    Example(_GOOD | {"first_cut_mm": [60.0, 40.0]}, "smaller first"),
    Example(_GOOD | {"first_cut_mm": [5.0, 8.0]}, "twice the width"),
    Example({k: v for k, v in _GOOD.items() if k != "depth_mm"}, "no depth_mm"),
    Example(_GOOD | {"corner_radius_mm": 2.0}, "half the width"),
    Example(_GOOD | {"height_mm": 18.0}, "less than half its width"),
)


def tool_from(table: Checked) -> Tool:
    """The blade with its range of first cuts. Raises Fault, Faults."""
    width, depth = table["width_mm"], table["depth_mm"]
    (least, most), blade = both(
        lambda: _first_cut(table),
        lambda: make_blade(width, table["corner_radius_mm"], depth, table["side_clearance_mm"]),
    )
    sources: dict[str, Cited] = {}
    shank = table["shank_mm"]
    if shank is None:
        sources["shank_mm"] = practice("blade_block")
        shank = sources["shank_mm"].value
    low = {
        "inside": width - blade.side_mm - shank,
        "outside": blade.side_mm,
        "both": (width - shank) / 2.0,
    }[table["holder_side"]]

    height = _height(table, blade, (least, most))
    if table["height_mm"] is None:
        sources["height_mm"] = replace(practice("end_blade_curve"), value=height, unit="mm")

    def drawn(of: Blade) -> Outlines:
        body: tuple[Ring, ...] = of.blade(of.depth_mm)
        block = box(low, of.depth_mm, low + shank, of.depth_mm + 400.0)
        # a narrower one for the same range is less tall
        below = _below(of, (least, most), min(height, _tallest(of, (least, most))))
        return replace(swap_axes(Outlines((of.cutting(),), (*body, block))), below=below)

    made = drawn(blade)
    endless = replace(drawn(blade.endless()), body=())
    sunk = blade.depth_mm
    notes = doubts(sources)
    ceiling = practice("blade_depth_per_width").value
    if sunk > ceiling * width + 1e-9:
        told = table.length("depth_mm", sunk)
        notes += (f"{told} is deeper than {ceiling:g} × the width: the blade may wander",)
    return Tool(
        name=table["name"] or f"{NAME} {table.size('width_mm', width)}",
        kind=NAME,
        access="end",
        on_axis=False,
        hand="neutral",
        outlines=made,
        designation=table["holder"]
        or f"end grooving blade {table.length('width_mm', width)}, first cut "
        f"{table.size('first_cut_mm', least)} to {table.length('first_cut_mm', most)}",
        weight=weight(NAME),
        relaxations=(
            *relaxed_edges(blade, drawn),
            Relaxation("blade-depth", endless, "depth_mm", depth, "mm"),
            Relaxation("holder", replace(made, body=())),
            Relaxation("face-groove-curve", replace(made, below=())),
        ),
        limits={
            "width_mm": width,
            "depth_mm": depth,
            "first_cut_least_mm": least,
            "first_cut_most_mm": most,
            "height_mm": height,
            "corner_radius_mm": blade.corner_mm,
            "nose_radius_mm": blade.corner_mm,
            "shank_mm": shank,
        },
        notes=notes,
        sources=sources,
    )


def _curve(of: Blade, first_cut_mm: tuple[float, float]) -> tuple[float, float]:
    """Radii to which the blade's outer and inner face are curved."""
    least, most = first_cut_mm
    return least / 2.0 - of.side_mm, most / 2.0 - of.width_mm + of.side_mm


def _faces(of: Blade, first_cut_mm: tuple[float, float], y: float) -> tuple[float, float]:
    """Where the inner and the outer face stand at a height y below the edge."""
    outer, inner = _curve(of, first_cut_mm)
    return (
        of.side_mm - inner + math.sqrt(inner**2 - y**2),
        of.width_mm - of.side_mm - outer + math.sqrt(outer**2 - y**2),
    )


def _below(of: Blade, first_cut_mm: tuple[float, float], height: float) -> tuple[Below, ...]:
    """The blade's sections below its edge.

    Those that stock meets stand back as far as they do. Of a slab the faces are those of its lower
    end, the front is that of its middle: beside a wall of the part that is curved otherwise the
    blade stops half a slab too soon as often as half a slab too late.
    """
    recede = math.tan(math.radians(practice("end_blade_relief").value))
    slabs = [(share, (above + share) / 2.0, True) for above, share in pairwise(_SLABS)]
    found = []
    for share, front, part_only in (*((one, one, False) for one in _HEIGHTS), *slabs):
        y, back = height * share, height * front * recede
        low, high = _faces(of, first_cut_mm, y)
        found.append(Below(y, (box(back, low, back + of.depth_mm, high),), part_only))
    return tuple(found)


def _height(table: Checked, blade: Blade, first_cut_mm: tuple[float, float]) -> float:
    """How far it reaches below its edge: as told, else as far as usual. Raises Fault."""
    told: float | None = table["height_mm"]
    most = _tallest(blade, first_cut_mm)
    if told is None:
        usual = practice("end_blade_curve").value * min(_curve(blade, first_cut_mm))
        return min(usual, practice("end_blade_height").value, most)
    if told > most:
        raise Fault(
            "height_mm",
            ("is ", told, ": a blade for this range has less than half its width there"),
            ("Write at most ", most, ", or the narrower range that is engraved on it"),
        )
    return told


def _tallest(of: Blade, first_cut_mm: tuple[float, float]) -> float:
    """How far below the edge half the width remains between the two faces."""
    low, high = 0.0, 0.999 * min(_curve(of, first_cut_mm))
    for _ in range(50):
        middle = (low + high) / 2.0
        a, b = _faces(of, first_cut_mm, middle)
        low, high = (middle, high) if b - a >= of.width_mm / 2.0 - of.side_mm else (low, middle)
    return low


def _first_cut(table: Checked) -> tuple[float, float]:
    """The range of first cuts. Raises Fault with the usual ranges where it is not given."""
    span: tuple[float, float] | None = table["first_cut_mm"]
    if span is None:
        usual: tuple[str | float, ...] = ()
        for entry in rows("face_grooving_first_cut"):
            ends = (float(entry[f"first_cut_dia_{end}_mm"]) for end in ("min", "max"))
            low, high = ends
            usual += (", " if usual else "", low, " to ", high)
        raise Fault(
            None,
            "has no first_cut_mm: a blade that is curved fits one range of diameters",
            ("Add first_cut_mm = [least, greatest], as engraved. Usual (from memory): ", *usual),
        )
    if span[0] <= 2.0 * table["width_mm"]:
        raise Fault(
            "first_cut_mm",
            ("begins at ", span[0], ", no more than twice the width of ", table["width_mm"]),
            "Write the outer diameters of the groove, [least, greatest]",
        )
    return span
