"""Dovetail slots: two planes that lean towards each other over a wider floor."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, extent, r_range, same
from turnability.part.departures.vectors import SAME_MM, Z, cross, dot, parallel, square, unit
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Vector

KIND: DepartureKind = "slot"
FORM = "dovetail"
RANK = 69
_LEANS = math.sin(math.radians(10.0))
"""A side that leans less is a straight slot's with draft; one lying as flat is a floor."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Mirrored planes of one height that look down at a floor from both sides.

    `width_mm` at the mouth, `base_width_mm` at the floor, `angle_deg` between side and floor.
    """
    sides = [(cut, wall) for cut in cuts for wall in cut.walls if wall.kind == "plane"]
    claims: list[Claim] = []
    taken: set[int] = set()
    for i, (cut, a) in enumerate(sides):
        for other, b in sides[i + 1 :]:
            if taken & {id(a), id(b)}:
                continue
            up = _up(a, b)
            if up is None or not _stands_between(((cut, a), (other, b)), up):
                continue
            lot = {id(one): one for one in (cut, other)}.values()
            walls = tuple(wall for one in lot for wall in one.walls)
            taken.update(id(wall) for wall in walls)
            claims.append(_claim(a, b, up, walls))
    return claims


def _up(a: Wall, b: Wall) -> Vector | None:
    """The way out between two planes that both look away from it, mirrored and level."""
    between = tuple(x + y for x, y in zip(a.direction, b.direction, strict=True))
    if not 2.0 * _LEANS < math.hypot(*between) < 2.0 * math.sqrt(1.0 - _LEANS**2):
        return None
    down = unit((between[0], between[1], between[2]))
    up = (-down[0], -down[1], -down[2])
    (low, high), (c, d) = a.extent(up), b.extent(up)
    if not (same(low, c) and same(high, d)) or _width(a, b, up, high) <= SAME_MM:
        return None
    return up


def _width(a: Wall, b: Wall, up: Vector, level: float) -> float:
    """Width of the void between two planes at a level (negative: of material)."""
    lean = dot(a.direction, up)
    out = math.sqrt(1.0 - lean * lean)
    return -(a.offset_mm + b.offset_mm - 2.0 * lean * level) / out


def _stands_between(sides: Iterable[tuple[Cut, Wall]], up: Vector) -> bool:
    """Whether both sides stand on a floor that looks up, and none of them ends on one that looks
    down, as the sides of an open groove would do.
    """
    for cut, side in sides:
        low, _ = side.extent(up)
        level = [
            wall
            for wall in (*cut.beside(side), *cut.rims(side))
            if wall.kind == "plane" and parallel(wall.direction, up)
        ]
        looks_up = [wall for wall in level if dot(wall.direction, up) > 0.0]
        if not any(same(wall.offset_mm, low) for wall in looks_up) or len(looks_up) < len(level):
            return False
    return True


def _claim(a: Wall, b: Wall, up: Vector, walls: tuple[Wall, ...]) -> Claim:
    low, high = a.extent(up)
    mouth = high
    if square(up, Z):  # to the round, as other slots' depths are told
        near, far = r_range((a, b))
        mouth = far if high > 0.0 else -near
    along = extent((a, b), unit(cross(a.direction, b.direction)))
    heading = "axial" if parallel(up, Z) else "radial" if square(up, Z) else "other"
    return Claim(
        KIND,
        walls,
        {
            "form": FORM,
            "width_mm": _width(a, b, up, mouth),
            "base_width_mm": _width(a, b, up, low),
            "angle_deg": math.degrees(math.acos(min(1.0, abs(dot(a.direction, up))))),
            "depth_mm": mouth - low,
            "length_mm": along[1] - along[0],
            "direction": heading,
        },
    )


EXAMPLES = (
    Example("a V groove across an end is none", lambda cq: _disc(cq).cut(
        cq.Workplane("YZ").polyline([(-5, 21), (5, 21), (0, 14)]).close().extrude(60, both=True)
    )),
    Example("one that widens outwards is none", lambda cq: _disc(cq).cut(
        cq.Workplane("YZ").polyline([(-8, 20), (8, 20), (5, 14), (-5, 14)]).close()
        .extrude(60, both=True)
    )),
    Example(
        "across an end: 10 wide above, 16 below, 6 deep",
        lambda cq: _disc(cq).cut(
            cq.Workplane("YZ").polyline([(-5, 20), (5, 20), (8, 14), (-8, 14)]).close()
            .extrude(60, both=True)
        ),
        ({"width_mm": 10.0, "base_width_mm": 16.0, "depth_mm": 6.0, "direction": "axial",
          "angle_deg": math.degrees(math.atan2(6.0, 3.0)), "z_mm": (14.0, 20.0)},),
    ),
    Example(
        "beside the axis, closed at one end",
        lambda cq: _disc(cq).cut(
            cq.Workplane("YZ").polyline([(13, 20), (23, 20), (26, 14), (10, 14)]).close()
            .extrude(60)
        ),
        ({"width_mm": 10.0, "base_width_mm": 16.0, "depth_mm": 6.0, "direction": "axial"},),
    ),
)  # fmt: skip


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(20.0)
