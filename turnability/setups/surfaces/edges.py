"""What closes a part at its ends, and edges of the outside that are drawn broken."""

from __future__ import annotations

import math
from itertools import pairwise

from turnability.half_plane.curves import Line
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward

SHORT_MM = 3.0
"""Longer than this is no broken edge (our choice)."""
_SAME_MM = 1e-3


def edges_at_walls(profile: Profile) -> list[tuple[Segment, Segment]]:
    """Sloped outsides of any length, each with the steep wall or end at its lower rim."""
    found = []
    for a, b in pairwise(profile.outline.segments):
        for edge, wall in ((a, b), (b, a)):
            rim = min(edge.curve.start, edge.curve.end, key=lambda p: p[1])
            top = max(wall.curve.start, wall.curve.end, key=lambda p: p[1])
            steep = abs(wall.curve.start[0] - wall.curve.end[0]) <= _SAME_MM
            if is_sloped(edge) and steep and math.dist(rim, top) <= _SAME_MM:
                found.append((edge, wall))
    return found


def edges_of_end(profile: Profile, end: Toward) -> frozenset[str]:
    """Broken edges at the plane that closes the part there."""
    z = 0.0 if end == "low" else profile.length_mm
    return frozenset(
        edge.id
        for edge, wall in edges_at_walls(profile)
        if wall.surface == "end" and is_at(wall, z) and is_broken_edge(edge)
    )


def is_broken_edge(segment: Segment) -> bool:
    """Whether it is a short slope of the outside."""
    return is_sloped(segment) and segment.curve.length() <= SHORT_MM


def is_chamfer(segment: Segment) -> bool:
    """Whether it is a straight slope of the outside, however long."""
    return is_sloped(segment) and isinstance(segment.curve, Line)


def is_sloped(segment: Segment) -> bool:
    """Whether an outside runs neither along the axis nor across it."""
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    slanted = abs(z0 - z1) > _SAME_MM and abs(r0 - r1) > _SAME_MM
    return segment.surface == "outer" and slanted


def is_at(segment: Segment, z: float) -> bool:
    """Whether it lies in the plane at z."""
    return all(abs(p[0] - z) <= _SAME_MM for p in (segment.curve.start, segment.curve.end))


def end_face(profile: Profile, toward: Toward) -> tuple[str, ...]:
    """Segments of the plane that closes the part at this end."""
    at = 0.0 if toward == "low" else profile.length_mm
    return tuple(s.id for s in profile.outline.segments if s.surface == "end" and is_at(s, at))


def at_end(profile: Profile, toward: Toward) -> tuple[str, ...]:
    """That plane's segments; at an end without one those that come to it: a dome, a rounded lip."""
    z = 0.0 if toward == "low" else profile.length_mm
    return end_face(profile, toward) or tuple(
        s.id
        for s in profile.outline.segments
        if s.surface != "axis"
        and any(abs(p[0] - z) <= _SAME_MM for p in (s.curve.start, s.curve.end))
    )
