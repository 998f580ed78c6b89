"""Boring bars: an ISO 6261 style bar with an ISO 1832 insert.

Both hands give the same outlines: a left-hand bar cuts on the other side of the spindle or with
the spindle reversed, and feeds toward the chuck like a right-hand one.

The smallest bore is what nose and bar need between two walls, f + d/2. Where the shop file states
`min_bore_mm`, the bar is drawn so much thicker on its back that it passes no smaller one. The
table's value is the advice of a standard from memory: it is told beside, and decides nothing.
"""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.shop.books import cite, practice, row
from turnability.shop.holder_code import Holder, check_insert, parse_bar
from turnability.shop.holder_outline import bar_body
from turnability.shop.insert_code import parse_insert
from turnability.shop.limits import doubt_of, doubts
from turnability.shop.model import Outlines, Relaxation, Tool
from turnability.shop.rings import mirror_r
from turnability.shop.tool_kind import Example
from turnability.shop.tools.turning import (
    TRAILING_CLEARANCE,
    corner_limits,
    corner_weight,
    make_corner,
    sharp_nose,
)
from turnability.toml_file.keys import Checked, Fault, Key, both

NAME = "boring"
KEYS = (
    Key("bar", "text", 'the bar: bar = "S16Q-SCLCR 09", or in inch "S12S-SCLCR 3"', required=True),
    Key("insert", "text", 'the insert by ISO 1832: insert = "CCMT 09T304"', required=True),
    Key("f_mm", "length", "from the bar's axis to the nose"),
    Key("min_bore_mm", "length", "the smallest bore the bar's maker allows"),
    Key("overhang_mm", "length", "how far the nose stands out of what clamps the bar"),
    TRAILING_CLEARANCE,
)
_GOOD = {"kind": NAME, "bar": "S16Q-SCLCR 09", "insert": "CCMT 09T304"}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"f_mm": 11.0, "min_bore_mm": 20.0, "overhang_mm": 60.0}),
    Example({"kind": NAME, "bar": "S12M-SCLCR 06", "insert": "CCMT 060204"}),
    Example({"kind": NAME, "bar": "A25T-SDUCL 11", "insert": "DCMT 11T308"}),
    Example({"kind": NAME, "bar": "E20S-SVQCR 16", "insert": "VCMT 160404"}),
    Example({"kind": NAME, "bar": "S14M-STFCR 11", "insert": "TCMT 110204", "f_mm": 10.0}),
    Example({"kind": NAME, "bar": "S12S-SCLCR 3", "insert": "CCMT 32.51", "f_in": 0.5}),
    Example({"kind": NAME, "bar": "S14M-STFCR 11", "insert": "TCMT 110204"}, "f is not known"),
    Example({"kind": NAME, "bar": "S12S-SCLCR 3", "insert": "CCMT 32.51"}, "as f_in"),
    Example(_GOOD | {"bar": "Z16Q-SCLCR 09"}, "letter 1"),
    Example(_GOOD | {"bar": "S16Q-SCJCR 09"}, "letter 5"),
    Example(_GOOD | {"bar": "16 mm bar"}, "no boring bar designation"),
    Example(_GOOD | {"f_mm": 5.0}, "inside the bar"),
    Example(_GOOD | {"min_bore_mm": 15.0}, "f + d/2"),
    Example(_GOOD | {"overhang_mm": 200.0}, "longer than the bar"),
)
_STEEL, _CARBIDE = "SA", "CEHJ"
_STIFFER_PER_MM, _THICK_MM = 0.005, 40.0
_MOST_F_PER_D, _MOST_BORE_PER_REACH = 3.0, 4.0
"""Noses stand 0.5 to 0.9 of the bar off its axis, and makers advise bores about 1.2 times what nose
and bar need (common practice, from memory): what is several times that is a slip."""
_THIN_MM = 0.5
"""Thickness of the bar that stands for one no thicker than nothing."""


def tool_from(table: Checked) -> Tool:
    """The bar with its insert. f and overhang by file or table. Raises Fault, Faults."""
    holder, insert = both(lambda: parse_bar(table["bar"]), lambda: parse_insert(table["insert"]))
    check_insert(holder, insert)
    corner, sources = make_corner(holder, insert, table["trailing_clearance_deg"], "bar")
    d = holder.shank_mm
    (f_mm, min_bore, more, advice), (overhang, most, notes, ratio) = both(
        lambda: _reach(holder, table),
        lambda: _overhang(
            holder,
            table["overhang_mm"],
            table.length("overhang_mm", table["overhang_mm"] or 0.0),
        ),
    )
    sources |= more
    if ratio is not None:
        sources["overhang_mm"] = ratio
    near, far = f_mm - d / 2.0, min_bore
    block_half = (d + practice("bar_block_least").value) / 2.0
    block = (f_mm - block_half, f_mm + block_half)

    made = Outlines((corner.ring(),), bar_body(corner, (near, far), overhang, block))
    relaxed = list(sharp_nose(corner, made))
    needle = corner.needle(far)
    if needle is not None:
        headless = bar_body(corner, (near, far), overhang, block, with_head=False)
        relaxed.append(
            Relaxation(
                "trailing-edge",
                Outlines((needle[0],), (needle[1], *headless)),
                "trailing_angle_deg",
                corner.trailing_deg,
                "deg",
            )
        )
    thin = near + _THIN_MM
    entry = Outlines(
        (corner.ring(r_most=max(thin, 2.5 * corner.nose_mm)),),
        bar_body(corner, (near, thin), overhang, block, clipped=True),
    )
    low = bar_body(corner, (far - _THIN_MM, far), overhang, block, head_near_mm=near)
    endless = bar_body(corner, (near, far), overhang, None)
    relaxed += [
        Relaxation("entry-bore", entry, "bar_diameter_mm", d, "mm"),
        Relaxation("recess-depth", Outlines(made.cutting, low), "recess_depth_mm", near, "mm"),
        Relaxation("bar-length", Outlines(made.cutting, endless), "overhang_mm", overhang, "mm"),
        Relaxation("holder", Outlines(made.cutting, ())),
    ]
    limits = corner_limits(corner) | {
        "f_mm": f_mm,
        "bar_diameter_mm": d,
        "min_bore_mm": min_bore,
        "recess_depth_mm": near,
        "overhang_mm": overhang,
    }
    if most is not None:
        limits["max_overhang_mm"] = most
    return Tool(
        name=table["name"] or f"{holder.designation} with {insert.designation}",
        kind=NAME,
        access="inner",
        on_axis=False,
        hand=holder.hand,
        outlines=mirror_r(made),
        designation=f"{holder.designation}, {insert.designation}",
        # of bars with like corners the thicker one bends less
        weight=corner_weight(NAME, corner) - _STIFFER_PER_MM * min(d, _THICK_MM),
        relaxations=tuple(
            Relaxation(r.cause, mirror_r(r.outlines), r.parameter, r.value, r.unit) for r in relaxed
        ),
        limits=limits,
        notes=doubts(sources) + advice + notes,
        sources=sources,
    )


def _reach(
    holder: Holder, table: Checked
) -> tuple[float, float, dict[str, Cited], tuple[str, ...]]:
    """f, smallest bore, what they rest on where the file does not give them, and advice."""
    d, f_mm, min_bore = holder.shank_mm, table["f_mm"], table["min_bore_mm"]
    entry = row("boring_bar_dimensions", d_mm=f"{d:g}")
    sources: dict[str, Cited] = {}
    advice: tuple[str, ...] = ()
    if f_mm is None:
        if entry is None:
            key = "f_in" if holder.inch else "f_mm"
            raise Fault(
                "bar",
                ("f is not known for a bar of ", d),
                f"Measure from the bar's axis to the nose and add it as {key}",
            )
        f = cite(entry, "boring_bar_dimensions", "f_mm", "mm")
        f_mm, sources["f_mm"] = f.value, f
        least = cite(entry, "boring_bar_dimensions", "min_bore_mm", "mm")
        if min_bore is None and least.value > f_mm + d / 2.0:
            told, goes = table.length("bar", least.value), table.length("bar", f_mm + d / 2.0)
            advice = (
                f"goes into a bore from {goes} on (f + d/2, without clearance); a table "
                f"advises {told} ({doubt_of(least)}): state min_bore_mm if yours is a limit",
            )
    if f_mm < d / 2.0:
        raise Fault(
            "f_mm", ("is ", f_mm, ": the nose lies inside the bar"), ("Write more than ", d / 2)
        )
    if f_mm > _MOST_F_PER_D * d:
        raise Fault(
            "f_mm",
            ("is ", f_mm, ": no nose stands so far off the axis of a bar of ", d),
            "Measure from the bar's axis to the nose",
        )
    if min_bore is None:
        min_bore = f_mm + d / 2.0
    if min_bore > _MOST_BORE_PER_REACH * (f_mm + d / 2.0):
        raise Fault(
            "min_bore_mm",
            ("is ", min_bore, ", but nose and bar are f + d/2 = ", f_mm + d / 2.0, " wide"),
            "Write the smallest bore that this bar goes into, or leave the key out",
        )
    if min_bore < f_mm + d / 2.0 - 1e-9:
        raise Fault(
            "min_bore_mm",
            ("is ", min_bore, ", but nose and bar are f + d/2 = ", f_mm + d / 2.0, " wide"),
            "Correct min_bore_mm or f_mm",
        )
    return f_mm, min_bore, sources, advice


def _overhang(
    holder: Holder, given: float | None, written: str
) -> tuple[float, float | None, tuple[str, ...], Cited | None]:
    """Overhang, the most that the bar's material takes (None if unknown), notes, and its source."""
    d, bar = holder.shank_mm, holder.bar or ""
    family = "steel" if bar in _STEEL else "carbide" if bar in _CARBIDE else None
    family = {"B": "steel damped", "D": "steel damped"}.get(bar, family)
    family = {"F": "carbide damped", "G": "carbide damped"}.get(bar, family)
    entry = row("boring_bar_overhang", bar=family) if family else None
    length = holder.length.value if holder.length else None
    if given is not None and length is not None and given >= length:
        raise Fault(
            "overhang_mm",
            ("is ", given, ": longer than the bar, ", length),
            "Write how far the nose stands out of what clamps the bar",
        )
    if entry is None:
        if given is None:
            raise Fault("bar", "has no known overhang", "Add overhang_mm")
        return given, None, (), None
    ratio = cite(entry, "boring_bar_overhang", "max_L_over_d_normal", "mm/mm")
    most = ratio.value * d
    if given is not None:
        notes = (
            ()
            if given <= most
            else (
                f"overhang {written} is more than {ratio.value:g} × d: expect chatter; "
                "the bar's maker and a qualified machinist decide",
            )
        )
        return given, most, notes, None
    if length is not None:
        most = min(most, length)
    return most, most, (), replace(ratio, value=most, unit="mm")
