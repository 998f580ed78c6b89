"""Circles round the axis and the departures' faces that they meet: where material is missing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OCP.BRepIntCurveSurface import BRepIntCurveSurface_Inter
from OCP.Geom import Geom_Circle
from OCP.GeomAdaptor import GeomAdaptor_Curve
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

from turnability.part.departures.flux import Sheets
from turnability.part.departures.sheets import angles, sheets_of
from turnability.part.kernel_faces import EVEN, KernelFace

_NEWTON = 15
_MEETS_MM = 1e-8
_FINER = 5

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Walled:
    """A face of a departure: its group's place in the list, its sheets, its image's box.

    `uv` (n, n, 2) and `images` (n, n, 2) are a grid over its parameters and what it looks like in
    the half plane.
    """

    face: KernelFace
    group: int
    sheets: Sheets
    box: tuple[float, float, float, float]
    uv: Array
    images: Array


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where a circle meets a face: angle in [0, 2 pi), whether it leaves the solid there.

    `followed` is the angle as the face's sheet follows it.
    """

    angle: float
    leaves: bool
    group: int
    followed: float


def walled(face: KernelFace, group: int) -> Walled:
    """A face with its sheets and the box of its image (z from, z to, r from, r to), padded."""
    u, v, points = face.even.u, face.even.v, face.even.points
    images = np.stack((points[..., 2], np.hypot(points[..., 0], points[..., 1])), axis=2)
    low, high = images.min(axis=(0, 1)), images.max(axis=(0, 1))
    room = 0.1 * float((high - low).max()) + 1e-6
    box = (low[0] - room, high[0] + room, low[1] - room, high[1] + room)
    return Walled(
        face,
        group,
        sheets_of(face),
        (float(box[0]), float(box[1]), float(box[2]), float(box[3])),
        np.stack(np.meshgrid(u, v, indexing="ij"), axis=2),
        images,
    )


def meetings(faces: Sequence[Walled], z: float, r: float) -> list[Meeting] | None:
    """Where the circle meets the faces, in order; None where they don't alternate.

    Beside a fold two meetings lie so near each other that one may be missed: looked for again from
    more places.
    """
    found = _meetings(faces, z, r, 1)
    return _meetings(faces, z, r, _FINER) if found is None else found


def _meetings(faces: Sequence[Walled], z: float, r: float, finer: int) -> list[Meeting] | None:
    found: list[Meeting] = []
    for one in faces:
        z0, z1, r0, r1 = one.box
        if not (z0 <= z <= z1 and r0 <= r <= r1 and one.sheets):
            continue
        uv = _by_kernel(one.face, z, r) if one.face.has_formula else _by_newton(one, z, r, finer)
        if not len(uv):
            continue
        x, y, g = one.face.turns(uv[:, 0], uv[:, 1])
        leaves = (g > 0.0) != one.face.reversed
        at = np.arctan2(y, x) % math.tau
        followed = angles(one.sheets, uv)
        found.extend(
            Meeting(a, out, one.group, turned)
            for a, out, turned in zip(at.tolist(), leaves.tolist(), followed.tolist(), strict=True)
        )
    found.sort(key=lambda m: m.angle)
    alternate = all(m.leaves != found[i - 1].leaves for i, m in enumerate(found))
    return found if alternate else None


def _by_kernel(face: KernelFace, z: float, r: float) -> Array:
    """Parameters (n, 2) where the circle meets a face that has a formula."""
    circle = Geom_Circle(gp_Circ(gp_Ax2(gp_Pnt(0.0, 0.0, z), gp_Dir(0.0, 0.0, 1.0)), r))
    hit = BRepIntCurveSurface_Inter()
    hit.Init(face.face, GeomAdaptor_Curve(circle), 1e-7)
    found: dict[float, tuple[float, float]] = {}
    while hit.More():
        found.setdefault(round(hit.W(), 8), (hit.U(), hit.V()))
        hit.Next()
    return np.array(list(found.values())).reshape(-1, 2)


def _by_newton(one: Walled, z: float, r: float, finer: int) -> Array:
    """The same for any face, from each square of the grid whose image may hold the point.

    `finer`: from the middles of so many parts of each square each way.
    """
    corners = np.stack(
        [one.images[i : EVEN - 1 + i, j : EVEN - 1 + j] for i in (0, 1) for j in (0, 1)]
    )
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = 0.5 * (high - low) + 1e-9
    near = ((low - room <= (z, r)) & (high + room >= (z, r))).all(axis=2)
    i, j = np.nonzero(near)
    if not len(i):
        return np.empty((0, 2))
    shares = (np.arange(finer) + 0.5) / finer
    shares = np.stack(np.meshgrid(shares, shares), axis=2).reshape(1, -1, 2)
    corner, across = one.uv[i, j][:, None], (one.uv[i + 1, j + 1] - one.uv[i, j])[:, None]
    uv = (corner + across * shares).reshape(-1, 2)
    least, most = one.uv[0, 0], one.uv[-1, -1]
    step = (most - least) / (EVEN - 1)
    for _ in range(_NEWTON):
        p, su, sv = one.face.points(uv[:, 0], uv[:, 1])
        here = np.maximum(np.hypot(p[:, 0], p[:, 1]), 1e-12)
        zu, zv = su[:, 2], sv[:, 2]
        ru, rv = ((d[:, 0] * p[:, 0] + d[:, 1] * p[:, 1]) / here for d in (su, sv))
        dz, dr = z - p[:, 2], r - here
        turn = zu * rv - zv * ru
        turn[turn == 0.0] = np.inf
        by = np.column_stack(((dz * rv - dr * zv) / turn, (dr * zu - dz * ru) / turn))
        before, uv = uv, np.clip(uv + np.clip(by, -2.0 * step, 2.0 * step), least, most)
        moving = (np.abs(uv - before) > 1e-10 * step).any(axis=1)
        stuck = ((uv == least) | (uv == most)).any(axis=1) & (np.abs(by) > 0.5 * step).any(axis=1)
        if not (moving & ~stuck).any():
            break
    p = one.face.points(uv[:, 0], uv[:, 1])[0]
    good = np.hypot(p[:, 2] - z, np.hypot(p[:, 0], p[:, 1]) - r) <= _MEETS_MM
    found: list[Array] = []
    for spot in uv[good]:
        if not any((np.abs(spot - other) <= 1e-6 * step).all() for other in found) and (
            one.face.holds(float(spot[0]), float(spot[1]))
        ):
            found.append(spot)
    return np.array(found).reshape(-1, 2)


def gaps(found: Sequence[Meeting]) -> list[tuple[int, int, float]]:
    """Missing runs of a circle: group it leaves by, group it comes back by, width in radians."""
    made = []
    for i, m in enumerate(found):
        if m.leaves:
            back = found[(i + 1) % len(found)]
            made.append((m.group, back.group, (back.angle - m.angle) % math.tau))
    return made
