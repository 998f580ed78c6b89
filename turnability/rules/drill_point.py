"""A hole's bottom drawn with another point than that of the drill which has the hole's size."""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.features.model import Feature
from turnability.half_plane.curves import Line
from turnability.part.model import Segment
from turnability.reach.model import Left
from turnability.rules.drawn import TURNING_TOOL, Example, drawn_left, drawn_shop, drawn_view
from turnability.rules.elsewhere import in_closed_hollow, left_to_milling
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import stated_segments, where_of
from turnability.shop.model import Tool
from turnability.units import length_text, mm_text

NAME = "drill-point"
LEVELS = ("warning", "note")
WHY = "The bottom of a drilled hole is what its drill's point makes; a wrong one is seldom meant."
LIMIT = (
    "a note, from 0.5 mm of depth a warning; surfaces of which the design states something aside"
)
BASIS = "common practice, no source; the drills in the shop file"
MUCH_MM = 0.5
"""So much deeper or shallower the bottom is worth a warning (our choice)."""
_SAME_MM = 0.01
_ON_AXIS_MM = 1e-3
_FLAT_DEG = 179.0
_BESIDE_MM = 0.02


@dataclass(frozen=True, slots=True)
class Point:
    """A cone that closes a hole, and the drill of the hole's size with the likest point.

    `drawn_deg`, `drill_deg` are full angles; `off_mm` is by how much the heights of the two differ.
    """

    cone: Segment
    diameter_mm: float
    drawn_deg: float
    drill: Tool
    drill_deg: float
    off_mm: float


def check(view: View) -> Judgement:
    """One finding for each hole whose bottom comes out with another point."""
    if view.reach is None:
        return NotJudged("reach was not computed")
    found: dict[str, Finding] = {}
    for left in view.reach.left:
        point = drill_point_of(left, view)
        if point is not None and point.cone.id not in found:
            found[point.cone.id] = _finding(view, point)
    return list(found.values())


def drill_point_of(left: Left, view: View) -> Point | None:
    """The hole's bottom that this region is all of; None where it is something else, or stated."""
    profile = view.part.profile
    if profile is None or in_closed_hollow(left, view) or left_to_milling(left, view):
        return None
    segments = profile.outline.segments
    for before, cone, after in zip(
        (segments[-1], *segments[:-1]), segments, (*segments[1:], segments[0]), strict=True
    ):
        if cone.id not in left.segments or not isinstance(cone.curve, Line):
            continue
        tip, rim = sorted((cone.curve.start, cone.curve.end), key=lambda p: p[1])
        wall = after if cone.curve.end == rim else before
        axis = before if wall is after else after
        if tip[1] > _ON_AXIS_MM or not _straight(wall, rim[1]):
            continue
        if not set(left.segments) <= {cone.id, wall.id, axis.id} or stated_segments(view) & {
            cone.id
        }:
            continue
        drawn = math.degrees(2.0 * math.atan2(rim[1], abs(rim[0] - tip[0])))
        drill = _drill(view, 2.0 * rim[1], drawn)
        if drawn >= _FLAT_DEG or drill is None:
            continue
        angle = drill.limits["point_angle_deg"]
        off = abs(_height(rim[1], drawn) - _height(rim[1], angle))
        up = math.copysign(off, rim[0] - tip[0])
        low, high = sorted((tip[0], rim[0] + up))
        if all(
            low - _BESIDE_MM <= z <= high + _BESIDE_MM and r <= rim[1] + _BESIDE_MM
            for z, r in left.polygon
        ):
            return Point(cone, 2.0 * rim[1], drawn, drill, angle, off)
    return None


def _straight(wall: Segment, r: float) -> bool:
    (_, a), (_, b) = wall.curve.start, wall.curve.end
    return isinstance(wall.curve, Line) and max(abs(a - r), abs(b - r)) <= _ON_AXIS_MM


def _height(r: float, angle_deg: float) -> float:
    return r / math.tan(math.radians(angle_deg / 2.0))


def _drill(view: View, diameter: float, angle_deg: float) -> Tool | None:
    """The drill of this size whose point is likest, flat ones aside."""
    able = [
        tool
        for tool in view.shop.tools
        if tool.on_axis
        and abs(tool.limits.get("diameter_mm", 0.0) - diameter) <= _SAME_MM
        and tool.limits.get("point_angle_deg", 180.0) < _FLAT_DEG
    ]
    return min(able, key=lambda tool: abs(tool.limits["point_angle_deg"] - angle_deg), default=None)


def _finding(view: View, point: Point) -> Finding:
    inch = view.shop.inch
    drawn, made = mm_text(round(point.drawn_deg, 1)), mm_text(point.drill_deg)
    off = length_text(point.off_mm, inch)
    what = (
        f"the full diameter ends {off} before its drawn depth, or the point goes that much deeper"
        if point.drawn_deg > point.drill_deg
        else f"the bottom is {off} shallower at the centre"
    )
    return Finding(
        rule=NAME,
        level="warning" if point.off_mm >= MUCH_MM else "note",
        message=(
            f"The ⌀{length_text(point.diameter_mm, inch)} hole's bottom is drawn with a point of "
            f"{drawn}°; {point.drill.name} makes {made}°: {what}. Draw the point with {made}°, or "
            "state what the bottom is for."
        ),
        where=where_of(view, [point.cone.id]),
        basis=Basis(BASIS, "common-practice"),
        measured=point.drawn_deg,
        limit=point.drill_deg,
        unit="deg",
    )


def _drilled(angle_deg: float, diameter: float = 10.0) -> View:
    """A blind hole 20 deep from z 40 in a bar, and the shop's drill of its size with 118°."""
    r = diameter / 2.0
    tip, own = 20.0 - _height(r, angle_deg), 20.0 - _height(r, 118.0)
    drill = Tool(
        f"drill {mm_text(diameter)}", "drill", "end", True, "neutral", TURNING_TOOL.outlines,
        limits={"diameter_mm": diameter, "point_angle_deg": 118.0},
    )  # fmt: skip
    off = tip - own
    # what the drill's cone leaves of the drawn one
    region = (
        [(tip, 0.0), (20.0, r), (20.0 + off, r)]
        if off > 0.0
        else [(tip, 0.0), (20.0, r), (own, 0.0)]
    )
    same = abs(off) < 1e-6
    bore = Feature(
        "F1", "bore", "inner", (20.0, 40.0), (diameter, diameter), ("S3",), (),
        {"depth_mm": 20.0, "through": False, "bottom": "drill-point"},
    )  # fmt: skip
    points = [(0, 0), (tip, 0), (20, r), (40, r), (40, r + 10), (0, r + 10)]
    view = drawn_view(points, shop=drawn_shop(tools=(TURNING_TOOL, drill)), features=(bore,))
    profile = view.part.profile
    assert profile is not None
    cone = next(s.id for s in profile.segments if s.curve.start == (tip, 0.0))
    left = () if same else (drawn_left((cone,), region, ("no-tool",), abs(off)),)
    return drawn_view(
        points, shop=drawn_shop(tools=(TURNING_TOOL, drill)), features=(bore,), left=left
    )


EXAMPLES = (
    Example("⌀10 drawn with 118°, as its drill is ground", lambda: _drilled(118.0)),
    Example("⌀10 drawn with 120°", lambda: _drilled(120.0), ("note",)),
    Example("⌀10 drawn with 90°", lambda: _drilled(90.0), ("warning",)),
)
