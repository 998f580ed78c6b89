"""Where a part turns only over an arc: sectors cut out, between walls along the axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, r_range, walls_by_account, z_range
from turnability.part.departures.rings import alike
from turnability.part.departures.vectors import SAME_MM, Z, cross, dot, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "other"
FORM = "partial revolution"
RANK = 85
_LEAST = math.radians(15.0)
"""Least sector that is told by its floor alone; narrower ones are keyways or notches."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Accounts between two planes that hold the axis, or on a round floor about it.

    `turned_deg`: the arc over which the part turns there, less all equal sectors.
    """
    sectors = []
    for walls in walls_by_account(cuts):
        removed = _between_planes(walls)
        if removed is None and all(_is_plain(wall) for wall in walls):
            removed = _at_the_floor(walls)
            removed = removed if removed is not None and removed >= _LEAST else None
        if removed is not None:
            sectors.append((removed, walls))
    lots = alike(
        sectors,
        lambda sector: (sector[0], *z_range(sector[1]), *r_range(sector[1])),
        lambda sector: None,
    )
    claims = []
    for lot in lots:
        found: dict[str, Parameter] = {"form": FORM}
        if len(lot) > 1:
            found["count"] = len(lot)
        removed = math.degrees(math.fsum(angle for angle, _ in lot))
        walls_ = tuple(wall for _, walls in lot for wall in walls)
        low, high = r_range(walls_)
        found["turned_deg"] = 360.0 - removed
        found["outside_diameter_mm"] = 2.0 * high
        found["inside_diameter_mm"] = 2.0 * low
        claims.append(Claim(KIND, walls_, found))
    return claims


def _is_plain(wall: Wall) -> bool:
    """Turns about the axis, or runs along it."""
    return wall.coaxial or (
        wall.kind in ("plane", "cylinder")
        and (square(wall.direction, Z) if wall.kind == "plane" else wall.is_along(Z))
    )


def _between_planes(walls: Sequence[Wall]) -> float | None:
    """Angle from the one half plane that holds the axis to the other, through the void."""
    halves = [
        wall
        for wall in walls
        if wall.kind == "plane" and square(wall.direction, Z) and abs(wall.offset_mm) <= SAME_MM
    ]
    out = [wall for wall in halves if not _crosses(wall)]
    if len(out) == 2 and len(halves) == 2:
        a, b = (math.atan2(w.middle[1], w.middle[0]) for w in out)
        forwards = dot(cross(Z, _unit(out[0])), out[0].direction) > 0.0
        return (b - a) % math.tau if forwards else (a - b) % math.tau
    if len(halves) == 1 and _crosses(halves[0]):
        return math.pi  # one plane through the axis: half of the round is gone
    return None


def _crosses(plane: Wall) -> bool:
    low, high = plane.extent(cross(Z, plane.direction))
    return low < -SAME_MM and high > SAME_MM


def _unit(wall: Wall) -> tuple[float, float, float]:
    x, y, _ = wall.middle
    r = math.hypot(x, y)
    return (x / r, y / r, 0.0)


def _at_the_floor(walls: Sequence[Wall]) -> float | None:
    """Angle of a sector's round floor about the axis."""
    floors = [wall for wall in walls if wall.kind == "cylinder" and wall.coaxial]
    return max((wall.turn for wall in floors), default=None)


EXAMPLES = (
    Example("a flat is none", lambda cq: cq.Workplane().circle(10.0).extrude(30.0).cut(
        cq.Workplane().box(10, 40, 60).translate((12, 0, 0))
    )),
    Example(
        "a flange left over 250 degrees",
        lambda cq: _body(cq).union(cq.Workplane("XZ").moveTo(8, 5).lineTo(20, 5).lineTo(20, 12)
                                   .lineTo(8, 12).close().revolve(250, (0, 0, 0), (0, 1, 0))),
        ({"turned_deg": 250.0, "outside_diameter_mm": 40.0},),
    ),
    Example(
        "a ring that wants 10 degrees",
        lambda cq: cq.Workplane("XZ").moveTo(5, 0).lineTo(20, 0).lineTo(20, 30).lineTo(5, 30)
        .close().revolve(350, (0, 0, 0), (0, 1, 0)),
        ({"turned_deg": 350.0, "outside_diameter_mm": 40.0, "inside_diameter_mm": 10.0},),
    ),
    Example(
        "a sector of 60 degrees cut down to a smaller round",
        lambda cq: cq.Workplane().circle(20.0).extrude(30.0).cut(
            cq.Workplane("XZ").moveTo(15, 10).lineTo(25, 10).lineTo(25, 20).lineTo(15, 20).close()
            .revolve(60, (0, 0, 0), (0, 1, 0))
        ),
        ({"turned_deg": 300.0, "outside_diameter_mm": 40.0, "inside_diameter_mm": 30.0},),
    ),
)  # fmt: skip


def _body(cq: Any) -> Any:
    return cq.Workplane().circle(10.0).extrude(30.0)
