"""Edges that wind round the axis as they climb, measured once for threads and for departures."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS_Edge

from turnability.part.edge_memory import once_per_edge
from turnability.part.surface_points import Array

_FEW = 5
_FIRST = 33
_FINEST = 2049
_STEP = math.radians(45.0)
_SAME_RADIUS = 0.05
_STEEPEST = 0.5
"""Greatest change of radius by length along an edge that winds on a cone (1:1 of diameter)."""
_EVEN = 0.1
"""Greatest mean departure of the climb from an even one, as a share of the lead."""
_LEAST_RISE_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Winding:
    """An edge's mean radius and the width of its radii in mm, its climb in mm and turn in radians.

    `turn_rad` is positive; `rise_mm` is negative where the edge climbs left-handed.
    """

    radius_mm: float
    radii_mm: float
    rise_mm: float
    turn_rad: float


def edge_points(edge: TopoDS_Edge, count: int) -> Array:
    """Points along an edge at even parameters, shape (count, 3); not to be written into."""
    if (_FIRST - 1) % (count - 1) == 0:
        return _points(edge, _FIRST)[:: (_FIRST - 1) // (count - 1)]
    return _points(edge, count)


@once_per_edge
def _points(edge: TopoDS_Edge, count: int) -> Array:
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        a, b = (np.array([p.X(), p.Y(), p.Z()]) for p in (curve.Value(first), curve.Value(last)))
        along: Array = a + np.linspace(0.0, 1.0, count)[:, None] * (b - a)
        return along
    points = (curve.Value(t) for t in np.linspace(first, last, count).tolist())
    return np.array([(p.X(), p.Y(), p.Z()) for p in points])


@once_per_edge
def winding(edge: TopoDS_Edge) -> Winding | None:
    """How an edge winds; None where it climbs unevenly, not at all, or leaves its cylinder or cone.

    It is sampled until no step turns by more than an eighth of a turn, from the first so finely as
    its own tangents ask for: steps of whole turns look like none.
    """
    if BRep_Tool.Degenerated_s(edge):
        return None
    few, count = _first_look(edge)
    if abs(float(few[-1, 2] - few[0, 2])) <= _LEAST_RISE_MM or not _on_a_cone(few):
        return None
    while True:
        points = edge_points(edge, count)
        angles = np.arctan2(points[:, 1], points[:, 0])
        steps = (np.diff(angles) + math.pi) % math.tau - math.pi
        if float(np.abs(steps).max()) <= _STEP or count >= _FINEST:
            break
        count = 2 * count - 1
    radii = np.hypot(points[:, 0], points[:, 1])
    turn = float(steps.sum())
    if not _on_a_cone(points) or float(np.abs(steps).min()) <= 1e-12:
        return None
    rise = float(points[-1, 2] - points[0, 2])
    lead = rise / turn
    uneven = float(np.abs(np.diff(points[:, 2]) / steps - lead).mean())
    if uneven > _EVEN * abs(lead):
        return None
    return Winding(float(radii.mean()), float(np.ptp(radii)), math.copysign(rise, lead), abs(turn))


def _first_look(edge: TopoDS_Edge) -> tuple[Array, int]:
    """A few points along an edge, shape (n, 3), and how many its turning there asks for."""
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    points, fastest = [], 0.0
    for t in np.linspace(first, last, _FEW).tolist():
        p, v = gp_Pnt(), gp_Vec()
        curve.D1(t, p, v)
        points.append((p.X(), p.Y(), p.Z()))
        square = p.X() ** 2 + p.Y() ** 2
        if square > 0.0:
            fastest = max(fastest, abs(p.X() * v.Y() - p.Y() * v.X()) / square)
    asked = math.ceil(fastest * (last - first) / _STEP) + 1
    return np.array(points), min(max(_FIRST, asked), _FINEST)


def _on_a_cone(points: Array) -> bool:
    """Whether points keep one radius, or change it evenly as they climb (threads on a taper)."""
    radii, z = np.hypot(points[:, 0], points[:, 1]), points[:, 2]
    apart = z - z.mean()
    slope = float((apart * radii).sum() / (apart * apart).sum())
    even = radii - slope * apart
    return (
        abs(slope) <= _STEEPEST
        and float(radii.min()) > 0.0
        and float(np.ptp(even)) <= _SAME_RADIUS * float(radii.max())
    )
