"""Pockets: voids with sides and a floor, or through with sides that no slot has; round seats."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, by_account, extent
from turnability.part.departures.prism import Prism, prism
from turnability.part.departures.rings import gap
from turnability.part.departures.vectors import cross
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "pocket"
FORM = None
RANK = 90


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Hollow walls that one direction explains, and hollow spheres and cones off the axis."""
    claims = []
    for own in by_account(cuts):
        walls = tuple(wall for cut in own for wall in cut.walls)
        if all(wall.kind == "sphere" and wall.hollow for wall in walls):
            found: dict[str, Parameter] = {"form": "spherical", "radius_mm": walls[0].radius_mm}
            claims.append(Claim(KIND, walls, found))
            continue
        if len(walls) == 1 and walls[0].kind == "cone" and walls[0].hollow:
            angle = math.degrees(2.0 * walls[0].half_angle)
            claims.append(Claim(KIND, walls, {"form": "conical", "angle_deg": angle}))
            continue
        seen = prism(own)
        if seen is not None and _is_hollow(seen):
            claims.append(_claim(seen))
    return claims


def _is_hollow(seen: Prism) -> bool:
    """Whether two of its planes face each other, or a round side is hollow: it is no step."""
    hollow = [w for w in seen.sides if w.kind == "cylinder" and w.hollow and not w.coaxial]
    return seen.facing() is not None or bool(hollow)


def _claim(seen: Prism) -> Claim:
    pair = seen.facing()
    found: dict[str, Parameter] = {
        "direction": seen.heading,
        "through": seen.through,
        "depth_mm": seen.depth_mm,
    }
    if pair is not None:
        along = cross(pair[0].direction, seen.direction)
        low, high = extent(seen.sides, along)
        found["width_mm"] = gap(*pair)
        found["length_mm"] = high - low
    radius = seen.corner_radius_mm()
    if radius is not None:
        found["corner_radius_mm"] = radius
    return Claim(KIND, seen.walls, found)


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(12.0)


EXAMPLES = (
    Example("a counterbored hole is none", lambda cq: _disc(cq).faces(">Z").workplane()
            .pushPoints([(20.0, 0.0)]).cboreHole(5.0, 9.0, 4.0)),
    Example("a slot across is none", lambda cq: _disc(cq).cut(
        cq.Workplane().box(100, 4, 6).translate((0, 0, 12))
    )),
    Example(
        "a square-cornered one in the end",
        lambda cq: _disc(cq).faces(">Z").workplane().center(20, 0).rect(12, 8).cutBlind(-5.0),
        ({"direction": "axial", "through": False, "depth_mm": 5.0, "width_mm": 8.0,
          "length_mm": 12.0},),
    ),
    Example(
        "with corners of 2",
        lambda cq: _disc(cq).cut(
            cq.Workplane().workplane(offset=7.0).center(20, 0).rect(12, 8).extrude(10.0)
            .edges("|Z").fillet(2.0)
        ),
        ({"depth_mm": 5.0, "width_mm": 8.0, "length_mm": 12.0, "corner_radius_mm": 2.0},),
    ),
    Example(
        "from the side into a rod",
        lambda cq: cq.Workplane().circle(20.0).extrude(60.0).cut(
            cq.Workplane().box(20, 14, 10).translate((22, 0, 30))
        ).cut(cq.Workplane().box(10, 4, 4).translate((12, 4, 30))),
        ({"direction": "radial", "through": False},),
    ),
    Example(
        "a set screw's seat in the side of a rod",
        lambda cq: cq.Workplane().circle(20.0).extrude(60.0).cut(
            cq.Workplane(cq.Solid.makeCone(0.0, 8.0, 8.0, cq.Vector(16, 0, 30),
                                           cq.Vector(1, 0, 0)))
        ),
        ({"form": "conical", "angle_deg": 90.0},),
    ),
    Example(
        "a ball's seat beside the axis",
        lambda cq: _disc(cq).cut(cq.Workplane().sphere(5.0).translate((20, 0, 13))),
        ({"form": "spherical", "radius_mm": 5.0},),
    ),
)  # fmt: skip
