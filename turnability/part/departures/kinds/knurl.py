"""Knurls: many small grooves of V form all round, straight, slanted or crossed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.teeth import Teeth, teeth
from turnability.part.departures.vectors import dot
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "knurl"
RANK = 55
_LEAST_COUNT = 20
_WIDEST_PITCH_MM = 2.0
"""DIN 82 knows pitches of 0.5 to 2 mm (from memory)."""
_PROFILE_DEG = (75.0, 125.0)
"""DIN 82: 90 degrees between the flanks, 105 allowed (from memory); serrations have 60 or less."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Rings of at least 20 gaps of at most 2 mm pitch, flanks only, at about 90 degrees."""
    claims = []
    for ring in teeth(cuts):
        small = ring.count >= _LEAST_COUNT and ring.pitch_mm <= _WIDEST_PITCH_MM
        if small and ring.depth_mm <= ring.pitch_mm and _is_v(ring):
            slant = any(abs(wall.normal[2]) > 0.05 for wall in ring.flanks)
            found = {"form": FORM, **ring.sizes(), "pitch_mm": ring.pitch_mm}
            claims.append(Claim(KIND, ring.walls, {**found, "straight": not slant}))
    return claims


def _is_v(ring: Teeth) -> bool:
    """Two flanks of a groove stand at about a right angle; a slanted ring only needs its flanks."""
    flanks = ring.flanks
    if any(abs(wall.normal[2]) > 0.05 for wall in flanks):
        return True
    sides = [wall for wall in ring.walls if not wall.coaxial]
    if len(flanks) != len(sides) or any(wall.kind != "plane" for wall in flanks):
        return False
    first, *others = flanks
    other = min(others, key=lambda wall: math.dist(wall.middle, first.middle))
    between = 180.0 - math.degrees(math.acos(max(-1.0, min(1.0, dot(first.normal, other.normal)))))
    return _PROFILE_DEG[0] <= between <= _PROFILE_DEG[1]


def _grooved(cq: Any, count: int, depth: float) -> Any:
    """A rod of 20 with V grooves of 90 degrees along its end."""
    r = 10.0
    v = [(r + 0.5, -depth - 0.5), (r + 0.5, depth + 0.5), (r - depth, 0.0)]
    made = cq.Workplane().circle(r).extrude(30.0)
    one = cq.Workplane().polyline(v).close().extrude(12.0).val()
    tools = [one.rotate(cq.Vector(), cq.Vector(0, 0, 1), 360.0 * i / count) for i in range(count)]
    return cq.Workplane(obj=made.val().cut(*tools))


def _wound(cq: Any, count: int, turn_deg: float) -> Any:
    """A rod of 12 with a head of V teeth that wind by an angle over 12 mm."""
    points = [
        (r * math.cos(a), r * math.sin(a))
        for i in range(count)
        for r, a in ((10.0, math.tau * i / count), (9.4, math.tau * (i + 0.5) / count))
    ]
    head = cq.Workplane().polyline(points).close().twistExtrude(12.0, turn_deg)
    return head.union(cq.Workplane().circle(6.0).extrude(30.0))


EXAMPLES = (
    Example("a rod", lambda cq: cq.Workplane().circle(10.0).extrude(30.0)),
    Example("twelve grooves are no knurl", lambda cq: _grooved(cq, 12, 0.5)),
    Example(
        "straight, 40 grooves",
        lambda cq: _grooved(cq, 40, 0.6),
        ({"count": 40, "outside_diameter_mm": 20.0, "inside_diameter_mm": 18.8,
          "length_mm": 12.0, "pitch_mm": math.pi / 2.0, "straight": True},),
    ),
    Example(
        "wound, 40 grooves",
        lambda cq: _wound(cq, 40, 30.0),
        ({"count": 40, "outside_diameter_mm": 20.0, "length_mm": 12.0, "straight": False},),
    ),
)  # fmt: skip
