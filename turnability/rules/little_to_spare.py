"""A tool of the plan just fits: it goes in, and nothing is left for a chip or a burr."""

from __future__ import annotations

from dataclasses import replace

from turnability.rules.drawn import BORING_BAR, TURNING_TOOL, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import features_on, stated_segments, where_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.operations.spare import LITTLE, Spare, little_spare
from turnability.units import length_text

NAME = "little-to-spare"
LEVELS = ("note",)
WHY = "A chip or a burr beside its shank jams it, and a size drawn a hair tighter shuts it out."
LIMIT = "0.2 mm of depth over a groove's, or of diameter over what a bar asks for"
BASIS = "the tools in the shop file; 0.2 mm is common practice, no source"


def check(view: View) -> Judgement:
    """A note for each tool of the plan, and each place, with less than that."""
    profile = view.part.profile
    if view.setups is None or profile is None:
        return NotJudged("no plan of setups was made")
    found: dict[tuple[str, tuple[str, ...], str], Spare] = {}
    for setup in view.setups:
        for one in little_spare(profile, setup, view.shop.tools):
            found.setdefault((one.tool, one.segments, one.what), one)
    return [_finding(view, one) for one in found.values()]


def _finding(view: View, one: Spare) -> Finding:
    inch = view.shop.inch
    rest = f"{length_text(one.spare_mm, inch)} is" if one.spare_mm else "nothing is"
    has, asks = length_text(one.has_mm, inch), length_text(one.asks_mm, inch)
    fixed = bool(stated_segments(view) & set(one.segments)) or any(
        f.matches for f in features_on(view, one.segments)
    )
    if one.what == "depth":
        says = f"{one.tool} sinks {has}, and the groove is {asks} deep: {rest} to spare"
        change, tool = "Make the groove a little shallower", "a blade that sinks deeper"
    else:
        says = f"{one.tool} asks for a bore of ⌀{asks}, and passes ⌀{has}: {rest} to spare"
        change, tool = "Make the bore a little wider", "a slimmer bar"
    # what a standard or the drawing gives stays as it is
    way = f"List {tool}" if fixed else f"{change}, or list {tool}"
    return Finding(
        rule=NAME,
        level="note",
        message=f"{says}. {WHY} {way}; else go in slowly and clear chips often.",
        where=where_of(view, one.segments),
        basis=Basis(BASIS, "shop"),
        measured=one.spare_mm,
        limit=LITTLE.value,
        unit="mm",
    )


def _grooved(sinks_mm: float) -> View:
    """A groove of 3 mm, cut by a blade that sinks so deep."""
    blade = replace(TURNING_TOOL, name="groove 3", limits={"width_mm": 3.0, "depth_mm": sinks_mm})
    ring = [(0, 0), (30, 0), (30, 11), (15, 11), (15, 8), (10, 8), (10, 11), (0, 11)]
    grip = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    cut = Operation("groove 3", ("S4", "S5", "S6"), "groove")
    setup = Setup(1, "low", grip, Datum(None, "bar"), "none", (cut,), ())
    return drawn_view(ring, shop=drawn_shop(tools=(TURNING_TOOL, blade)), setups=(setup,))


def _bored(across: float) -> View:
    """A bush that bar 8, which asks for ⌀10, bores right through."""
    grip = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    cut = Operation(BORING_BAR.name, ("S1",), "bore")
    setup = Setup(1, "low", grip, Datum(None, "bar"), "none", (cut,), ())
    r = across / 2.0
    return drawn_view([(0, r), (20, r), (20, 11), (0, 11)], setups=(setup,))


EXAMPLES = (
    Example("a groove of 3 mm and a blade that sinks 5", lambda: _grooved(5.0)),
    Example("a bore of ⌀12 and a bar that asks for ⌀10", lambda: _bored(12.0)),
    Example("a groove of 3 mm and a blade that sinks 3", lambda: _grooved(3.0), ("note",)),
    Example("a bore of ⌀10.1 and that bar", lambda: _bored(10.1), ("note",)),
)
