"""An inside corner tighter than the smallest nose that gets there."""

from __future__ import annotations

import math

import numpy as np

from turnability.half_plane.curves import Arc, Point
from turnability.half_plane.regions import inside
from turnability.intent.model import Intent, Named, Tolerance
from turnability.reach.all_asked import all_asked
from turnability.reach.ground import ground_of
from turnability.reach.model import Left
from turnability.rules.corners import InsideCorner, only_a_corner
from turnability.rules.drawn import PIN, Example, drawn_left, drawn_view
from turnability.rules.elsewhere import in_closed_hollow, milled_segments
from turnability.rules.ground_after_turning import told_corners
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import (
    features_on,
    place_text,
    segments_by_id,
    stated_segments,
    tool_named,
    tool_number,
)
from turnability.setups.surfaces.limits import UNSTATED, general_width
from turnability.units import length_text

NAME = "sharp-inside-corner"
LEVELS = ("warning", "note")
WHY = "A turning tool leaves its nose radius in every inside corner; a square edge sits on it."
LIMIT = (
    "a drawn inside radius of at least the smallest nose radius that gets there. A warning beside "
    "a surface with a tolerance, a roughness or a relation of its own, where a mating part may "
    "seat, or where the fillet is thicker than ISO 2768-1 medium lets the diameter be off; else a "
    "note"
)
BASIS = "geometry: a disc in a corner; ours: where nothing is stated of a wall, nothing seats there"
_SAME_MM = 0.01
_SAME_NOSE = 0.05
_GROOVES = ("groove", "recess", "end-groove")
_RINGS = ("DIN 471", "DIN 472")
_O_RING = (
    ".",
    ": an O-ring wants a radius there anyway (0.2 mm or more, ISO 3601-2, from memory).",
)
RING_MM = 2.0
"""Narrower grooves may be for a flat ring, whose edge seats (our choice); O-rings ask for 2.4."""
FILLET, RELIEF, RELIEF_DEPTH = "fillet_radius_mm", "relief_width_mm", "relief_depth_mm"
"""What its changes are changes of."""
TRIFLE_MM = 0.01
"""A thinner fillet is told only where something seats: no cut gains less (report contract)."""


def check(view: View) -> Judgement:
    """One finding for each uncut region that is no more than a nose's fillet in one corner."""
    if view.reach is None:
        return NotJudged("reach was not computed")
    milled, told = milled_segments(view), told_corners(view)
    found = []
    for left in view.reach.left:
        corner = None if in_closed_hollow(left, view) else only_a_corner(left, view)
        # a wall that is milled is milled down to its corner: a boss on a flange stands in none
        if corner is None or milled.intersection(corner.segments):
            continue
        if frozenset(corner.segments) in told:
            continue
        if left.deepest_mm >= TRIFLE_MM or stated_segments(view) & set(corner.segments):
            found.append(_finding(view, left, corner))
    return found


def _finding(view: View, left: Left, corner: InsideCorner) -> Finding:
    inch = view.shop.inch
    known = segments_by_id(view.part)
    faces = {face for s in corner.segments for face in known[s].faces}
    z, r = corner.at
    where = Where(corner.segments, tuple(sorted(faces)), (), (z, z), (2.0 * r, 2.0 * r))
    nose, drawn = corner.nose_mm, corner.drawn_radius_mm
    is_drawn = "drawn sharp" if drawn == 0.0 else f"drawn with radius {length_text(drawn, inch)}"
    own = tool_number(tool_named(view, left.nearest_tool), "nose-radius")
    # several noses may have left the corner together
    named = own is not None and abs(own[1] - nose) <= _SAME_NOSE * nose
    tool = f" ({left.nearest_tool})" if named else ""
    beside = bluntest_beside(view, corner)
    text = radius_text(nose, beside, inch)
    planned = "" if beside is None else _as_planned(view, left, corner, *beside)
    advice = advised(text, "a relief groove" if may_be_relieved(view, corner) else None)
    seats = stated_segments(view) & set(corner.segments)
    width = general_width(UNSTATED, 2.0 * r)
    matters = width is None or left.deepest_mm > width.value / 2.0
    lies_in = _lies_in_groove(view, corner) if seats else None
    if lies_in:
        why = ", which what lies in the groove must clear" + _O_RING[lies_in == "square"]
    elif seats:
        why = (
            ", on which a square edge would sit; what is stated of its walls says that a part may "
            "seat there."
        )
    elif matters:
        why = ", on which a square edge would sit."
    else:
        why = (
            ", less than a drawing without tolerances leaves to the shop: it matters only if a "
            "square edge must seat there."
        )
    return Finding(
        rule=NAME,
        level="warning" if (seats or matters) and not lies_in else "note",
        message=(
            f"The inside corner at {place_text(where, inch)} is {is_drawn}; the smallest nose "
            f"that gets there{tool} has a radius of {length_text(nose, inch)} and leaves a fillet "
            f"{length_text(left.deepest_mm, inch)} thick{why}{planned} {advice}"
        ),
        where=where,
        basis=Basis(BASIS, "geometry"),
        measured=drawn,
        limit=nose,
        unit="mm",
        change=Change(f"{text}.", FILLET, drawn, nose, proven=False),
        advice=advice,
    )


def radius_text(radius_mm: float, alone: tuple[float, str] | None, inch: bool) -> str:
    """The change of the radius; `alone`: the radius that a blunter tool does alone, and which."""
    text = f"Draw an inside radius of at least {length_text(radius_mm, inch)}"
    if alone is None:
        return text
    return f"{text} ({length_text(alone[0], inch)}, and {alone[1]} does it alone)"


def advised(radius: str | None, relief: str | None) -> str:
    """What to do about a corner: the changes in one sentence."""
    if radius is None and relief is None:
        return "Let what seats there clear what stays, by a chamfer or a radius of its own."
    if relief is None:
        return f"{radius}."
    seats = f"{relief} if a square edge must seat."
    return f"{radius}, or {seats}" if radius is not None else f"Cut {seats}"


def _lies_in_groove(view: View, corner: InsideCorner) -> str | None:
    """The form of the groove whose corner it is and in which no square edge seats; else None.

    A retaining ring's seats: its groove is narrow, or of its standard's size.
    """
    walls = set(corner.segments)
    for f in features_on(view, walls):
        width = f.parameters.get("width_mm")
        rings = any(match.standard.startswith(_RINGS) for match in f.matches)
        if f.kind not in _GROOVES or not walls <= set(f.segments) or rings:
            continue
        if isinstance(width, int | float) and width >= RING_MM:
            return str(f.parameters.get("form"))
    return None


def may_be_relieved(view: View, corner: InsideCorner) -> bool:
    """Whether a relief groove is any way out: a sharp corner, not within a groove, and where some
    blade gets in."""
    if corner.drawn_radius_mm > 0.0:
        return False
    walls = set(corner.segments)
    if any(walls <= set(f.segments) for f in features_on(view, walls) if f.kind in _GROOVES):
        return False
    known = segments_by_id(view.part)
    inner = any(known[s].surface == "inner" for s in walls if s in known)
    return any(
        "width_mm" in tool.limits
        and tool.access == ("inner" if inner else "outer")
        and tool.limits.get("min_bore_mm", 0.0) <= 2.0 * corner.at[1]
        for tool in view.shop.tools
    )


def _as_planned(view: View, left: Left, corner: InsideCorner, nose_mm: float, tool: str) -> str:
    """What the plan's own tool leaves: a fillet grows with what its nose is over the drawn one."""
    ratio = (nose_mm - corner.drawn_radius_mm) / (corner.nose_mm - corner.drawn_radius_mm)
    thick = length_text(round(left.deepest_mm * ratio, 2), view.shop.inch)
    after = ""
    if _gets_there(view, left, corner, (1.0 + ratio) / 2.0):
        after = f": run {left.nearest_tool} in after it for less"
    return f" As planned, {tool} leaves {thick} there{after}."


def _gets_there(view: View, left: Left, corner: InsideCorner, share: float) -> bool:
    """Whether the nearest tool cuts deeper there, held as planned: clear of jaws, bar and part.

    Asked of the place on the corner's bisector so many times as deep as what that tool leaves.
    """
    tool = tool_named(view, left.nearest_tool)
    profile = view.part.profile
    if tool is None or profile is None:
        return False
    middle = np.array(left.polygon, dtype=float).mean(axis=0) - corner.at
    place = corner.at + middle / np.linalg.norm(middle) * left.deepest_mm * share
    return any(
        bool(inside(asked.limit_near((*place, *place)), place.reshape(1, 2))[0])
        for setup in view.setups or ()
        if any(set(o.segments) & set(corner.segments) for o in setup.operations)
        for _, _, asked in all_asked(
            ground_of(profile, setup.kept_clear), [tool], [setup.toward_chuck]
        )
    )


def bluntest_beside(view: View, corner: InsideCorner) -> tuple[float, str] | None:
    """Nose and name of the bluntest tool that cuts the walls anyway; None if none is blunter.

    At the smallest radius that some blade could make, this tool would have to be followed by it.
    """
    names = {
        operation.tool
        for setup in view.setups or ()
        for operation in setup.operations
        if set(operation.segments) & set(corner.segments)
    }
    noses = [(tool_number(tool_named(view, name), "nose-radius"), name) for name in sorted(names)]
    found = max(((nose[1], name) for nose, name in noses if nose), default=None)
    return found if found is not None and found[0] > corner.nose_mm + _SAME_MM else None


def nose_fillet(
    corner: Point, into: Point, radius_mm: float, segments: tuple[str, ...], tool: str | None
) -> Left:
    """What a nose leaves in a square corner; `into`: signs of z and r into the empty side."""
    (z, r), (sz, sr) = corner, into
    arc = Arc(
        (z + sz * radius_mm, r),
        (z, r + sr * radius_mm),
        (z + sz * radius_mm, r + sr * radius_mm),
        radius_mm,
        clockwise=sz * sr > 0,
    )
    points = [(float(a), float(b)) for a, b in arc.flatten(2.5e-4)]
    deepest = (math.sqrt(2.0) - 1.0) * radius_mm
    return drawn_left(segments, [corner, *points], ("nose-radius",), deepest, nearest_tool=tool)


EXAMPLES = (
    Example("a pin of which nothing is left", drawn_view),
    Example(
        "a square shoulder, cut by a nose of 0.4",
        lambda: drawn_view(
            PIN, left=(nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), "turning tool"),)
        ),
        ("note",),
    ),
    Example(
        "one cut by a nose of 0.8, which leaves 0.33 mm",
        lambda: drawn_view(PIN, left=(nose_fillet((18, 8), (1, 1), 0.8, ("S3", "S4"), None),)),
        ("warning",),
    ),
    Example(
        "one beside a bearing's seat",
        lambda: drawn_view(
            PIN,
            left=(nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), "turning tool"),),
            intent=Intent(
                tolerances=(
                    Tolerance(
                        "diameter",
                        Named(diameter_mm=(16.0, 16.0), segments=("S3",)),
                        "k6",
                        width_mm=0.011,
                    ),
                )
            ),
        ),
        ("warning",),
    ),
)
