"""A thread for which the shop lists no tool: neither tap nor die of its size, nor a point."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.model import Feature
from turnability.features.standards.threads import ThreadSize, thread_sizes
from turnability.half_plane.curves import line_ring
from turnability.part.model import Parameter
from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.intent_differs_from_solid import threads_elsewhere
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import thread_name, where_of_feature
from turnability.setups.operations.threading import POINTED, tool_for
from turnability.shop.model import Outlines, Tool
from turnability.units import length_text, span_text

NAME = "no-thread-tool"
LEVELS = ("error", "warning")
WHY = "A turning tool leaves a thread's cylinder, and no thread."
LIMIT = "a tap or die of its diameter and pitch, or a threading point for its flanks and pitch"
BASIS = "the taps, dies and threading tools in the shop file"
_SAME_MM = 0.01


def check(view: View) -> Judgement:
    """An error for each thread that nothing listed cuts; a warning where its size is not known."""
    if view.features is None:
        return NotJudged("features were not recognised")
    threads = [f for f in view.features if f.kind == "thread" and not f.only_drawn]
    return [_finding(view, thread) for thread in threads if tool_for(thread, view.shop) is None]


def _finding(view: View, thread: Feature) -> Finding:
    inch = view.shop.inch
    form, sized = thread.parameters.get("form"), thread.number("pitch_mm")
    side = "inside" if thread.surface == "inner" else "outside"
    named = f"the {side} thread {thread_name(thread, inch)} at z {span_text(thread.z_mm, inch)}"
    if sized is None:
        message = (
            f"Which tool cuts {named} is not known: nothing says its form and pitch. State it by a "
            "standard's designation under [[thread]] in the intent, or have it cut elsewhere."
        )
    elif form is None:
        message = (
            f"{named[0].upper()}{named[1:]}, of pitch {length_text(round(sized, 3), inch)}, has no "
            "standard's size: only a point ground to its flanks cuts it. Take a standard's thread, "
            "or have it cut elsewhere or moulded."
        )
    else:
        message = _nothing_cuts(view, thread, named, str(form), sized)
    return Finding(
        rule=NAME,
        level="warning" if sized is None or form is None else "error",
        message=message,
        where=where_of_feature(thread),
        basis=Basis(BASIS, "shop"),
        measured=sized,
        limit=None,
        unit="mm",
    )


def _nothing_cuts(view: View, thread: Feature, named: str, form: str, pitch_mm: float) -> str:
    """Of a thread that is known: why neither what cuts it whole nor what cuts it by points does."""
    inch, inside = view.shop.inch, thread.surface == "inner"
    whole, kind = ("tap", "internal-threading") if inside else ("die", "threading")
    points = [t for t in view.shop.thread_tools if t.kind == kind]
    if form not in POINTED:
        why = "threading points cut flanks of 60°, which it has not"
    elif points:
        told = "; ".join(_told(point, inch) for point in points)
        has = f"pitch {length_text(pitch_mm, inch)}"
        if inside:
            has += f" in a bore of ⌀{length_text(round(thread.diameter_mm[0], 2), inch)}"
        why = f"no threading point fits ({told}; it has {has})"
    else:
        why = f"no threading point for the {'inside' if inside else 'outside'}"
    if threads_elsewhere(view).intersection(thread.segments):
        way = "Correct it, or the diameter that it is stated on; if the thread is right, have"
    else:
        other = _other(thread, view)
        way = "Have" if other is None else f"Take {other}, have"
    return (
        f"No tool of the shop cuts {named}: no {whole} of its size, and {why}. {WHY} {way} it cut "
        f"elsewhere, or list the {whole} or the insert if one is there."
    )


def _told(point: Tool, inch: bool) -> str:
    """What a threading point cuts: its pitches, and the bore that it goes into."""
    least, most = point.limits["least_pitch_mm"], point.limits["most_pitch_mm"]
    words = f"{point.name}: pitch {span_text((least, most), inch)}"
    bore = point.limits.get("min_bore_mm")
    return words if bore is None else f"{words}, bores from ⌀{length_text(bore, inch)}"


def _other(thread: Feature, view: View) -> str | None:
    """The standard's thread of the same diameter and form, coarsest first, that the shop cuts."""
    major, form = thread.number("major_mm"), thread.parameters.get("form")
    if major is None or form not in POINTED:
        return None
    same = [
        size
        for size in thread_sizes()
        if size.form == form and abs(size.major_mm - major) <= _SAME_MM
    ]
    able = [size for size in same if tool_for(_made(thread, size), view.shop) is not None]
    return max(able, key=lambda size: size.pitch_mm).designation if able else None


def _made(thread: Feature, size: ThreadSize) -> Feature:
    return replace(
        thread,
        diameter_mm=(size.minor_inside_mm, size.major_mm),
        parameters={
            **thread.parameters,
            "major_mm": size.major_mm,
            "pitch_mm": size.pitch_mm,
        },
    )


def _threaded(*tools: Tool, **parameters: Parameter) -> View:
    thread = Feature(
        "F1", "thread", "outer", (18.0, 30.0), (14.0, 16.0), ("S3",), (),
        {"designation": "M16", "form": "metric", "major_mm": 16.0, "pitch_mm": 2.0,
         "evidence": "stated", **parameters},
    )  # fmt: skip
    return drawn_view(features=(thread,), shop=replace(drawn_shop(), thread_tools=tools))


def _tool(kind: str, **limits: float) -> Tool:
    ring = line_ring([(0.0, 0.0), (3.0, 0.0), (3.0, 3.0)])
    return Tool(kind, kind, "outer", False, "right", Outlines((ring,), ()), limits=limits)


_POINT = _tool("threading", least_pitch_mm=0.5, most_pitch_mm=3.0)

EXAMPLES = (
    Example("a pin", drawn_view),
    Example("what only looks drawn for M16", lambda: _threaded(evidence="cosmetic")),
    Example("M16 and a threading point", lambda: _threaded(_POINT)),
    Example("M16 and its die", lambda: _threaded(_tool("die", major_mm=16.0, pitch_mm=2.0))),
    Example("M16 in a shop without threading tools", _threaded, ("error",)),
    Example(
        "Tr16x4, for which a point of 60° has the wrong flanks",
        lambda: _threaded(_POINT, designation="Tr16x4", form="trapezoidal", pitch_mm=4.0),
        ("error",),
    ),
    Example(
        "a thread of which nothing is known but its name",
        lambda: _threaded(_POINT, designation="as the sample", form=None, pitch_mm=None),
        ("warning",),
    ),
)
