"""Taps: they cut an inside thread into a drilled hole."""

from __future__ import annotations

from turnability.half_plane.curves import line_ring
from turnability.shop.books import practice, weight
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Tool
from turnability.shop.rings import box
from turnability.shop.thread_code import THREAD_KEYS, thread_of
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key

NAME = "tap"
THREADS = True
KEYS = (
    *THREAD_KEYS,
    Key("thread_length_mm", "length", "length of the cut thread, with its lead", required=True),
    Key("lead_pitches", "number", "length of the lead, in pitches", least=0.5, most=20.0),
    Key("shank_diameter_mm", "length", "diameter of the shank behind the thread"),
)
_GOOD = {"kind": NAME, "thread": "M10", "thread_length_mm": 24.0}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"thread": "M10x1", "lead_pitches": 2.0, "shank_diameter_mm": 7.0}),
    Example({"kind": NAME, "thread": "1/4-20 UNC", "thread_length_in": 1.0}),
    Example({"kind": NAME, "major_mm": 9.728, "pitch_mm": 0.907, "thread_length_mm": 20.0}),
    Example({"kind": NAME, "thread_length_mm": 24.0}, "has no thread"),
    Example(_GOOD | {"thread": "M10.3"}, "no coarse pitch"),
    Example(_GOOD | {"thread": "ten"}, "no thread designation"),
    Example(_GOOD | {"pitch_mm": 1.0}, "beside major_mm or pitch_mm"),
    Example(_GOOD | {"thread_length_mm": 3.0}, "no longer than the lead"),
)


def tool_from(table: Checked) -> Tool:
    """One tap; the drill before it is the major diameter less the pitch. Raises Fault."""
    thread = thread_of(table["thread"], table["major_mm"], table["pitch_mm"])
    length, shank = table["thread_length_mm"], table["shank_diameter_mm"]
    sources = thread.sources
    usual = practice("tap_lead")
    lead = (table["lead_pitches"] or usual.value) * thread.pitch_mm
    if table["lead_pitches"] is None:
        sources["lead_mm"] = usual
    if length <= lead:
        told = ("is ", length, ", no longer than the lead of ", lead)
        raise Fault("thread_length_mm", told, "Correct it or lead_pitches")
    major, minor = thread.major_mm / 2.0, thread.minor_inside_mm / 2.0
    half = minor if shank is None else shank / 2.0
    return Tool(
        name=table["name"] or f"tap {thread.designation}",
        kind=NAME,
        access="end",
        on_axis=True,
        hand="neutral",
        outlines=Outlines(
            (
                line_ring([(0.0, minor), (length, minor), (length, major), (lead, major)]),
                line_ring([(0.0, -minor), (lead, -major), (length, -major), (length, -minor)]),
            ),
            (box(0.0, -minor, length, minor), box(length, -half, length + 400.0, half)),
        ),
        designation=f"tap {thread.designation}",
        weight=weight(NAME),
        limits={
            "major_mm": thread.major_mm,
            "pitch_mm": thread.pitch_mm,
            "tap_drill_mm": thread.major_mm - thread.pitch_mm,
            "lead_mm": lead,
            "thread_length_mm": length,
        },
        notes=doubts(sources),
        sources=sources,
    )
