"""Which groups of faces are round holes, as the books ask: hollow all round one axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.part.departures.groups import Group
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Vector

_SAME_MM = 1e-3
_SAME_DIRECTION = 1e-5


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole in the axis frame: its axis (point next to the part's axis, direction)."""

    diameter_mm: float
    widest_mm: float
    point: Vector
    direction: Vector
    z_mm: tuple[float, float]

    @property
    def heading(self) -> str:
        """ "axial", "radial" (its axis meets the part's at a right angle) or "other"."""
        if math.hypot(self.direction[0], self.direction[1]) <= _SAME_DIRECTION:
            return "axial"
        square = abs(self.direction[2]) <= _SAME_DIRECTION
        return "radial" if square and self.offset_mm <= _SAME_MM else "other"

    @property
    def offset_mm(self) -> float:
        """Distance of its axis from the part's."""
        return math.hypot(self.point[0], self.point[1])


def hole_of(group: Group) -> Hole | None:
    """The hole that a group of faces is, or None: all round faces share one axis, hollow inside."""
    round_faces = [face for face in group.faces if face.kind in ("cylinder", "cone", "torus")]
    cylinders = [face for face in round_faces if face.kind == "cylinder"]
    if not cylinders or any(face.kind == "free" for face in group.faces):
        return None
    axis = cylinders[0].canonical.Axis()
    p, d = axis.Location(), axis.Direction()
    point = _next_to_axis((p.X(), p.Y(), p.Z()), (d.X(), d.Y(), d.Z()))
    direction = (d.X(), d.Y(), d.Z())
    for face in group.faces:
        if not _belongs(face, point, direction):
            return None
    widths: dict[float, float] = {}
    for face in cylinders:
        if not _hollow(face):
            return None
        radius = round(float(face.canonical.Radius()), 6)
        widths[radius] = widths.get(radius, 0.0) + (face.bounds[1] - face.bounds[0])
    if max(widths.values()) < math.tau - 1e-3:
        return None
    return Hole(2.0 * min(widths), 2.0 * max(widths), point, direction, group.z_mm)


def _belongs(face: KernelFace, point: Vector, direction: Vector) -> bool:
    c = face.canonical
    if face.kind == "plane":
        n = c.Axis().Direction()
        return _cross((n.X(), n.Y(), n.Z()), direction) <= _SAME_DIRECTION
    if c is None:
        return False
    q = c.Location()
    away = (q.X() - point[0], q.Y() - point[1], q.Z() - point[2])
    if _cross(away, direction) > _SAME_MM:
        return False
    if face.kind == "sphere":
        return True
    d = c.Axis().Direction()
    return _cross((d.X(), d.Y(), d.Z()), direction) <= _SAME_DIRECTION


def _hollow(face: KernelFace) -> bool:
    """Whether the solid lies outside the cylinder."""
    return bool(face.reversed == face.canonical.Position().Direct())


def _next_to_axis(p: Vector, d: Vector) -> Vector:
    across = d[0] * d[0] + d[1] * d[1]
    if across <= _SAME_DIRECTION**2:
        return p
    t = -(p[0] * d[0] + p[1] * d[1]) / across
    return (p[0] + t * d[0], p[1] + t * d[1], p[2] + t * d[2])


def _cross(a: Vector, b: Vector) -> float:
    return math.hypot(
        a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
    )
