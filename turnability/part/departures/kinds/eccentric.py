"""Offset bores that the part's axis runs through, and offset journals, with their steps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, z_range
from turnability.part.departures.vectors import Z
from turnability.part.departures.walls import Wall, same_line
from turnability.part.model import DepartureKind

KIND: DepartureKind = "eccentric"
FORM = None
RANK = 30
_MORE_THAN_HALF = math.pi + 0.05
_WHOLE_TURN = math.tau - 1e-3


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """One claim for each line off the axis, its bores apart from its journals where cuts are."""
    seeds = [
        (cut, wall)
        for cut in cuts
        for wall in cut.walls
        if wall.kind == "cylinder" and wall.is_along(Z) and not wall.coaxial
        if wall.turn > _MORE_THAN_HALF
        if _offset(wall) < wall.radius_mm or (wall.turn > _WHOLE_TURN and not wall.hollow)
    ]
    lots: list[list[tuple[Cut, Wall]]] = []
    for cut, wall in sorted(seeds, key=lambda item: -item[1].area_mm2):
        for lot in lots:
            together = lot[0][0].account == cut.account or lot[0][1].hollow == wall.hollow
            if same_line(lot[0][1], wall) and together:
                lot.append((cut, wall))
                break
        else:
            lots.append([(cut, wall)])
    claims = [_claim(lot, cuts) for lot in lots]
    if len(claims) < 2:
        return claims
    first = min(claims, key=lambda claim: (z_range(claim.walls)[0], _offset(claim.walls[0])))
    begin = _towards_deg(first.walls[0])
    return [
        replace(claim, parameters={**claim.parameters, "phase_deg": _turned(claim, begin)})
        for claim in claims
    ]


def _turned(claim: Claim, begin_deg: float) -> float:
    """How far its line stands round from that of the first, in degrees from 0 up to 360."""
    return round(_towards_deg(claim.walls[0]) - begin_deg, 6) % 360.0


def _towards_deg(wall: Wall) -> float:
    return math.degrees(math.atan2(wall.point[1], wall.point[0]))


def _offset(wall: Wall) -> float:
    return math.hypot(wall.point[0], wall.point[1])


def _claim(lot: Sequence[tuple[Cut, Wall]], cuts: Sequence[Cut]) -> Claim:
    main = lot[0][1]
    mine: list[Wall] = []
    own = {id(cut) for cut, _ in lot} | {
        id(cut) for cut in cuts if cut.account in {c.account for c, _ in lot}
    }
    for cut in cuts:
        if id(cut) not in own:
            continue
        here = [wall for wall in cut.walls if wall.is_round and same_line(main, wall)]
        ids = {id(wall) for wall in here}
        for wall in cut.walls:
            beside = [id(other) for other in cut.beside(wall)]
            seat = wall.kind == "plane" and wall.is_along(Z) and bool(beside)
            if seat and ids.issuperset(beside):
                here.append(wall)
        mine += here
    z = z_range(mine)
    return Claim(
        KIND,
        tuple(mine),
        {
            "offset_mm": _offset(main),
            "diameter_mm": 2.0 * main.radius_mm,
            "length_mm": z[1] - z[0],
            "surface": "inner" if main.hollow else "outer",
        },
    )


EXAMPLES = (
    Example("a stepped coaxial bore", lambda cq: _bar(cq).faces(">Z").workplane()
            .cboreHole(8.0, 14.0, 5.0)),
    Example("a hole off the axis", lambda cq: _bar(cq).faces(">Z").workplane()
            .pushPoints([(12.0, 0.0)]).hole(6.0)),
    Example(
        "a bore 3 off the axis",
        lambda cq: _bar(cq).faces(">Z").workplane().pushPoints([(0.0, 3.0)]).hole(16.0),
        ({"offset_mm": 3.0, "diameter_mm": 16.0, "surface": "inner", "length_mm": 30.0},),
    ),
    Example(
        "a journal 2.5 off the axis",
        lambda cq: _bar(cq).union(cq.Workplane().center(2.5, 0).circle(9.0).extrude(50.0)),
        ({"offset_mm": 2.5, "diameter_mm": 18.0, "surface": "outer", "length_mm": 20.0},),
    ),
    Example(
        "a counterbored bore off the axis is one",
        lambda cq: _bar(cq).faces(">Z").workplane().pushPoints([(2.0, 0.0)])
        .cboreHole(10.0, 18.0, 6.0),
        ({"offset_mm": 2.0, "surface": "inner", "length_mm": 30.0},),
    ),
    Example(
        "two crank pins opposite one another",
        lambda cq: _bar(cq).union(cq.Workplane().center(4, 0).circle(9.0).extrude(50.0))
        .union(cq.Workplane().center(-4, 0).circle(8.0).extrude(-20.0)),
        (
            {"offset_mm": 4.0, "diameter_mm": 16.0, "phase_deg": 0.0},
            {"offset_mm": 4.0, "diameter_mm": 18.0, "phase_deg": 180.0},
        ),
    ),
)  # fmt: skip


def _bar(cq: Any) -> Any:
    return cq.Workplane().circle(20.0).extrude(30.0)
