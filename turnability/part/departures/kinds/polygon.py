"""Regular polygons about the axis that have no kind of their own: three, five, eight flats..."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.polygons import polygons
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "polygon"
RANK = 54


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Flats evenly spaced at one distance from the axis; `across_flats_mm` is twice that."""
    return polygons(cuts, (12, 10, 9, 8, 7, 5, 3), KIND, FORM)


def _bar(cq: Any, sides: int) -> Any:
    shank = cq.Workplane().circle(8.0).extrude(40.0)
    corners = 24.0 / math.cos(math.pi / sides)
    return shank.union(cq.Workplane().polygon(sides, corners).extrude(10.0))


EXAMPLES = (
    Example("a hexagon has a kind of its own", lambda cq: _bar(cq, 6)),
    Example("three", lambda cq: _bar(cq, 3),
            ({"count": 3, "across_flats_mm": 24.0, "length_mm": 10.0},)),
    Example("eight", lambda cq: _bar(cq, 8),
            ({"count": 8, "across_flats_mm": 24.0, "length_mm": 10.0},)),
)  # fmt: skip
