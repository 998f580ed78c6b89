"""Threads modelled as helices: walls that wind round the axis as they go along it."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve

from turnability.part.departures.cut import Claim, Cut, Example, r_range
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "helix"
RANK = 10
_LEAST_TURN = math.radians(20.0)
_STEPS = 12
_EVEN_SHARE = 0.02
_LEAST_TURNS = 1.0


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Accounts whose edges wind more than once round the axis at one radius and one lead."""
    accounts: dict[int, list[Cut]] = defaultdict(list)
    for cut in cuts:
        accounts[cut.account].append(cut)
    claims = []
    for own in accounts.values():
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
    """Turns that the longest lot of helical edges of one radius makes, hand by hand."""
    wound: dict[tuple[float, bool], float] = defaultdict(float)
    seen = set()
    for wall in walls:
        for face in wall.faces:
            for edge in face.edges():
                if BRep_Tool.Degenerated_s(edge) or edge.TShape() in seen:
                    continue
                seen.add(edge.TShape())
                helix = _helix(BRepAdaptor_Curve(edge))
                if helix is not None:
                    r, turn, right = helix
                    wound[(round(r, 1), right)] += abs(turn)
    return max(wound.values(), default=0.0) / math.tau


def _helix(curve: BRepAdaptor_Curve) -> tuple[float, float, bool] | None:
    """Radius, angle and hand of a curve that winds and climbs evenly; None for any other."""
    low, high = curve.FirstParameter(), curve.LastParameter()
    few = [curve.Value(low + (high - low) * share) for share in (0.0, 0.3, 0.7, 1.0)]
    out = [math.hypot(p.X(), p.Y()) for p in few]
    if max(out) > 1.05 * min(out) or abs(few[-1].Z() - few[0].Z()) <= 1e-3:
        return None
    steps = 16 * _STEPS
    points = [curve.Value(low + (high - low) * i / steps) for i in range(steps + 1)]
    radii = [math.hypot(p.X(), p.Y()) for p in points]
    if max(radii) - min(radii) > 0.05 * max(radii) or min(radii) <= 0.0:
        return None
    climb = points[-1].Z() - points[0].Z()
    turn = 0.0
    rises = []
    for a, b in itertools.pairwise(points):
        step = math.atan2(b.Y(), b.X()) - math.atan2(a.Y(), a.X())
        step = (step + math.pi) % math.tau - math.pi
        turn += step
        if abs(step) > 1e-12:
            rises.append((b.Z() - a.Z()) / step)
    if abs(turn) < _LEAST_TURN or abs(climb) <= 1e-3 or len(rises) < steps:
        return None
    lead = climb / turn
    even = sum(abs(rise - lead) for rise in rises) / len(rises) <= 5.0 * _EVEN_SHARE * abs(lead)
    return (sum(radii) / len(radii), turn, lead > 0.0) if even else None


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
