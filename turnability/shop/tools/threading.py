"""Outside threading: a pointed insert that cuts one groove of the thread at a time."""

from __future__ import annotations

from turnability.shop.books import practice, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Hand, Outlines, Tool
from turnability.shop.rings import box, mirror_z
from turnability.shop.thread_point import POINT_KEYS, thread_point
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "threading"
THREADS = True
KEYS = (
    *POINT_KEYS,
    Key("side_mm", "length", "from the point to the side that faces the shoulder", least=0.0),
    Key("shank_mm", "length", "width of the holder behind the insert"),
    Key("head_length_mm", "length", "from the point to where the straight shank begins"),
    Key("holder", "text", "what is engraved on the holder"),
)
_GOOD = {"kind": NAME, "insert": "16ER AG60"}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"insert": "16ER 1.5 ISO", "side_mm": 1.2, "shank_mm": 20.0}),
    Example(_GOOD | {"insert": "22EL N60", "head_length_mm": 30.0}),
    Example(_GOOD | {"insert": "16ER 20 UN"}),
    Example({"kind": NAME, "pitch_mm": [0.5, 2.0]}),
    Example({"kind": NAME, "pitch_in": [0.02, 0.1]}),
    Example({"kind": NAME}, "has no insert"),
    Example(_GOOD | {"insert": "16IR AG60"}, "cuts inside"),
    Example(_GOOD | {"insert": "16ER XX60"}, "are not known"),
    Example(_GOOD | {"insert": "CNMG 120408"}, "no threading insert"),
    Example(_GOOD | {"insert": "16ER 1.5 ISO", "pitch_mm": [1, 2]}, "beside a full profile"),
    Example(_GOOD | {"side_mm": 40.0}, "wider than the holder"),
)


def tool_from(table: Checked) -> Tool:
    """The insert in its holder, its point flush where `side_mm` is not given. Raises Fault."""
    point = thread_point("E", table["insert"], table["pitch_mm"])
    ring = point.ring()
    half = max(curve.start[0] for curve in ring)
    side = half if table["side_mm"] is None else max(half, table["side_mm"])
    sources = dict(point.sources())
    shank = table["shank_mm"]
    if shank is None:
        sources["shank_mm"] = practice("blade_block")
        shank = sources["shank_mm"].value
    if side >= shank:
        told = ("is ", side, ", wider than the holder of ", shank)
        raise Fault("side_mm", told, "Measure from the point to the insert's side")
    head = table["head_length_mm"] or practice("head_length_per_shank").value * shank
    head = max(head, 2.0 * point.depth_mm)
    low, top = -side, point.depth_mm
    made = Outlines(
        (ring,),
        (box(low, top, low + shank, head), box(low, head, low + shank, head + 400.0)),
    )
    hand: Hand = "left" if point.hand == "L" else "right"
    limits = point.limits() | {"shank_mm": shank}
    if table["side_mm"] is not None:
        limits["side_mm"] = table["side_mm"]
    return Tool(
        name=table["name"] or f"{NAME} {point.designation}",
        kind=NAME,
        access="outer",
        on_axis=False,
        hand=hand,
        outlines=mirror_z(made) if hand == "left" else made,
        designation=table["holder"] or point.designation,
        weight=weight(NAME),
        limits=limits,
        notes=doubts(sources),
        sources=sources,
    )
