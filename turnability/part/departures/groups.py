"""Faces of one departure, joined by edges, with what they look like in the half plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool

from turnability.half_plane.curves import Points
from turnability.part.kernel_faces import KernelFace
from turnability.part.winding import edge_points

_RIM = 9
_SHARES = np.linspace(0.04, 0.96, 12)
_MANY = 60
_EVERY = 3
"""Of many faces' places so many are passed over to take one."""


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
    some = _within if len(faces) < _MANY else _few_within
    inside = np.concatenate([some(face) for face in faces])
    rims = [_rim(face) for face in faces]
    seen = np.concatenate((inside, *rims))
    low, high = seen.min(axis=0), seen.max(axis=0)
    return Group(
        tuple(faces),
        (float(low[0]), float(high[0])),
        (float(low[1]), float(high[1])),
        inside,
    )


def _within(face: KernelFace) -> Points:
    """Images of grid points that the face holds, shape (n, 2)."""
    return _images(face.own_points(_SHARES))


def _few_within(face: KernelFace) -> Points:
    """Images of some of the places that are known of a face, shape (n, 2)."""
    return _images(face.inner.points[face.inner_held][::_EVERY])


def _images(points: NDArray[np.float64]) -> Points:
    return np.column_stack((points[:, 2], np.hypot(points[:, 0], points[:, 1])))


def _rim(face: KernelFace) -> Points:
    """Images of places along the face's edges, shape (n, 2)."""
    edges = (edge for edge in face.edges() if not BRep_Tool.Degenerated_s(edge))
    found = [_images(edge_points(edge, _RIM)) for edge in edges]
    return np.concatenate([np.empty((0, 2)), *found])
