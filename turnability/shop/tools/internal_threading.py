"""Inside threading: a pointed insert at the end of a round bar."""

from __future__ import annotations

from turnability.shop.books import practice, row, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Tool
from turnability.shop.rings import box, mirror_r
from turnability.shop.thread_point import POINT_KEYS, thread_point
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "internal-threading"
THREADS = True
KEYS = (
    *POINT_KEYS,
    Key("bar_diameter_mm", "length", "the bar's diameter", required=True),
    Key("f_mm", "length", "from the bar's axis to the point", required=True),
    Key("min_bore_mm", "length", "the smallest bore the bar's maker allows"),
    Key("side_mm", "length", "from the point to the end of the insert", least=0.0),
    Key("overhang_mm", "length", "how far the point stands out of what clamps the bar"),
    Key("holder", "text", "what is engraved on the bar"),
)
_GOOD = {"kind": NAME, "insert": "11IR A60", "bar_diameter_mm": 10.0, "f_mm": 7.0}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"insert": "16IR 2 ISO", "bar_diameter_mm": 16.0, "f_mm": 12.0}),
    Example(_GOOD | {"min_bore_mm": 14.0, "side_mm": 1.0, "overhang_mm": 30.0}),
    Example({"kind": NAME, "pitch_mm": [1.0, 2.0], "bar_diameter_mm": 12.0, "f_mm": 9.0}),
    Example(_GOOD | {"insert": "11ER A60"}, "cuts outside"),
    Example(_GOOD | {"f_mm": 5.2}, "no room"),
    Example(_GOOD | {"min_bore_mm": 11.0}, "f + d/2"),
    Example({k: v for k, v in _GOOD.items() if k != "f_mm"}, "has no f_mm"),
)


def tool_from(table: Checked) -> Tool:
    """The bar with its insert. Smallest bore by file or table, else f + d/2. Raises Fault."""
    point = thread_point("I", table["insert"], table["pitch_mm"])
    d, f_mm, min_bore = table["bar_diameter_mm"], table["f_mm"], table["min_bore_mm"]
    ring = point.ring()
    near, far = f_mm - d / 2.0, f_mm + d / 2.0
    if near < point.depth_mm:
        told = ("is ", f_mm, ": no room for a thread ", point.depth_mm, " deep beside the bar")
        raise Fault("f_mm", told, ("Write at least ", d / 2.0 + point.depth_mm))
    sources = point.sources()
    if min_bore is None and point.min_bore is not None and point.min_bore.value >= far:
        min_bore, sources["min_bore_mm"] = point.min_bore.value, point.min_bore
    min_bore = min_bore or far
    if min_bore < far - 1e-9:
        told = ("is ", min_bore, ", but point and bar are f + d/2 = ", far, " wide")
        raise Fault("min_bore_mm", told, "Correct min_bore_mm or f_mm")
    steel = row("boring_bar_overhang", bar="steel")
    overhang = table["overhang_mm"] or (float(steel["max_L_over_d_normal"]) if steel else 0.0) * d
    half = max(curve.start[0] for curve in ring)
    side = max(half, table["side_mm"] or 0.0)
    block = (d + practice("bar_block_least").value) / 2.0
    made = Outlines(
        (ring,),
        (
            box(-side, point.depth_mm, half, near + 0.25 * d),
            box(-side, near, overhang, far),
            box(overhang, f_mm - block, overhang + 400.0, f_mm + block),
        ),
    )
    limits = point.limits() | {
        "f_mm": f_mm,
        "bar_diameter_mm": d,
        "min_bore_mm": min_bore,
        "overhang_mm": overhang,
    }
    if table["side_mm"] is not None:
        limits["side_mm"] = table["side_mm"]
    return Tool(
        name=table["name"] or f"{NAME} {point.designation}",
        kind=NAME,
        access="inner",
        on_axis=False,
        hand="left" if point.hand == "L" else "right",
        outlines=mirror_r(made),
        designation=table["holder"]
        or f"{point.designation}, bar {table.length('bar_diameter_mm', d)}",
        weight=weight(NAME),
        limits=limits,
        notes=doubts(sources),
        sources=sources,
    )
