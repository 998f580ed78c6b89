"""Profiles drawn by hand: corners and arcs in the half plane, for examples and tests."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline, ring_area
from turnability.part.model import Profile
from turnability.part.profile import make_profile


@dataclass(frozen=True, slots=True)
class ArcTo:
    """An arc from the corner before to (z, r) round `centre`, as it is drawn."""

    z: float
    r: float
    centre: Point
    clockwise: bool


@dataclass(frozen=True, slots=True)
class SplineThrough:
    """A spline from the corner before through these points; the last is the next corner."""

    points: tuple[Point, ...]


Step: TypeAlias = Point | ArcTo | SplineThrough
Drawing: TypeAlias = tuple[Step, ...]
"""A closed outline in either sense: its first step is a corner (z, r) in mm, and so on round."""


def drawn(drawing: Iterable[Step], cavities: Iterable[Drawing] = ()) -> Profile:
    """The profile of a drawn outline and cavities, without faces. ValueError: not one outline."""
    outline = _oriented(_ring(tuple(drawing)), outside=True)
    holes = [_oriented(_ring(cavity), outside=False) for cavity in cavities]
    return make_profile([[(curve, ()) for curve in ring] for ring in (outline, *holes)])


def fillet(a: Point, corner: Point, b: Point, radius: float) -> tuple[Point, ArcTo]:
    """The corner between a and b rounded: where the arc begins, and the arc."""
    (ua, la), (ub, lb) = _unit(corner, a), _unit(corner, b)
    half = math.acos(max(-1.0, min(1.0, ua[0] * ub[0] + ua[1] * ub[1]))) / 2.0
    back = radius / math.tan(half)
    if back > min(la, lb):
        raise ValueError("the fillet is larger than its corner")
    begin = (corner[0] + back * ua[0], corner[1] + back * ua[1])
    end = (corner[0] + back * ub[0], corner[1] + back * ub[1])
    middle = (ua[0] + ub[0], ua[1] + ub[1])
    away = radius / math.sin(half) / math.hypot(*middle)
    centre = (corner[0] + away * middle[0], corner[1] + away * middle[1])
    turn = ua[0] * ub[1] - ua[1] * ub[0]
    return begin, ArcTo(end[0], end[1], centre, clockwise=turn > 0.0)


def _unit(a: Point, b: Point) -> tuple[Point, float]:
    n = math.dist(a, b)
    return ((b[0] - a[0]) / n, (b[1] - a[1]) / n), n


def _ring(drawing: Drawing) -> list[Curve]:
    first = drawing[0]
    if isinstance(first, ArcTo | SplineThrough):
        raise ValueError("a drawing begins with a corner")
    here: Point = first
    ring: list[Curve] = []
    for step in drawing[1:]:
        if isinstance(step, ArcTo):
            end = (step.z, step.r)
            ring.append(Arc(here, end, step.centre, math.dist(here, step.centre), step.clockwise))
        elif isinstance(step, SplineThrough):
            end = step.points[-1]
            ring.append(Spline((here, *step.points)))
        else:
            end = step
            if math.dist(here, end) > 0.0:
                ring.append(Line(here, end))
        here = end
    if math.dist(here, first) > 1e-9:
        ring.append(Line(here, first))
    return ring


def _oriented(ring: list[Curve], outside: bool) -> list[Curve]:
    if (ring_area(tuple(ring)) > 0.0) == outside:
        return ring
    return [curve.reversed() for curve in ring[::-1]]
