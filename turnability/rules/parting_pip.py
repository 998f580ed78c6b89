"""Parting off leaves a pip and a burr on a face that must be clean."""

from __future__ import annotations

from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.part.model import Profile
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.rules.tighter_than_turning import RA
from turnability.setups.holding.grips import grips_for, passable
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.operations.parting import BLADE_LENGTH_MM, BLADE_RA_UM, length_width_mm
from turnability.setups.surfaces.edges import at_end
from turnability.units import length_text, mm_text

NAME = "parting-pip"
LEVELS = ("error", "warning")
WHY = "A parting blade leaves a pip in the middle of a solid face and a burr at its edge."
BURR = "A parting blade leaves a burr at the edge that it comes out by."
LIMIT = (
    "no pip where the intent lets none stay, which is a warning; an error where a roughness under "
    "Ra 3.2 µm, a tolerance, a run-out or a length to 0.1 mm or closer is stated of the face"
)
BASIS = "common practice, no source"
_AXIS_MM = 1e-3


def check(view: View) -> Judgement:
    """A finding where the plan leaves such a face as the blade does, for nothing holds it again."""
    view = view.as_turned()
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    if len(view.setups) != 1 or view.intent is None:
        return ()  # a later setup faces it; and where nothing is stated it is an assumption
    setup = view.setups[0]
    end, intent = setup.toward_chuck, view.intent
    off = any(o.kind == "part off" for o in setup.operations)
    parted = list(at_end(view.part.profile, end)) if off else []
    untrue = _true(intent, parted, view.shop.inch)
    change = None if untrue else _rougher(intent, parted)
    true = untrue or _stated(intent, parted, change)
    why = "the intent lets no pip stay there"
    barred = intent.parting_pip is not None and end not in intent.parting_pip
    if not parted or not (true or barred):
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
            level="error" if true else "warning",
            message=(
                f"The {end} end is parted off, which leaves {'a pip and ' if pip else ''}a burr, "
                f"but {true or why}. {WHY if pip else BURR} {', or '.join(ways)}."
                f"{'' if change is None else f' Or ask for no finer: {change.text}'}"
            ),
            where=where_of(view, parted),
            basis=Basis(BASIS, "common-practice"),
            change=change,
        ),
    )


def _facing(view: View, profile: Profile, setup: Setup) -> str:
    """How it can be faced: by a land that it has, or by one that must be drawn."""
    free = setup.free_end
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


def _rougher(intent: Intent, parted: list[str]) -> Change | None:
    """To ask for no smoother a face than the blade leaves, where a smoother one is stated."""
    on = set(parted)
    fine = [r.ra_um for r in intent.roughness if on & set(r.place.segments)]
    if not fine or min(fine) >= BLADE_RA_UM.value:
        return None
    text = f"Ask for Ra {BLADE_RA_UM.value:g} µm there."
    return Change(text, RA, min(fine), BLADE_RA_UM.value, proven=False)


def _stated(intent: Intent, parted: list[str], change: Change | None) -> str | None:
    on = set(parted)
    if change is not None and change.from_ is not None:
        best = f"{BLADE_RA_UM.value:g}"
        return f"Ra {mm_text(change.from_)} µm is stated for that face, and a blade leaves {best}"
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
        width = length_width_mm(tolerance)
        if width is None or not on & set(tolerance.place.segments):
            continue
        if width <= BLADE_LENGTH_MM.value + 1e-9:
            return f"a length to that face is held to {length_text(width, inch)}"
    return None


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
        ("error",),
    ),
    Example(
        "that face must run true",
        lambda: _parted(Intent(related=(_run_out(),))),
        ("error",),
    ),
    Example(
        "a length to that face of 0.05",
        lambda: _parted(Intent(tolerances=(_length(0.05),))),
        ("error",),
    ),
    Example("Ra 3.2 there", lambda: _parted(Intent(roughness=(Roughness(Named(end="low"), 3.2),)))),
    Example("a length of 0.2", lambda: _parted(Intent(tolerances=(_length(0.2),)))),
)
