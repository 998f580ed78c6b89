"""The turned body's meridian: the union of the solid's half sections over every angle.

Generatrices of turned faces, edges and folds of the others cut the half plane into cells; within
a cell either every circle round the axis meets the solid or none does, so one point of each cell
decides it. What is in is the turned body; its rim is the meridian, exact because every piece is
a piece of a face's own generatrix (or of an edge or fold). See `half_plane.arrangement`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepIntCurveSurface import BRepIntCurveSurface_Inter
from OCP.Geom import Geom_Circle
from OCP.GeomAdaptor import GeomAdaptor_Curve
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Edge, TopoDS_Shape

from turnability.half_plane.arrangement import Arrangement, Cell, Drawn, arrange
from turnability.half_plane.curves import Curve, Line, Point, Points, Ring, ring_area
from turnability.half_plane.inside import distance_to, holds
from turnability.part.edge_images import edge_image
from turnability.part.folds import fold_images
from turnability.part.generatrix import generatrix, possible_caps
from turnability.part.kernel_faces import KernelFace
from turnability.part.profile import Piece, merge_neighbours
from turnability.part.sampling import half_plane_point
from turnability.part.smoothing import calmed, crests, joined_splines

FINEST_MM = 1e-5
THIN_MM = 1e-4
SLIVER_MM = 1e-6
"""Loops thinner than this are rounding."""
COARSEST_MM = 0.1
"""Gaps between faces are bridged from the finest to the coarsest, never beyond."""
_ANGLE = 0.7391  # any angle does; an odd one meets no seam
_GRID = 9


@dataclass(frozen=True, slots=True)
class Image:
    """A curve of the half plane and the faces it comes from; folds are not `certain`."""

    curve: Curve
    faces: tuple[int, ...]
    certain: bool
    turned: bool


@dataclass(frozen=True, slots=True)
class Meridian:
    """Loops of the turned body in the axis frame, and how wide a gap had to be bridged."""

    loops: tuple[tuple[Piece, ...], ...]
    turned_faces: frozenset[int]
    bridged_mm: float
    sound: bool


def meridian(
    shape: TopoDS_Shape,
    faces: Sequence[KernelFace],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
) -> Meridian:
    """The meridian of a solid that lies in its axis frame."""
    z_mm, r_mm = _bounds(shape)
    size = max(z_mm[1] - z_mm[0], 2.0 * r_mm)
    images: list[Image] = []
    turned: set[int] = set()
    for face in faces:
        curves = generatrix(face, size)
        if curves is not None:
            turned.add(face.index)
            images.extend(Image(curve, (face.index,), True, True) for curve in curves)
            images.extend(
                Image(curve, (face.index,), False, False) for curve in possible_caps(face)
            )
    others = [face for face in faces if face.index not in turned]
    by_index = {face.index: face for face in faces}
    for edge, owners in edges:
        if len(set(owners)) < 2 or turned.intersection(owners) or _smooth(owners, by_index):
            continue
        images.extend(Image(curve, owners, True, False) for curve in edge_image(edge))
    for face in others:
        images.extend(
            Image(curve, (face.index,), False, False) for curve in fold_images(face, z_mm, r_mm)
        )
    images.append(Image(Line((z_mm[0], 0.0), (z_mm[1], 0.0)), (), False, False))
    unique = _once(images)
    solid = _Solid(shape, others, _witnesses(others))
    free_faces = frozenset(face.index for face in others if face.kind == "free")
    finest = max(1e-7, min(FINEST_MM, size * 1e-7))
    best: Meridian | None = None
    within = finest
    while within <= min(COARSEST_MM, size * 1e-2):
        found = _attempt(unique, solid, frozenset(turned), within, free_faces, finest)
        if found is not None and (best is None or found.sound):
            best = found
        if best is not None and best.sound:
            break
        within *= 10.0
    if best is None:
        return Meridian((), frozenset(turned), within, sound=False)
    return best


def _attempt(
    images: list[Image],
    solid: _Solid,
    turned: frozenset[int],
    within_mm: float,
    free_faces: frozenset[int],
    finest_mm: float,
) -> Meridian | None:
    plane = arrange(((image.curve, frozenset((i,))) for i, image in enumerate(images)), within_mm)
    is_in = solid.decide(plane, within_mm)
    sound = all(
        is_in[plane.cell_of_side[2 * i]] or is_in[plane.cell_of_side[2 * i + 1]]
        for i, (curve, origins) in enumerate(plane.pieces)
        if any(images[o].turned for o in origins) and curve.length() > 20.0 * within_mm
    )
    _fill(plane, images, is_in)
    loops = [
        loop
        for loop in plane.boundary(is_in)
        if abs(ring_area(tuple(curve for curve, _ in loop))) > SLIVER_MM * _perimeter(loop)
    ]
    if not loops:
        return None
    same = min(1e-5, 2.0 * finest_mm)

    def free(i: int) -> bool:
        return bool(images[i].faces) and all(f in free_faces for f in images[i].faces)

    made = []
    for loop in loops:
        pieces = joined_splines(loop, [image.curve for image in images])
        calm = calmed(pieces, lambda o: any(images[i].turned for i in o))
        calm = crests(calm, lambda o: all(free(i) for i in o))
        named = [(curve, _faces(images, o)) for curve, o in calm]
        made.append(tuple(merge_neighbours(named, same)))
    return Meridian(tuple(made), turned, within_mm if within_mm > finest_mm else 0.0, sound)


def _perimeter(loop: Sequence[Drawn]) -> float:
    return math.fsum(curve.length() for curve, _ in loop)


def _fill(plane: Arrangement, images: list[Image], is_in: list[bool]) -> None:
    """Fill voids that only departures bound: a cross hole leaves a ball round the axis empty.

    Such a void is no cavity of the turned body: it is turned solid and drilled afterwards.
    """
    parent = list(range(len(plane.cells)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    rims: list[tuple[int, bool]] = []
    for i, (_, origins) in enumerate(plane.pieces):
        left, right = plane.cell_of_side[2 * i], plane.cell_of_side[2 * i + 1]
        if is_in[left] and is_in[right]:
            continue
        if is_in[left] or is_in[right]:
            turned = any(images[o].turned for o in origins)
            rims.append((right if is_in[left] else left, turned))
        elif any(images[o].faces for o in origins):  # the axis joins nothing
            parent[root(left)] = root(right)
    kept = {root(0)} | {root(cell) for cell, turned in rims if turned}
    for cell in range(len(plane.cells)):
        if not is_in[cell] and root(cell) not in kept:
            is_in[cell] = True


def _faces(images: list[Image], origins: frozenset[int]) -> tuple[int, ...]:
    certain = {f for o in origins if images[o].certain for f in images[o].faces}
    folds = {f for o in origins for f in images[o].faces}
    return tuple(sorted(certain or folds))


def _bounds(shape: TopoDS_Shape) -> tuple[tuple[float, float], float]:
    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    r = math.hypot(max(abs(x0), abs(x1)), max(abs(y0), abs(y1)))
    pad = 1e-3 * max(r, z1 - z0)
    return (z0 - pad, z1 + pad), r + pad


def _smooth(owners: tuple[int, ...], by_index: dict[int, KernelFace]) -> bool:
    """An edge between two parts of one canonical surface is no edge of the shape."""
    a, b = by_index[owners[0]], by_index[owners[1]]
    if a.kind != b.kind or a.canonical is None or b.canonical is None:
        return False
    if a.kind == "cylinder":
        p, q = a.canonical, b.canonical
        return bool(
            abs(p.Radius() - q.Radius()) <= 1e-7 and p.Axis().IsCoaxial(q.Axis(), 1e-9, 1e-7)
        )
    return False


def _once(images: list[Image]) -> list[Image]:
    """Equal curves become one: a bolt circle's holes all look alike in the half plane."""
    known: dict[tuple[float, ...], Image] = {}
    for image in images:
        curve = image.curve
        middle = curve.at(0.5)
        ends = sorted([curve.start, curve.end])
        key = (*tuple(round(x, 7) for p in (*ends, middle) for x in p), curve_kind(curve))
        old = known.get(key)
        if old is None:
            known[key] = image
        else:
            faces = tuple(sorted({*old.faces, *image.faces}))
            if old.certain == image.certain:
                known[key] = Image(old.curve, faces, old.certain, old.turned or image.turned)
            else:
                known[key] = old if old.certain else image
    return list(known.values())


def curve_kind(curve: Curve) -> float:
    """A number for the curve's kind, to tell equal ends of different curves apart."""
    return float(len(type(curve).__name__))


# ---------------------------------------------------------------- cells


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


class _Solid:
    """Answers whether the circle through a point of the half plane meets the solid."""

    def __init__(
        self, shape: TopoDS_Shape, others: Sequence[KernelFace], witnesses: Points
    ) -> None:
        self._classifier = BRepClass3d_SolidClassifier(shape)
        self._others = others
        self._boxes = np.array([_image_box(face) for face in others]).reshape(-1, 4)
        self._witnesses = witnesses

    def decide(self, plane: Arrangement, within_mm: float) -> list[bool]:
        """For each cell whether it belongs to the turned body.

        A sliver thinner than the profile's tolerance goes with its neighbour on the longest side.
        """
        known = [self._is_in(cell, within_mm) for cell in plane.cells]
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
        return [bool(state) for state in known]

    def _is_in(self, cell: Cell, within_mm: float) -> bool | None:
        if cell.outer is None:
            return False
        if self._witnessed(cell.outer, cell, within_mm):
            return True
        inside = None if cell.mean_width() < THIN_MM else cell.well_inside()
        if inside is None:
            return None
        if self._circle_meets(*inside):
            return True
        z, r = inside
        point = gp_Pnt(r * math.cos(_ANGLE), r * math.sin(_ANGLE), z)
        self._classifier.Perform(point, 1e-9)
        return bool(self._classifier.State() == TopAbs_IN)

    def _witnessed(self, outer: Ring, cell: Cell, within_mm: float) -> bool:
        candidates = self._witnesses[holds(outer, self._witnesses)]
        for ring in cell.holes:
            candidates = candidates[~holds(ring, candidates)]
        if not len(candidates):
            return False
        clear = distance_to((outer, *cell.holes), candidates)
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
