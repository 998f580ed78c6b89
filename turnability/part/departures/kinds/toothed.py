"""Teeth, ribs and serrations: equal gaps all round of any other form, on outsides and in bores."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.teeth import teeth
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "other"
FORM = "toothed"
RANK = 59
_PARALLEL_DEG = 0.01


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Rings of at least six equal gaps that are neither splines nor knurls."""
    claims = []
    for ring in teeth(cuts):
        found: dict[str, Parameter] = {"form": FORM, **ring.sizes()}
        profile = ring.profile_deg
        if profile is not None and profile > _PARALLEL_DEG:
            found["profile_angle_deg"] = profile
        claims.append(Claim(KIND, ring.walls, found))
    return claims


def _ratchet(cq: Any, count: int) -> Any:
    """A disc of 40 with V gaps 3 deep, one flank steeper than the other."""
    made = cq.Workplane().circle(20.0).extrude(6.0)
    gap = cq.Workplane().polyline([(17, 0), (22, 0.5), (22, 3)]).close().extrude(6.0).val()
    tools = [gap.rotate(cq.Vector(), cq.Vector(0, 0, 1), 360.0 * i / count) for i in range(count)]
    return cq.Workplane(obj=made.val().cut(*tools))


def _scalloped(cq: Any) -> Any:
    """A bore of 20 in a disc, with ten round gaps of radius 2 about its rim."""
    disc = cq.Workplane().circle(20.0).circle(10.0).extrude(6.0)
    return disc.cut(cq.Workplane().polarArray(10.0, 0, 360, 10).circle(2.0).extrude(6.0))


EXAMPLES = (
    Example("holes all round are none", lambda cq: cq.Workplane().circle(30.0).extrude(6.0)
            .faces(">Z").workplane().polarArray(20, 0, 360, 8).hole(5.0)),
    Example("windows all round a tube are none", lambda cq: cq.Workplane().circle(20.0)
            .circle(17.0).extrude(40.0).cut(_windows(cq, 8))),
    Example("slots in a tube's end are none", lambda cq: cq.Workplane().circle(20.0)
            .circle(17.0).extrude(15.0).cut(_windows(cq, 8))),
    Example(
        "a ratchet of 18",
        lambda cq: _ratchet(cq, 18),
        ({"count": 18, "outside_diameter_mm": 40.0, "inside_diameter_mm": 34.0,
          "length_mm": 6.0, "surface": "outer"},),
    ),
    Example(
        # the flanks of each V rise by 3 over half its width of 4
        "twelve V grooves across a ring's end",
        lambda cq: cq.Workplane().circle(30.0).circle(20.0).extrude(20.0).cut(_grooves(cq, 12)),
        ({"count": 12, "depth_mm": 3.0, "surface": "end", "outside_diameter_mm": 60.0,
          "inside_diameter_mm": 40.0, "profile_angle_deg": 2.0 * math.degrees(math.atan2(2, 3))},),
    ),
    Example(
        # all flanks meet in the axis at z = 20; at r = 31 the gaps are 3 deep and as wide as half
        # the pitch on either side, so that a flank lies in (31, w, 0) and (31, 0, -3)
        "face teeth that run towards the axis, 24 tip to tip",
        lambda cq: _face_teeth(cq, 24),
        ({"count": 24, "surface": "end", "depth_mm": 3.0 * 30.0 / 31.0,
          "profile_angle_deg": 2.0 * math.degrees(math.atan2(
              31.0 * math.tan(math.pi / 24), 3.0 / math.hypot(1.0, 3.0 / 31.0)))},),
    ),
    Example(
        "ten round gaps in a bore",
        _scalloped,
        ({"count": 10, "inside_diameter_mm": 20.0, "outside_diameter_mm": 24.0,
          "surface": "inner"},),
    ),
)  # fmt: skip


def _windows(cq: Any, count: int) -> Any:
    made = cq.Workplane()
    for i in range(count):
        box = cq.Workplane().box(10.0, 4.0, 10.0).translate((18.0, 0, 15.0))
        made = made.add(box.rotate((0, 0, 0), (0, 0, 1), 360.0 * i / count))
    return made.combine()


def _grooves(cq: Any, count: int) -> Any:
    groove = cq.Workplane("YZ").polyline([(-2, 20), (2, 20), (0, 17)]).close().extrude(40)
    made = groove
    for i in range(1, count):
        made = made.union(groove.rotate((0, 0, 0), (0, 0, 1), 360.0 * i / count))
    return made


def _face_teeth(cq: Any, count: int) -> Any:
    wide = 31.0 * math.tan(math.pi / count)
    top, *foot = (cq.Vector(*p) for p in ((0, 0, 20), (31, -wide, 20), (31, wide, 20), (31, 0, 17)))
    corners = ((top, foot[0], foot[2]), (top, foot[1], foot[2]), (top, foot[0], foot[1]), foot)
    faces = [cq.Face.makeFromWires(cq.Wire.makePolygon(list(c), close=True)) for c in corners]
    gap = cq.Solid.makeSolid(cq.Shell.makeShell(faces))
    tools = [gap.rotate(cq.Vector(), cq.Vector(0, 0, 1), 360.0 * i / count) for i in range(count)]
    ring = cq.Workplane().circle(30.0).circle(15.0).extrude(20.0)
    return cq.Workplane(obj=ring.val().cut(*tools))
