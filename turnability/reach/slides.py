"""What each segment asks of the machine: two slides and a swivelled one, or CNC."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Profile, Segment
from turnability.shop.model import Tool

BY_HAND_MM = 0.8
"""Edges are rounded with a file or a form tool up to this radius (common practice, no source)."""
_SAME_MM = 1e-6


def cnc_only_segments(profile: Profile, tools: Sequence[Tool]) -> tuple[str, ...]:
    """Ids of the segments that a lathe moved by hand does not cut.

    By hand one slide moves at a time: along z, along r, or on a swivelled slide along a taper.
    A fillet no larger than the largest nose radius of the tools for that side, outside or inside,
    is left by the nose itself (common practice, no source). A rounded edge no nose leaves: a small
    one is filed. Other arcs and splines follow a path.
    """
    inside = _largest_nose([tool for tool in tools if tool.access != "outer"])
    outside = _largest_nose([tool for tool in tools if tool.access != "inner"])
    return tuple(
        s.id
        for s in profile.segments
        if s.surface != "axis" and asks_for_cnc(s, inside if s.surface == "inner" else outside)
    )


def asks_for_cnc(segment: Segment, nose_radius_mm: float) -> bool:
    """Does the segment need a path in both directions at once?"""
    curve = segment.curve
    if isinstance(curve, Line):
        return False
    if isinstance(curve, Arc):
        # the material lies on the left: what turns to the right is hollow
        return curve.radius > (nose_radius_mm if curve.clockwise else BY_HAND_MM) + _SAME_MM
    return True


def _largest_nose(tools: Sequence[Tool]) -> float:
    return max((tool.limits.get("nose_radius_mm", 0.0) for tool in tools), default=0.0)
