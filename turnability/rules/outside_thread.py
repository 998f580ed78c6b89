"""A small outside thread that is cut point by point, where a tapped hole would be quicker."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.model import Feature
from turnability.rules.drawn import TURNING_TOOL, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import thread_name, where_of_feature
from turnability.setups.effort.rates import thread_minutes
from turnability.setups.operations.threading import tool_for
from turnability.shop.model import Shop, Tool
from turnability.units import length_text

NAME = "outside-thread"
LEVELS = ("note",)
WHY = "A tap cuts a small inside thread in one pass; an outside one takes many with a point."
LIMIT = "outside threads up to 16 mm for which the shop has no die"
BASIS = "common practice, no source: tapping is the easier way up to about M16"
TAPPED_UP_TO_MM = 16.0
_SAME_MM = 0.05


def check(view: View) -> Judgement:
    """A note for each small outside thread without a die of its size."""
    if view.features is None:
        return NotJudged("features were not recognised")
    small = [
        f
        for f in view.features
        if f.kind == "thread" and f.surface == "outer" and f.diameter_mm[1] <= TAPPED_UP_TO_MM
    ]
    return [
        _finding(view, thread)
        for thread in small
        if not _has_die(view.shop, thread)
        # what no point cuts either is told as such
        and (thread.only_drawn or tool_for(thread, view.shop) is not None)
    ]


def _has_die(shop: Shop, thread: Feature) -> bool:
    pitch = thread.number("pitch_mm")
    return any(
        tool.kind == "die"
        and abs(tool.limits.get("major_mm", 0.0) - thread.diameter_mm[1]) <= _SAME_MM
        and (pitch is None or abs(tool.limits.get("pitch_mm", 0.0) - pitch) < 1e-3)
        for tool in shop.thread_tools
    )


def _finding(view: View, thread: Feature) -> Finding:
    inch = view.shop.inch
    major = thread.diameter_mm[1]
    name = thread_name(thread, inch)
    outside, inside = thread_minutes(False, major), thread_minutes(True, major)
    if thread.only_drawn:
        said = (
            f"⌀{length_text(major, inch)} looks drawn for a thread ({name} by its relief). If it "
            "is one, state it under [[thread]] in the intent; the shop has no die of its size. "
            f"{WHY}"
        )
    else:
        said = f"The outside thread {name} has no die in the shop and is cut with a point. {WHY}"
    return Finding(
        rule=NAME,
        level="note",
        message=(
            f"{said} About {outside:.0f} minutes each against {inside:.0f} tapped: a tapped hole "
            "with a bought screw or stud would do the same, or list the die."
        ),
        where=where_of_feature(thread),
        basis=Basis(BASIS, "common-practice"),
        measured=major,
        limit=TAPPED_UP_TO_MM,
        unit="mm",
    )


def _threaded(*tools: Tool, form: str = "metric") -> View:
    thread = Feature(
        "F1", "thread", "outer", (18.0, 30.0), (14.7, 16.0), ("S3",), (),
        {"designation": "M16", "form": form, "major_mm": 16.0, "pitch_mm": 2.0},
    )  # fmt: skip
    return drawn_view(features=(thread,), shop=replace(drawn_shop(), thread_tools=tools))


_DIE = Tool(
    "die M16", "die", "end", True, "neutral", TURNING_TOOL.outlines,
    limits={"major_mm": 16.0, "pitch_mm": 2.0},
)  # fmt: skip
_POINT = Tool(
    "point", "threading", "outer", False, "right", TURNING_TOOL.outlines,
    limits={"least_pitch_mm": 0.5, "most_pitch_mm": 3.0},
)  # fmt: skip


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("an outside M16 for which there is a die", lambda: _threaded(_DIE, _POINT)),
    Example("an outside M16 without a die", lambda: _threaded(_POINT), ("note",)),
    Example("an outside pipe thread that no point cuts", lambda: _threaded(_POINT, form="pipe")),
)
