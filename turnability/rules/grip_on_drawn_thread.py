"""Jaws hold a plain cylinder that its diameter and its ends make look like a thread."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.rules.drawn import CHUCK, Example, drawn_part, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.model import Datum, Grip, Setup
from turnability.units import length_text, span_text

NAME = "grip-on-drawn-thread"
LEVELS = ("note",)
WHY = "Jaws crush the crests of a thread, and a thread cut later leaves nothing to hold there."
LIMIT = (
    "a held cylinder or bore of a thread's diameter, with its lead chamfer and a relief to DIN 76-1"
)
BASIS = "common practice: threads are not gripped, or in soft jaws or a split nut only"


def check(view: View) -> Judgement:
    """A note for each setup that grips what may be a thread that the solid does not wind."""
    if view.features is None:
        return NotJudged("no features were recognised")
    if view.setups is None:
        return NotJudged("no plan of setups was made")
    drawn = [f for f in view.features if f.kind == "thread" and f.only_drawn]
    return [
        _finding(view, setup, thread)
        for setup in view.setups
        for thread in drawn
        if _holds(setup.grip, thread)
    ]


def _holds(grip: Grip, thread: Feature) -> bool:
    if grip.kind == "raw bar" or grip.surface != thread.surface:
        return False
    small, large = thread.diameter_mm
    same = small - 1e-3 <= grip.diameter_mm <= large + 1e-3
    (low, high), (z0, z1) = grip.z_mm, thread.z_mm
    return same and min(high, z1) - max(low, z0) > 1e-3


def _finding(view: View, setup: Setup, thread: Feature) -> Finding:
    inch = view.shop.inch
    name = next((m.designation for m in thread.matches), "a thread")
    size = f"⌀{length_text(thread.diameter_mm[1], inch)} (z {span_text(thread.z_mm, inch)})"
    return Finding(
        rule=NAME,
        level="note",
        message=(
            f"Setup {setup.order} holds {size}, which looks as if drawn for {name}: nothing in the"
            f" solid winds there. {WHY} If it is a thread, state it under [[thread]] in the intent"
            " file, and the plan keeps jaws off it; if it is a plain diameter, nothing need change."
        ),
        where=where_of(view, thread.segments),
        basis=Basis(BASIS, "common-practice"),
    )


_STUD = ((0, 0), (36, 0), (36, 5), (35, 6), (16, 6), (13.9, 4.7), (10, 4.7), (10, 12), (0, 12))
"""An M12 stud: chamfered to the root, a relief of 9.4 to its shoulder."""


def _held(z_mm: tuple[float, float], diameter_mm: float) -> View:
    part = drawn_part(_STUD)
    assert part.profile is not None
    grip = Grip(CHUCK.name, "outer", z_mm, diameter_mm, z_mm[1] - z_mm[0])
    return drawn_view(
        part=part,
        features=recognise(part.profile),
        setups=(Setup(1, "low", grip, Datum(None, "drawn"), "none", (), ()),),
    )


EXAMPLES = (
    Example("a pin held by the bar", drawn_view),
    Example("the stud held on its head", lambda: _held((0.0, 10.0), 24.0)),
    Example("the stud held on its shank", lambda: _held((20.0, 34.0), 12.0), ("note",)),
)
