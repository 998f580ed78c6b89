"""Single round holes: axial, radial or skew; through or blind; counterbored, countersunk."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, r_range, same, z_range
from turnability.part.departures.drilled import Drilled, holes_in, one_line, parameters
from turnability.part.departures.rings import alike
from turnability.part.model import DepartureKind

KIND: DepartureKind = "hole"
FORM = None
RANK = 40
_RING = 3


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Every hole by itself; one that goes on in the opposite wall is one hole through two walls.

    Three or more equal openings at one height are holes of their own, not crossing pairs.
    """
    holes = holes_in(cuts)
    crossing: set[int] = set()
    for lot in alike(holes, _place, lambda hole: hole.heading):
        if len(lot) < _RING:
            crossing.update(id(hole) for hole in lot if hole.heading != "axial")
    claims, done = [], set()
    for hole in holes:
        if id(hole) in done:
            continue
        done.add(id(hole))
        across = [
            other
            for other in holes
            if id(other) not in done
            and {id(hole), id(other)} <= crossing
            and same(other.diameter_mm, hole.diameter_mm)
            and one_line(hole, other)
        ]
        done.update(id(other) for other in across)
        claims.append(_claim(hole, across))
    return claims


def _place(hole: Drilled) -> tuple[float, ...]:
    return (hole.diameter_mm, hole.offset_mm, *z_range(hole.walls), *r_range(hole.walls))


def _claim(hole: Drilled, across: Sequence[Drilled]) -> Claim:
    found = {"walls": 1 + len(across), **parameters(hole)}
    walls = tuple(wall for one in (hole, *across) for wall in one.walls)
    if across:
        if hole.through:
            found["depth_mm"] = 2.0 * hole.outside_mm if hole.heading == "radial" else None
        blind = [one for one in (hole, *across) if not one.through]
        if blind and len(blind) <= len(across):  # drilled on into the far wall
            found.update(parameters(blind[0]))
            found["depth_mm"] = None
    return Claim(KIND, walls, found)


def _rod(cq: Any) -> Any:
    return cq.Workplane("XY").circle(20.0).extrude(60.0)


def _tube(cq: Any) -> Any:
    return cq.Workplane("XY").circle(20.0).circle(15.0).extrude(60.0)


def _across(cq: Any, r: float, z: float) -> Any:
    return cq.Workplane("XZ").center(0.0, z).circle(r).extrude(200.0, both=True)


EXAMPLES = (
    Example("a coaxial bore is none", _tube),
    Example(
        "a flat has no hole",
        lambda cq: _rod(cq).cut(cq.Workplane().box(40, 10, 20).translate((0, 22, 60))),
    ),
    Example(
        "across a rod",
        lambda cq: _rod(cq).cut(_across(cq, 3.0, 30.0)),
        ({"diameter_mm": 6.0, "direction": "radial", "through": True, "depth_mm": 40.0,
          "walls": 1, "z_mm": (27.0, 33.0)},),
    ),
    Example(
        "through both walls of a tube",
        lambda cq: _tube(cq).cut(_across(cq, 3.0, 30.0)),
        ({"diameter_mm": 6.0, "direction": "radial", "through": True, "walls": 2},),
    ),
    Example(
        "through one wall of a tube",
        lambda cq: _tube(cq).cut(cq.Workplane("XZ").center(0, 20).circle(2.5).extrude(50)),
        ({"diameter_mm": 5.0, "direction": "radial", "through": True, "depth_mm": 5.0,
          "walls": 1},),
    ),
    Example(
        "blind, counterbored, off the axis",
        lambda cq: _rod(cq).faces(">Z").workplane().pushPoints([(11.0, 0.0)]).cboreHole(
            4.0, 7.0, 3.0, 20.0
        ),
        ({"diameter_mm": 4.0, "direction": "axial", "through": False, "depth_mm": 20.0,
          "bottom": "flat", "counterbore_diameter_mm": 7.0, "counterbore_depth_mm": 3.0,
          "offset_mm": 11.0},),
    ),
    Example(
        "countersunk through a flange",
        lambda cq: cq.Workplane().circle(30).extrude(8).faces(">Z").workplane().pushPoints(
            [(0.0, 20.0)]
        ).cskHole(4.5, 9.0, 90.0),
        ({"diameter_mm": 4.5, "through": True, "depth_mm": 8.0, "countersink_diameter_mm": 9.0,
          "countersink_angle_deg": 90.0},),
    ),
    Example(
        "two that cross, at two depths: each is one",
        lambda cq: _rod(cq).cut(_across(cq, 3.0, 30.0)).cut(
            cq.Workplane("YZ").center(0, 31).circle(2.0).extrude(200, both=True)
        ),
        ({"diameter_mm": 6.0}, {"diameter_mm": 4.0}),
    ),
)  # fmt: skip
