"""A hole on the axis that is too small or too deep for a bar, and for which there is no drill."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from turnability.features.model import Feature
from turnability.features.tapping import TappingHole, tapping_hole, tapping_hole_of
from turnability.half_plane.curves import Line
from turnability.part.model import Parameter
from turnability.reach.model import Left
from turnability.rules.bar_arithmetic import bars_of
from turnability.rules.corners import only_a_corner
from turnability.rules.deep_bore import deep_bore_text
from turnability.rules.drawn import (
    BORING_BAR,
    TURNING_TOOL,
    Example,
    drawn_left,
    drawn_shop,
    drawn_view,
)
from turnability.rules.elsewhere import in_closed_hollow, left_to_milling
from turnability.rules.followable import MOST_OF_HOLE, hole_fits, modest
from turnability.rules.model import Basis, Change, Finding, Judgement, Level, NotJudged, View
from turnability.rules.speak import features_on, segments_by_id, where_of
from turnability.shop.model import Tool
from turnability.units import length_text, mm_text, span_text

NAME = "hole-between-drills"
LEVELS = ("error", "warning", "note")
WHY = "A drill makes its own size and no other; what no bar enters has no other tool."
LIMIT = (
    "a hole of the size of a drill, or large enough for the smallest bar: f + d/2; of a hole that "
    "is a thread's tapping hole by its size, the limits of that thread's minor diameter"
)
BASIS = "the drills and bars in the shop file"
TAPPED = "tapping drills and minor diameters of ISO 261 (6H) and ASME B1.1, some from memory"
DIAMETER_KEY = "diameter_mm"
MOST_OFF_DRILL = 0.02
"""So near a drill's size a hole would be drilled with it, if its floor were free (our choice)."""
FLAT = "flat-ended drill"
_SAME_MM = 0.01
_FLAT_DEG = 179.0


@dataclass(frozen=True, slots=True)
class Hole:
    """A cylindrical hole of `diameter_mm`, with the drills next to it (None beyond the set).

    `deep`: bars go into it, and none stands out so far as it is deep.
    """

    feature: Feature
    diameter_mm: float
    smaller: float | None
    larger: float | None
    flat: bool
    deep: bool = False

    @property
    def nearest(self) -> float:
        """The nearer of the two drills."""
        near = [d for d in (self.smaller, self.larger) if d is not None]
        return min(near, key=lambda d: abs(d - self.diameter_mm))


def check(view: View) -> Judgement:
    """An error for each hole of which a skin stays because no drill has its size.

    A warning where it has the size of a thread's tapping drill and another drill does for that; a
    note where that thread is stated. A warning too where a stated thread's hole is drawn with a
    flat floor and the drill of its size is there.
    """
    if view.reach is None:
        return NotJudged("reach was not computed")
    found: dict[str, Finding] = {}
    for left in view.reach.left:
        for hole in holes_between_drills(left, view):
            if hole.feature.id not in found:
                found[hole.feature.id] = _finding(view, left, hole)
    return list(found.values())


def wants_flat(finding: Finding) -> bool:
    """Whether a finding of this rule asks for a flat-ended drill: a pointed one may be there."""
    return f"no {FLAT} " in finding.message


def holes_between_drills(left: Left, view: View) -> tuple[Hole, ...]:
    """The holes of which this region is the skin that drills leave, narrowest first.

    A stepped hole may have several. None where something else stays there too.
    """
    known = segments_by_id(view.part)
    lines = [
        known[s].curve
        for s in left.segments
        if s in known and known[s].surface == "inner" and isinstance(known[s].curve, Line)
    ]
    across = {
        round(2.0 * line.start[1], 6)
        for line in lines
        if abs(line.start[1] - line.end[1]) <= _SAME_MM / 2.0
    }
    if not across or only_a_corner(left, view) is not None:
        return ()
    if in_closed_hollow(left, view) or left_to_milling(left, view):
        return ()
    found = [_hole(diameter, left, view) for diameter in sorted(across)]
    return () if None in found else tuple(hole for hole in found if hole is not None)


def _hole(diameter: float, left: Left, view: View) -> Hole | None:
    """The hole of this diameter, of which no drill of the shop has the size; else None."""
    bores = [
        f
        for f in features_on(view, left.segments)
        if f.kind in ("bore", "thread")
        and f.surface == "inner"
        and abs(f.diameter_mm[0] - diameter) <= _SAME_MM
    ]
    bars = bars_of(view.shop)
    flat = _has_floor(diameter, left, view) and bool(_diameters(view.shop.tools, flat=True))
    enters = bool(bars) and bars[0].least_bore_mm <= diameter
    # where a bar goes in, it is what the hole's own drill leaves over its floor that none gets at
    own = any(abs(d - diameter) <= _SAME_MM for d in _diameters(view.shop.tools, flat=False))
    if len(bores) != 1 or (enters and not (flat and own and deep_bore_text(view, left))):
        return None
    drills = _diameters(view.shop.tools, flat)
    smaller = max((d for d in drills if d <= diameter + _SAME_MM), default=None)
    larger = min((d for d in drills if d > diameter + _SAME_MM), default=None)
    if (smaller is None and larger is None) or (
        smaller is not None and abs(smaller - diameter) <= _SAME_MM
    ):
        return None
    return Hole(bores[0], diameter, smaller, larger, flat, deep=enters)


def _has_floor(diameter: float, left: Left, view: View) -> bool:
    """Whether a plane of the region reaches inward from the hole's wall: its floor or a step."""
    known = segments_by_id(view.part)
    return any(
        known[s].surface == "end"
        and abs(max(known[s].curve.start[1], known[s].curve.end[1]) - diameter / 2.0) <= _SAME_MM
        for s in left.segments
        if s in known
    )


def _diameters(tools: tuple[Tool, ...], flat: bool) -> list[float]:
    return [
        tool.limits[DIAMETER_KEY]
        for tool in tools
        if tool.on_axis
        and DIAMETER_KEY in tool.limits
        and (not flat or tool.limits.get("point_angle_deg", 0.0) >= _FLAT_DEG)
    ]


def _finding(view: View, left: Left, hole: Hole) -> Finding:
    inch = view.shop.inch
    segments = [s for s in hole.feature.segments if s in left.segments] or list(left.segments)
    where = where_of(view, segments)
    bars = bars_of(view.shop)
    too_small = (
        f"too small for a bar ({bars[0].name} enters from "
        f"⌀{length_text(bars[0].least_bore_mm, inch)})"
        if bars
        else "the shop lists no bar"
    )
    if hole.deep:
        too_small = "deeper than any bar of the shop that goes in stands out"
    sizes = [length_text(d, inch) for d in (hole.smaller, hole.larger) if d is not None]
    nearest = f"{' and '.join(sizes)} {'are' if len(sizes) > 1 else 'is'} nearest"
    drill = FLAT if hole.flat else "drill"
    drawn = hole.diameter_mm
    stated = hole.feature.kind == "thread"
    tapped = _hole_of(hole.feature) if stated else tapping_hole(drawn)
    to = hole.nearest if tapped is None else _for_tapping(view, hole, tapped)
    head = (
        f"The hole of ⌀{length_text(drawn, inch)} at z {span_text(hole.feature.z_mm, inch)} is "
        f"{too_small}, and no {drill} of the shop has its size: {nearest}. "
    )
    own = f"ist a {FLAT if hole.flat else 'drill or reamer'} of its size{_pointed(view, hole)}."
    basis = Basis(BASIS, "shop")
    if tapped is not None:
        head += _tapped_text(tapped, stated)
        named = tapped.drill if "drill" in tapped.drill else f"a drill of {tapped.drill}"
        flat = f"a flat-ended drill of {length_text(drawn, inch)}"
        own = f"ist {flat if hole.flat else named}{_pointed(view, hole)}."
        basis = Basis(f"{BASIS}; {TAPPED}", "standard")
    if to is None:
        can, text = False, ""
    else:
        can = modest(drawn, to, MOST_OF_HOLE) and hole_fits(view, to, hole.feature.z_mm)
        text = f"Make the hole ⌀{length_text(to, inch)}"
        if tapped is not None:
            low, high = (length_text(round(d, 3), inch) for d in tapped.limits_mm)
            text += f" (it may be {low} to {high})"
    return Finding(
        rule=NAME,
        level=_level(view, hole, tapped is not None, stated, can),
        message=f"{head}{text}, or l{own}" if can else f"{head}L{own}",
        where=where,
        basis=basis,
        measured=drawn,
        limit=to,
        unit="mm",
        change=Change(f"{text}.", "bore_diameter_mm", drawn, to, proven=False) if can else None,
        otherwise=f"{head}L{own}",
    )


def _level(view: View, hole: Hole, tapped: bool, stated: bool, can: bool) -> Level:
    """An error, but where a thread is tapped into it: from another drill, or on a drill's point.

    Nothing seats on the floor of a tapped hole.
    """
    if tapped and can:
        return "note" if stated else "warning"
    return "warning" if stated and _pointed(view, hole) else "error"


def _for_tapping(view: View, hole: Hole, tapped: TappingHole) -> float | None:
    """The drill of the shop nearest to the tapping drill within the limits of its thread."""
    low, high = tapped.limits_mm
    able = [d for d in _diameters(view.shop.tools, hole.flat) if low <= d <= high]
    return min(able, key=lambda d: abs(d - tapped.drill_mm), default=None)


def _hole_of(thread: Feature) -> TappingHole | None:
    major, pitch = thread.number("major_mm"), thread.number("pitch_mm")
    if major is None or pitch is None:
        return None
    return tapping_hole_of(major, pitch)


def _tapped_text(tapped: TappingHole, stated: bool) -> str:
    if stated:
        return f"It is tapped {tapped.thread.designation}, usually from {tapped.drill}. "
    return (
        f"It is the tapping hole of {tapped.thread.designation} by its size ({tapped.drill}): "
        "state that thread in the intent if it is one. "
    )


def _pointed(view: View, hole: Hole) -> str:
    """For a flat floor, that a drill of the size would do if its point might stand there."""
    same = [
        d
        for d in _diameters(view.shop.tools, flat=False)
        if abs(d - hole.diameter_mm) <= MOST_OFF_DRILL * hole.diameter_mm
    ]
    if not hole.flat or not same:
        return ""
    inch = view.shop.inch
    drill = length_text(min(same, key=lambda d: abs(d - hole.diameter_mm)), inch)
    deep = length_text(round(0.5 * hole.diameter_mm / math.tan(math.radians(59.0)), 1), inch)
    return f", or let the floor be the point of the ⌀{drill} drill, {deep} deep"


def _drilled(diameter: float, drills: tuple[float, ...]) -> View:
    r = diameter / 2.0
    bore = Feature(
        id="F1",
        kind="bore",
        surface="inner",
        z_mm=(0.0, 20.0),
        diameter_mm=(diameter, diameter),
        segments=("S1",),
        faces=(),
        parameters={"depth_mm": 20.0, "through": True, "bottom": "open"},
    )
    made = tuple(
        Tool(
            f"drill {mm_text(d)}",
            "drill",
            "end",
            True,
            "neutral",
            TURNING_TOOL.outlines,
            limits={DIAMETER_KEY: d, "point_angle_deg": 118.0},
        )
        for d in drills
    )
    skin = [(0, r - 0.2), (20, r - 0.2), (20, r), (0, r)]
    region = drawn_left(("S1",), skin, ("entry-bore",), 0.2)
    cut = any(abs(d - diameter) <= _SAME_MM for d in drills)
    return drawn_view(
        [(0, r), (20, r), (20, 10), (0, 10)],
        shop=drawn_shop(tools=(TURNING_TOOL, BORING_BAR, *made)),
        features=(bore,),
        left=() if cut else (region,),
    )


def _tapped() -> View:
    """The tapping hole of 1/4-20, which the design states, and a drill of 5."""
    view = _drilled(5.105, (5.0, 5.3))
    (bore,) = view.features or ()
    numbers: dict[str, Parameter] = {"major_mm": 6.35, "pitch_mm": 1.27, "form": "unified"}
    return replace(view, features=(replace(bore, kind="thread", parameters=numbers),))


EXAMPLES = (
    Example("⌀5 with a drill of 5", lambda: _drilled(5.0, (4.5, 5.0))),
    Example("⌀4.9 between drills of 4.5 and 5", lambda: _drilled(4.9, (4.5, 5.0)), ("error",)),
    Example(
        "⌀5.105, the tapping hole of 1/4-20, and a drill of 5",
        lambda: _drilled(5.105, (5.0, 5.3)),
        ("warning",),
    ),
    Example("the same, its thread stated", _tapped, ("note",)),
    Example(
        "⌀5.105, and no drill that would do for 1/4-20",
        lambda: _drilled(5.105, (4.5, 5.5)),
        ("error",),
    ),
)
