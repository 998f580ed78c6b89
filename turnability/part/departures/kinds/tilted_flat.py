"""A flat that runs aslant to the axis, and stays on one side of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, z_range
from turnability.part.departures.vectors import SAME_MM, Z, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind

KIND: DepartureKind = "flat"
FORM = "tilted"
RANK = 87
_STEEPEST = math.sin(math.radians(45.0))
"""A plane nearer to square to the axis than to along it is an oblique end."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Single planes with their shoulders; `angle_deg` to the axis, `depth_mm` where deepest."""
    claims = []
    for cut in cuts:
        aslant = [wall for wall in cut.walls if _is_aslant(wall)]
        shoulders = [wall for wall in cut.walls if wall.kind == "plane" and wall.coaxial]
        if len(aslant) == 1 and len(shoulders) + 1 == len(cut.walls):
            claims.append(_claim(aslant[0], cut))
    return claims


def _is_aslant(wall: Wall) -> bool:
    if wall.kind != "plane" or square(wall.direction, Z):
        return False
    return abs(wall.direction[2]) <= _STEEPEST and min(_distances(wall)) > SAME_MM


def _distances(wall: Wall) -> tuple[float, float]:
    """How far off the axis, outward, a plane runs at both ends of its range along it."""
    across = math.hypot(wall.direction[0], wall.direction[1])
    low, high = ((wall.offset_mm - wall.direction[2] * z) / across for z in wall.z_mm)
    return low, high


def _claim(wall: Wall, cut: Cut) -> Claim:
    low, high = z_range(cut.walls)
    deepest, out = min(_distances(wall)), wall.r_mm[1]
    return Claim(
        KIND,
        cut.walls,
        {
            "form": FORM,
            "across_flats_mm": deepest + out,
            "length_mm": high - low,
            "flats": 1,
            "depth_mm": out - deepest,
            "angle_deg": math.degrees(math.asin(abs(wall.direction[2]))),
            "surface": "outer",
        },
    )


def _rod(cq: Any) -> Any:
    return cq.Workplane().circle(10.0).extrude(50.0)


def _wedge(cq: Any, degrees: float) -> Any:
    """Beyond x = 10 at z = 10, sloping inward to z = 30, where a shoulder stands."""
    inward = 10.0 - 20.0 * math.tan(math.radians(degrees))
    corners = [(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (inward, 30.0)]
    return cq.Workplane("XZ").polyline(corners).close().extrude(40.0, both=True)


EXAMPLES = (
    Example("a plain rod", _rod),
    Example("an oblique end is none", lambda cq: _rod(cq).cut(
        cq.Workplane().box(80, 80, 30).rotate((0, 0, 0), (1, 0, 0), 30).translate((0, 0, 55))
    )),
    Example("a flat along the axis is none", lambda cq: _rod(cq).cut(
        cq.Workplane().box(20, 60, 20).translate((18, 0, 25))
    )),
    Example(
        "sloping to a shoulder at 10 degrees",
        lambda cq: _rod(cq).cut(_wedge(cq, 10.0)),
        (
            {
                "angle_deg": 10.0,
                "length_mm": 20.0,
                "depth_mm": 20.0 * math.tan(math.radians(10.0)),
                "across_flats_mm": 20.0 - 20.0 * math.tan(math.radians(10.0)),
                "z_mm": (10.0, 30.0),
            },
        ),
    ),
    Example(
        "running out through the end",
        lambda cq: cq.Workplane().circle(10.0).extrude(25.0).cut(_wedge(cq, 15.0)),
        ({"angle_deg": 15.0, "length_mm": 15.0, "depth_mm": 15.0 * math.tan(math.radians(15.0))},),
    ),
)  # fmt: skip
