"""Faces of one departure, joined by edges, with the angles and the image that they cover."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.gp import gp_Pnt
from OCP.TopoDS import TopoDS_Edge

from turnability.half_plane.curves import Points
from turnability.part.kernel_faces import KernelFace

Array = NDArray[np.float64]
_RIM = 17
_FINEST_RIM = 1000
_SHARES = np.linspace(0.04, 0.96, 12)
_FEW_SHARES = np.linspace(0.05, 0.95, 5)
_MANY = 60
_HALF = math.radians(120.0)
_LEAST_GAP = math.radians(2.0)


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


def make_group(faces: Sequence[KernelFace], rims: frozenset[str], turned: Collection[int]) -> Group:
    """Measure joined faces in the axis frame; `turned` ones among them leave no angle closed."""
    spans, zr, corners, inside = [], [], [], []
    for face in faces:
        runs = [_along(edge) for edge in face.edges() if not BRep_Tool.Degenerated_s(edge)]
        grid, held = _grid(face, _SHARES if len(faces) < _MANY else _FEW_SHARES)
        middle = grid[held]
        points = np.concatenate((*runs, middle))
        if face.index not in turned:
            spans.append(_span(_tables(runs, _grid_runs(grid, held)), points))
        for run in runs:
            corners.extend(np.arctan2(run[:, 1], run[:, 0]).tolist())
        zr.append(_image(points))
        inside.append(_image(middle))
    all_zr = np.concatenate(zr)
    low, high = all_zr.min(axis=0), all_zr.max(axis=0)
    return Group(
        tuple(faces),
        tuple(spans),
        tuple(sorted({round(a, 7) for a in corners})),
        (float(low[0]), float(high[0])),
        (float(low[1]), float(high[1])),
        np.concatenate(inside),
        rims,
    )


def _image(points: Array) -> Points:
    return np.column_stack((points[:, 2], np.hypot(points[:, 0], points[:, 1])))


def _along(edge: TopoDS_Edge) -> Array:
    """Points along an edge, shape (n, 3)."""
    curve = BRepAdaptor_Curve(edge)
    count = _RIM
    while True:
        steps = np.linspace(curve.FirstParameter(), curve.LastParameter(), count)
        points = np.array([_xyz(curve.Value(float(t))) for t in steps])
        fine = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        coarse = float(np.linalg.norm(np.diff(points[::2], axis=0), axis=1).sum())
        # a winding edge gets longer the closer one looks
        if fine <= 1.05 * coarse or count > _FINEST_RIM:
            return points
        count = 4 * count - 3


def _grid(face: KernelFace, shares: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Points of the surface on a grid, shape (n, n, 3), and which of them the face holds."""
    uv, points = face.grid(shares)
    held = np.array([face.holds(u, v) for u, v in uv.tolist()])
    n = len(shares)
    return points.reshape(n, n, 3), held.reshape(n, n)


def _grid_runs(grid: Array, held: NDArray[np.bool_]) -> Array:
    """Neighbouring pairs of grid points that the face holds both, shape (n, 2, 3)."""
    across = held[:-1, :] & held[1:, :]
    along = held[:, :-1] & held[:, 1:]
    return np.concatenate(
        (
            np.stack((grid[:-1, :][across], grid[1:, :][across]), axis=1),
            np.stack((grid[:, :-1][along], grid[:, 1:][along]), axis=1),
        )
    )


def _xyz(p: gp_Pnt) -> tuple[float, float, float]:
    return (p.X(), p.Y(), p.Z())


def _span(tables: Sequence[Array], points: Array) -> tuple[float, float]:
    """The run of angles that a connected face covers: low, and high up to low + 2 pi.

    `tables`: runs of samples, equally long ones together, (runs, samples, 3); `points` (n, 3).
    Each step from one sample to the next covers the angles between them. A whole turn begins at
    the seam, the angle that no step crosses; where there is none, or a step passes too close by
    the axis to tell which side, the span is more than a whole turn.
    """
    begins, widths = [np.arctan2(points[:, 1], points[:, 0]) % math.tau], [np.zeros(len(points))]
    for table in tables:
        angle = np.arctan2(table[:, :, 1], table[:, :, 0])
        turn = (np.diff(angle, axis=1) + math.pi) % math.tau - math.pi
        wound = np.cumsum(np.pad(turn, ((0, 0), (1, 0))), axis=1)
        if np.abs(turn).max(initial=0.0) > _HALF or np.ptp(wound, axis=1).max() > math.tau + 1e-6:
            return (0.0, 2.0 * math.tau)
        begins.append((np.where(turn < 0.0, angle[:, 1:], angle[:, :-1]) % math.tau).ravel())
        widths.append(np.abs(turn).ravel())
    low, width = np.concatenate(begins), np.concatenate(widths)
    order = np.argsort(low, kind="stable")
    low, width = low[order], width[order]
    # on the second turn all that reaches over from the first is known
    again = np.concatenate((low, low + math.tau))
    reached = np.maximum.accumulate(again + np.tile(width, 2))
    gaps = low + math.tau - reached[len(low) - 1 : -1]
    widest = int(np.argmax(gaps))
    if gaps[widest] >= _LEAST_GAP:
        return (float(low[widest] + math.tau), float(low[widest] + 2.0 * math.tau - gaps[widest]))
    return _whole_turn(tables, low, width)


def _tables(runs: Sequence[Array], pairs: Array) -> list[Array]:
    """Runs of samples (n, 3) by their length, and pairs (m, 2, 3) as they are."""
    by_length: dict[int, list[Array]] = {}
    for run in runs:
        by_length.setdefault(len(run), []).append(run)
    tables = [np.stack(equal) for equal in by_length.values()]
    return [*tables, pairs] if len(pairs) else tables


def _whole_turn(tables: Sequence[Array], begins: Array, widths: Array) -> tuple[float, float]:
    for table in tables:
        for seam in np.unique(np.arctan2(table[:, 0, 1], table[:, 0, 0])).tolist():
            past = (seam - begins) % math.tau
            if not bool(((past > 1e-6) & (past < widths - 1e-6)).any()):
                return (seam, seam + math.tau)
    return (0.0, 2.0 * math.tau)
