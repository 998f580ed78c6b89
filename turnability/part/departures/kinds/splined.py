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
    """Rings whose flanks are planes along the axis: on shafts those of one tooth are parallel
    (`tooth_width_mm`), in bores those of one gap (`gap_width_mm`), as in ISO 14.
    """
    claims = []
    for ring in teeth(cuts):
        width = _width(ring)
        if width is not None:
            key = "tooth_width_mm" if ring.outer else "gap_width_mm"
            claims.append(Claim(KIND, ring.walls, {"form": FORM, **ring.sizes(), key: width}))
    return claims


def _width(ring: Teeth) -> float | None:
    """Width of the teeth, or of the gaps of a bore, whose sides are planes and parallel."""
    flanks = ring.flanks
    if ring.surface == "end" or not flanks:
        return None
    if any(wall.kind != "plane" or abs(wall.direction[2]) > 1e-5 for wall in flanks):
        return None
    # sides of teeth look away from the plane between them, sides of gaps at it
    offset = flanks[0].offset_mm
    if (offset > 0.0) != ring.outer or not all(same(wall.offset_mm, offset) for wall in flanks):
        return None
    first, *others = flanks
    twin = any(
        parallel(first.direction, wall.direction)
        and same(math.dist(first.middle, wall.middle), 2.0 * abs(offset))
        for wall in others
    )
    return 2.0 * abs(offset) if twin else None


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
    Example(
        "six gaps 6 wide in a bore of 24, out to 28",
        lambda cq: cq.Workplane().circle(20.0).circle(12.0).extrude(25.0).cut(
            cq.Workplane().circle(14.0).extrude(25.0).intersect(_bars(cq, 3, 6.0))
        ),
        ({"count": 6, "gap_width_mm": 6.0, "inside_diameter_mm": 24.0,
          "outside_diameter_mm": 28.0, "length_mm": 25.0, "surface": "inner"},),
    ),
)  # fmt: skip


def _bars(cq: Any, count: int, width: float) -> Any:
    """Bars across the axis, each of two of a hub's gaps."""
    made = cq.Workplane().box(60.0, width, 25.0).translate((0, 0, 12.5))
    for i in range(1, count):
        bar = cq.Workplane().box(60.0, width, 25.0).translate((0, 0, 12.5))
        made = made.union(bar.rotate((0, 0, 0), (0, 0, 1), 180.0 * i / count))
    return made
