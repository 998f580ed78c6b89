"""Two tools meet on a surface that must be of one size, or run true: a line stays there."""

from __future__ import annotations

from turnability.intent.agree import together
from turnability.intent.ground import trued_segments
from turnability.intent.model import Intent, Named, Related
from turnability.rules.drawn import HEADS, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.surfaces.meeting import tools_meeting
from turnability.units import length_text

NAME = "line-between-tools"
LEVELS = ("note",)
WHY = "Two tools never cut to quite the same size: where they meet a fine step stays, told by hand."
LIMIT = (
    "one tool in one chucking for a surface with a diameter's tolerance, a zone of its form, a "
    "run-out or a roughness"
)
BASIS = "common practice, no source: some micrometres, as far as the dials are set alike"
_WHY = {"diameter": "has a tolerance", "surface": "has a zone"}


def check(view: View) -> Judgement:
    """A note for each such surface that the plan shares out."""
    view = view.as_turned()
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    meant = together(view.intent, view.part)
    stated = {s: _WHY[t.of] for t in sorted(meant.tolerances, key=lambda t: t.of, reverse=True)
              if t.of in _WHY for s in t.place.segments}  # fmt: skip
    stated |= {s: "has a roughness" for r in meant.roughness for s in r.place.segments}
    stated |= {s: "must run true" for r in meant.related for p in r.places for s in p.segments}
    known = segments_by_id(view.part)
    later = trued_segments(view.intent)  # where the wheel takes the line away
    found = []
    for s, why in stated.items():
        if s in later:
            continue
        shared, tools = tools_meeting(view.setups, [s])
        if shared and s in known and known[s].surface != "end":
            found.append(_finding(view, s, why, tools))
    return found


def _finding(view: View, segment: str, why: str, tools: tuple[str, ...]) -> Finding:
    inch = view.shop.inch
    curve = segments_by_id(view.part)[segment].curve
    size = length_text(round(2.0 * max(curve.start[1], curve.end[1]), 3), inch)
    meet = " and ".join(tools) if len(tools) > 1 else f"{tools[0]} from either end"
    return Finding(
        rule=NAME,
        level="note",
        message=(
            f"⌀{size} ({segment}) {why}, and no tool gets at all of it as the plan holds it: "
            f"{meet} meet on it. {WHY} Say where the line may be, by a relief there or by ending "
            "what is stated before it, or let one tool reach all of it from one end."
        ),
        where=where_of(view, [segment]),
        basis=Basis(BASIS, "common-practice"),
    )


def _neck(tools: tuple[str, ...], true: bool) -> View:
    """The neck between two heads, turned by these, that must run true or of which nothing is."""
    grip = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    work = tuple(Operation(tool, ("S5",), "turn") for tool in tools)
    setup = Setup(1, "low", grip, Datum(None, "raw bar"), "none", work, ())
    places = (Named(diameter_mm=(12.0, 12.0)), Named(diameter_mm=(22.0, 22.0)))
    meant = Intent(related=(Related("neck", places, 0.02),)) if true else None
    return drawn_view(HEADS, setups=(setup,), intent=meant)


EXAMPLES = (
    Example(
        "a neck of which nothing is stated, cut by either hand", lambda: _neck(("r", "l"), False)
    ),
    Example("one that must run true, cut by one tool", lambda: _neck(("r",), True)),
    Example(
        "one that must run true, cut by either hand", lambda: _neck(("r", "l"), True), ("note",)
    ),
)
