"""Dies: they cut an outside thread onto a turned end."""

from __future__ import annotations

from turnability.half_plane.curves import Ring
from turnability.shop.books import weight
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Tool
from turnability.shop.rings import box
from turnability.shop.thread_code import THREAD_KEYS, thread_of
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "die"
THREADS = True
KEYS = (
    *THREAD_KEYS,
    Key("outside_diameter_mm", "length", "outside of the die", required=True),
    Key("thickness_mm", "length", "thickness of the die", required=True),
    Key("holder_diameter_mm", "length", "outside of what holds the die"),
)
_GOOD = {"kind": NAME, "thread": "M10", "outside_diameter_mm": 30.0, "thickness_mm": 11.0}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"thread": "3/8-16 UNC", "holder_diameter_mm": 45.0}),
    Example({k: v for k, v in _GOOD.items() if k != "thread"}, "has no thread"),
    Example({k: v for k, v in _GOOD.items() if k != "thickness_mm"}, "no thickness_mm"),
    Example(_GOOD | {"outside_diameter_mm": 9.0}, "no more than the thread"),
    Example(_GOOD | {"holder_diameter_mm": 20.0}, "less than the die"),
)
_BEHIND_MM = 400.0


def tool_from(table: Checked) -> Tool:
    """One die, its face at the programmed point; it goes over the end of the work. Raises Fault."""
    thread = thread_of(table["thread"], table["major_mm"], table["pitch_mm"])
    outside, thick = table["outside_diameter_mm"], table["thickness_mm"]
    holder = table["holder_diameter_mm"] or outside
    if outside <= thread.major_mm:
        told = ("is ", outside, ", no more than the thread's ", thread.major_mm)
        raise Fault("outside_diameter_mm", told, "Measure the die across")
    if holder < outside:
        told = ("is ", holder, ", less than the die's ", outside)
        raise Fault("holder_diameter_mm", told, "Measure the holder across")
    major, minor = thread.major_mm / 2.0, thread.minor_outside_mm / 2.0
    body: list[Ring] = []
    for low, high in ((major, outside / 2.0), (-outside / 2.0, -major)):
        body.append(box(0.0, low, thick, high))
    for low, high in ((major, holder / 2.0), (-holder / 2.0, -major)):
        body.append(box(thick, low, thick + _BEHIND_MM, high))
    return Tool(
        name=table["name"] or f"die {thread.designation}",
        kind=NAME,
        access="end",
        on_axis=True,
        hand="neutral",
        outlines=Outlines(
            (box(0.0, minor, thick, major), box(0.0, -major, thick, -minor)), tuple(body)
        ),
        designation=f"die {thread.designation}",
        weight=weight(NAME),
        limits={
            "major_mm": thread.major_mm,
            "pitch_mm": thread.pitch_mm,
            "outside_diameter_mm": outside,
            "thickness_mm": thick,
        },
        notes=doubts(thread.sources),
        sources=thread.sources,
    )
