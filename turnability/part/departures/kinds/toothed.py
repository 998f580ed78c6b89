"""Teeth, ribs and serrations: equal gaps all round of any other form, on outsides and in bores."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.teeth import teeth
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "toothed"
RANK = 59


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Rings of at least six equal gaps that are neither splines nor knurls."""
    return [Claim(KIND, ring.walls, {"form": FORM, **ring.sizes()}) for ring in teeth(cuts)]


def _ratchet(cq: Any, count: int) -> Any:
    """A disc of 40 with V gaps 3 deep, one flank steeper than the other."""
    made = cq.Workplane().circle(20.0).extrude(6.0)
    gap = cq.Workplane().polyline([(17, 0), (22, 0.5), (22, 3)]).close().extrude(6.0).val()
    tools = [gap.rotate(cq.Vector(), cq.Vector(0, 0, 1), 360.0 * i / count) for i in range(count)]
    return cq.Workplane(obj=made.val().cut(*tools))


def _scalloped(cq: Any) -> Any:
    """A bore of 20 in a disc, with ten round gaps of radius 2 about its rim."""
    disc = cq.Workplane().circle(20.0).circle(10.0).extrude(6.0)
    return disc.cut(cq.Workplane().polarArray(10.0, 0, 360, 10).circle(2.0).extrude(6.0))


EXAMPLES = (
    Example("holes all round are none", lambda cq: cq.Workplane().circle(30.0).extrude(6.0)
            .faces(">Z").workplane().polarArray(20, 0, 360, 8).hole(5.0)),
    Example("windows all round a tube are none", lambda cq: cq.Workplane().circle(20.0)
            .circle(17.0).extrude(40.0).cut(_windows(cq, 8))),
    Example("slots in a tube's end are none", lambda cq: cq.Workplane().circle(20.0)
            .circle(17.0).extrude(15.0).cut(_windows(cq, 8))),
    Example(
        "a ratchet of 18",
        lambda cq: _ratchet(cq, 18),
        ({"count": 18, "outside_diameter_mm": 40.0, "inside_diameter_mm": 34.0,
          "length_mm": 6.0, "surface": "outer"},),
    ),
    Example(
        "ten round gaps in a bore",
        _scalloped,
        ({"count": 10, "inside_diameter_mm": 20.0, "outside_diameter_mm": 24.0,
          "surface": "inner"},),
    ),
)  # fmt: skip


def _windows(cq: Any, count: int) -> Any:
    made = cq.Workplane()
    for i in range(count):
        box = cq.Workplane().box(10.0, 4.0, 10.0).translate((18.0, 0, 15.0))
        made = made.add(box.rotate((0, 0, 0), (0, 0, 1), 360.0 * i / count))
    return made.combine()
