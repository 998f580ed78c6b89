"""Which cells of the arrangement belong to the turned body.

Within a cell either every circle round the axis meets the solid or none does. It meets the solid
where a point of a face that is not turned lies in the cell, or where its circle meets such a
face; circles that meet none lie wholly in the solid or wholly outside, and cells that no turned
face parts are alike.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence

import numpy as np
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepIntCurveSurface import BRepIntCurveSurface_Inter
from OCP.Geom import Geom_Circle
from OCP.GeomAdaptor import GeomAdaptor_Curve
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Shape

from turnability.half_plane.arrangement import Arrangement, Cell, Origins
from turnability.half_plane.curves import Point, Points
from turnability.half_plane.inside import distance_to, holds
from turnability.part.kernel_faces import KernelFace
from turnability.part.turned_body.sampling import half_plane_point

THIN_MM = 1e-4
"""Cells thinner than this in the mean go with their neighbour on the longest side."""
_ANGLES = (0.7391, 2.8335, 4.9279)  # odd ones, that meet no seam
_GRID = 9


class CellJudge:
    """Answers for the cells of arrangements of one solid, which lies in its axis frame."""

    def __init__(self, shape: TopoDS_Shape, others: Sequence[KernelFace]) -> None:
        self._classifier = BRepClass3d_SolidClassifier(shape)
        self._others = others
        self._boxes = np.array([_image_box(face) for face in others]).reshape(-1, 4)
        self._witnesses = _witnesses(others)

    def decide(
        self,
        plane: Arrangement,
        within_mm: float,
        joins: Callable[[Origins], bool],
    ) -> list[bool]:
        """For each cell whether it is in.

        `joins` says of a piece's origins that no turned face, nor the axis, runs there.
        """
        known: list[bool | None] = [None] * len(plane.cells)
        known[0] = False
        open_cells: dict[int, Point] = {}
        for cell in plane.cells[1:]:
            if self._witnessed(cell, within_mm):
                known[cell.number] = True
                continue
            point = None if cell.mean_width() < THIN_MM else cell.well_inside()
            if point is not None and self._circle_meets(*point):
                known[cell.number] = True
            elif point is not None:
                open_cells[cell.number] = point
        self._judge_open(plane, joins, open_cells, known)
        _judge_slivers(plane, known)
        return [bool(state) for state in known]

    def _judge_open(
        self,
        plane: Arrangement,
        joins: Callable[[Origins], bool],
        points: dict[int, Point],
        known: list[bool | None],
    ) -> None:
        """Cells whose circles meet no face that is not turned: alike where `joins`."""
        parent = {0: 0, **{number: number for number in points}}

        def root(i: int) -> int:
            while parent[i] != i:
                parent[i] = parent[parent[i]]
                i = parent[i]
            return i

        for i, (_, origins) in enumerate(plane.pieces):
            left, right = plane.cell_of_side[2 * i], plane.cell_of_side[2 * i + 1]
            if left in parent and right in parent and joins(origins):
                parent[root(left)] = root(right)
        alike: dict[int, list[int]] = defaultdict(list)
        for number in points:
            alike[root(number)].append(number)
        outside = root(0)
        for key, numbers in alike.items():
            widest = max(numbers, key=lambda number: plane.cells[number].mean_width())
            state = key != outside and self._holds(*points[widest])
            for number in numbers:
                known[number] = state

    def _holds(self, z: float, r: float) -> bool:
        # one angle would do, were every crossing found; a hole nearly touched is missed at times
        for angle in _ANGLES:
            point = gp_Pnt(r * math.cos(angle), r * math.sin(angle), z)
            self._classifier.Perform(point, 1e-9)
            if self._classifier.State() == TopAbs_IN:
                return True
        return False

    def _witnessed(self, cell: Cell, within_mm: float) -> bool:
        if cell.outer is None:
            return False
        candidates = self._witnesses[holds(cell.outer, self._witnesses)]
        for ring in cell.holes:
            candidates = candidates[~holds(ring, candidates)]
        if not len(candidates):
            return False
        clear = distance_to((cell.outer, *cell.holes), candidates)
        return bool((clear > 5.0 * within_mm).any())

    def _circle_meets(self, z: float, r: float) -> bool:
        """Whether the circle meets a face that is not turned."""
        b = self._boxes
        hit = (b[:, 0] <= z) & (b[:, 1] >= z) & (b[:, 2] <= r) & (b[:, 3] >= r)
        near = np.nonzero(hit)[0].tolist()
        if not len(near):
            return False
        circle = Geom_Circle(gp_Circ(gp_Ax2(gp_Pnt(0.0, 0.0, z), gp_Dir(0.0, 0.0, 1.0)), r))
        curve = GeomAdaptor_Curve(circle)
        for i in near:  # one by one: the first that is met decides
            meeting = BRepIntCurveSurface_Inter()
            meeting.Init(self._others[i].face, curve, 1e-7)
            if meeting.More():
                return True
        return False


def _judge_slivers(plane: Arrangement, known: list[bool | None]) -> None:
    """Cells not known yet take the state of the neighbour on their longest side."""
    sides: dict[int, list[tuple[float, int]]] = {}
    for i, (curve, _) in enumerate(plane.pieces):
        left, right = plane.cell_of_side[2 * i], plane.cell_of_side[2 * i + 1]
        for here, there in ((left, right), (right, left)):
            if known[here] is None and here != there:
                sides.setdefault(here, []).append((curve.length(), there))
    waiting = set(sides)
    while waiting:
        decided = {
            here
            for here in waiting
            if any(
                known[there] is not None and length >= 0.5 * max(sides[here])[0]
                for length, there in sides[here]
            )
        }
        for here in decided:
            known[here] = max(
                (length, state)
                for length, there in sides[here]
                if (state := known[there]) is not None
            )[1]
        if not decided:
            break
        waiting -= decided


def _witnesses(others: Sequence[KernelFace]) -> Points:
    """Points (z, r) of faces that are not turned: where one lies in a cell, the cell is in."""
    found: list[Point] = []
    for face in others:
        u0, u1, v0, v1 = face.bounds
        for i in range(_GRID):
            for j in range(_GRID):
                u = u0 + (u1 - u0) * (i + 0.5) / _GRID
                v = v0 + (v1 - v0) * (j + 0.5) / _GRID
                if face.holds(u, v):
                    found.append(half_plane_point(face.surface.Value(u, v)))
    return np.array(found).reshape(-1, 2)


def _image_box(face: KernelFace) -> tuple[float, float, float, float]:
    """Bounds (least z, greatest z, least r, greatest r) of a face's image, with room to spare."""
    u0, u1, v0, v1 = face.bounds
    steps = np.linspace(0.0, 1.0, _GRID)
    zr = np.array(
        [
            half_plane_point(face.surface.Value(u0 + (u1 - u0) * i, v0 + (v1 - v0) * j))
            for i in steps
            for j in steps
        ]
    )
    low, high = zr.min(axis=0), zr.max(axis=0)
    room = 0.25 * (high - low) + 1e-3
    least_r = low[1] - room[1] if face.kind == "free" else 0.0
    return (
        float(low[0] - room[0]),
        float(high[0] + room[0]),
        float(least_r),
        float(high[1] + room[1]),
    )
