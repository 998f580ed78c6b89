"""Points of planes, cylinders, cones, spheres and tori at many parameters at once, by formula."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from turnability.part.surface_points import Array, cross


@dataclass(frozen=True, slots=True)
class Formula:
    """A plane, cylinder, cone, sphere or torus: its own frame and what it is made by.

    `frame` (4, 3): origin, x, y and z; `side`: -1 where those are left-handed, else 1. `sizes`:
    (radius, half angle) or (ring, tube) radii.
    """

    kind: str
    frame: Array
    side: float
    sizes: tuple[float, float]


def formula_of(kind: str, canonical: Any) -> Formula:
    """What a kernel's surface of this kind is, asked of it once."""
    frame = canonical.Position()
    rows = (frame.Location(), frame.XDirection(), frame.YDirection(), frame.Direction())
    table = np.array([(row.X(), row.Y(), row.Z()) for row in rows])
    return Formula(kind, table, 1.0 if frame.Direct() else -1.0, _sizes(kind, canonical))


def formula_points(formula: Formula, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Points and first derivatives of the surface.

    u and v are of shapes that go together, (n,) and (n,) or (n, 1) and (1, m); what comes has one
    axis more, of 3, or fewer places where it depends on one of them only.
    """
    origin, x, y, z = formula.frame
    if formula.kind == "plane":
        p = origin + u[..., None] * x + v[..., None] * y
        return p, np.broadcast_to(x, p.shape), np.broadcast_to(y, p.shape)
    cos_u, sin_u = np.cos(u)[..., None], np.sin(u)[..., None]
    out, turn = cos_u * x + sin_u * y, cos_u * y - sin_u * x
    r, dr, h, dh = (a[..., None] for a in generated(formula.kind, formula.sizes, v))
    return origin + (r * out + h * z), r * turn, dr * out + dh * z


def formula_turns(formula: Formula, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """x, y and g = (Su x Sv) . (z x P) of the same surfaces, u and v as in `formula_points`."""
    origin, x, y, z = formula.frame
    if formula.kind == "plane":
        n = cross(x, y)
        px, py = (origin[k] + u * x[k] + v * y[k] for k in (0, 1))
        return px, py, n[1] * px - n[0] * py
    cos_u, sin_u = np.cos(u), np.sin(u)
    out_x, out_y = (cos_u * x[k] + sin_u * y[k] for k in (0, 1))
    r, dr, h, dh = generated(formula.kind, formula.sizes, v)
    px, py = origin[0] + (r * out_x + h * z[0]), origin[1] + (r * out_y + h * z[1])
    # Su x Sv = r (dh out - dr z): turn, z and out stand square to each other
    g = (dh * out_y - dr * z[1]) * px - (dh * out_x - dr * z[0]) * py
    return px, py, formula.side * r * g


def formula_parameters(formula: Formula, points: Array) -> tuple[Array, Array]:
    """u and v (n,) of the places of such a surface that are nearest to points (n, 3).

    Angles are from 0 to a turn, a sphere's v from -pi/2 to pi/2. Not of a torus that meets itself.
    """
    kind, (origin, x, y, z) = formula.kind, formula.frame
    rel = points - origin
    a, b, c = rel @ x, rel @ y, rel @ z
    if kind == "plane":
        return a, b
    first, second = formula.sizes
    u, r = np.arctan2(b, a), np.hypot(a, b)
    if kind == "cone":
        beyond = -first > c * math.tan(second)  # the apex: there the surface lies opposite
        u = np.where(beyond, np.arctan2(-b, -a), u)
        r = np.where(beyond, -r, r)
    u = u % math.tau
    if kind == "cylinder":
        return u, c
    if kind == "cone":
        return u, (r - first) * math.sin(second) + c * math.cos(second)
    if kind == "sphere":
        return u, np.arctan2(c, r)
    return u, np.arctan2(c, r - first) % math.tau


def _sizes(kind: str, canonical: Any) -> tuple[float, float]:
    if kind == "plane":
        return 0.0, 0.0
    if kind == "cylinder":
        return canonical.Radius(), 0.0
    if kind == "cone":
        return canonical.RefRadius(), canonical.SemiAngle()
    if kind == "sphere":
        return 0.0, canonical.Radius()
    return canonical.MajorRadius(), canonical.MinorRadius()


def generated(kind: str, sizes: tuple[Any, Any], v: Array) -> tuple[Array, Array, Array, Array]:
    """Distance from the surface's own axis and height along it at v, each with its slope."""
    first, second = sizes
    one, zero = np.ones(v.shape), np.zeros(v.shape)
    if kind == "cylinder":
        return first * one, zero, v, one
    if kind == "cone":
        s, k = np.sin(second), np.cos(second)
        return first + v * s, s * one, v * k, k * one
    rise, run = second * np.sin(v), second * np.cos(v)
    return first + run, -rise, rise, run
