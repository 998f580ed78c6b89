"""Faces that turn about the axis, and the curve of the half plane that each is swept from.

A face is *turned* when turning its points about the axis moves them by no more than
`TURNED_MM` off the face. Everything is in the axis frame (the axis is z).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d
from OCP.ElSLib import ElSLib
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.GeomAPI import GeomAPI_ProjectPointOnSurf
from OCP.gp import gp_Pnt
from OCP.TopoDS import TopoDS_Edge

from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.part.edge_memory import once_per_edge
from turnability.part.edge_ranges import range_along, range_from_axis
from turnability.part.faces_of_solid import RECOVER_MM
from turnability.part.kernel_faces import KernelFace
from turnability.part.recovered import laid_on_axis
from turnability.part.surface_points import around_axis, cross, lengths
from turnability.part.turned_body.sampling import (
    curve_through,
    extremes,
    half_plane_point,
    polyline,
)

TURNED_MM = 1e-3
MEANT_MM = 1e-2
"""A free-form surface that runs this true was meant to turn; how far it is off is remarked."""
_ROUND = 8
_SQUARE = 2e-3
"""Greatest part of a unit normal around the axis where a surface turns."""


def generatrix(face: KernelFace, size_mm: float) -> list[Curve] | None:
    """The curves that a turned face is swept from, or None for a face that is not turned.

    `size_mm`: greatest extent of the part; a plane's tilt is judged over it.
    """
    known = face.kind in _MAKERS and (_is_coaxial(face, size_mm) or _lies_coaxial(face))
    if known:
        return _MAKERS[face.kind](face)
    if face.kind in ("free", "revolution"):
        along = _iso_generatrix(face)
        return None if along is None else _free(face, along)
    return None


def _is_coaxial(face: KernelFace, size_mm: float) -> bool:
    c = face.canonical
    if face.kind == "plane":
        n = c.Axis().Direction()
        return math.hypot(n.X(), n.Y()) * size_mm <= TURNED_MM
    if face.kind == "sphere":
        p = c.Location()
        return math.hypot(p.X(), p.Y()) <= TURNED_MM
    axis = c.Axis()
    p, d = axis.Location(), axis.Direction()
    tilt = math.hypot(d.X(), d.Y())
    if tilt * size_mm > TURNED_MM:
        return False
    if tilt == 0.0:
        return math.hypot(p.X(), p.Y()) <= TURNED_MM
    z = sum(_z_bounds(face)) / 2.0
    step = (z - p.Z()) / d.Z()
    return math.hypot(p.X() + step * d.X(), p.Y() + step * d.Y()) <= TURNED_MM


def _lies_coaxial(face: KernelFace) -> bool:
    """Whether a recovered surface may as well be about the axis; then it is taken so.

    A narrow sector follows surfaces of other kinds, and about other lines, as truly.
    """
    if face.recovered_gap_mm is None or _iso_generatrix(face) is None:
        return False
    for kind in ("cylinder", "cone", "torus"):
        found = laid_on_axis(kind, face.points, face.bounds, RECOVER_MM)
        if found is not None:
            face.kind, face.canonical = found.kind, found.surface
            face.recovered_gap_mm = found.gap_mm
            return True
    return False


def _z_bounds(face: KernelFace) -> tuple[float, float]:
    """Least and greatest z over the face's edges."""
    return _widest(range_along(edge, (0.0, 0.0, 1.0)) for edge in _edges(face))


def _edges(face: KernelFace) -> Iterator[TopoDS_Edge]:
    return (edge for edge in face.edges() if not BRep_Tool.Degenerated_s(edge))


def _widest(ranges: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """From the least to the greatest of all; from infinity to its opposite where there are none."""
    low, high = math.inf, -math.inf
    for a, b in ranges:
        low, high = min(low, a), max(high, b)
    return low, high


# ---------------------------------------------------------------- one kind each


def _plane(face: KernelFace) -> list[Curve]:
    low, high = _widest(range_from_axis(edge) for edge in _edges(face))
    plane = face.canonical
    normal, at = plane.Axis().Direction(), plane.Location()
    z = at.Z() + (normal.X() * at.X() + normal.Y() * at.Y()) / normal.Z()
    if low > 0.0 and _holds_point(face, gp_Pnt(0.0, 0.0, z)):
        low = 0.0
    return [Line((z, low), (z, high))]


def _cylinder(face: KernelFace) -> list[Curve]:
    low, high = _z_bounds(face)
    r = face.canonical.Radius()
    return [Line((low, r), (high, r))]


def _cone(face: KernelFace) -> list[Curve]:
    low, high = _z_bounds(face)
    apex, slope = face.canonical.Apex().Z(), abs(math.tan(face.canonical.SemiAngle()))

    def at(z: float) -> Point:
        return (z, abs(z - apex) * slope)

    if low + TURNED_MM < apex < high - TURNED_MM:
        return [Line(at(low), (apex, 0.0)), Line((apex, 0.0), at(high))]
    for edge in face.edges():  # a cone that ends in its apex has no edge there but a point
        if BRep_Tool.Degenerated_s(edge):
            low, high = min(low, apex), max(high, apex)
    return [Line(at(low), at(high))]


def possible_caps(face: KernelFace) -> list[tuple[Curve, bool]]:
    """Arcs from a coaxial sphere's rim to its poles, and whether the face is seen to hold them.

    A face that holds none of an arc's circles may have it all the same: exporters shift the face's
    own parameters by a turn. The cells of the arrangement decide.
    """
    if face.kind != "sphere":
        return []
    zc, radius = face.canonical.Location().Z(), face.canonical.Radius()
    low, high = _sphere_range(face)
    return [
        (
            Arc(_on_sphere(zc, radius, a), _on_sphere(zc, radius, b), (zc, 0.0), radius, False),
            any(_holds_point(face, p) for p in _ring(zc, radius, (a + b) / 2.0)),
        )
        for a, b in ((0.0, low), (high, math.pi))
        if b - a > 1e-9
    ]


def _ring(zc: float, radius: float, angle: float) -> list[gp_Pnt]:
    """Places round the axis on a coaxial sphere, at angles that meet no seam."""
    z, r = zc + radius * math.cos(angle), radius * math.sin(angle)
    turns = (0.39 + k * math.tau / _ROUND for k in range(_ROUND))
    return [gp_Pnt(r * math.cos(turn), r * math.sin(turn), z) for turn in turns]


def _sphere_range(face: KernelFace) -> tuple[float, float]:
    """Least and greatest angle from +z over the edges; the whole sphere where there are none.

    Seams don't count: they lie where the file's own poles want them.
    """
    zc = face.canonical.Location().Z()
    low, high = _widest(
        _polar_range(edge, zc) for edge in _edges(face) if not BRep_Tool.IsClosed_s(edge, face.face)
    )
    return (low, high) if low <= high else (0.0, math.pi)


@once_per_edge
def _polar_range(edge: TopoDS_Edge, zc: float) -> tuple[float, float]:
    """Least and greatest angle of an edge from +z, seen from a place on the axis."""
    curve = BRepAdaptor_Curve(edge)

    def angle(t: float) -> float:
        p = curve.Value(t)
        return math.atan2(math.hypot(p.X(), p.Y()), p.Z() - zc)

    first, last = curve.FirstParameter(), curve.LastParameter()
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        circle = curve.Circle()
        p, d = circle.Location(), circle.Axis().Direction()
        if math.hypot(p.X(), p.Y()) <= 1e-9 and math.hypot(d.X(), d.Y()) <= 1e-12:
            only = angle(first)
            return only, only
    return extremes(angle, first, last)


def _on_sphere(zc: float, radius: float, angle: float) -> Point:
    r = 0.0 if angle in (0.0, math.pi) else radius * math.sin(angle)
    return (zc + radius * math.cos(angle), r)


def _sphere(face: KernelFace) -> list[Curve]:
    zc, radius = face.canonical.Location().Z(), face.canonical.Radius()
    low, high = _sphere_range(face)
    if high - low <= 1e-9:  # one rim: the face lies on one side of it
        return []
    start, end = _on_sphere(zc, radius, low), _on_sphere(zc, radius, high)
    return [Arc(start, end, (zc, 0.0), radius, False)]


def _torus(face: KernelFace) -> list[Curve]:
    torus = face.canonical
    centre = (torus.Location().Z(), torus.MajorRadius())
    along = _iso_generatrix(face) if face.recovered_gap_mm is not None else "v"
    if along is None:
        return []
    place, low, high = _along(face, along)
    ends = [place(low), place((low + high) / 2.0), place(high)]
    if torus.MajorRadius() < torus.MinorRadius():
        curve = curve_through(polyline(place, low, high))
        return [] if curve is None else [curve]
    return arcs_through(ends[0], ends[1], ends[2], centre, torus.MinorRadius())


def arcs_through(
    start: Point, middle: Point, end: Point, centre: Point, radius: float
) -> list[Curve]:
    """The arc from start over middle to end; two arcs where that is a whole turn."""

    def angle(p: Point) -> float:
        return math.atan2(p[1] - centre[1], p[0] - centre[0])

    def on(p: Point) -> Point:
        a = angle(p)
        return (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a))

    start, middle, end = on(start), on(middle), on(end)
    to_middle = (angle(middle) - angle(start)) % math.tau
    to_end = (angle(end) - angle(start)) % math.tau
    if min(to_end, math.tau - to_end) * radius < 1e-6 and to_middle > 0.1:
        return [
            Arc(start, middle, centre, radius, False),
            Arc(middle, start, centre, radius, False),
        ]
    return [Arc(start, end, centre, radius, clockwise=to_middle > to_end)]


def _free(face: KernelFace, along: str) -> list[Curve]:
    place, low, high = _along(face, along)
    curve = curve_through(polyline(place, low, high))
    return [] if curve is None else [curve]


_MAKERS = {
    "plane": _plane,
    "cylinder": _cylinder,
    "cone": _cone,
    "sphere": _sphere,
    "torus": _torus,
}


# ---------------------------------------------------------------- parameters


def _holds_point(face: KernelFace, point: gp_Pnt) -> bool:
    """Whether a point of the face's surface belongs to the face."""
    if face.recovered_gap_mm is not None:
        near = GeomAPI_ProjectPointOnSurf(point, BRep_Tool.Surface_s(face.face))
        if near.NbPoints() == 0 or near.LowerDistance() > TURNED_MM:
            return False
        return face.holds(*near.LowerDistanceParameters())
    return face.holds(*ElSLib.Parameters_s(face.canonical, point))


def _iso_generatrix(face: KernelFace) -> str | None:
    """Which parameter runs along the generatrix while the other only turns: "u", "v" or None."""
    few = face.even.points[::8, ::8]
    zr = np.stack((few[..., 2], np.hypot(few[..., 0], few[..., 1])), axis=2)
    if min(float(np.ptp(zr, axis=k).max()) for k in (0, 1)) > MEANT_MM:
        return None  # places of the finer grid too, and enough of them for most faces
    u0, u1, v0, v1 = face.bounds
    p, su, sv = face.lattice(np.linspace(u0, u1, 7), np.linspace(v0, v1, 7))
    z, r = p[..., 2], np.hypot(p[..., 0], p[..., 1])
    if max(float(np.ptp(z, axis=0).max()), float(np.ptp(r, axis=0).max())) <= MEANT_MM:
        along = "v"
    elif max(float(np.ptp(z, axis=1).max()), float(np.ptp(r, axis=1).max())) <= MEANT_MM:
        along = "u"
    else:
        return None
    size = np.maximum(lengths(cross(su, sv)), 1e-300)
    turning = np.abs(around_axis(p, su, sv)[2]) / size
    inner = (slice(1, -1), slice(1, -1))
    square = (turning[inner] <= _SQUARE * np.maximum(r[inner], TURNED_MM)).all()
    return along if square else None


def _along(face: KernelFace, along: str) -> tuple[Callable[[float], Point], float, float]:
    """The generatrix by the native parameter that runs along it, and the face's range of it."""
    u0, _u1, v0, _v1 = face.bounds
    # at the rim: there the neighbours' corners lie
    rim = u0 if along == "v" else v0
    low, high = math.inf, -math.inf
    for edge in face.edges():
        trace = BRepAdaptor_Curve2d(edge, face.face)
        first, last = trace.FirstParameter(), trace.LastParameter()

        def value(t: float, trace: BRepAdaptor_Curve2d = trace) -> float:
            p = trace.Value(t)
            return float(p.Y() if along == "v" else p.X())

        if trace.GetType() == GeomAbs_CurveType.GeomAbs_Line:
            pair = value(first), value(last)
        else:
            pair = extremes(value, first, last)
        low, high = min(low, *pair), max(high, *pair)

    def place(t: float) -> Point:
        u, v = (rim, t) if along == "v" else (t, rim)
        return half_plane_point(face.surface.Value(u, v))

    return place, low, high
