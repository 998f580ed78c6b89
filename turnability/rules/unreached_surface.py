"""A surface that no tool of the shop cuts from either end, the part being held by nothing."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.reach.model import Left
from turnability.rules.corners import only_a_corner
from turnability.rules.drawn import PIN, Example, drawn_left, drawn_view
from turnability.rules.hole_between_drills import hole_between_drills
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.recess_behind_small_entry import is_recess
from turnability.rules.sharp_inside_corner import nose_fillet
from turnability.rules.speak import (
    cause_text,
    features_on,
    number_text,
    place_text,
    segments_by_id,
    tool_named,
    tool_number,
    volume_text,
    where_of,
)
from turnability.units import length_text

NAME = "unreached-surface"
LEVELS = ("error",)
WHY = "What no tool removes stays on the part."
LIMIT = "nothing thicker than 0.005 mm stays uncut, corners up to the nose radius aside"
BLADE_KEY = "width_mm"
LEAST_TOOL = {
    "bar_diameter_mm": 4.0,
    "width_mm": 0.5,
    "nose_radius_mm": 0.05,
    "corner_radius_mm": 0.05,
    "diameter_mm": 0.5,
}
"""Smaller than this nobody turns with (common practice): it is not proposed."""
BASIS = "geometry: outlines of the shop's tools moved round the finished part"


def check(view: View) -> Judgement:
    """An error for each region left on the part that no narrower rule speaks of."""
    if view.reach is None:
        return NotJudged("reach was not computed")
    known = segments_by_id(view.part)
    hollow = {
        s.id
        for loop in (view.part.profile.loops if view.part.profile else ())
        for s in loop.segments
        if loop.role == "cavity"
    }
    found = []
    for left in view.reach.left:
        real = [s for s in left.segments if s in known and known[s].surface != "axis"]
        if not real or set(real) <= hollow:
            continue
        if only_a_corner(left, view) is not None:
            continue
        if is_recess(left, view) or hole_between_drills(left, view) is not None:
            continue
        found.append(_finding(view, left, real))
    return found


def _finding(view: View, left: Left, segments: list[str]) -> Finding:
    inch = view.shop.inch
    where = where_of(view, segments, left.polygon)
    nearest = (
        f"{left.nearest_tool} comes nearest, but {cause_text(left.causes)}"
        if left.nearest_tool
        else cause_text(left.causes)
    )
    needed = (
        f" A tool would need {number_text(left.needed.parameter, left.needed.value, inch)}."
        if left.needed and left.needed.value >= LEAST_TOOL.get(left.needed.parameter, 0.0)
        else ""
    )
    change = _change(view, left)
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"No tool of the shop cuts {place_text(where, inch)}: {nearest}. "
            f"{volume_text(left.volume_mm3, inch)} stays, up to "
            f"{length_text(left.deepest_mm, inch)} thick.{needed} "
            + (change.text if change else "Change the shape there, or list a tool that reaches it.")
        ),
        where=where,
        basis=Basis(BASIS, "geometry"),
        measured=left.deepest_mm,
        limit=0.005,
        unit="mm",
        change=change,
    )


def _change(view: View, left: Left) -> Change | None:
    """Where one number of a groove stands against one number of the nearest tool, say which."""
    inch = view.shop.inch
    tool = tool_named(view, left.nearest_tool)
    grooves = [f for f in features_on(view, left.segments) if "groove" in f.kind]
    if len(grooves) == 1 and (narrow := _narrower_than_blades(view, grooves[0])) is not None:
        width, blade = narrow
        return Change(
            f"Widen the groove from {length_text(width, inch)} to {length_text(blade, inch)}, the "
            "shop's narrowest blade.",
            "width_mm",
            width,
            blade,
            proven=False,
        )
    if len(grooves) != 1 or len(left.causes) != 1 or tool is None:
        return None
    number = tool_number(tool, left.causes[0])
    if number is None:
        return None
    to = number[1]
    if left.causes[0] == "blade-width":
        parameter, verb = "width_mm", "Widen"
    elif left.causes[0] == "blade-depth":
        parameter, verb = "depth_mm", "Make shallower"
    else:
        return None
    drawn = grooves[0].parameters.get(parameter)
    if not isinstance(drawn, (int, float)) or (drawn < to) != (parameter == "width_mm"):
        return None
    words = parameter.removesuffix("_mm")
    return Change(
        f"{verb} the groove: {words} from {length_text(drawn, inch)} to {length_text(to, inch)}.",
        parameter,
        float(drawn),
        to,
        proven=False,
    )


def _narrower_than_blades(view: View, groove: Feature) -> tuple[float, float] | None:
    """A groove's width and that of the narrowest blade of its side, where the blade is wider."""
    side = {"groove": "outer", "end-groove": "end"}.get(groove.kind)
    blades = [
        t.limits[BLADE_KEY] for t in view.shop.tools if t.access == side and BLADE_KEY in t.limits
    ]
    width = groove.parameters.get("width_mm")
    if not blades or not isinstance(width, int | float) or width >= min(blades):
        return None
    return float(width), min(blades)


EXAMPLES = (
    Example("a pin of which nothing is left", drawn_view),
    Example(
        "a square shoulder cut by a nose: the corner's own rule speaks",
        lambda: drawn_view(
            PIN, left=(nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), "turning tool"),)
        ),
    ),
    Example(
        "a deep groove that no blade enters",
        lambda: drawn_view(
            [(0, 0), (30, 0), (30, 11), (16, 11), (16, 5), (15, 5), (15, 11), (0, 11)],
            left=(
                drawn_left(
                    ("S4", "S5", "S6"),
                    [(15, 5), (16, 5), (16, 11), (15, 11)],
                    ("blade-width",),
                    3.0,
                    nearest_tool="turning tool",
                    volume_mm3=301.6,
                ),
            ),
        ),
        ("error",),
    ),
)
