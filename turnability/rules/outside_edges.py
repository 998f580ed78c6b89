"""Outside edges of the meridian that are drawn without a break, and how sharp they are."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from turnability.half_plane.curves import Point
from turnability.rules.elsewhere import milled_segments
from turnability.rules.model import View
from turnability.setups.surfaces.swept import swept_segments

SHARP_DEG = 119.0
"""Those that a chamfer of 45 degrees (135) or a lead-in of 30 (120 and 150) leaves are broken."""
_ON_AXIS_MM = 1e-3
_SAME_MM = 0.01


@dataclass(frozen=True, slots=True)
class OutsideEdge:
    """Where material ends in an edge (z, r), and the angle in degrees that it fills there."""

    at: Point
    included_deg: float


def unbroken_edges(view: View) -> list[OutsideEdge]:
    """Edges drawn sharp of which nothing is stated, along the outline; those of threads aside.

    External edges in the words of ISO 13715: those of bores' mouths are among them, but of no hole
    off the axis. A tip on the axis is no edge, but a point.
    """
    profile, intent = view.part.profile, view.intent
    if profile is None or (intent is not None and intent.edges_mm is not None):
        return []
    stated = [] if intent is None else [e.place for e in intent.edges]
    return [
        edge
        for edge in _edges(view)
        if not any(
            _within(edge.at[0], p.on_z_mm) and _within(2.0 * edge.at[1], p.on_diameter_mm)
            for p in stated
        )
    ]


def _edges(view: View) -> Iterator[OutsideEdge]:
    assert view.part.profile is not None
    kinds = ("thread", "knurl")
    crests = {s for f in view.features or () if f.kind in kinds for s in f.segments}
    ring = view.part.profile.outline.segments
    # the mouth of a hole off the axis stands elsewhere than where it comes nearest to that
    crests |= {s.id for s in ring if s.surface == "inner"} & milled_segments(view)
    # nor is an eccentric's edge where it sweeps
    crests |= swept_segments(view.part.profile, view.part.departures).keys()
    for before, after in zip(ring, (*ring[1:], ring[0]), strict=True):
        if "axis" in (before.surface, after.surface) or {before.id, after.id} & crests:
            continue
        (z0, r0), (z1, r1) = before.curve.direction(1.0), after.curve.direction(0.0)
        turn = math.degrees(math.atan2(z0 * r1 - r0 * z1, z0 * z1 + r0 * r1))
        at = after.curve.start
        if turn > 180.0 - SHARP_DEG and at[1] > _ON_AXIS_MM:
            yield OutsideEdge(at, 180.0 - turn)


def _within(value: float, span: tuple[float, float] | None) -> bool:
    return span is not None and span[0] - _SAME_MM <= value <= span[1] + _SAME_MM
