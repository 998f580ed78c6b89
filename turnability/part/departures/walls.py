"""The walls of what is cut out: faces on one surface taken together, measured in the axis frame.

Exporters split surfaces at seams and where other cuts cross them; a designer sees one wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.ElSLib import ElSLib
from OCP.gp import gp_Pnt, gp_Vec
from OCP.ShapeAnalysis import ShapeAnalysis_Surface
from OCP.TopExp import TopExp

from turnability.part.departures.vectors import (
    ORIGIN,
    SAME_DIRECTION,
    SAME_MM,
    Z,
    dot,
    minus,
    on_line,
    parallel,
    plus,
    square_to,
    xyz,
)
from turnability.part.edge_ranges import chords, range_along, range_from_axis
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Vector

_SAME_RADIUS_MM = 1e-4
_RADII = {"cylinder": "Radius", "sphere": "Radius", "torus": "MinorRadius"}
_ROUND = ("cylinder", "cone", "torus")


@dataclass(frozen=True, eq=False, repr=False)
class Wall:
    """Faces of one surface. `kind`: plane, cylinder, cone, sphere, torus, revolution or free.

    `direction`: a plane's outward normal (out of the material), else its own axis; `point`: on
    that axis (a cone's apex, a sphere's and a torus' centre), on a plane its foot from the frame's
    origin. `radius_mm`: of a cylinder or sphere, a torus' tube. `half_angle`: a cone's, radians.
    `hollow`: curved towards the void. `turn`: radians that a round wall covers about its own axis.
    `normal`: the outward normal in the middle of its largest face, `middle` that place.
    """

    faces: tuple[KernelFace, ...]
    kind: str
    point: Vector
    direction: Vector
    radius_mm: float
    half_angle: float
    hollow: bool
    turn: float
    normal: Vector
    middle: Vector

    def __repr__(self) -> str:
        return f"{self.kind} of faces {sorted(self.indices)}"

    @property
    def indices(self) -> frozenset[int]:
        """Its faces' indices."""
        return frozenset(face.index for face in self.faces)

    @property
    def area_mm2(self) -> float:
        """Area of its faces."""
        return math.fsum(face.area_mm2 for face in self.faces)

    @property
    def offset_mm(self) -> float:
        """A plane's distance from the origin along its outward normal (negative: faces it)."""
        return dot(self.point, self.direction)

    @property
    def is_round(self) -> bool:
        """Cylinder, cone or torus: with an axis of its own."""
        return self.kind in _ROUND

    @cached_property
    def coaxial(self) -> bool:
        """Turns about the part's own axis (planes: square to it)."""
        if self.kind == "plane":
            return parallel(self.direction, Z)
        if self.kind == "sphere":
            return math.hypot(self.point[0], self.point[1]) <= SAME_MM
        return self.is_round and on_line(self.point, ORIGIN, Z) and self.is_along(Z)

    def is_along(self, direction: Vector) -> bool:
        """Whether its own direction (normal or axis) is this one or its opposite."""
        return parallel(self.direction, direction)

    def extent(self, direction: Vector) -> tuple[float, float]:
        """Least and greatest p . direction over its edges, in mm for a unit direction."""
        known = self._extents.get(direction)
        if known is None:
            ranges = [
                range_along(edge, direction)
                for face in self.faces
                for edge in face.edges()
                if not BRep_Tool.Degenerated_s(edge)
            ]
            ranges += [(h, h) for h in (dot(p, direction) for p in self.poles(direction))]
            known = (min(low for low, _ in ranges), max(high for _, high in ranges))
            self._extents[direction] = known
        return known

    @cached_property
    def _extents(self) -> dict[Vector, tuple[float, float]]:
        return {}

    @cached_property
    def z_mm(self) -> tuple[float, float]:
        """Its range along the part's axis."""
        return self.extent(Z)

    @cached_property
    def r_mm(self) -> tuple[float, float]:
        """Its range of distances from the part's axis."""
        ranges = [
            range_from_axis(edge)
            for face in self.faces
            for edge in face.edges()
            if not BRep_Tool.Degenerated_s(edge)
        ]
        ranges += [(h, h) for h in (math.hypot(p[0], p[1]) for p in self._near_axis())]
        return min(low for low, _ in ranges), max(high for _, high in ranges)

    @cached_property
    def rim_centre(self) -> tuple[float, Vector]:
        """Length of its edges (each as often as it bounds a face) and their centre of gravity."""
        runs = [
            chord
            for face in self.faces
            for edge in face.edges()
            if not BRep_Tool.Degenerated_s(edge)
            for chord in chords(edge)
        ]
        total = math.fsum(length for length, _ in runs) or 1.0
        x, y, z = (math.fsum(length * p[k] for length, p in runs) / total for k in range(3))
        return total, (x, y, z)

    def poles(self, direction: Vector) -> Iterable[Vector]:
        """Places inside its faces that are extreme along a direction: a sphere's, a cone's apex."""
        if self.kind == "sphere":
            for side in (self.radius_mm, -self.radius_mm):
                pole = plus(self.point, direction, side)
                if self.holds(pole):
                    yield pole
        elif self.kind == "cone" and self.reaches_apex:
            yield self.point

    @cached_property
    def reaches_apex(self) -> bool:
        """Whether a cone runs out to its point."""
        return self.kind == "cone" and any(
            math.dist(xyz(BRep_Tool.Pnt_s(TopExp.FirstVertex_s(edge))), self.point) <= SAME_MM
            for face in self.faces
            for edge in face.edges()
        )

    def holds(self, place: Vector) -> bool:
        """Whether a place on its surface belongs to its faces (rims count)."""
        for face in self.faces:
            if face.canonical is not None and face.recovered_gap_mm is None:
                u, v = ElSLib.Parameters_s(face.canonical, gp_Pnt(*place))
            else:
                near = ShapeAnalysis_Surface(BRep_Tool.Surface_s(face.face))
                uv = near.ValueOfUV(gp_Pnt(*place), SAME_MM)
                if near.Gap() > SAME_MM:
                    continue
                u, v = uv.X(), uv.Y()
            if face.holds(u, v, with_rim=True):
                return True
        return False

    def _near_axis(self) -> Iterable[Vector]:
        """Places inside its faces that are next to the part's axis or farthest from it."""
        if self.kind == "plane" and abs(self.direction[2]) > SAME_DIRECTION:
            places = [(0.0, 0.0, self.offset_mm / self.direction[2])]
        elif self.kind == "cylinder" and not self.is_along(Z):
            places = _cylinder_places(self.point, self.direction, self.radius_mm)
        elif self.kind == "sphere":
            out = math.hypot(self.point[0], self.point[1])
            radial = (self.point[0] / out, self.point[1] / out, 0.0) if out > 0.0 else (1.0, 0, 0)
            places = [plus(self.point, radial, side * self.radius_mm) for side in (1.0, -1.0)]
            if out < self.radius_mm:
                rise = math.sqrt(self.radius_mm**2 - out**2)
                places += [(0.0, 0.0, self.point[2] + side * rise) for side in (1.0, -1.0)]
        else:
            places = []
        return [place for place in places if self.holds(place)]


def walls_of(faces: Iterable[KernelFace]) -> tuple[Wall, ...]:
    """Faces put together where they lie on one surface with the material on the same side."""
    made: list[list[Wall]] = []
    for face in faces:
        wall = wall_of(face)
        for others in made:
            if _one_surface(others[0], wall):
                others.append(wall)
                break
        else:
            made.append([wall])
    return tuple(_together(walls) for walls in made)


def wall_of(face: KernelFace) -> Wall:
    """A face by itself; its `turn` is not measured."""
    u0, u1, v0, v1 = face.bounds
    p, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
    face.surface.D1((u0 + u1) / 2.0, (v0 + v1) / 2.0, p, du, dv)
    n = du.Crossed(dv)
    size = n.Magnitude() * (-1.0 if face.reversed else 1.0)
    normal = (n.X() / size, n.Y() / size, n.Z() / size) if abs(size) > 1e-300 else Z
    middle = (p.X(), p.Y(), p.Z())
    point, direction, radius, half = middle, normal, 0.0, 0.0
    c = face.canonical
    if face.kind == "plane":
        d = c.Axis().Direction()
        direction = (d.X(), d.Y(), d.Z())
        if dot(direction, normal) < 0.0:
            direction = (-d.X(), -d.Y(), -d.Z())
        point = plus(ORIGIN, direction, dot(xyz(c.Location()), direction))
        normal = direction
    elif c is not None:
        q = c.Apex() if face.kind == "cone" else c.Location()
        point = xyz(q)
        if face.kind != "sphere":
            d = c.Axis().Direction()
            direction = (d.X(), d.Y(), d.Z())
        name = _RADII.get(face.kind)
        radius = float(getattr(c, name)()) if name else 0.0
        half = abs(float(c.SemiAngle())) if face.kind == "cone" else 0.0
    return Wall(
        (face,),
        face.kind,
        point,
        direction,
        radius,
        half,
        _is_hollow(face.kind, point, direction, middle, normal),
        0.0,
        normal,
        middle,
    )


def _is_hollow(kind: str, point: Vector, direction: Vector, middle: Vector, n: Vector) -> bool:
    """Whether the outward normal looks at the surface's own axis or centre."""
    if kind not in ("cylinder", "cone", "sphere", "torus"):
        return False
    away = minus(middle, point)
    if kind == "sphere":
        return dot(away, n) < 0.0
    along = dot(away, direction)
    radial = minus(away, (along * direction[0], along * direction[1], along * direction[2]))
    return dot(radial, n) < 0.0


def _one_surface(a: Wall, b: Wall) -> bool:
    if a.kind != b.kind or a.hollow != b.hollow or a.kind in ("free", "revolution"):
        return False
    if a.kind == "plane":
        return dot(a.direction, b.direction) > 0.0 and a.is_along(b.direction) and (
            abs(a.offset_mm - b.offset_mm) <= _SAME_RADIUS_MM
        )  # fmt: skip
    if abs(a.radius_mm - b.radius_mm) > _SAME_RADIUS_MM:
        return False
    if a.kind == "sphere":
        return math.dist(a.point, b.point) <= SAME_MM
    if abs(a.half_angle - b.half_angle) > SAME_DIRECTION or not same_line(a, b):
        return False
    return a.kind == "cylinder" or math.dist(a.point, b.point) <= SAME_MM


def _together(walls: Sequence[Wall]) -> Wall:
    largest = max(walls, key=lambda wall: wall.area_mm2)
    faces = tuple(face for wall in walls for face in wall.faces)
    turn = _turn(faces, largest) if largest.is_round else 0.0
    return Wall(
        faces,
        largest.kind,
        largest.point,
        largest.direction,
        largest.radius_mm,
        largest.half_angle,
        largest.hollow,
        turn,
        largest.normal,
        largest.middle,
    )


def _turn(faces: Sequence[KernelFace], wall: Wall) -> float:
    """Radians about a round wall's own axis that its faces cover together."""
    if len(faces) == 1 and faces[0].has_formula:
        return min(math.tau, faces[0].bounds[1] - faces[0].bounds[0])
    x, y = square_to(wall.direction)
    spans = []
    for face in faces:
        u0, u1, v0, v1 = face.bounds
        steps = np.linspace(u0, u1, 25)
        if face.recovered_gap_mm is not None:  # either parameter may run round the axis
            across = np.linspace(v0, v1, 25)
            places = [face.surface.Value(u, (v0 + v1) / 2.0) for u in steps]
            places_v = [face.surface.Value((u0 + u1) / 2.0, v) for v in across]
            spans.append(max((_span(p, wall, x, y) for p in (places, places_v)), key=_width))
        else:
            spans.append(_span([face.surface.Value(u, (v0 + v1) / 2.0) for u in steps], wall, x, y))
    covered, reached = 0.0, -math.inf
    spans.sort()
    for low, high in spans:
        covered += max(0.0, high - max(low, reached))
        reached = max(reached, high)
    first = spans[0][0]
    return min(math.tau, covered - max(0.0, reached - (first + math.tau)))


def _span(places: Sequence[gp_Pnt], wall: Wall, x: Vector, y: Vector) -> tuple[float, float]:
    away = [minus(xyz(p), wall.point) for p in places]
    angles = np.unwrap([math.atan2(dot(a, y), dot(a, x)) for a in away])
    low, high = float(angles.min()), float(angles.max())
    start = low % math.tau
    return start, start + min(math.tau, high - low)


def _width(span: tuple[float, float]) -> float:
    return span[1] - span[0]


def _cylinder_places(point: Vector, d: Vector, radius: float) -> list[Vector]:
    """Where a cylinder across the part's axis meets it, and where it is next to it."""
    across = math.hypot(d[0], d[1])
    foot = plus(point, d, -(point[0] * d[0] + point[1] * d[1]) / (across * across))
    side = (-d[1] / across, d[0] / across, 0.0)
    off = dot(foot, side)
    places = [plus(foot, side, radius), plus(foot, side, -radius)]
    if abs(off) < radius:
        rise = math.sqrt(radius * radius - off * off) / across
        centre = (0.0, 0.0, foot[2])
        places += [plus(centre, Z, rise), plus(centre, Z, -rise)]
    return places


def same_line(a: Wall, b: Wall) -> bool:
    """Whether two round walls turn about one line."""
    return a.is_along(b.direction) and on_line(b.point, a.point, a.direction)
