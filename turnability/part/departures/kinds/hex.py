"""Hexagons about the axis: bars, heads, sockets; corners sharp, rounded, chamfered or broken."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.polygons import polygons
from turnability.part.model import DepartureKind

KIND: DepartureKind = "hex"
FORM = None
RANK = 50


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Six flats at 60 degrees, at one distance from the axis."""
    return polygons(cuts, (6,), KIND)


def _head(cq: Any, across: float = 24.0, length: float = 10.0, sides: int = 6) -> Any:
    corners = across / math.cos(math.pi / sides)
    shank = cq.Workplane().circle(8.0).extrude(40.0)
    return shank.union(cq.Workplane().polygon(sides, corners).extrude(length))


def _rounded(cq: Any, outer: float, length: float, angle_deg: float, end: float) -> Any:
    """The round bar whose end at z = 0 is chamfered from radius `end`, angle to the end face."""
    rise = (outer - end) * math.tan(math.radians(angle_deg))
    return (
        cq.Workplane("XZ").polyline([(0, 0), (end, 0), (outer, rise), (outer, length), (0, length)])
        .close().revolve(360, (0, 0, 0), (0, 1, 0))
    )  # fmt: skip


EXAMPLES = (
    Example("a square is none", lambda cq: _head(cq, sides=4)),
    Example("five flats and a plain bar are none", lambda cq: _head(cq, sides=5)),
    Example(
        "a head 24 across flats",
        _head,
        ({"across_flats_mm": 24.0, "length_mm": 10.0, "faces": 6, "surface": "outer"},),
    ),
    Example(
        "corners turned off at 27",
        lambda cq: _head(cq).intersect(cq.Workplane().circle(13.5).extrude(60.0)),
        ({"across_flats_mm": 24.0, "length_mm": 10.0, "faces": 6},),
    ),
    Example(
        "corners chamfered at 30 degrees from the circle across flats",
        lambda cq: _head(cq).intersect(_rounded(cq, 20.0, 60.0, 30.0, 12.0)),
        ({"across_flats_mm": 24.0, "length_mm": 10.0, "corner_chamfer_deg": 30.0},),
    ),
    Example(
        "a socket 10 across flats, 6 deep",
        lambda cq: cq.Workplane().circle(12.0).extrude(20.0).cut(
            cq.Workplane().workplane(offset=14.0).polygon(6, 10.0 / math.cos(math.pi / 6))
            .extrude(10.0)
        ),
        ({"across_flats_mm": 10.0, "length_mm": 6.0, "surface": "inner"},),
    ),
    Example(
        "a socket 8 across flats in a domed end, 6 deep from the dome's top",
        lambda cq: cq.Workplane().sphere(12.0).cut(
            cq.Workplane().workplane(offset=6.0).polygon(6, 8.0 / math.cos(math.pi / 6))
            .extrude(20.0)
        ).union(cq.Workplane().circle(9.0).extrude(-30.0)),
        ({"across_flats_mm": 8.0, "surface": "inner"},),
    ),
    Example(
        "broken by a cross hole",
        lambda cq: _head(cq).cut(
            cq.Workplane("XZ").center(0, 5).circle(2.0).extrude(100, both=True)
        ),
        ({"across_flats_mm": 24.0, "length_mm": 10.0},),
    ),
)  # fmt: skip
