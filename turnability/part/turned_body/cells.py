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
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepIntCurveSurface import BRepIntCurveSurface_Inter
from OCP.Geom import Geom_Circle
from OCP.GeomAdaptor import GeomAdaptor_Curve
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Shape

from turnability.half_plane.arrangement import Arrangement, Cell
from turnability.half_plane.curves import Point, Points, Ring, flatten_ring
from turnability.half_plane.inside import polygon_distance, polygon_holds
from turnability.half_plane.pieces import Origins
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import patch_nets
from turnability.part.turned_body.solid_side import LEFT, RIGHT, UNKNOWN

THIN_MM = 1e-4
"""Cells thinner than this in the mean go with their neighbour on the longest side."""
_ANGLES = (0.7391, 2.8335, 4.9279)  # odd ones, that meet no seam
_NEWTON = 12
_FEW = 16
_PARTS = (32, 8)
"""How a B-spline is taken apart into hulls of poles, along and across its longer way."""
_MOST_STARTS = 24
_WELL_IN = 0.02
"""A point this share of a cell's mean width from its rim stands well within it."""
_ROOM_MM = 1e-6
_MOST_ASKED = 1500

Array: TypeAlias = NDArray[np.float64]


class CellJudge:
    """Answers for the cells of arrangements of one solid, which lies in its axis frame."""

    def __init__(self, shape: TopoDS_Shape, others: Sequence[KernelFace]) -> None:
        self._shape = shape
        self._classifier: BRepClass3d_SolidClassifier | None = None
        self._others = others
        self._boxes = np.array([_image_box(face) for face in others]).reshape(-1, 4)
        self._grids = [_grid(face) for face in others]
        self._hulls: dict[int, tuple[Array, Array] | None] = {}
        witnesses = np.concatenate(
            [np.empty((0, 2)), *(grid.images[grid.held] for grid in self._grids)]
        )
        self._witnesses = witnesses[witnesses[:, 0].argsort(kind="stable")]

    def decide(
        self,
        plane: Arrangement,
        within_mm: float,
        joins: Callable[[Origins], bool],
        sides: Sequence[int] = (),
    ) -> list[bool]:
        """For each cell whether it is in.

        `joins` says of a piece's origins that no turned face, nor the axis, runs there. `sides`:
        of each piece, on which side turned faces have the solid, where they tell.
        """
        known: list[bool | None] = [None] * len(plane.cells)
        known[0] = False
        open_cells: dict[int, Point] = {}
        for cell in plane.cells[1:]:
            clear = self._witnessed_mm(cell, within_mm)
            if clear >= _WELL_IN * cell.mean_width_mm and clear > 0.0:
                known[cell.number] = True
                continue
            point = None if cell.mean_width_mm < THIN_MM else cell.well_inside()
            if point is not None and self._circle_meets(*point):
                known[cell.number] = True
            elif point is not None:
                open_cells[cell.number] = point
            elif clear > 0.0:
                known[cell.number] = True
        self._judge_open(plane, joins, sides, open_cells, known)
        _judge_slivers(plane, known)
        return [bool(state) for state in known]

    def stands_out_mm(self, rings: Sequence[Ring]) -> float:
        """How far a few of those points lie outside a body of these rings; 0 where none does.

        Whatever was decided, the turned body must hold them all.
        """
        few = self._witnesses[:: max(1, len(self._witnesses) // _MOST_ASKED)]
        polygons = [flatten_ring(ring, THIN_MM) for ring in rings]
        within = np.zeros(len(few), dtype=np.int64)
        for polygon in polygons:
            within += polygon_holds(polygon, few)
        out = few[within % 2 == 0]
        return float(polygon_distance(polygons, out).max()) if len(out) else 0.0

    def _judge_open(
        self,
        plane: Arrangement,
        joins: Callable[[Origins], bool],
        sides: Sequence[int],
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
        told: dict[int, set[bool]] = defaultdict(set)
        for i, side in enumerate(sides):
            if side != UNKNOWN:
                for cell, is_in in (
                    (plane.cell_of_side[2 * i], side == LEFT),
                    (plane.cell_of_side[2 * i + 1], side == RIGHT),
                ):
                    if cell in parent:
                        told[root(cell)].add(is_in)
        inside_out = True in told[outside]  # then faces are not to be trusted
        for key, numbers in alike.items():
            widest = max(numbers, key=lambda number: plane.cells[number].mean_width_mm)
            if len(told[key]) == 1 and not inside_out:
                state = key != outside and True in told[key]
            else:
                state = key != outside and self._holds(*points[widest])
            for number in numbers:
                known[number] = state

    def _holds(self, z: float, r: float) -> bool:
        if self._classifier is None:
            self._classifier = BRepClass3d_SolidClassifier(self._shape)
        # one angle would do, were every crossing found; a hole nearly touched is missed at times
        for angle in _ANGLES:
            point = gp_Pnt(r * math.cos(angle), r * math.sin(angle), z)
            self._classifier.Perform(point, 1e-9)
            if self._classifier.State() == TopAbs_IN:
                return True
        return False

    def _witnessed_mm(self, cell: Cell, within_mm: float) -> float:
        """How far from its rim a point of a face that is not turned lies in the cell; 0: none does.

        Points only beside the rim prove little of a wide cell: a fold of a crest that sags by
        hundredths may be missing there.
        """
        if cell.outer is None:
            return 0.0
        (z0, r0), (z1, r1) = (f(cell.polygons[0], axis=0) for f in (np.min, np.max))
        first, last = np.searchsorted(self._witnesses[:, 0], (z0, z1))
        near = self._witnesses[first:last]
        near = near[(near[:, 1] > r0) & (near[:, 1] < r1)]
        few = near[:: max(1, len(near) // _FEW)]  # nearly always one of these is enough
        most = 0.0
        for candidates in (few, near) if len(few) < len(near) else (near,):
            inside = candidates[cell.holds(candidates)]
            if len(inside):
                most = max(most, float(cell.clear_mm(inside).max()))
            if most > 5.0 * within_mm and most >= _WELL_IN * cell.mean_width_mm:
                return most
        return most if most > 5.0 * within_mm else 0.0

    def _circle_meets(self, z: float, r: float) -> bool:
        """Whether the circle meets a face that is not turned."""
        b = self._boxes
        hit = (b[:, 0] <= z) & (b[:, 1] >= z) & (b[:, 2] <= r) & (b[:, 3] >= r)
        near = np.nonzero(hit)[0].tolist()
        if not len(near):
            return False
        for i in near:  # a point of a face on the circle is proof, and cheaper found than none
            if _lands_on(self._others[i], self._grids[i], z, r):
                return True
        near = [i for i in near if not self._passes(i, z, r)]
        if any(_newton_lands(self._others[i], self._starts(i, z, r), z, r) for i in near):
            return True
        if not near:
            return False
        circle = Geom_Circle(gp_Circ(gp_Ax2(gp_Pnt(0.0, 0.0, z), gp_Dir(0.0, 0.0, 1.0)), r))
        curve = GeomAdaptor_Curve(circle)
        for i in near:  # one by one: the first that is met decides
            meeting = BRepIntCurveSurface_Inter()
            meeting.Init(self._others[i].face, curve, 1e-7)
            if meeting.More():
                return True
        return False

    def _passes(self, i: int, z: float, r: float) -> bool:
        """Whether a circle is known to pass a B-spline by: the hulls of all parts of it."""
        return self._known_hulls(i) is not None and not len(self._starts(i, z, r))

    def _starts(self, i: int, z: float, r: float) -> Array:
        """Parameters (n, 2) of parts of a B-spline whose hulls a circle may enter."""
        known = self._known_hulls(i)
        if known is None:
            return np.empty((0, 2))
        middles, boxes = known
        z0, z1, r0, r1 = boxes.T
        held: Array = middles[(z0 <= z) & (z <= z1) & (r0 <= r) & (r <= r1)]
        return held

    def _known_hulls(self, i: int) -> tuple[Array, Array] | None:
        if i not in self._hulls:
            self._hulls[i] = _hulls(self._others[i])
        return self._hulls[i]


def _hulls(face: KernelFace) -> tuple[Array, Array] | None:
    """Middles of a surface's parts and bounds (n, 4) in z and r of their hulls.

    None where it is no B-spline.
    """
    patch = None if face.has_formula else face.patch
    if patch is None or float(patch.poles[..., 3].min()) <= 0.0:
        return None
    middles, nets = patch_nets(patch, face.bounds, _PARTS)
    poles = nets[..., :3] / nets[..., 3:]
    z, r = poles[..., 2], np.hypot(poles[..., 0], poles[..., 1])
    # a hull is no nearer to the axis than its poles are along the way to their middle
    middle = poles[..., :2].mean(axis=1)
    way = middle / np.maximum(np.hypot(middle[:, 0], middle[:, 1]), 1e-300)[:, None]
    near = np.maximum((poles[..., :2] * way[:, None, :]).sum(axis=2).min(axis=1), 0.0)
    ends = (z.min(axis=1), z.max(axis=1), near, r.max(axis=1))
    return middles, np.column_stack(ends) + _ROOM_MM * np.array([-1.0, 1.0, -1.0, 1.0])


def _newton_lands(face: KernelFace, uv: Array, z: float, r: float) -> bool:
    """Whether Newton's iteration from one of some parameters (n, 2) finds the face on a circle."""
    if not len(uv):
        return False
    uv = uv[:: max(1, len(uv) // _MOST_STARTS)]
    u0, u1, v0, v1 = face.bounds
    low, high = np.array([u0, v0]), np.array([u1, v1])
    for _ in range(_NEWTON):
        p, su, sv = face.points(uv[:, 0], uv[:, 1])
        here = np.maximum(np.hypot(p[:, 0], p[:, 1]), 1e-300)
        dz, dr = z - p[:, 2], r - here
        on = np.abs(dz) + np.abs(dr) <= 1e-9
        if any(face.holds(u, v) for u, v in uv[on].tolist()):
            return True
        zu, zv = su[:, 2], sv[:, 2]
        ru, rv = ((d[:, 0] * p[:, 0] + d[:, 1] * p[:, 1]) / here for d in (su, sv))
        turn = zu * rv - zv * ru
        turn[turn == 0.0] = np.inf
        uv = uv + np.column_stack(((dz * rv - dr * zv) / turn, (dr * zu - dz * ru) / turn))
        uv = uv[((uv >= low) & (uv <= high)).all(axis=1) & ~on]
        if not len(uv):
            return False
    return False


def _lands_on(face: KernelFace, grid: _Grid, z: float, r: float) -> bool:
    """Whether Newton's iteration from the nearest grid point finds the face on the circle."""
    k = int(np.argmin(np.hypot(*(grid.images - (z, r)).T)))
    u, v = grid.uv[k].tolist()
    p, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    for _ in range(_NEWTON):
        face.surface.D1(u, v, p, along_u, along_v)
        here = math.hypot(p.X(), p.Y())
        dz, dr = z - p.Z(), r - here
        if abs(dz) + abs(dr) <= 1e-9:
            return face.holds(u, v)
        if here == 0.0:
            return False
        zu, zv = along_u.Z(), along_v.Z()
        ru = (along_u.X() * p.X() + along_u.Y() * p.Y()) / here
        rv = (along_v.X() * p.X() + along_v.Y() * p.Y()) / here
        turn = zu * rv - zv * ru
        if turn == 0.0:
            return False
        u += (dz * rv - dr * zv) / turn
        v += (dr * zu - dz * ru) / turn
        if not _within(face.bounds, u, v):
            return False
    return False


def _within(bounds: tuple[float, float, float, float], u: float, v: float) -> bool:
    """Whether parameters are in the bounds or no further off than half their width."""
    u0, u1, v0, v1 = bounds
    return abs(2.0 * u - u0 - u1) <= 2.0 * (u1 - u0) and abs(2.0 * v - v0 - v1) <= 2.0 * (v1 - v0)


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


@dataclass(frozen=True, slots=True)
class _Grid:
    """Parameters (n, 2) of a face's points, their images (n, 2) and which are the face's own."""

    uv: NDArray[np.float64]
    images: Points
    held: NDArray[np.bool_]


def _grid(face: KernelFace) -> _Grid:
    inner = face.inner
    return _Grid(inner.uv, _images(inner.points), face.inner_held)


def _images(points: NDArray[np.float64]) -> Points:
    """(z, r) of points in space (n, 3)."""
    return np.column_stack((points[:, 2], np.hypot(points[:, 0], points[:, 1])))


def _image_box(face: KernelFace) -> tuple[float, float, float, float]:
    """Bounds (least z, greatest z, least r, greatest r) of a face's image, with room to spare."""
    zr = _images(face.few[0])
    low, high = zr.min(axis=0), zr.max(axis=0)
    room = 0.25 * (high - low) + 1e-3
    least_r = low[1] - room[1] if face.kind == "free" else 0.0
    low, high = low - room, high + room
    if face.patch is not None and float(face.patch.poles[..., 3].min()) > 0.0:
        # it lies within the hull of its poles
        poles = face.patch.poles[..., :3] / face.patch.poles[..., 3:]
        hull = _images(poles.reshape(-1, 3))
        low[0] = max(low[0], float(hull[:, 0].min()) - 1e-3)
        high = np.minimum(high, hull.max(axis=0) + 1e-3)
    return float(low[0]), float(high[0]), float(least_r), float(high[1])
