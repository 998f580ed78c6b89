"""Faces of one departure, joined by edges, with what they look like in the half plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve

from turnability.half_plane.curves import Points
from turnability.part.kernel_faces import KernelFace
from turnability.part.turned_body.sampling import half_plane_point

_RIM = 9
_SHARES = np.linspace(0.04, 0.96, 12)
_FEW_SHARES = np.linspace(0.05, 0.95, 5)
_MANY = 60


@dataclass(frozen=True, slots=True)
class Group:
    """Faces joined by edges, their image's box, and points of it well within the faces."""

    faces: tuple[KernelFace, ...]
    z_mm: tuple[float, float]
    r_mm: tuple[float, float]
    inside: Points

    @property
    def indices(self) -> tuple[int, ...]:
        """The faces' indices in order."""
        return tuple(sorted(face.index for face in self.faces))


def make_group(faces: Sequence[KernelFace]) -> Group:
    """Measure joined faces in the axis frame."""
    shares = _SHARES if len(faces) < _MANY else _FEW_SHARES
    inside = np.concatenate([_within(face, shares) for face in faces])
    rims = [_rim(face) for face in faces]
    seen = np.concatenate((inside, *rims))
    low, high = seen.min(axis=0), seen.max(axis=0)
    return Group(
        tuple(faces),
        (float(low[0]), float(high[0])),
        (float(low[1]), float(high[1])),
        inside,
    )


def _within(face: KernelFace, shares: NDArray[np.float64]) -> Points:
    """Images of grid points that the face holds, shape (n, 2)."""
    uv, points = face.grid(shares)
    held = face.held(uv[:, 0], uv[:, 1])
    return np.column_stack((points[held, 2], np.hypot(points[held, 0], points[held, 1])))


def _rim(face: KernelFace) -> Points:
    """Images of places along the face's edges, shape (n, 2)."""
    found: list[tuple[float, float]] = []
    for edge in face.edges():
        if not BRep_Tool.Degenerated_s(edge):
            curve = BRepAdaptor_Curve(edge)
            steps = np.linspace(curve.FirstParameter(), curve.LastParameter(), _RIM).tolist()
            found.extend(half_plane_point(curve.Value(t)) for t in steps)
    return np.array(found).reshape(-1, 2)
