"""An inside corner of the outline drawn otherwise: with a radius, or with a relief groove in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.half_plane.inside import holds
from turnability.half_plane.intersect import crossings, share_at
from turnability.part.model import Profile
from turnability.part.profile import Piece, make_profile, merge_neighbours

Loops: TypeAlias = tuple[tuple[Piece, ...], ...]
LEAST_LAND_MM = 0.5
"""So much stays of the land beside a relief groove (ours)."""
LEAST_WALL_MM = 0.5
"""And so much of the wall beneath it (ours)."""
_SAME_MM = 1e-6
_AT_MM = 1e-4
_LEVEL_MM = 1e-6
_JUST_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Corner:
    """Where two walls of the outline meet: the sharp point (z, r) mm, the radius drawn there."""

    at: Point
    drawn_mm: float


def loops_of(profile: Profile) -> Loops:
    """The curves of a profile with their faces, loop by loop."""
    return tuple(tuple((s.curve, s.faces) for s in loop.segments) for loop in profile.loops)


def profile_of(loops: Loops) -> Profile | None:
    """The profile that has these loops; None where they bound no single body."""
    try:
        return make_profile([merge_neighbours(loop) for loop in loops])
    except ValueError:
        return None


def with_radius(loops: Loops, corner: Corner, radius_mm: float) -> tuple[Loops, float] | None:
    """The loops with that inside radius in a corner, and how far from it (mm) its ends lie.

    None where no such corner is, or where one of its walls ends before the radius does.
    """
    for n, loop in enumerate(loops):
        found = _walls(loop, corner)
        if found is None:
            continue
        before, after, own = found
        (a, _), (b, _) = loop[before], loop[after]
        arc = _rounding(a, b, corner.at, radius_mm)
        if arc is None:
            return None
        shorter_a, shorter_b = _until(a, arc.start), _from(b, arc.end)
        if shorter_a is None or shorter_b is None:
            return None
        faces = tuple(sorted({face for i in (before, *own, after) for face in loop[i][1]}))
        pieces = list(loop)
        pieces[before], pieces[after] = (shorter_a, loop[before][1]), (shorter_b, loop[after][1])
        for i in sorted(own, reverse=True):
            del pieces[i]
        pieces.insert(before + 1 - sum(i < before for i in own), (arc, faces))
        reach = max(math.dist(corner.at, arc.start), math.dist(corner.at, arc.end))
        return (*loops[:n], tuple(pieces), *loops[n + 1 :]), reach
    return None


def with_relief(
    loops: Loops, corner: Corner, width_mm: float, depth_mm: float, radius_mm: float
) -> tuple[Loops, float] | None:
    """The loops with a square groove in the cylinder of a sharp corner, flush with its shoulder.

    `radius_mm`: of the corners at its floor. Also the diameter (mm) that it is sunk into. None
    where no cylinder and shoulder meet there, or where too little of land or wall would stay.
    """
    for n, loop in enumerate(loops):
        found = None if corner.drawn_mm > 0.0 else _walls(loop, corner)
        if found is None:
            continue
        before, after, _ = found
        (a, _), (b, _) = loop[before], loop[after]
        if not isinstance(a, Line) or not isinstance(b, Line):
            return None
        first = _is_cylinder(a)
        land, shoulder = (a, b) if first else (b, a)
        if not _is_cylinder(land) or abs(shoulder.start[0] - shoulder.end[0]) > _LEVEL_MM:
            return None
        if land.length() < width_mm + LEAST_LAND_MM:
            return None
        (z, r), far = corner.at, land.start if first else land.end
        beyond = shoulder.end if first else shoulder.start
        along, into = math.copysign(1.0, far[0] - z), math.copysign(1.0, r - beyond[1])
        floor = (z, r + into * depth_mm), (z + along * width_mm, r + into * depth_mm)
        if not _has_wall(loops, floor, into):
            return None
        # from the shoulder along the floor to the land
        run = _groove(corner.at, (along, into), (width_mm, depth_mm, radius_mm))
        faces = tuple(sorted({*loop[before][1], *loop[after][1]}))
        pieces = list(loop)
        if first:
            run = [curve.reversed() for curve in reversed(run)]
            pieces[before] = (replace(a, end=run[0].start), loop[before][1])
        else:
            pieces[after] = (replace(b, start=run[-1].end), loop[after][1])
        at = before + 1
        pieces[at:at] = [(curve, faces) for curve in run]
        return (*loops[:n], tuple(pieces), *loops[n + 1 :]), 2.0 * r
    return None


def _walls(loop: Sequence[Piece], corner: Corner) -> tuple[int, int, tuple[int, ...]] | None:
    """Places of the walls before and after a corner, and of the arc between; None if not there."""
    n = len(loop)
    for i, (curve, _) in enumerate(loop):
        if corner.drawn_mm <= 0.0:
            if math.dist(curve.end, corner.at) <= _AT_MM:
                return i, (i + 1) % n, ()
        elif (
            isinstance(curve, Arc)
            and curve.clockwise
            and abs(curve.radius - corner.drawn_mm) <= _AT_MM
            and math.dist(curve.centre, corner.at)
            <= curve.radius / math.cos(0.5 * abs(curve.sweep())) + _AT_MM
            and math.dist(_tip(curve), corner.at) <= _AT_MM
        ):
            return (i - 1) % n, (i + 1) % n, (i,)
    return None


def _tip(arc: Arc) -> Point:
    """Where the tangents at an arc's ends meet."""
    share = 1.0 / math.cos(0.5 * abs(arc.sweep()))
    (z, r), (zc, rc) = arc.at(0.5), arc.centre
    return zc + share * (z - zc), rc + share * (r - rc)


def _rounding(a: Curve, b: Curve, at: Point, radius: float) -> Arc | None:
    """The arc of that radius that touches both walls, on their empty side; material lies left."""
    beside = [_beside(curve, radius) for curve in (a, b)]
    if beside[0] is None or beside[1] is None:
        return None
    centres = crossings(beside[0], beside[1], _SAME_MM)
    if not centres:
        return None
    centre = min(centres, key=lambda point: math.dist(point, at))
    feet = [_foot(curve, centre) for curve in (a, b)]
    arc = Arc(feet[0], feet[1], centre, radius, clockwise=True)
    return arc if abs(arc.sweep()) < math.pi else None


def _beside(curve: Curve, by: float) -> Curve | None:
    """A wall moved by so much to its right, the empty side."""
    if isinstance(curve, Line):
        dz, dr = curve.direction(0.0)

        def to(p: Point) -> Point:
            return p[0] + by * dr, p[1] - by * dz

        return Line(to(curve.start), to(curve.end))
    if not isinstance(curve, Arc):
        return None
    radius = curve.radius + (-by if curve.clockwise else by)
    if radius <= _SAME_MM:
        return None
    share, (zc, rc) = radius / curve.radius, curve.centre
    ends = [(zc + share * (z - zc), rc + share * (r - rc)) for z, r in (curve.start, curve.end)]
    return Arc(ends[0], ends[1], curve.centre, radius, curve.clockwise)


def _foot(curve: Curve, centre: Point) -> Point:
    if isinstance(curve, Arc):
        away = math.dist(centre, curve.centre)
        share, (zc, rc) = curve.radius / away, curve.centre
        return zc + share * (centre[0] - zc), rc + share * (centre[1] - rc)
    dz, dr = curve.direction(0.0)
    z, r = curve.start
    along = (centre[0] - z) * dz + (centre[1] - r) * dr
    return z + along * dz, r + along * dr


def _until(curve: Curve, end: Point) -> Curve | None:
    """A wall up to there; None where nothing of it is left."""
    share = share_at(curve, end, _AT_MM)
    if share is None or share <= _SAME_MM or not isinstance(curve, Line | Arc):
        return None
    return replace(curve, end=end)


def _from(curve: Curve, start: Point) -> Curve | None:
    """A wall from there on; None where nothing of it is left."""
    share = share_at(curve, start, _AT_MM)
    if share is None or share >= 1.0 - _SAME_MM or not isinstance(curve, Line | Arc):
        return None
    return replace(curve, start=start)


def _is_cylinder(curve: Curve) -> bool:
    return isinstance(curve, Line) and abs(curve.start[1] - curve.end[1]) <= _LEVEL_MM


def _has_wall(loops: Loops, floor: tuple[Point, Point], into: float) -> bool:
    """Whether enough material lies beneath the floor of a groove."""
    (z0, r), (z1, _) = floor
    places = np.array(
        [
            (z0 + share * (z1 - z0), abs(r + into * deeper))
            for deeper in (_JUST_MM, LEAST_WALL_MM)
            for share in (0.0, 0.25, 0.5, 0.75, 1.0)
        ]
    )
    outline, *cavities = (holds(tuple(curve for curve, _ in loop), places) for loop in loops)
    return bool(outline.all()) and not any(bool(within.any()) for within in cavities)


def _groove(at: Point, ways: tuple[float, float], sizes: tuple[float, float, float]) -> list[Curve]:
    """Walls, corners and floor of a square groove, from the corner that it begins in."""
    (z, r), (along, into), (width, depth, radius) = at, ways, sizes

    def point(u: float, v: float) -> Point:
        return z + along * u, r + into * v

    turns_right = along * into > 0.0
    curves: list[Curve] = []
    if depth > radius + _SAME_MM:
        curves.append(Line(point(0.0, 0.0), point(0.0, depth - radius)))
    if radius > _SAME_MM:
        ends = point(0.0, depth - radius), point(radius, depth)
        curves.append(Arc(*ends, point(radius, depth - radius), radius, turns_right))
    curves.append(Line(point(radius, depth), point(width - radius, depth)))
    if radius > _SAME_MM:
        ends = point(width - radius, depth), point(width, depth - radius)
        curves.append(Arc(*ends, point(width - radius, depth - radius), radius, turns_right))
    if depth > radius + _SAME_MM:
        curves.append(Line(point(width, depth - radius), point(width, 0.0)))
    return curves
