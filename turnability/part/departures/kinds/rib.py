"""A rib along the axis that stands where a ring would be: the ring beside it was cut away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, r_range, walls_by_account, z_range
from turnability.part.departures.floors import holds_foot
from turnability.part.departures.rings import gap
from turnability.part.departures.vectors import SAME_MM, Z, dot, parallel, square
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "rib"
RANK = 62


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Accounts of just two planes along the axis that look away from each other, and their top."""
    claims = []
    for walls in walls_by_account(cuts):
        planes = [w for w in walls if w.kind == "plane" and square(w.direction, Z)]
        sides = [
            (a, b)
            for i, a in enumerate(planes)
            for b in planes[i + 1 :]
            if parallel(a.direction, b.direction) and dot(a.direction, b.direction) < 0.0
            if gap(a, b) < -SAME_MM and not holds_foot(a) and not holds_foot(b)
        ]
        if len(sides) != 1 or len(planes) > 3:
            continue
        (a, b), (low, high), (z0, z1) = sides[0], r_range(walls), z_range(walls)
        claims.append(
            Claim(
                KIND,
                tuple(walls),
                {"form": FORM, "width_mm": -gap(a, b), "height_mm": high - low,
                 "length_mm": z1 - z0},
            )
        )  # fmt: skip
    return claims


def _key(cq: Any) -> Any:
    return cq.Workplane().box(4.0, 5.0, 12.0).translate((10.0, 0, 10.0))


EXAMPLES = (
    Example("two flats are none", lambda cq: cq.Workplane().circle(10.0).extrude(30.0).intersect(
        cq.Workplane().box(14, 40, 100)
    )),
    Example(
        "a key of one piece with its shaft",
        lambda cq: cq.Workplane().circle(10.0).extrude(30.0).union(_key(cq)),
        ({"width_mm": 5.0, "length_mm": 12.0},),
    ),
)  # fmt: skip
