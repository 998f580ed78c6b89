"""What each segment asks of the machine: two slides and a swivelled one, or CNC."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Profile, Segment
from turnability.shop.model import Tool

_SAME_MM = 1e-6


def cnc_only_segments(profile: Profile, tools: Sequence[Tool]) -> tuple[str, ...]:
    """Ids of the segments that a lathe moved by hand does not cut.

    By hand one slide moves at a time: along z, along r, or on a swivelled slide along a taper.
    An arc no larger than the largest nose radius of the shop is left by the nose itself (common
    practice, no source); other arcs and splines follow a path.
    """
    nose = max((tool.limits.get("nose_radius_mm", 0.0) for tool in tools), default=0.0)
    return tuple(s.id for s in profile.segments if s.surface != "axis" and asks_for_cnc(s, nose))


def asks_for_cnc(segment: Segment, nose_radius_mm: float) -> bool:
    """Does the segment need a path in both directions at once?"""
    if isinstance(segment.curve, Line):
        return False
    if isinstance(segment.curve, Arc):
        return segment.curve.radius > nose_radius_mm + _SAME_MM
    return True
