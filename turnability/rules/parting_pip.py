"""Parting off leaves a pip and a burr on a face that must be clean."""

from __future__ import annotations

from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.setups.edges import at_end
from turnability.setups.grips import grips_for, passable
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.units import length_text

NAME = "parting-pip"
LEVELS = ("warning",)
WHY = "A parting blade leaves a pip in the middle of a solid face and a burr at its edge."
BURR = "A parting blade leaves a burr at the edge that it comes out by."
LIMIT = (
    "no pip where the intent lets none stay; none on a face of a stated roughness, tolerance or "
    "run-out, nor of a length to 0.1 mm or closer"
)
LENGTH_MM = 0.1
"""A length to a parted face is held no closer: the blade runs out of square (common practice)."""
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
    why = _why(intent, parted, end)
    true = _true(intent, parted, view.shop.inch)
    if not parted or (why is None and true is None):
        return ()
    known = segments_by_id(view.part)
    least = min(p[1] for s in parted for p in (known[s].curve.start, known[s].curve.end))
    pip = least <= _AXIS_MM
    ways = [_facing(view, view.part.profile, setup)]
    if not true:
        ways += _beside(view, view.part.profile, end, pip)
    return (
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The {end} end is parted off, which leaves {'a pip and ' if pip else ''}a burr, "
                f"but {true or why}. {WHY if pip else BURR} {', or '.join(ways)}."
            ),
            where=where_of(view, parted),
            basis=Basis(BASIS, "common-practice"),
        ),
    )


def _facing(view: View, profile: Profile, setup: Setup) -> str:
    """How it can be faced: by a land that it has, or by one that must be drawn."""
    free: Toward = "high" if setup.toward_chuck == "low" else "low"
    if any(
        g.fits
        and (g.obstacle is None or g.shortest_mm is not None)
        and passable(profile, g.land, free)
        for g in grips_for(view.lands or (), view.shop)
    ):
        return "Face it in a second chucking"
    return (
        f"Draw a straight land that jaws can hold from the {free} end, for there is none, and "
        "face it in a second chucking"
    )


def _beside(view: View, profile: Profile, end: str, pip: bool) -> list[str]:
    """What spares the second chucking: an edge that is still sharp, a face with a middle."""
    at = 0.0 if end == "low" else profile.length_mm
    broken = any(
        f.kind in ("chamfer", "fillet")
        and f.surface == "outer"
        and min(abs(z - at) for z in f.z_mm) <= _AXIS_MM
        for f in view.features or ()
    )
    return ["chamfer the edge before the blade goes through"] * (not broken) + [
        "let the pip stay within a recess"
    ] * pip


def _why(intent: Intent, parted: list[str], end: str) -> str | None:
    if intent.parting_pip is not None and end not in intent.parting_pip:
        return "the intent lets no pip stay there"
    on = set(parted)
    if any(on & set(r.place.segments) for r in intent.roughness):
        return "a roughness is stated for that face"
    if any(on & set(t.place.segments) for t in intent.tolerances if t.of == "surface"):
        return "a tolerance is stated for that face"
    return None


def _true(intent: Intent, parted: list[str], inch: bool) -> str | None:
    """Why the face must be truer than a blade parts off, if it must."""
    on = set(parted)
    for one in intent.related:
        if on & {s for place in one.places for s in place.segments}:
            limit = one.run_out_mm
            within = "" if limit is None else f" within {length_text(limit, inch)}"
            return f"that face must run true{within}, and no blade parts off that true"
    for tolerance in intent.tolerances:
        width = _width_mm(tolerance)
        if tolerance.of != "length" or not on & set(tolerance.place.segments) or width is None:
            continue
        if width <= LENGTH_MM + 1e-9:
            return f"a length to that face is held to {length_text(width, inch)}"
    return None


def _width_mm(tolerance: Tolerance) -> float | None:
    if tolerance.width_mm is not None:
        return tolerance.width_mm
    span = tolerance.limits_mm or tolerance.deviations_mm
    return None if span is None else round(span[1] - span[0], 6)


def _parted(intent: Intent | None) -> View:
    grip = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    profile = drawn_view().part.profile
    assert profile is not None
    off = Operation("part 3", at_end(profile, "low"), "part off")
    setup = Setup(1, "low", grip, Datum(None, "raw bar"), "none", (off,), ())
    return drawn_view(setups=(setup,), intent=intent)


def _run_out() -> Related:
    widest = _size()[1]
    return Related("true", (Named(end="low"), Named(diameter_mm=(widest, widest))), 0.01)


def _length(width_mm: float) -> Tolerance:
    return Tolerance("length", Named(z_mm=(0.0, _size()[0])), "close", width_mm=width_mm)


def _size() -> tuple[float, float]:
    """Length and largest diameter of the pin."""
    profile = drawn_view().part.profile
    assert profile is not None
    return profile.length_mm, profile.max_diameter_mm


EXAMPLES = (
    Example("nothing stated", lambda: _parted(None)),
    Example("a pip may stay", lambda: _parted(Intent(parting_pip=("low",)))),
    Example("none may", lambda: _parted(Intent(parting_pip=())), ("warning",)),
    Example(
        "a roughness is stated for that face",
        lambda: _parted(Intent(roughness=(Roughness(Named(end="low"), 1.6),))),
        ("warning",),
    ),
    Example(
        "that face must run true",
        lambda: _parted(Intent(related=(_run_out(),))),
        ("warning",),
    ),
    Example(
        "a length to that face of 0.05",
        lambda: _parted(Intent(tolerances=(_length(0.05),))),
        ("warning",),
    ),
    Example("a length of 0.2", lambda: _parted(Intent(tolerances=(_length(0.2),)))),
)
