"""What a solid's faces sweep at the least when it turns about a line, from a few points of each.

Dear is only the exact turned body; this is had in milliseconds and is never much above it. So it
tells early that a solid fills next to nothing of its turned body, and which lines are worth more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.regions import Region
from turnability.part.axis import Line3
from turnability.part.kernel_faces import INNER, KernelFace
from turnability.part.surface_points import Array, cross, lengths

_TURNS = 1e-4
"""Sine by which a normal may miss the line on a face that turns about it."""
_SQUARE = 1e-6
"""Likewise by which a plane may be out of square to it."""
_ALIKE_MM = 1e-4


@dataclass(frozen=True, slots=True)
class LeastSwept:
    """Volume in mm3 that the faces sweep; area in mm2 of those that turn, and of those level."""

    volume_mm3: float
    turned_mm2: float
    level_mm2: float


def least_swept(faces: Sequence[KernelFace], line: Line3) -> LeastSwept:
    """What faces sweep about a line: their images in its half plane (z, r), overlaps counted once.

    A face that turns about the line sweeps nothing. Between four neighbouring places that a face
    holds it is taken for two flat triangles, beyond the outermost such places for nothing.
    """
    inner = [face.inner for face in faces]
    normal = cross(np.array([i.along_u for i in inner]), np.array([i.along_v for i in inner]))
    size, along = lengths(normal), np.array(line.direction)
    z, r, out = _about(faces, line)
    round_about = np.abs((normal * cross(np.broadcast_to(along, out.shape), out)).sum(axis=2))
    flat = np.array([face.kind == "plane" for face in faces])
    limit = np.where(flat, _SQUARE, _TURNS)[:, None]
    turns = (round_about <= limit * size * np.maximum(r, 1e-12)).all(axis=1)
    tilt = lengths(cross(normal[flat], np.broadcast_to(along, normal[flat].shape)))
    turns[flat] &= (tilt <= _SQUARE * size[flat]).all(axis=1)
    areas = np.array([face.area_mm2 for face in faces])
    others = np.nonzero(~turns)[0].tolist()
    triangles: list[Array] = []
    if others:
        held = np.array([faces[k].inner_held for k in others])
        triangles = list(_once(_triangles(np.stack((z, r), axis=2)[others], held)))
    swept = math.fsum(_swept_mm3(ring) for ring in Region.of(triangles).rings())
    return LeastSwept(
        swept, math.fsum(areas[turns].tolist()), math.fsum(areas[turns & flat].tolist())
    )


def swept_at_most(faces: Sequence[KernelFace], line: Line3) -> float:
    """What `least_swept` would not exceed, in mm3, sooner said: a cylinder round all places."""
    z, r, _ = _about(faces, line)
    return math.pi * float(r.max()) ** 2 * float(np.ptp(z))


def _about(faces: Sequence[KernelFace], line: Line3) -> tuple[Array, Array, Array]:
    """Inner places of faces: how far along a line and from it, (faces, places), and which way."""
    along = np.array(line.direction)
    p = np.array([face.inner.points for face in faces]) - line.point
    z = p @ along
    out = p - z[..., None] * along
    return z, lengths(out), out


def _triangles(zr: Array, held: NDArray[np.bool_]) -> Array:
    """Two for each four neighbouring places that are all held, (n, 3, 2), anticlockwise."""
    at = zr.reshape(-1, INNER, INNER, 2)
    of = held.reshape(-1, INNER, INNER)
    all_held = of[:, :-1, :-1] & of[:, 1:, :-1] & of[:, :-1, 1:] & of[:, 1:, 1:]
    corners = (at[:, :-1, :-1], at[:, 1:, :-1], at[:, 1:, 1:], at[:, :-1, 1:])
    a, b, c, d = (q[all_held] for q in corners)
    made = np.concatenate((np.stack((a, b, c), axis=1), np.stack((a, c, d), axis=1)))
    first, second = made[:, 1] - made[:, 0], made[:, 2] - made[:, 0]
    clockwise = first[:, 0] * second[:, 1] < first[:, 1] * second[:, 0]
    made[clockwise] = made[clockwise, ::-1]
    return made


def _once(triangles: Array) -> Array:
    """Without repeats, as teeth give: the clipper is slow where hundreds lie on one another."""
    whole = np.rint(triangles / _ALIKE_MM).astype(np.int64)
    order = np.lexsort((whole[..., 1], whole[..., 0]), axis=1)
    sorted_ = np.take_along_axis(whole, order[..., None], axis=1).reshape(-1, 6)
    return triangles[np.unique(sorted_, axis=0, return_index=True)[1]]


def _swept_mm3(ring: Array) -> float:
    """What a ring of corners (z, r) sweeps round z, negative where it runs clockwise."""
    (z0, r0), (z1, r1) = ring.T, np.roll(ring, -1, axis=0).T
    return math.pi / 3.0 * float(((z0 - z1) * (r0 * r0 + r0 * r1 + r1 * r1)).sum())
