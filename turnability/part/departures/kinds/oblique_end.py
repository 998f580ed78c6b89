"""Ends and faces cut off obliquely: a plane neither square to the axis nor along it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.vectors import Z, dot, square
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "oblique plane"
RANK = 88


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Single planes; `angle_deg` to the plane square to the axis."""
    claims = []
    for cut in cuts:
        if len(cut.walls) == 1 and cut.walls[0].kind == "plane":
            (wall,) = cut.walls
            if not square(wall.direction, Z) and not wall.is_along(Z):
                angle = math.degrees(math.acos(min(1.0, abs(dot(wall.direction, Z)))))
                claims.append(Claim(KIND, cut.walls, {"form": FORM, "angle_deg": angle}))
    return claims


EXAMPLES = (
    Example("a square end", lambda cq: cq.Workplane().circle(10.0).extrude(40.0)),
    Example(
        "cut off at 30 degrees",
        lambda cq: cq.Workplane().circle(10.0).circle(6.0).extrude(40.0).cut(
            cq.Workplane().box(80, 80, 30).rotate((0, 0, 0), (1, 0, 0), 30).translate((0, 0, 45))
        ),
        ({"angle_deg": 30.0},),
    ),
)  # fmt: skip
