"""Parting off leaves a pip and a burr on a face that must be clean."""

from __future__ import annotations

from turnability.intent.model import Intent, Named, Roughness
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.operations import at_end

NAME = "parting-pip"
LEVELS = ("warning",)
WHY = "A parting blade leaves a pip in the middle of a solid face and a burr at its edge."
LIMIT = "no pip where the intent lets none stay, nor on a face of a stated roughness"
BASIS = "common practice, no source"
_AXIS_MM = 1e-3


def check(view: View) -> Judgement:
    """A warning where the plan leaves such a face as the blade does."""
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    if len(view.setups) != 1 or view.intent is None:
        return ()  # a later setup faces it; and where nothing is stated it is an assumption
    setup = view.setups[0]
    end, intent = setup.toward_chuck, view.intent
    off = any(o.kind == "part off" for o in setup.operations)
    parted = list(at_end(view.part.profile, end)) if off else []
    why = _why(view, intent, parted, end)
    if not parted or why is None:
        return ()
    known = segments_by_id(view.part)
    least = min(p[1] for s in parted for p in (known[s].curve.start, known[s].curve.end))
    what = "a pip and a burr" if least <= _AXIS_MM else "a burr"
    return (
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The {end} end is parted off, which leaves {what}, but {why}. {WHY} Face it in a "
                "second chucking, chamfer the edge before the blade goes through, or let the pip "
                "stay within a recess."
            ),
            where=where_of(view, parted),
            basis=Basis(BASIS, "common-practice"),
        ),
    )


def _why(view: View, intent: Intent, parted: list[str], end: str) -> str | None:
    if intent.parting_pip is not None and end not in intent.parting_pip:
        return "the intent lets no pip stay there"
    on = set(parted)
    if any(on & set(r.place.segments) for r in intent.roughness):
        return "a roughness is stated for that face"
    if any(on & set(t.place.segments) for t in intent.tolerances if t.of == "surface"):
        return "a tolerance is stated for that face"
    return None


def _parted(intent: Intent | None) -> View:
    grip = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    profile = drawn_view().part.profile
    assert profile is not None
    off = Operation("part 3", at_end(profile, "low"), "part off")
    setup = Setup(1, "low", grip, Datum(None, "raw bar"), "none", (off,), ())
    return drawn_view(setups=(setup,), intent=intent)


EXAMPLES = (
    Example("nothing stated", lambda: _parted(None)),
    Example("a pip may stay", lambda: _parted(Intent(parting_pip=("low",)))),
    Example("none may", lambda: _parted(Intent(parting_pip=())), ("warning",)),
    Example(
        "a roughness is stated for that face",
        lambda: _parted(Intent(roughness=(Roughness(Named(end="low"), 1.6),))),
        ("warning",),
    ),
)
