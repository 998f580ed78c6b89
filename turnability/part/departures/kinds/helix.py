"""Threads modelled as helices: walls that wind round the axis as they go along it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, by_account, r_range
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind
from turnability.part.winding import edge_points, winding

KIND: DepartureKind = "other"
FORM = "helix"
RANK = 10
_LEAST_TURN = math.radians(20.0)
_LEAST_TURNS = 0.7
"""As of threads (`part/threads.py`): caps have some of less than a turn."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Accounts whose edges wind at least so far round the axis at one radius and one lead."""
    claims = []
    for own in by_account(cuts):
        walls = tuple(wall for cut in own for wall in cut.walls)
        turns = _turns([wall for wall in walls if wall.kind == "free"])
        if turns > _LEAST_TURNS:
            low, high = r_range(walls)
            claims.append(
                Claim(
                    KIND,
                    walls,
                    {"form": FORM, "outside_diameter_mm": 2.0 * high,
                     "inside_diameter_mm": 2.0 * low},
                )
            )  # fmt: skip
    return claims


def _turns(walls: Sequence[Wall]) -> float:
    """Turns that the longest lot of helical edges of one radius makes, hand by hand.

    Their whole length along the axis over their lead: edges side by side, as a knurl has many,
    wind no farther than one of them does.
    """
    wound: dict[tuple[float, bool], list[tuple[float, float, float, float]]] = defaultdict(list)
    seen = set()
    for edge in (edge for wall in walls for face in wall.faces for edge in face.edges()):
        if edge.TShape() in seen:
            continue
        seen.add(edge.TShape())
        found = winding(edge)
        if found is not None and found.turn_rad >= _LEAST_TURN:
            z = edge_points(edge, 2)[:, 2]
            place = (round(found.radius_mm, 1), found.rise_mm > 0.0)
            wound[place].append(
                (float(z.min()), float(z.max()), abs(found.rise_mm), found.turn_rad)
            )
    return max((_together(lot) for lot in wound.values()), default=0.0)


def _together(lot: Sequence[tuple[float, float, float, float]]) -> float:
    """Turns of edges (z from, z to, rise, turn) that may follow on one another."""
    lead = sum(rise for _, _, rise, _ in lot) / sum(turn for _, _, _, turn in lot) * math.tau
    return (max(high for _, high, _, _ in lot) - min(low for low, _, _, _ in lot)) / lead


def _threaded(cq: Any) -> Any:
    """A V of 1.2 across wound three times round a rod of 10, pitch 3."""
    path = cq.Wire.makeHelix(3.0, 9.0, 5.0).translate(cq.Vector(0, 0, 8))
    profile = (
        cq.Workplane("XZ", origin=(0, 0, 8)).polyline([(5.3, -0.8), (5.3, 0.8), (4.3, 0.0)])
        .close()
    )  # fmt: skip
    groove = profile.sweep(cq.Workplane(obj=path), isFrenet=True)
    return cq.Workplane().circle(5.0).extrude(25.0).cut(groove)


EXAMPLES = (
    Example("rings are none", lambda cq: cq.Workplane().circle(10.0).extrude(20.0).cut(
        cq.Workplane().workplane(offset=5.0).circle(12.0).circle(9.0).extrude(2.0)
    )),
    Example("an oblique hole is none", lambda cq: cq.Workplane().circle(10.0).extrude(40.0).cut(
        cq.Workplane("XZ").circle(3.0).extrude(60, both=True).rotate((0, 0, 0), (1, 0, 0), 30)
        .translate((0, 0, 20))
    )),
    Example("a groove wound three times", _threaded, ({"form": "helix"},)),
)  # fmt: skip
