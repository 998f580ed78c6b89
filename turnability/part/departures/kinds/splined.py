"""Splines: equal gaps all round between teeth of parallel sides, on shafts and in bores."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, same
from turnability.part.departures.teeth import Teeth, teeth
from turnability.part.departures.vectors import parallel
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "splined"
RANK = 57


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Rings whose flanks are planes along the axis, those of one tooth parallel."""
    claims = []
    for ring in teeth(cuts):
        width = _width(ring)
        if width is not None:
            sizes = {"form": FORM, **ring.sizes(), "tooth_width_mm": width}
            claims.append(Claim(KIND, ring.walls, sizes))
    return claims


def _width(ring: Teeth) -> float | None:
    """Width of the teeth where both their sides are planes parallel to each other."""
    flanks = ring.flanks
    if not flanks or any(w.kind != "plane" or abs(w.direction[2]) > 1e-5 for w in flanks):
        return None
    offset = flanks[0].offset_mm
    if offset <= 0.0 or not all(same(wall.offset_mm, offset) for wall in flanks):
        return None
    first, *others = flanks
    twin = any(
        parallel(first.direction, wall.direction)
        and same(math.dist(first.middle, wall.middle), 2.0 * offset)
        for wall in others
    )
    return 2.0 * offset if twin else None


def _shaft(cq: Any, count: int, width: float) -> Any:
    """A shaft of 26 whose end is splined: teeth of this width stand on a core of 21."""
    teeth_ = cq.Workplane().circle(10.5).extrude(30.0)
    for i in range(count):
        tooth = cq.Workplane().box(12.0, width, 30.0).translate((8.0, 0, 15.0))
        teeth_ = teeth_.union(tooth.rotate((0, 0, 0), (0, 0, 1), 360.0 * i / count))
    end = teeth_.intersect(cq.Workplane().circle(13.0).extrude(30.0))
    return end.union(cq.Workplane().workplane(offset=30.0).circle(13.0).extrude(40.0))


EXAMPLES = (
    Example("a hexagon is none", lambda cq: cq.Workplane().polygon(6, 20.0).extrude(20.0)
            .union(cq.Workplane().circle(6.0).extrude(40.0))),
    Example("a keyway is none", lambda cq: cq.Workplane().circle(15.0).extrude(60.0).cut(
        cq.Workplane().box(20, 6, 30).translate((22, 0, 15))
    )),
    Example(
        "six teeth 6 wide, 21 to 26",
        lambda cq: _shaft(cq, 6, 6.0),
        ({"count": 6, "outside_diameter_mm": 26.0, "inside_diameter_mm": 21.0,
          "length_mm": 30.0, "tooth_width_mm": 6.0, "surface": "outer"},),
    ),
    Example(
        "eight teeth 4 wide",
        lambda cq: _shaft(cq, 8, 4.0),
        ({"count": 8, "tooth_width_mm": 4.0, "inside_diameter_mm": 21.0},),
    ),
)  # fmt: skip
