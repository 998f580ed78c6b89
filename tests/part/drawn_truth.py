"""How far a found profile is from the drawn edges, and which faces each edge swept."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepTools import BRepTools
from OCP.BRepTopAdaptor import BRepTopAdaptor_FClass2d
from OCP.gp import gp_Pnt, gp_Pnt2d
from OCP.TopAbs import TopAbs_FACE, TopAbs_IN
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedMapOfShape

from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline
from turnability.part.model import Part

Array = NDArray[np.float64]


def frame_of(drawing, part: Part):
    """Drawn (z, r) points to the report's frame: (sign, shift)."""
    direction = np.array(part.axis.direction)
    inverse = drawing.placing.Inverted()
    origin = gp_Pnt(*part.axis.origin_mm).Transformed(inverse)
    tip = gp_Pnt(*(np.array(part.axis.origin_mm) + direction)).Transformed(inverse)
    way = (tip.X() - origin.X()) / abs(drawing.placing.ScaleFactor())
    assert abs(abs(way) - 1.0) < 1e-7, "another axis was found"
    assert math.hypot(origin.Y(), origin.Z()) < 1e-3, "the axis lies beside the drawn one"
    return math.copysign(1.0, way), origin.X()


def drawn_curve(edge: cq.Edge, sign: float, shift: float) -> Curve:
    """A drawn edge in the report's frame, splines as chords that miss by 1e-5 mm at most."""

    def at(p: cq.Vector) -> Point:
        return (sign * (p.x - shift), p.y)

    count = {"LINE": 2, "CIRCLE": 3}.get(edge.geomType(), 400)
    points = [at(p) for p in edge.positions(np.linspace(0.0, 1.0, count))]
    if count == 2:
        return Line(points[0], points[1])
    if count > 3:
        return Spline(tuple(points))
    (z0, r0), (zm, rm), (z1, r1) = points
    clockwise = (zm - z0) * (r1 - r0) - (rm - r0) * (z1 - z0) < 0.0
    return Arc(points[0], points[2], at(edge.arcCenter()), edge.radius(), clockwise)


def points_along(curve: Curve, count: int = 33) -> Array:
    """Points along a curve, at a spline's corners and half-way between them."""
    if isinstance(curve, Spline):
        p = np.asarray(curve.points)
        return np.concatenate((p, (p[:-1] + p[1:]) / 2.0))
    return np.array([curve.at(t) for t in np.linspace(0.0, 1.0, count)])


def distance_to(points: Array, curve: Curve) -> Array:
    """Distances of points (n, 2) to a curve."""
    if isinstance(curve, Arc):
        rel = points - np.asarray(curve.centre)
        off = np.abs(np.hypot(*rel.T) - curve.radius)
        way = -1.0 if curve.clockwise else 1.0
        past = (way * (np.arctan2(rel[:, 1], rel[:, 0]) - curve.start_angle())) % math.tau
        ends = np.minimum(np.hypot(*(points - curve.start).T), np.hypot(*(points - curve.end).T))
        return np.where(past <= abs(curve.sweep()), off, ends)
    line = np.asarray(curve.points if isinstance(curve, Spline) else (curve.start, curve.end))
    d = np.diff(line, axis=0)
    rel = points[:, None, :] - line[None, :-1, :]
    share = np.clip((rel * d).sum(axis=2) / (d * d).sum(axis=1), 0.0, 1.0)
    return np.hypot(*np.moveaxis(rel - share[..., None] * d, 2, 0)).min(axis=1)


def faces_by_edge(shape, drawn: list[Curve], drawing, sign: float, shift: float) -> list[set[int]]:
    """For each drawn edge the indices of the faces that lie on what it sweeps."""
    inverse = drawing.placing.Inverted()
    order = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, order)
    owned: list[set[int]] = [set() for _ in drawn]
    for index in range(1, order.Extent() + 1):
        face = TopoDS.Face_s(order.FindKey(index))
        points = []
        for p in _face_points(face):
            q = p.Transformed(inverse)
            points.append((sign * (q.X() - shift), math.hypot(q.Y(), q.Z())))
        if not points:
            continue
        at = np.array(points)
        off = [float(distance_to(at, curve).max()) for curve in drawn]
        best = int(np.argmin(off))
        if off[best] < min(2e-3, 1e-4 * drawing.size):
            owned[best].add(index)
    return owned


def _face_points(face) -> list[gp_Pnt]:
    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
    surface = BRepAdaptor_Surface(face)
    state = BRepTopAdaptor_FClass2d(face, 1e-9)
    found = []
    for s in (0.13, 0.37, 0.61, 0.83):
        for t in (0.17, 0.41, 0.59, 0.89):
            u, v = u0 + s * (u1 - u0), v0 + t * (v1 - v0)
            if state.Perform(gp_Pnt2d(u, v)) == TopAbs_IN:
                found.append(surface.Value(u, v))
    return found
