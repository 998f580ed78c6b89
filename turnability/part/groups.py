"""Faces of one departure, joined by edges, with the angles and the image that they cover."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve

from turnability.half_plane.curves import Points
from turnability.part.kernel_faces import KernelFace

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Group:
    """Faces joined by edges, the angles they cover (radians) and their image's box.

    `rims`: kinds of the turned faces that they end on.
    """

    faces: tuple[KernelFace, ...]
    spans: tuple[tuple[float, float], ...]
    corners: tuple[float, ...]
    z_mm: tuple[float, float]
    r_mm: tuple[float, float]
    inside: Points
    rims: frozenset[str]

    @property
    def indices(self) -> tuple[int, ...]:
        """The faces' indices in order."""
        return tuple(sorted(face.index for face in self.faces))


def make_group(faces: Sequence[KernelFace], rims: frozenset[str]) -> Group:
    """Measure joined faces in the axis frame."""
    spans, zr, corners, inside = [], [], [], []
    for face in faces:
        rim = _rim_points(face)
        middle = _middle_points(face)
        points = np.concatenate((rim, middle))
        spans.append(_span(points))
        corners.extend(np.arctan2(rim[:, 1], rim[:, 0]).tolist())
        zr.append(np.column_stack((points[:, 2], np.hypot(points[:, 0], points[:, 1]))))
        inside.append(np.column_stack((middle[:, 2], np.hypot(middle[:, 0], middle[:, 1]))))
    all_zr = np.concatenate(zr)
    low, high = all_zr.min(axis=0), all_zr.max(axis=0)
    return Group(
        tuple(faces),
        tuple(span for span in spans),
        tuple(sorted({round(a, 7) for a in corners})),
        (float(low[0]), float(high[0])),
        (float(low[1]), float(high[1])),
        np.concatenate(inside),
        rims,
    )


def _rim_points(face: KernelFace) -> Array:
    points = []
    for edge in face.edges():
        if BRep_Tool.Degenerated_s(edge):
            continue
        curve = BRepAdaptor_Curve(edge)
        for t in np.linspace(curve.FirstParameter(), curve.LastParameter(), 17):
            p = curve.Value(float(t))
            points.append((p.X(), p.Y(), p.Z()))
    return np.array(points).reshape(-1, 3)


def _middle_points(face: KernelFace) -> Array:
    u0, u1, v0, v1 = face.bounds
    points = []
    for i in np.linspace(0.06, 0.94, 8):
        for j in np.linspace(0.06, 0.94, 8):
            u, v = u0 + (u1 - u0) * float(i), v0 + (v1 - v0) * float(j)
            if face.holds(u, v):
                p = face.surface.Value(u, v)
                points.append((p.X(), p.Y(), p.Z()))
    return np.array(points).reshape(-1, 3)


def _span(points: Array) -> tuple[float, float]:
    """The run of angles that a connected face covers: all but the widest gap between points."""
    angles = np.sort(np.arctan2(points[:, 1], points[:, 0]))
    gaps = np.diff(np.append(angles, angles[0] + math.tau))
    widest = int(gaps.argmax())
    if gaps[widest] < math.radians(30.0):
        return (0.0, math.tau)
    low = float(angles[(widest + 1) % len(angles)])
    return (low, low + math.tau - float(gaps[widest]))
