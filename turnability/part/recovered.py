"""Planes, cylinders, cones, spheres and tori found again in free-form faces, from their points.

Exporters save them as B-splines or as swept surfaces. A surface turns about an axis with direction
a through c where every normal N at P meets it: a . (P x N) = N . (a x c), which is linear in a and
a x c; what is seen in the half plane then tells cone and torus. (Pottmann and Wallner,
Computational Line Geometry, the chapter on linear complexes; from memory.) What is found is kept
only where all samples lie on it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.gp import gp_Ax3, gp_Cone, gp_Cylinder, gp_Dir, gp_Pln, gp_Pnt, gp_Sphere, gp_Torus

from turnability.part.surface_points import cross, lengths

Array: TypeAlias = NDArray[np.float64]
Samples: TypeAlias = tuple[Array, Array, Array]
Points: TypeAlias = Callable[[Array, Array], Samples]
Primitive: TypeAlias = gp_Pln | gp_Cylinder | gp_Cone | gp_Sphere | gp_Torus
Bounds: TypeAlias = tuple[float, float, float, float]

_FINE = 23
_WIDE_MM = 1e7
"""Rounder than this is straight."""
_LOOSE = 1e-2
"""Radians by which normals may miss an axis that is still worth trying."""
_TILT = 3e-3
"""Radians by which a face's normals may be off those of what it is taken for."""
_LEAST_SHARE = 1e-4
"""A face as small as the tolerance would be anything."""


@dataclass(frozen=True, slots=True)
class Found:
    """A kernel primitive (gp_Pln, gp_Cylinder, gp_Cone, gp_Sphere, gp_Torus), how far it is off."""

    kind: str
    surface: Primitive
    gap_mm: float


def recover(few: Samples, points: Points, bounds: Bounds, within_mm: float) -> Found | None:
    """The primitive that a surface follows within `within_mm` over its bounds, or None.

    `few`: points of it evenly over its bounds and both first derivatives there, each (n, 3);
    `points` gives more of them at parameters (n,).
    """
    p, n = _squared(few)
    if p is None or n is None:
        return None
    within = min(within_mm, _LEAST_SHARE * float(np.ptp(p, axis=0).max()))
    best: Found | None = None
    for fit in (_plane, _cylinder, _sphere, _turned):
        found = fit(p, n)
        if found is None:
            continue
        gap, tilt = _off(found[1], p, n, within)
        if tilt > _TILT:
            continue  # a thread's crest lies on many things
        # the simpler one, unless the other is truer by far
        if gap <= within and (best is None or gap < 0.01 * best.gap_mm - 1e-9):
            best = Found(found[0], found[1], gap)
    if best is None:
        return None
    u0, u1, v0, v1 = bounds
    u, v = np.linspace(u0, u1, _FINE), np.linspace(v0, v1, _FINE)
    fine, square = _squared(points(np.repeat(u, _FINE), np.tile(v, _FINE)))
    gap = (
        best.gap_mm if fine is None or square is None else _off(best.surface, fine, square, 0.0)[0]
    )
    return replace(best, gap_mm=gap) if gap <= within else None


def laid_on_axis(kind: str, points: Points, bounds: Bounds, within_mm: float) -> Found | None:
    """The primitive of that kind about the z axis that a surface follows within `within_mm`.

    "cylinder", "cone" or "torus"; `points` as for `recover`.
    """
    u0, u1, v0, v1 = bounds
    u, v = np.linspace(u0, u1, _FINE), np.linspace(v0, v1, _FINE)
    p, n = _squared(points(np.repeat(u, _FINE), np.tile(v, _FINE)))
    if p is None or n is None:
        return None
    z, r = p[:, 2], np.hypot(p[:, 0], p[:, 1])
    up = np.array([0.0, 0.0, 1.0])
    primitive: Primitive | None = None
    if kind == "cylinder":
        primitive = gp_Cylinder(_frame(float(z.mean()) * up, up), float(r.mean()))
    elif kind == "cone":
        primitive = _cone(np.zeros(3), up, z, r)
    elif kind == "torus" and (circle := _circle(z, r)) is not None:
        primitive = gp_Torus(_frame(circle[0] * up, up), abs(circle[1]), circle[2])
    if primitive is None:
        return None
    within = min(within_mm, _LEAST_SHARE * float(np.ptp(p, axis=0).max()))
    gap, tilt = _off(primitive, p, n, within)
    return Found(kind, primitive, gap) if gap <= within and tilt <= _TILT else None


def turning_axis(few: Samples, within: float) -> tuple[Array, Array] | None:
    """Point and direction of the line that all normals meet within an angle of `within`, or None.

    None too where many lines do: planes, cylinders and spheres are `recover`'s.
    """
    p, n = _squared(few)
    return None if p is None or n is None else _axis(p, n, within)


def _squared(samples: Samples) -> tuple[Array | None, Array | None]:
    """Points and unit normals, those without a normal left out."""
    p, su, sv = samples
    n = cross(su, sv)
    size = lengths(n)
    good = size > 1e-9 * float(size.max(initial=0.0))
    if int(good.sum()) < 8 or not np.isfinite(p).all():
        return None, None
    return p[good], n[good] / size[good][:, None]


def _off(surface: Primitive, p: Array, n: Array, within: float) -> tuple[float, float]:
    """Greatest distance of points from a primitive, and of unit normals from its own.

    The latter is not looked at where the former is more than `within`.
    """
    frame = surface.Position()
    o, x, y, z = (
        np.array([d.X(), d.Y(), d.Z()])
        for d in (frame.Location(), frame.XDirection(), frame.YDirection(), frame.Direction())
    )
    rel = p - o
    h, r = rel @ z, np.hypot(rel @ x, rel @ y)
    out = (rel - h[:, None] * z) / np.maximum(r, 1e-300)[:, None]
    one, zero = np.ones(len(p)), np.zeros(len(p))
    if isinstance(surface, gp_Pln):
        off, along, across = h, one, zero
    elif isinstance(surface, gp_Sphere):
        off, along, across = np.hypot(h, r) - surface.Radius(), h, r
    elif isinstance(surface, gp_Cylinder):
        off, along, across = r - surface.Radius(), zero, one
    elif isinstance(surface, gp_Cone):
        s, c = math.sin(surface.SemiAngle()), math.cos(surface.SemiAngle())
        # both halves of the cone: the radius changes sign beyond the apex
        there = surface.RefRadius() + h * s / c
        off, along, across = (r - np.abs(there)) * c, -s * np.sign(there), c * one
    else:
        assert isinstance(surface, gp_Torus)
        ring, tube = surface.MajorRadius(), surface.MinorRadius()
        near, far = np.hypot(r - ring, h) - tube, np.hypot(r + ring, h) - tube
        # a barrel's circle has its centre beyond the axis
        barrel = np.abs(far) < np.abs(near)
        off, along, across = np.where(barrel, far, near), h, np.where(barrel, r + ring, r - ring)
    gap = float(np.abs(off).max())
    if gap > within:
        return gap, math.inf
    own = along[:, None] * z + across[:, None] * out
    own /= np.maximum(lengths(own), 1e-300)[:, None]
    tilt = lengths(cross(own, n))
    clear = r > 1e-6 * float(r.max())
    return gap, float(tilt[clear].max(initial=0.0))


def _frame(at: Array, direction: Array) -> gp_Ax3:
    return gp_Ax3(gp_Pnt(*at.tolist()), gp_Dir(*direction.tolist()))


def _plane(p: Array, n: Array) -> tuple[str, gp_Pln] | None:
    if float(np.abs(n - n[0]).max()) > _LOOSE:
        return None
    middle = p.mean(axis=0)
    normal = np.linalg.svd(p - middle, full_matrices=False)[2][2]
    return "plane", gp_Pln(_frame(middle, normal))


def _sphere(p: Array, n: Array) -> tuple[str, gp_Sphere] | None:
    """Centre nearest to all normals: the sum of (1 - N N^T)(c - P) is nought."""
    across = np.eye(3) - n[:, :, None] * n[:, None, :]
    total = across.sum(axis=0)
    if np.linalg.cond(total) > 1e8:
        return None
    centre = np.linalg.solve(total, np.einsum("nij,nj->i", across, p))
    # the normals give the centre to first order only: the points make it good
    rel = np.column_stack((2.0 * (p - centre), np.ones(len(p))))
    step = np.linalg.lstsq(rel, ((p - centre) ** 2).sum(axis=1), rcond=None)[0]
    centre = centre + step[:3]
    radius = float(lengths(p - centre).mean())
    if radius > _WIDE_MM:
        return None
    return "sphere", gp_Sphere(_frame(centre, np.array([0.0, 0.0, 1.0])), radius)


def _cylinder(p: Array, n: Array) -> tuple[str, gp_Cylinder] | None:
    spread, way = np.linalg.svd(n, full_matrices=False)[1:]
    if spread[2] > _LOOSE * spread[0] or spread[1] < 1e-6 * spread[0]:
        return None
    direction = way[2]
    x = way[0]
    y = np.cross(direction, x)
    circle = _circle(p @ x, p @ y)
    if circle is None:
        return None
    cx, cy, radius = circle
    middle = float((p @ direction).mean())
    return "cylinder", gp_Cylinder(_frame(cx * x + cy * y + middle * direction, direction), radius)


def _circle(x: Array, y: Array) -> tuple[float, float, float] | None:
    """Centre and radius of the circle through points, by least squares."""
    mx, my = float(x.mean()), float(y.mean())
    a = np.column_stack((2.0 * (x - mx), 2.0 * (y - my), np.ones(len(x))))
    c, _, rank, _ = np.linalg.lstsq(a, (x - mx) ** 2 + (y - my) ** 2, rcond=1e-13)
    inside = float(c[2] + c[0] ** 2 + c[1] ** 2)
    if rank < 3 or inside <= 0.0 or math.sqrt(inside) > _WIDE_MM:
        return None
    return mx + float(c[0]), my + float(c[1]), math.sqrt(inside)


def _axis(p: Array, n: Array, within: float) -> tuple[Array, Array] | None:
    middle = p.mean(axis=0)
    size = float(np.abs(p - middle).max())
    if size <= 0.0:
        return None
    rel = (p - middle) / size
    spread, way = np.linalg.svd(np.column_stack((cross(rel, n), -n)), full_matrices=False)[1:]
    root = math.sqrt(len(p))
    if spread[5] > within * root or spread[4] < 1e-6 * root:
        return None
    direction, moment = way[5, :3], way[5, 3:]
    length = float(np.linalg.norm(direction))
    if length < 1e-6:
        return None
    direction, moment = direction / length, moment / length
    if abs(float(direction @ moment)) > within:
        return None  # a helix: it moves along as it turns
    return middle + size * np.cross(moment, direction), direction


def _turned(p: Array, n: Array) -> tuple[str, gp_Cone | gp_Torus] | None:
    """A cone or a torus about the axis that the normals meet."""
    axis = _axis(p, n, _LOOSE)
    if axis is None:
        return None
    at, direction = axis
    rel = p - at
    h = rel @ direction
    r = lengths(rel - h[:, None] * direction)
    cone = _cone(at, direction, h, r)
    if cone is not None:
        return "cone", cone
    circle = _circle(h, r)
    if circle is None:
        return None
    centre = at + circle[0] * direction
    return "torus", gp_Torus(_frame(centre, direction), abs(circle[1]), circle[2])


def _cone(at: Array, direction: Array, h: Array, r: Array) -> gp_Cone | None:
    if float(np.ptp(h)) < 1e-6 * max(float(np.ptp(r)), 1e-12):
        return None
    slope, start = np.polyfit(h, r, 1)
    bent = float(np.abs(r - start - slope * h).max())
    if bent > 1e-3 * max(float(np.ptp(r)), float(np.ptp(h))) or abs(slope) < 1e-9:
        return None
    middle = float(h.mean())
    sign = 1.0 if slope > 0.0 else -1.0
    frame = _frame(at + middle * direction, sign * direction)
    return gp_Cone(frame, math.atan(abs(slope)), float(start + slope * middle))
