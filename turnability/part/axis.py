"""Which line the part turns about: candidates from its faces, weighed by what a lathe would cut.

Planes give no vote: two parallel planes hold nearly all of a plate's area and no lathe cuts it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax1, gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Shape

from turnability.part.kernel_faces import KernelFace
from turnability.part.recovered import turning_axis
from turnability.part.surface_points import cross, lengths

SAME_DIRECTION = 1e-5
"""Sine of the angle between directions that count as one."""
SAME_LINE_MM = 1e-3
"""Axes this close are one: a face turns about an axis within 1 µm."""
_EQUAL_COMPONENT = 1e-6
_NEARLY_MEET = 1e-4
"""Radians by which normals of a free-form face may miss the axis that it turns about."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Line3:
    """A line in space: a point on it (mm), its unit direction, the area that votes for it."""

    point: tuple[float, float, float]
    direction: tuple[float, float, float]
    weight_mm2: float


def axis_candidates(shape: TopoDS_Shape, faces: list[KernelFace]) -> list[Line3]:
    """Candidate axes, the heaviest first; for solids with none the principal axes of inertia."""
    lines: list[tuple[Array, Array, float]] = []
    centres: list[tuple[Array, float]] = []
    for face in faces:
        axis = _axis_of(face)
        if axis is not None:
            lines.append((_xyz(axis.Location()), _xyz(axis.Direction()), face.area_mm2))
        elif face.kind == "free":
            turning = turning_axis(face.few, _NEARLY_MEET)
            if turning is not None:
                lines.append((*turning, face.area_mm2))
        elif face.kind == "sphere":
            centres.append((_xyz(face.canonical.Location()), face.area_mm2))
    lines.extend(_circle_axes(faces))
    found = []
    left = sorted(lines, key=lambda item: -float(f"{item[2]:.9e}"))
    points = np.array([p for p, _, _ in left]).reshape(-1, 3)
    directions = np.array([d for _, d, _ in left]).reshape(-1, 3)
    areas = np.array([a for _, _, a in left])
    open_ = np.ones(len(left), dtype=bool)
    for i, (point, direction, _) in enumerate(left):
        if not open_[i]:
            continue
        parallel = lengths(cross(directions, direction)) <= SAME_DIRECTION
        near = lengths(cross(points - point, direction)) <= SAME_LINE_MM
        one = open_ & parallel & near
        open_ &= ~one
        weight = float(areas[one].sum())
        for centre, area in centres:
            if np.linalg.norm(np.cross(centre - point, direction)) <= SAME_LINE_MM:
                weight += area
        found.append((point, direction, weight))
    if not found:
        found = _inertia_axes(shape, centres)
    # equal holes weigh the same but for rounding: the first of them stands for all
    found.sort(key=lambda item: -float(f"{item[2]:.9e}"))
    return [Line3(_tuple(p), _tuple(d), float(w)) for p, d, w in found]


def to_axis_frame(line: Line3) -> gp_Trsf:
    """The rigid move that lays `line` on z, pointing as the report contract says."""
    direction = contract_direction(line.direction)
    frame = gp_Ax3(gp_Pnt(*line.point), gp_Dir(*direction))
    move = gp_Trsf()
    move.SetTransformation(frame)
    return move


def contract_direction(direction: tuple[float, float, float]) -> tuple[float, float, float]:
    """The one of two directions whose first component of the largest magnitude is positive."""
    largest = max(abs(c) for c in direction)
    lead = next(c for c in direction if abs(c) >= largest - _EQUAL_COMPONENT)
    sign = 1.0 if lead > 0.0 else -1.0
    return tuple(sign * c + 0.0 for c in direction)  # type: ignore[return-value]


def _axis_of(face: KernelFace) -> gp_Ax1 | None:
    if face.kind in ("cylinder", "cone", "torus"):
        axis: gp_Ax1 = face.canonical.Axis()
        return axis
    if face.kind == "revolution":
        return face.surface.AxeOfRevolution()
    return None


def _circle_axes(faces: list[KernelFace]) -> list[tuple[Array, Array, float]]:
    """Axes of circular edges, with hardly any weight: they only help where no face has an axis."""
    found = []
    for face in faces:
        if face.kind not in ("sphere", "free", "plane"):
            continue
        for edge in face.edges():
            curve = BRepAdaptor_Curve(edge)
            if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
                circle = curve.Circle()
                weight = 1e-9 * circle.Radius() ** 2
                found.append((_xyz(circle.Location()), _xyz(circle.Axis().Direction()), weight))
    return found


def _inertia_axes(
    shape: TopoDS_Shape, centres: list[tuple[Array, float]]
) -> list[tuple[Array, Array, float]]:
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    centre = _xyz(props.CentreOfMass())
    if centres:
        centre = max(centres, key=lambda item: item[1])[0]
    principal = props.PrincipalProperties()
    axes = (
        principal.FirstAxisOfInertia(),
        principal.SecondAxisOfInertia(),
        principal.ThirdAxisOfInertia(),
    )
    weight = sum(area for _, area in centres)
    return [(centre, _xyz(axis), weight) for axis in axes]


def _xyz(p: gp_Pnt | gp_Dir | gp_Vec) -> Array:
    return np.array([p.X(), p.Y(), p.Z()])


def _tuple(a: Array) -> tuple[float, float, float]:
    return (float(a[0]), float(a[1]), float(a[2]))


def origin_on_axis(line: Line3, move: gp_Trsf, z_low_mm: float) -> tuple[float, float, float]:
    """The axis point at height `z_low_mm` of the moved frame, in the solid's own coordinates."""
    p = gp_Pnt(0.0, 0.0, z_low_mm).Transformed(move.Inverted())
    return tuple(0.0 if math.isclose(c, 0.0, abs_tol=1e-12) else c for c in (p.X(), p.Y(), p.Z()))  # type: ignore[return-value]
