"""How far round from an eccentric what is milled stands: a keyway, a flat, a cross hole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from turnability.part.departures.cut import Claim, z_range
from turnability.part.departures.vectors import SAME_MM, Z, cross, dot, square
from turnability.part.departures.walls import Wall
from turnability.part.model import Vector

PHASE = "phase_deg"


def with_phases(claims: Sequence[Claim]) -> list[Claim]:
    """The same, where there is an eccentric with the angle from the first of them.

    Degrees from 0 up to 360, anticlockwise seen from the high end; what goes right through the axis
    has the lesser of its two.
    """
    eccentrics = [claim for claim in claims if claim.kind == "eccentric"]
    toward = {id(claim): found for claim in claims if (found := _toward(claim)) is not None}
    if not eccentrics or not toward:
        return list(claims)
    first = min(eccentrics, key=lambda c: (z_range(c.walls)[0], math.hypot(*c.walls[0].point[:2])))
    begin = _degrees(first.walls[0].point)
    made = []
    for claim in claims:
        if claim.kind == "eccentric":
            angle, both = _degrees(claim.walls[0].point), False
        elif id(claim) in toward:
            direction, both = toward[id(claim)]
            angle = _degrees(direction)
        else:
            made.append(claim)
            continue
        phase = round(angle - begin, 6) % (180.0 if both else 360.0)
        made.append(replace(claim, parameters={**claim.parameters, PHASE: phase}))
    return made


def _toward(claim: Claim) -> tuple[Vector, bool] | None:
    """Which way from the axis it lies, and whether the other way as well; None of all else."""
    numbers, wall = claim.parameters, claim.walls[0]
    sign = -1.0 if numbers.get("surface") == "inner" else 1.0
    if claim.kind == "keyway" and wall.kind == "cylinder":  # Woodruff
        out = cross(wall.direction, Z)
        return _times(out, math.copysign(1.0, dot(wall.point, out))), False
    if claim.kind == "keyway" or (claim.kind == "flat" and numbers.get("flats") == 1):
        across = wall.kind == "plane" and square(wall.direction, Z)
        return (_times(wall.direction, sign), False) if across else None
    if claim.kind == "hole" and numbers.get("direction") == "radial":
        return _along(wall)
    return None


def _along(wall: Wall) -> tuple[Vector, bool] | None:
    if wall.kind != "cylinder" or not square(wall.direction, Z):
        return None
    low, high = wall.extent(wall.direction)
    if low < -SAME_MM and high > SAME_MM and abs(low + high) <= SAME_MM:
        return wall.direction, True
    return _times(wall.direction, math.copysign(1.0, low + high)), False


def _times(a: Vector, t: float) -> Vector:
    return (t * a[0], t * a[1], t * a[2])


def _degrees(a: Vector) -> float:
    return math.degrees(math.atan2(a[1], a[0]))
