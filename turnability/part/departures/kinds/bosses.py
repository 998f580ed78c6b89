"""Round bosses standing where a ring would be: the rest of it was cut away."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import (
    Claim,
    Cut,
    Example,
    r_range,
    same,
    walls_by_account,
    z_range,
)
from turnability.part.departures.rings import evenly_spaced
from turnability.part.departures.vectors import Z, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "bosses"
RANK = 25
_WHOLE_TURN = math.tau - 1e-3


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Equal round bosses that the ring between them was cut away from.

    Parallel to the axis there are two or more on a circle; from the side one stands alone too.
    """
    claims = _from_the_side(cuts)
    for walls in walls_by_account(cuts):
        pins = [
            wall
            for wall in walls
            if wall.kind == "cylinder" and not wall.hollow and wall.is_along(Z)
            if wall.turn >= _WHOLE_TURN and not wall.coaxial
        ]
        alike = all(
            same(pin.radius_mm, pins[0].radius_mm) and same(_out(pin), _out(pins[0]))
            for pin in pins
        )
        if len(pins) < 2 or not alike or _out(pins[0]) < pins[0].radius_mm:
            continue
        low, high = z_range(pins)
        turns = [math.atan2(pin.point[1], pin.point[0]) for pin in pins]
        claims.append(
            Claim(
                KIND,
                tuple(walls),
                {"form": FORM, "count": len(pins), "circle_diameter_mm": 2.0 * _out(pins[0]),
                 "boss_diameter_mm": 2.0 * pins[0].radius_mm, "length_mm": high - low,
                 "even": evenly_spaced(turns)},
            )
        )  # fmt: skip
    return claims


def _from_the_side(cuts: Sequence[Cut]) -> list[Claim]:
    claims = []
    for walls in walls_by_account(cuts):
        pins = [
            wall
            for wall in walls
            if wall.kind == "cylinder" and not wall.hollow and wall.turn >= _WHOLE_TURN
            if square(wall.direction, Z)
        ]
        if not pins or not all(_belongs(wall, pins) for wall in walls):
            continue
        low, high = r_range(pins)
        alike = all(same(pin.radius_mm, pins[0].radius_mm) for pin in pins)
        claims.append(
            Claim(
                KIND,
                tuple(walls),
                {"form": FORM, "count": len(pins), "direction": "radial",
                 "boss_diameter_mm": 2.0 * pins[0].radius_mm if alike else None,
                 "length_mm": high - low},
            )
        )  # fmt: skip
    return claims


def _belongs(wall: Wall, pins: Sequence[Wall]) -> bool:
    """A pin, its top, or a round about the part's axis that it stands on."""
    return wall in pins or wall.coaxial or any(wall.is_along(pin.direction) for pin in pins)


def _out(pin: Wall) -> float:
    return math.hypot(pin.point[0], pin.point[1])


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(30.0).extrude(5.0)


EXAMPLES = (
    Example("holes are none", lambda cq: _disc(cq).faces(">Z").workplane()
            .polarArray(20, 0, 360, 4).hole(6.0)),
    Example(
        "six pins on a disc",
        lambda cq: _disc(cq).faces(">Z").workplane().polarArray(20, 0, 360, 6).circle(4.0)
        .extrude(8.0),
        ({"count": 6, "circle_diameter_mm": 40.0, "boss_diameter_mm": 8.0, "length_mm": 8.0},),
    ),
    Example(
        "a pin out of the side of a shaft",
        lambda cq: cq.Workplane().circle(15.0).extrude(60.0).union(
            cq.Workplane("YZ").center(0, 30).circle(3.0).extrude(22.0)
        ),
        ({"count": 1, "direction": "radial", "boss_diameter_mm": 6.0},),
    ),
)  # fmt: skip
