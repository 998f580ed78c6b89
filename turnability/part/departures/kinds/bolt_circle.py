"""Equal axial holes on one circle: three or more, or two opposite; about the axis or another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, same, z_range
from turnability.part.departures.drilled import Drilled, holes_in
from turnability.part.departures.rings import alike, evenly_spaced
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "bolt-circle"
FORM = None
RANK = 20
_LEAST = 3


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Circles about the part's axis first; of the rest those evenly spaced about another one."""
    holes = [
        hole
        for hole in holes_in(cuts)
        if hole.heading == "axial" and not hole.holds_axis and hole.offset_mm > 1e-3
    ]
    claims, rest = [], []
    for lot in alike(holes, lambda hole: (*_sizes(hole), hole.offset_mm), _names):
        if len(lot) >= _LEAST or _opposite(lot):
            claims.append(_claim(lot, (0.0, 0.0)))
        else:
            rest.extend(lot)
    for lot in alike(rest, _sizes, _names):
        centre = _centre(lot)
        if centre is not None:
            claims.append(_claim(lot, centre))
    return claims


def _sizes(hole: Drilled) -> tuple[float, ...]:
    numbers = [float(v) for v in hole.sizes.values() if isinstance(v, float)]
    return (hole.diameter_mm, *z_range(hole.walls), *numbers)


def _names(hole: Drilled) -> tuple[object, ...]:
    return (hole.through, tuple(hole.sizes), hole.sizes.get("bottom"))


def _opposite(lot: Sequence[Drilled]) -> bool:
    turns = sorted(hole.turn for hole in lot)
    return len(turns) == 2 and abs(turns[1] - turns[0] - math.pi) < 1e-4


def _centre(lot: Sequence[Drilled]) -> tuple[float, float] | None:
    """The centre of a circle off the axis on which the holes are evenly spaced."""
    if len(lot) < _LEAST:
        return None
    x = sum(hole.point[0] for hole in lot) / len(lot)
    y = sum(hole.point[1] for hole in lot) / len(lot)
    radii = [math.hypot(hole.point[0] - x, hole.point[1] - y) for hole in lot]
    turns = [math.atan2(hole.point[1] - y, hole.point[0] - x) for hole in lot]
    round_ = all(same(radii[0], radius) for radius in radii)
    return (x, y) if round_ and evenly_spaced(turns) else None


def _claim(lot: Sequence[Drilled], centre: tuple[float, float]) -> Claim:
    first = lot[0]
    x, y = centre
    turns = [math.atan2(hole.point[1] - y, hole.point[0] - x) for hole in lot]
    found: dict[str, Parameter] = {
        "count": len(lot),
        "circle_diameter_mm": 2.0 * math.hypot(first.point[0] - x, first.point[1] - y),
        "hole_diameter_mm": first.diameter_mm,
        "even": evenly_spaced(turns),
        "through": first.through,
        **first.sizes,
    }
    if centre != (0.0, 0.0):
        found["offset_mm"] = math.hypot(x, y)
    return Claim(KIND, tuple(wall for hole in lot for wall in hole.walls), found)


def _flange(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(10.0)


EXAMPLES = (
    Example("two holes at a right angle are two holes", lambda cq: _flange(cq).faces(">Z")
            .workplane().pushPoints([(30, 0), (0, 30)]).hole(5.0)),
    Example("slots are none", lambda cq: _flange(cq).faces(">Z").workplane()
            .polarArray(30, 0, 360, 4).slot2D(12, 5, 90).cutThruAll()),
    Example(
        "six through",
        lambda cq: _flange(cq).faces(">Z").workplane().polarArray(30, 0, 360, 6).hole(6.6),
        ({"count": 6, "circle_diameter_mm": 60.0, "hole_diameter_mm": 6.6, "even": True,
          "through": True, "depth_mm": 10.0, "faces": 6},),
    ),
    Example(
        "two opposite, counterbored",
        lambda cq: _flange(cq).faces(">Z").workplane().pushPoints([(30, 0), (-30, 0)])
        .cboreHole(4.5, 8.0, 4.6),
        ({"count": 2, "hole_diameter_mm": 4.5, "counterbore_diameter_mm": 8.0,
          "counterbore_depth_mm": 4.6, "even": True},),
    ),
    Example(
        "three unevenly spaced, blind with drill points",
        lambda cq: _flange(cq).cut(_drills(cq, (0, 100, 200))),
        ({"count": 3, "circle_diameter_mm": 60.0, "hole_diameter_mm": 5.0, "even": False,
          "through": False, "depth_mm": 6.0, "bottom": "drill-point", "point_angle_deg": 118.0},),
    ),
    Example(
        "four about a centre off the axis",
        lambda cq: _flange(cq).faces(">Z").workplane().center(6, 0).polarArray(15, 0, 360, 4)
        .hole(4.0),
        ({"count": 4, "circle_diameter_mm": 30.0, "hole_diameter_mm": 4.0, "offset_mm": 6.0},),
    ),
)  # fmt: skip


def _drills(cq: Any, turns: Sequence[float]) -> Any:
    """Drills of 5 with points of 118 degrees, 6 deep from z = 10."""
    point = 2.5 / math.tan(math.radians(59.0))
    drill = (
        cq.Workplane("XZ").polyline([(0, 12), (2.5, 12), (2.5, 4), (0, 4 - point)]).close()
        .revolve(360, (0, 0, 0), (0, 1, 0))
    )  # fmt: skip
    made = cq.Workplane()
    for turn in turns:
        made = made.add(drill.translate((30, 0, 0)).rotate((0, 0, 0), (0, 0, 1), turn))
    return made.combine()
