"""Inside grooving: a blade across the end of a round bar."""

from __future__ import annotations

from turnability.shop.blade import Blade, make_blade, relaxed_edges
from turnability.shop.books import practice, row, weight
from turnability.shop.model import Outlines, Relaxation, Tool
from turnability.shop.rings import box, mirror_r
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key, both

NAME = "internal-grooving"
KEYS = (
    Key("width_mm", "length", "width of the edge", required=True),
    Key("bar_diameter_mm", "length", "the bar's diameter", required=True),
    Key("depth_mm", "length", "how deep it grooves: from the edge to the bar's side"),
    Key("f_mm", "length", "from the bar's axis to the edge; in place of depth_mm"),
    Key("corner_radius_mm", "length", "radius of the edge's corners", default=0.2, least=0.0),
    Key("side_clearance_mm", "length", "how much thinner the blade is, on each side", least=0.0),
    Key("overhang_mm", "length", "how far the edge stands out of what clamps the bar"),
    Key("min_bore_mm", "length", "the smallest bore the bar's maker allows"),
    Key("holder", "text", "what is engraved on the holder"),
)
_GOOD = {"kind": NAME, "width_mm": 3.0, "bar_diameter_mm": 16.0}
EXAMPLES = (
    Example(_GOOD | {"f_mm": 11.0}),
    Example(_GOOD | {"depth_mm": 4.5, "overhang_mm": 50.0, "min_bore_mm": 25.0}),
    Example(_GOOD, "neither depth_mm nor f_mm"),
    Example(_GOOD | {"f_mm": 11.0, "depth_mm": 3.0}, "beside depth_mm"),
    Example(_GOOD | {"f_mm": 8.0}, "no room"),
    Example(_GOOD | {"depth_mm": 4.0, "min_bore_mm": 16.0}, "f + d/2"),
)
_THIN_MM = 0.5


def tool_from(table: Checked) -> Tool:
    """The bar with its blade. Raises Fault, Faults."""
    d = table["bar_diameter_mm"]
    (depth, min_bore), blade = both(lambda: _beside_bar(table), lambda: _blade(table))
    far = min_bore  # a stated smallest bore stands for more room behind the bar
    steel = row("boring_bar_overhang", bar="steel")
    ratio = float(steel["max_L_over_d_normal"]) if steel else 0.0
    overhang = table["overhang_mm"] or ratio * d
    half = (d + practice("bar_block_least").value) / 2.0
    middle = depth + d / 2.0

    def drawn(
        of: Blade, near: float = depth, far: float = far, with_block: bool = True
    ) -> Outlines:
        block = (box(overhang, middle - half, overhang + 400.0, middle + half),)
        bar = box(of.side_mm, near, overhang, far)
        return Outlines((of.cutting(),), (*of.blade(near), bar, *(block if with_block else ())))

    made = drawn(blade)
    relaxed = (
        *relaxed_edges(blade, drawn),
        Relaxation("entry-bore", drawn(blade, far=depth + _THIN_MM), "bar_diameter_mm", d, "mm"),
        Relaxation(
            "recess-depth", drawn(blade, near=far - _THIN_MM), "recess_depth_mm", depth, "mm"
        ),
        Relaxation("bar-length", drawn(blade, with_block=False), "overhang_mm", overhang, "mm"),
        Relaxation("holder", Outlines(made.cutting, ())),
    )
    return Tool(
        name=table["name"] or f"{NAME} {table.size('width_mm', blade.width_mm)}",
        kind=NAME,
        access="inner",
        on_axis=False,
        hand="neutral",
        outlines=mirror_r(made),
        designation=table["holder"]
        or f"inside grooving {table.length('width_mm', blade.width_mm)}, "
        f"bar {table.length('bar_diameter_mm', d)}",
        weight=weight(NAME),
        relaxations=tuple(
            Relaxation(r.cause, mirror_r(r.outlines), r.parameter, r.value, r.unit) for r in relaxed
        ),
        limits={
            "width_mm": blade.width_mm,
            "corner_radius_mm": blade.corner_mm,
            "nose_radius_mm": blade.corner_mm,
            "f_mm": middle,
            "bar_diameter_mm": d,
            "min_bore_mm": min_bore,
            "recess_depth_mm": depth,
            "depth_mm": depth,
            "overhang_mm": overhang,
        },
    )


def _beside_bar(table: Checked) -> tuple[float, float]:
    """How deep it grooves, and the smallest bore that it goes into. Raises Fault."""
    d, f_mm = table["bar_diameter_mm"], table["f_mm"]
    if f_mm is not None and table["depth_mm"] is not None:
        raise Fault("f_mm", "is given beside depth_mm", "Keep one: depth_mm is f less half the bar")
    depth = _depth(table)
    if depth is None:
        raise Fault(None, "has neither depth_mm nor f_mm", "Add depth_mm")
    if depth <= 0.0:
        raise Fault("f_mm", ("is ", f_mm, ": no room beside the bar"), ("Write more than ", d / 2))
    far = depth + d
    min_bore: float = table["min_bore_mm"] or far
    if min_bore < far - 1e-9:
        raise Fault(
            "min_bore_mm",
            ("is ", min_bore, ", but edge and bar are f + d/2 = ", far, " wide"),
            "Correct min_bore_mm or depth_mm",
        )
    return depth, min_bore


def _depth(table: Checked) -> float | None:
    depth: float | None = table["depth_mm"]
    if depth is None and table["f_mm"] is not None:
        depth = table["f_mm"] - table["bar_diameter_mm"] / 2.0
    return depth


def _blade(table: Checked) -> Blade:
    """Its blade, judged by its width alone where its depth says nothing. Raises Fault."""
    depth = _depth(table)
    width = table["width_mm"]
    known = depth if depth is not None and depth > 0.0 else 10.0 * width
    return make_blade(width, table["corner_radius_mm"], known, table["side_clearance_mm"])
