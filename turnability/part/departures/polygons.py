"""Flats that stand round the axis as a regular polygon: hexagons, squares, others; out and in."""

from __future__ import annotations

import math
from collections.abc import Sequence

from turnability.part.departures.cut import Claim, Cut, extent
from turnability.part.departures.floors import Floor, floors, levels, with_ends
from turnability.part.departures.rings import polygon
from turnability.part.departures.vectors import ORIGIN, SAME_MM, Z, cross
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter


def polygons(
    cuts: Sequence[Cut], counts: Sequence[int], kind: DepartureKind, form: str | None = None
) -> list[Claim]:
    """Claims on regular polygons of these numbers of sides, each level along the axis by itself."""
    claims = []
    # a socket in a domed end runs out there, as the walls of slots do
    for level in levels([floor for floor in floors(cuts, run_out=True) if not floor.sides]):
        for outer in (True, False):
            mine = [floor for floor in level if floor.outer == outer]
            sides = polygon([floor.wall for floor in mine], ORIGIN, Z, counts)
            if sides and (outer or _meet_at_corners(sides)):
                ids = {id(side) for side in sides}
                claims.append(_claim([f for f in mine if id(f.wall) in ids], kind, form))
    return claims


def _meet_at_corners(sides: Sequence[Wall]) -> bool:
    """Whether no side reaches beyond the polygon's corners: those of slots that cross do."""
    count = len({round(math.atan2(w.direction[1], w.direction[0]) * 1e3) for w in sides})
    return all(
        max(abs(end) for end in wall.extent(cross(Z, wall.direction)))
        <= abs(wall.offset_mm) * math.tan(math.pi / count) + SAME_MM
        for wall in sides
    )


def _claim(sides: Sequence[Floor], kind: DepartureKind, form: str | None) -> Claim:
    walls = {id(w): w for floor in sides for w in with_ends(floor)}
    own = [floor.wall for floor in sides]
    facets = _facets(sides) if sides[0].outer else []
    walls.update((id(wall), wall) for wall in facets)
    low, high = extent(own, Z)
    count = len({round(math.atan2(w.direction[1], w.direction[0]) * 1e3) for w in own})
    found: dict[str, Parameter] = {
        "across_flats_mm": 2.0 * sides[0].distance_mm,
        "length_mm": high - low,
        "surface": "outer" if sides[0].outer else "inner",
    }
    if form is not None:
        found = {"form": form, "count": count, **found}
    chamfer = _chamfer(sides)
    if chamfer is not None:
        found["corner_chamfer_deg"] = chamfer
    if facets:
        found["corner_facets"] = len(facets)
    return Claim(kind, tuple(walls.values()), found)


def _facets(sides: Sequence[Floor]) -> list[Wall]:
    """Smaller planes along the axis between two sides, farther out: broken corners."""
    own = {id(floor.wall) for floor in sides}
    found = {}
    for floor in sides:
        for wall in floor.cut.beside(floor.wall):
            if wall.kind != "plane" or id(wall) in own or abs(wall.direction[2]) > 1e-5:
                continue
            held = [w for w in floor.cut.beside(wall) if id(w) in own]
            if len(held) == 2 and wall.offset_mm > floor.distance_mm:
                found[id(wall)] = wall
    return list(found.values())


def _chamfer(sides: Sequence[Floor]) -> float | None:
    """Angle to the end face of the turned cone that breaks all the corners, in degrees."""
    angles = set()
    for floor in sides:
        cones = [wall for wall in floor.cut.rims(floor.wall) if wall.kind == "cone"]
        angles.add(min((round(90.0 - math.degrees(w.half_angle), 6) for w in cones), default=None))
    return angles.pop() if len(angles) == 1 else None
