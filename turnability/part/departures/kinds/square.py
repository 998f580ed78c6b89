"""Squares about the axis: driving ends and sockets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.polygons import polygons
from turnability.part.model import DepartureKind

KIND: DepartureKind = "square"
FORM = None
RANK = 52


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Four flats at right angles, at one distance from the axis."""
    return polygons(cuts, (4,), KIND)


def _bar(cq: Any) -> Any:
    return cq.Workplane().circle(12.0).extrude(40.0)


def _end(cq: Any, across: float, length: float) -> Any:
    """What is cut off to leave a square end of the bar."""
    ring = cq.Workplane().circle(30.0).extrude(length)
    return ring.cut(cq.Workplane().rect(across, across).extrude(length))


EXAMPLES = (
    Example("a plain bar", _bar),
    Example("two flats are none", lambda cq: _bar(cq).cut(
        cq.Workplane().box(40, 10, 20).translate((0, 15, 0))
    ).cut(cq.Workplane().box(40, 10, 20).translate((0, -15, 0)))),
    Example(
        "sharp corners", lambda cq: _bar(cq).cut(_end(cq, 14.0, 15.0)),
        ({"across_flats_mm": 14.0, "length_mm": 15.0, "surface": "outer"},),
    ),
    Example(
        "corners left round", lambda cq: _bar(cq).cut(_end(cq, 19.0, 15.0)),
        ({"across_flats_mm": 19.0, "length_mm": 15.0, "surface": "outer"},),
    ),
    Example(
        "a square socket",
        lambda cq: _bar(cq).faces(">Z").workplane().rect(9.0, 9.0).cutBlind(-12.0),
        ({"across_flats_mm": 9.0, "length_mm": 12.0, "surface": "inner"},),
    ),
)  # fmt: skip
