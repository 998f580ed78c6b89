"""Inside corners of the meridian, and which uncut regions are no more than a nose in one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.half_plane.curves import Arc, Curve, Point
from turnability.part.model import Loop
from turnability.reach.model import Left
from turnability.rules.model import View
from turnability.rules.speak import tool_named, tool_number
from turnability.setups.surfaces.cuts import spreads_beyond

_TURN_RAD = math.radians(0.5)
_AGREE = 0.25
"""A stated nose smaller by more than this than the one that the depth speaks of left no such."""
_SLACK_MM = 0.02
"""How far beyond the fillet that a nose leaves a region's flattened outline may lie."""


@dataclass(frozen=True, slots=True)
class InsideCorner:
    """Where a nose of `nose_mm` leaves a fillet larger than the drawn radius (0: sharp).

    `opening_rad` is the angle between the walls, on the empty side. `by_depth_mm` is the nose that
    leaves just the depth that stays: smaller where several tools together left less than any.
    """

    at: Point
    segments: tuple[str, ...]
    drawn_radius_mm: float
    opening_rad: float
    nose_mm: float
    by_depth_mm: float


def only_a_corner(left: Left, view: View) -> InsideCorner | None:
    """The corner that this region fills, or None where more than a corner is left.

    A disc of radius r in a corner drawn with radius s < r and the opening angle t leaves a depth
    of (r - s) (1/sin(t/2) - 1) and touches the walls r/tan(t/2) from the sharp corner. The nose
    is the nearest tool's own, unless it is too small to leave this depth: then the one that leaves
    just this depth. Other causes beside the nose do not matter: a corner is a corner whichever tool
    left it, and several tools may have left less in it than either would.
    """
    if "nose-radius" not in left.causes or view.part.profile is None:
        return None
    wanted = set(left.segments)
    stated = tool_number(tool_named(view, left.nearest_tool), "nose-radius")
    there = [
        corner
        for loop in view.part.profile.loops
        for corner in _corners(loop, wanted)
        if _lies_in(corner, left)
    ]
    if len(there) != 1:
        return None  # a region that fills two corners is a whole groove
    at, segments, drawn, opening = there[0]
    nose = _nose_mm(left, at, drawn, opening, stated[1] if stated else None)
    noses = [n[1] for n in (tool_number(t, "nose-radius") for t in view.shop.tools) if n]
    if nose is None or (stated and nose[0] > (1.0 + _AGREE) * max(noses)):
        return None  # no nose of the shop leaves so much
    return InsideCorner(at, segments, drawn, opening, *nose)


def _lies_in(corner: tuple[Point, tuple[str, ...], float, float], left: Left) -> bool:
    """Whether the region's outline comes as near to the sharp corner as the drawn radius lets."""
    at, _, drawn, opening = corner
    near = drawn * (1.0 / math.sin(opening / 2.0) - 1.0) + _SLACK_MM
    ring = left.polygon
    return any(_distance(at, a, b) <= near for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


def _distance(point: Point, a: Point, b: Point) -> float:
    """Distance from a point to the straight piece a b."""
    dz, dr = b[0] - a[0], b[1] - a[1]
    n = dz * dz + dr * dr
    t = 0.0 if n == 0.0 else ((point[0] - a[0]) * dz + (point[1] - a[1]) * dr) / n
    t = min(1.0, max(0.0, t))
    return math.dist(point, (a[0] + t * dz, a[1] + t * dr))


def _nose_mm(
    left: Left, at: Point, drawn: float, opening: float, stated: float | None
) -> tuple[float, float] | None:
    """The nose whose fillet in this corner holds the whole region, and the one that the depth
    speaks of; None where none does."""
    spread = 1.0 / math.sin(opening / 2.0) - 1.0
    if spread <= 1e-6:
        return None
    by_depth = drawn + left.deepest_mm / spread
    # several tools may have left less together than the nearest would alone
    nose = by_depth if stated is None or stated < (1.0 - _AGREE) * by_depth else stated
    ends_at = nose / math.tan(opening / 2.0) + _SLACK_MM
    if nose <= drawn or spreads_beyond(left, at, ends_at):
        return None
    return nose, by_depth


def _corners(loop: Loop, wanted: set[str]) -> list[tuple[Point, tuple[str, ...], float, float]]:
    """Inside corners at or on wanted segments: the sharp point, segments, radius, opening."""
    ring = loop.segments
    found: list[tuple[Point, tuple[str, ...], float, float]] = []
    for i, segment in enumerate(ring):
        after = ring[(i + 1) % len(ring)]
        curve = segment.curve
        if segment.id in wanted and isinstance(curve, Arc) and curve.clockwise:
            turn = abs(curve.sweep())
            if _TURN_RAD < turn < math.pi - _TURN_RAD:
                before = ring[i - 1]
                beyond = curve.radius / math.cos(turn / 2.0)
                z, r = curve.at(0.5)
                share = beyond / curve.radius
                tip = (
                    curve.centre[0] + share * (z - curve.centre[0]),
                    curve.centre[1] + share * (r - curve.centre[1]),
                )
                ids = tuple(s.id for s in (before, segment, after) if s.id in wanted)
                found.append((tip, ids, curve.radius, math.pi - turn))
        if (segment.id in wanted or after.id in wanted) and "axis" not in (
            segment.surface,
            after.surface,
        ):
            turn = _turn(curve, after.curve)
            if -math.pi + _TURN_RAD < turn < -_TURN_RAD:
                found.append((curve.end, (segment.id, after.id), 0.0, math.pi + turn))
    return found


def _turn(a: Curve, b: Curve) -> float:
    """Signed turn from the end of a to the start of b in radians; negative: an inside corner."""
    (z0, r0), (z1, r1) = a.direction(1.0), b.direction(0.0)
    return math.atan2(z0 * r1 - r0 * z1, z0 * z1 + r0 * r1)
