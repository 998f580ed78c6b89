"""Keyways along the axis, in shafts and bores: parallel (round or square ends) and Woodruff."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, r_range, z_range
from turnability.part.departures.floors import Floor, floors
from turnability.part.departures.rings import gap
from turnability.part.departures.vectors import SAME_MM, Z, cross, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "keyway"
FORM = None
RANK = 70
_DEEPEST_SHARE = 1.25
"""A groove deeper than this share of its width holds no key: it is a slot (common practice)."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Floors with two sides that the axis bisects, and sides with a floor round across the axis."""
    claims = []
    for floor in floors(cuts):
        if floor.sides:
            claims.append(_parallel(floor))
    for cut in cuts:
        claims.extend(_woodruff(cut))
    return [claim for claim in claims if claim is not None]


def _parallel(floor: Floor) -> Claim | None:
    a, b = floor.sides
    width = gap(a, b)
    middle = abs(a.offset_mm - b.offset_mm) / 2.0
    walls = _own(floor)
    r_low, r_high = r_range(floor.sides)
    depth = r_high - floor.distance_mm if floor.outer else floor.distance_mm - r_low
    if middle > SAME_MM or not 0.0 < depth <= _DEEPEST_SHARE * width:
        return None
    low, high = z_range(walls)
    if floor.outer and high - low <= width:
        return None
    ends = [_end(walls, floor, at) for at in (low, high)]
    found: dict[str, Parameter] = {
        "form": "parallel",
        "width_mm": width,
        "depth_mm": depth,
        "length_mm": high - low,
        "ends": ends[0] if ends[0] == ends[1] else ", ".join(ends),
        "surface": "outer" if floor.outer else "inner",
    }
    return Claim(KIND, walls, found)


def _own(floor: Floor) -> tuple[Wall, ...]:
    """Floor, sides, ends and their roundings: what touches floor or sides in the cut."""
    core = (floor.wall, *floor.sides)
    walls = {id(w): w for w in core}
    for wall in core:
        for other in floor.cut.beside(wall):
            if not other.coaxial or other.kind == "plane":
                walls[id(other)] = other
    return tuple(walls.values())


def _end(walls: Sequence[Wall], floor: Floor, at: float) -> str:
    """How a keyway ends at z: "round" and "square" walls, a cutter's "run-out", or "open"."""
    for wall in walls:
        if min(abs(z - at) for z in wall.z_mm) > SAME_MM:
            continue
        if wall.kind == "cylinder" and wall.hollow and wall.is_along(floor.wall.direction):
            return "round"
        if wall.kind == "plane" and wall.is_along(Z):
            return "square"
        if wall.kind == "cylinder" and wall.hollow and wall.is_along(floor.across):
            return "run-out"
    for side in floor.sides:
        for rim in floor.cut.rims(side):
            # a face of the turned body that looks into the keyway
            at_end = rim.kind == "plane" and abs(rim.z_mm[0] - at) <= SAME_MM
            if at_end and (rim.direction[2] > 0.0) == (at < sum(side.z_mm) / 2.0):
                return "square"
    return "open"


def _woodruff(cut: Cut) -> list[Claim]:
    """Segments: a floor round about a line across the axis, between two sides square to it."""
    found = []
    for wall in cut.walls:
        round_ = wall.kind == "cylinder" and wall.hollow and square(wall.direction, Z)
        sides = [w for w in cut.beside(wall) if w.kind == "plane" and w.is_along(wall.direction)]
        if not round_ or len(sides) != 2 or gap(*sides) <= SAME_MM:
            continue
        if any(w.kind == "plane" and id(w) not in map(id, sides) for w in cut.beside(wall)):
            continue  # the run-out of a floor
        out = cross(wall.direction, Z)
        height = abs(wall.point[0] * out[0] + wall.point[1] * out[1])
        middle = abs(sides[0].offset_mm - sides[1].offset_mm) / 2.0
        low, high = z_range(sides)
        if middle > SAME_MM or height <= SAME_MM:
            continue
        found.append(
            Claim(
                KIND,
                (wall, *sides),
                {
                    "form": "Woodruff",
                    "width_mm": gap(*sides),
                    "depth_mm": r_range(sides)[1] - (height - wall.radius_mm),
                    "diameter_mm": 2.0 * wall.radius_mm,
                    "length_mm": high - low,
                    "surface": "outer",
                },
            )
        )
    return found


def _shaft(cq: Any) -> Any:
    return cq.Workplane().circle(15.0).extrude(80.0)


def _box(cq: Any, x: tuple[float, float], width: float, z: tuple[float, float]) -> Any:
    made = cq.Workplane().box(x[1] - x[0], width, z[1] - z[0])
    return made.translate(((x[0] + x[1]) / 2.0, 0.0, (z[0] + z[1]) / 2.0))


EXAMPLES = (
    Example("a flat is none", lambda cq: _shaft(cq).cut(_box(cq, (12, 40), 100.0, (0, 30)))),
    Example("a slot deeper than its width is none", lambda cq: _shaft(cq).cut(
        _box(cq, (5, 40), 4.0, (20, 50))
    )),
    Example("a groove beside the axis is none", lambda cq: _shaft(cq).cut(
        _box(cq, (11, 40), 8.0, (20, 50)).translate((0, 5, 0))
    )),
    Example(
        "square ends", lambda cq: _shaft(cq).cut(_box(cq, (11, 40), 8.0, (20, 50))),
        ({"form": "parallel", "width_mm": 8.0,
          "depth_mm": 4.0, "length_mm": 30.0,
          "ends": "square", "surface": "outer", "z_mm": (20.0, 50.0)},),
    ),
    Example(
        "round ends, as DIN 6885-1 form A",
        lambda cq: _shaft(cq).cut(
            cq.Workplane("YZ", origin=(11.0, 0, 0)).center(0, 40).slot2D(32.0, 8.0, 90)
            .extrude(30.0)
        ),
        ({"width_mm": 8.0, "depth_mm": 4.0, "length_mm": 32.0, "ends": "round"},),
    ),
    Example(
        "open at the end, round within",
        lambda cq: _shaft(cq).cut(
            cq.Workplane("YZ", origin=(11.0, 0, 0)).center(0, 80).slot2D(60.0, 8.0, 90)
            .extrude(30.0)
        ),
        ({"width_mm": 8.0, "depth_mm": 4.0, "length_mm": 30.0, "ends": "round, open"},),
    ),
    Example(
        "all along a bore",
        lambda cq: cq.Workplane().circle(25.0).circle(12.0).extrude(30.0)
        .cut(_box(cq, (0, 14.3), 8.0, (-1, 40))),
        ({"width_mm": 8.0, "depth_mm": 2.3, "ends": "open",
          "length_mm": 30.0, "surface": "inner"},),
    ),
    Example(
        "Woodruff",
        lambda cq: _shaft(cq).cut(
            cq.Workplane("XZ").center(16.0, 40.0).circle(8.0).extrude(2.5, both=True)
        ),
        ({"form": "Woodruff", "width_mm": 5.0, "diameter_mm": 16.0, "depth_mm": 7.0},),
    ),
)  # fmt: skip
