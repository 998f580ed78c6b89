"""A surface that no tool of the shop cuts from either end, the part being held by nothing."""

from __future__ import annotations

import re

from turnability.features.model import Feature
from turnability.half_plane.curves import line_ring
from turnability.part.model import Departure, Face, FaceRole
from turnability.part.profile import make_profile
from turnability.reach.model import Left, Needed
from turnability.reach.together import MORE_HELPS
from turnability.rules.blade_wanted import blade_wanted
from turnability.rules.centre_drill_missing import centre_hole_of
from turnability.rules.corners import only_a_corner
from turnability.rules.deep_bore import TOO_SHORT, deep_bore_text
from turnability.rules.drawn import PIN, Example, drawn_left, drawn_part, drawn_view
from turnability.rules.drill_point import drill_point_of
from turnability.rules.drill_steps import BY_EVERY_DRILL, steps_together
from turnability.rules.elsewhere import (
    departures_at,
    in_closed_hollow,
    left_to_milling,
    round_share,
)
from turnability.rules.hole_between_drills import holes_between_drills
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.narrow_throat import own_numbers, wider_throat
from turnability.rules.recess_behind_small_entry import is_recess
from turnability.rules.sharp_inside_corner import TRIFLE_MM, nose_fillet
from turnability.rules.speak import (
    features_on,
    nearest_text,
    number_text,
    place_text,
    segments_by_id,
    stated_segments,
    stays_text,
    tool_named,
    tool_number,
    volume_text,
    where_of,
)
from turnability.shop.books import practice
from turnability.shop.model import Tool
from turnability.units import length_text, rounded_down, rounded_up

NAME = "unreached-surface"
LEVELS = ("error", "warning", "note")
WHY = "What no tool removes stays on the part."
LIMIT = (
    "nothing thicker than 0.01 mm (0.005 mm where something is stated) stays uncut, corners up to "
    "the nose radius aside; up to 0.1 mm "
    "(on a straight wall 0.05 mm), where nothing is stated, is a warning"
)
ROUND_SHARE = 0.25
"""From this share of its border on a hollow round surface counts as one to be turned (ours)."""
UNDERCUT_DEG = 1.0
"""Walls that lean over a groove's floor by more are undercut (our choice)."""
BLADE_KEY = "width_mm"
LEAST_TOOL = {
    "bar_diameter_mm": 4.0,
    "width_mm": 0.5,
    "nose_radius_mm": 0.05,
    "corner_radius_mm": 0.05,
    "diameter_mm": 0.5,
}
"""Smaller than this nobody turns with (common practice): it is not proposed."""
GENERAL_MM = 0.1
"""The least that ISO 2768-1 medium allows of a length, for sizes of 0.5 to 6 mm (from memory)."""
_ON_AXIS_MM = 1e-3
_REASON = re.compile(
    r"No tool of the shop cuts [^:]+: (.+?)\. (?:less than )?[\d.]+ (?:mm³|in³) stays"
)
_BLADES_FROM = {"groove": "outer", "end-groove": "end"}
BASIS = "geometry: outlines of the shop's tools moved round the finished part"


def check(view: View) -> Judgement:
    """An error for each region left on the part that no narrower rule speaks of.

    A warning where no more stays than general tolerances let stay and nothing is stated there.

    A note where milled surfaces bound it: whoever mills them clears it; a warning if a round
    surface that one would turn is cleared so.
    """
    if view.reach is None:
        return NotJudged("reach was not computed")
    known = segments_by_id(view.part)
    found = []
    for left, in_steps in steps_together(view.reach.left, view):
        real = [s for s in left.segments if s in known and known[s].surface != "axis"]
        if not real or in_closed_hollow(left, view):
            continue
        if only_a_corner(left, view) is not None or drill_point_of(left, view) is not None:
            continue
        if centre_hole_of(left, view) is not None:
            continue
        if left_to_milling(left, view):
            found.append(_milled(view, left, real))
            continue
        if is_recess(left, view) or holes_between_drills(left, view):
            continue
        if left.deepest_mm < TRIFLE_MM and not _is_stated(view, real):
            continue
        found.append(_finding(view, left, real, f" {BY_EVERY_DRILL}" if in_steps else ""))
    return found


def _milled(view: View, left: Left, segments: list[str]) -> Finding:
    inch = view.shop.inch
    where = where_of(view, segments, left.polygon)
    by = departures_at(segments, view)
    round_too = round_share(left, view) >= ROUND_SHARE
    way = (
        "the round surface there cannot be turned past them: mill it as well, or make what stands "
        "there a part of its own"
        if round_too
        else "turn the envelope there, and clear it with what makes those surfaces"
    )
    return Finding(
        rule=NAME,
        level="warning" if round_too else "note",
        message=(
            f"No turning tool of the shop cuts {place_text(where, inch)}, beside surfaces that are "
            f"not turned{f' ({by})' if by else ''}: {way}. "
            f"{volume_text(left.volume_mm3, inch)} stays until then."
        ),
        where=where,
        basis=Basis("common practice: turn the envelope, mill the rest", "common-practice"),
        measured=left.deepest_mm,
        limit=0.005,
        unit="mm",
    )


def _finding(view: View, left: Left, segments: list[str], by: str = "") -> Finding:
    inch = view.shop.inch
    where = where_of(view, segments, left.polygon)
    change = _change(view, left)
    missing = _no_drill(view, left) or _no_blade(view, left)
    deep = "" if missing or change is not None else deep_bore_text(view, left)
    nearest = missing or _undercut(view, left) or (TOO_SHORT if deep else _nearest(view, left))
    needed = "" if missing or deep else _needs(view, left)
    # of steps that nobody drills more stays than they say
    general = not by and _within_general(view, left, segments)
    head = (
        f"No tool of the shop cuts {place_text(where, inch)}: {nearest}. "
        f"{stays_text(left, inch)}{by}{needed} "
    )
    ground = ", or have a reamer ground to it" if by else ""
    advice = "" if deep else f"Change the shape there, or list a tool that reaches it{ground}."
    otherwise = f"{head}{deep or advice}"
    if change is None and general:
        otherwise = (
            f"{head}That is within what a drawing without tolerances usually leaves to the shop "
            "(ISO 2768-1, medium): let it stay, unless something seats, seals or runs there; then "
            "list a tool that reaches it."
        )
    return Finding(
        rule=NAME,
        level="error" if change or not general else "warning",
        message=f"{head}{change.text}" if change else otherwise,
        where=where,
        basis=Basis(BASIS, "geometry"),
        measured=left.deepest_mm,
        limit=0.005,
        unit="mm",
        change=change,
        otherwise=otherwise,
        advice=advice,
    )


def reason_of(message: str) -> str | None:
    """Why nothing cuts a place, out of a finding of this rule; None of another's message."""
    found = _REASON.match(message)
    return None if found is None else found[1]


def _needs(view: View, left: Left) -> str:
    """The number that the nearest tool would need, or both where one alone does not do."""
    needs = left.needed_together or ((left.needed,) if left.needed else ())
    if not needs:
        return ""
    words = " and ".join(_needed_text(view, left, one) for one in needs)
    own = own_numbers(view, left)
    said = f" A tool would need {'both ' if len(needs) > 1 else ''}{words}"
    if all(one.value >= LEAST_TOOL.get(one.parameter, 0.0) for one in needs):
        return f"{said}{own}."
    return f"{said}{own}: there is hardly one." if left.needed_together or own else ""


def _needed_text(view: View, left: Left, needed: Needed) -> str:
    """What the nearest tool would need, to sensible figures on the side that works.

    A flat drill squares what another has drilled, whose chips want room in its flutes.
    """
    inch = view.shop.inch
    to = rounded_up if needed.parameter in MORE_HELPS else rounded_down
    told = number_text(needed.parameter, to(needed.value, inch), inch)
    limits = getattr(tool_named(view, left.nearest_tool), "limits", {})
    d = limits.get("diameter_mm")
    if needed.parameter != "flute_length_mm" or d is None or limits["point_angle_deg"] < 180.0:
        return told
    first = needed.value + practice("drill_flute_reserve").value * d
    flutes = length_text(rounded_up(first, inch), inch)
    return f"{told}, after a drill with flutes of {flutes}, 1.5 diameters of them for its chips"


def _within_general(view: View, left: Left, segments: list[str]) -> bool:
    """Whether what stays is within general tolerances, and the design states nothing there."""
    if _is_stated(view, segments):
        return False
    known = segments_by_id(view.part)
    straight = any(
        abs(known[s].curve.start[1] - known[s].curve.end[1]) <= 1e-3 for s in segments if s in known
    )
    # on a diameter it counts twice
    return left.deepest_mm <= (GENERAL_MM / 2.0 if straight else GENERAL_MM)


def _is_stated(view: View, segments: list[str]) -> bool:
    """Whether the design states something of these surfaces, or a roughness of all."""
    intent = view.intent
    rough = intent is not None and intent.ra_um is not None
    return rough or bool(stated_segments(view) & set(segments))


def _nearest(view: View, left: Left) -> str:
    """What comes nearest and what stops it; a boring bar is no help to an outside."""
    tool = tool_named(view, left.nearest_tool)
    known = segments_by_id(view.part)
    inside = any(known[s].surface == "inner" for s in left.segments if s in known)
    if tool is not None and tool.access == "inner" and not inside:
        outer = any(known[s].surface == "outer" for s in left.segments if s in known)
        return "nothing that comes from outside gets there" if outer else "nothing gets there"
    return nearest_text(left.own_causes, left.nearest_tool)


def _no_drill(view: View, left: Left) -> str:
    """That the shop lists no drill, where stock stands on the axis; else nothing."""
    if min(r for _, r in left.polygon) > _ON_AXIS_MM or any(t.on_axis for t in view.shop.tools):
        return ""
    return "no drill is listed, and a bar needs a hole before it"


def _no_blade(view: View, left: Left) -> str:
    """What blade a groove asks for, where the shop lists none from its side; else nothing."""
    grooves = [f for f in features_on(view, left.segments) if f.kind in _BLADES_FROM]
    if len(grooves) != 1 or _blades(view, grooves[0]):
        return ""
    assert view.part.profile is not None
    return blade_wanted(grooves[0], view.part.profile, view.shop.inch)


def _undercut(view: View, left: Left) -> str:
    """Of a groove outside that is wider below than at its mouth, that no blade gets under its lips.

    A blade comes straight in; what came nearest in numbers (a boring bar may) helps nobody.
    """
    grooves = [f for f in features_on(view, left.segments) if f.kind == "groove"]
    angles = grooves[0].parameters.get("wall_angles_deg") if len(grooves) == 1 else None
    if not isinstance(angles, tuple) or not any(
        isinstance(a, int | float) and a < -UNDERCUT_DEG for a in angles
    ):
        return ""
    return "the groove is wider below than at its mouth, and no blade gets under its lips"


def _change(view: View, left: Left) -> Change | None:
    """Where one number of a groove stands against one number of the nearest tool, say which.

    A standard's groove is as its ring wants it and is not changed.
    """
    inch = view.shop.inch
    grooves = [f for f in features_on(view, left.segments) if "groove" in f.kind and not f.matches]
    if len(grooves) != 1:
        return wider_throat(view, left)
    width = grooves[0].number("width_mm")
    blade = _narrowest_blade(view, grooves[0])
    if width is not None and blade is not None and width < blade:
        return Change(
            f"Widen the groove from {length_text(width, inch)} to {length_text(blade, inch)}, the "
            "shop's narrowest blade that sinks so deep, or list one of no more than "
            f"{length_text(width, inch)} that does.",
            "width_mm",
            width,
            blade,
            proven=False,
        )
    tool = tool_named(view, left.nearest_tool)
    causes = left.own_causes
    number = tool_number(tool, causes[0]) if len(causes) == 1 else None
    depth = grooves[0].number("depth_mm")
    if number is None:
        return None
    to = number[1]
    if causes[0] == "blade-width" and width is not None and width < to:
        text = f"Widen the groove from {length_text(width, inch)} to {length_text(to, inch)}."
        return Change(text, "width_mm", width, to, proven=False)
    if causes[0] == "blade-depth" and depth is not None and depth > to > 0.0:
        text = f"Make the groove {length_text(to, inch)} deep (drawn {length_text(depth, inch)})."
        return Change(text, "depth_mm", depth, to, proven=False)
    return None


def _blades(view: View, groove: Feature) -> list[Tool]:
    """Blades that come from the groove's side."""
    side = _BLADES_FROM.get(groove.kind)
    return [t for t in view.shop.tools if t.access == side and BLADE_KEY in t.limits]


def _narrowest_blade(view: View, groove: Feature) -> float | None:
    """Width of the narrowest of them that sinks so deep, as far as that is known."""
    depth = groove.number("depth_mm") or 0.0
    deep = [t for t in _blades(view, groove) if t.limits.get("depth_mm", depth) >= depth - 1e-3]
    return min((t.limits[BLADE_KEY] for t in deep), default=None)


def _bossed() -> View:
    """A flange with a hub, and round the hub the ring in which a boss of the flange stands."""
    corners = [(0, 0), (30, 0), (30, 8), (6, 8), (6, 12), (16, 12), (16, 20), (6, 20), (6, 30)]
    outline = line_ring([*corners, (0, 30)])
    faces = tuple((i,) if i else () for i in range(len(outline)))
    roles: dict[int, FaceRole] = {4: "milled", 6: "milled"}
    part = drawn_part(
        make_profile([list(zip(outline, faces, strict=True))]),
        (Departure("D1", "other", (4, 6), None, (6.0, 16.0)),),
        tuple(Face(i, None, roles.get(i, "end")) for i in range(1, 10)),
    )
    near = ((2,), (3,), (4,))
    walls = tuple(name for name, s in segments_by_id(part).items() if s.faces in near)
    room = [(6, 8), (16, 8), (16, 12), (6, 12)]
    return drawn_view(part=part, left=(drawn_left(walls, room, ("holder",), 4.0),))


def _slotted() -> View:
    """A pin with a slot across its end: the turned body has a hole there as wide as the slot."""
    outline = line_ring([(0, 0), (25, 0), (25, 1), (30, 1), (30, 8), (0, 8)])
    faces = ((), (1,), (2, 3), (4,), (5,), (6,))
    profile = make_profile([list(zip(outline, faces, strict=True))])
    roles: tuple[FaceRole, ...] = ("end", "milled", "milled", "end", "outer", "end")
    slot = Departure("D1", "other", (2, 3), None, (25.0, 30.0))
    part = drawn_part(profile, (slot,), tuple(Face(i, None, r) for i, r in enumerate(roles, 1)))
    hole = next(name for name, s in segments_by_id(part).items() if s.faces == (2, 3))
    ring = [(25, 0), (30, 0), (30, 1), (25, 1)]
    return drawn_view(part=part, left=(drawn_left((hole,), ring, ("no-tool",), 0.6),))


EXAMPLES = (
    Example(
        "a square shoulder cut by a nose: the corner's own rule speaks",
        lambda: drawn_view(
            PIN, left=(nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), "turning tool"),)
        ),
    ),
    Example("a pin of which nothing is left", drawn_view),
    Example("a slotted pin: the slot is milled", _slotted, ("note",)),
    Example("a hub within reach of a boss beside it", _bossed, ("warning",)),
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
