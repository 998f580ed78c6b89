"""Small vectors of the axis frame, and when places and directions count as one."""

from __future__ import annotations

import math

from OCP.gp import gp_Dir, gp_Pnt

from turnability.part.model import Vector

SAME_MM = 1e-3
"""Lengths and places this close are one (a micrometre, as everywhere in this room)."""
SAME_DIRECTION = 1e-5
"""Sine of the angle between directions that count as one."""
Z: Vector = (0.0, 0.0, 1.0)
ORIGIN: Vector = (0.0, 0.0, 0.0)


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def minus(a: Vector, b: Vector) -> Vector:
    """Difference."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def unit(a: Vector) -> Vector:
    """The same direction, 1 long."""
    size = math.sqrt(dot(a, a))
    return (a[0] / size, a[1] / size, a[2] / size)


def opposite(a: Vector) -> Vector:
    """The other way."""
    return (-a[0], -a[1], -a[2])


def parallel(a: Vector, b: Vector) -> bool:
    """Whether unit vectors run along one line."""
    c = cross(a, b)
    return dot(c, c) <= SAME_DIRECTION**2


def square(a: Vector, b: Vector) -> bool:
    """Whether unit vectors stand at a right angle."""
    return abs(dot(a, b)) <= SAME_DIRECTION


def on_line(place: Vector, point: Vector, direction: Vector) -> bool:
    """Whether a place lies on a line."""
    c = cross(minus(place, point), direction)
    return dot(c, c) <= SAME_MM**2


def square_to(d: Vector) -> tuple[Vector, Vector]:
    """Two unit vectors that stand square to one and to each other."""
    x = unit(cross(d, (1.0, 0.0, 0.0) if abs(d[0]) < 0.7 else (0.0, 1.0, 0.0)))
    return x, cross(d, x)


def plus(a: Vector, d: Vector, t: float) -> Vector:
    """The place t along d from a."""
    return (a[0] + t * d[0], a[1] + t * d[1], a[2] + t * d[2])


def xyz(p: gp_Pnt | gp_Dir) -> Vector:
    """The kernel's coordinates."""
    return (p.X(), p.Y(), p.Z())
