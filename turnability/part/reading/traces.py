"""Traces of edges on their faces that the CAD kernel drew astray, drawn anew.

A STEP file holds edges in space; the kernel lays each on the surface of its face anew as it reads.
On B-splines and swept surfaces it fits the trace to some twenty places and looks at no others, and
at times the trace leaves the edge by hundredths of a millimetre between two of them. Areas and
volumes, which go by traces, are then wrong by some millionths.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
    from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

_PLACES = (np.arange(22) + 0.5) / 22.0
"""Along an edge: halfway between any two of the 23 that the kernel looks at."""
_ASTRAY_MM, _ASTRAY = 1e-5, 1e-6
"""Beyond this, and this share of the edge's length, and what the file itself leaves open at the
edge, a trace is astray."""
_LEFT_OPEN_MM = 1e-3
"""More than this the kernel may have left open for a trace astray of its own."""
_BETTER = 0.1
_SAME_END = 1e-4
"""Share of the face's width by which ends of a new trace may miss those of the old one."""

Array = NDArray[np.float64]


def redraw_traces(faces: Sequence[Any]) -> None:
    """Draw anew, in place, the traces that leave their edges on surfaces without a formula."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType as Kind
    from OCP.Standard import Standard_Failure
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    drawn = (
        Kind.GeomAbs_BSplineSurface,
        Kind.GeomAbs_BezierSurface,
        Kind.GeomAbs_SurfaceOfRevolution,
        Kind.GeomAbs_SurfaceOfExtrusion,
    )
    for shape in faces:
        face = TopoDS.Face_s(shape)
        if BRep_Tool.Surface_s(face) is None:
            continue  # told of by `sound_solid`; asking it anything ends the process
        surface = BRepAdaptor_Surface(face, True)
        if surface.GetType() not in drawn:
            continue
        explorer = TopExp_Explorer(face, TopAbs_EDGE)
        while explorer.More():
            edge = TopoDS.Edge_s(explorer.Current())
            explorer.Next()
            if not BRep_Tool.Degenerated_s(edge) and not BRep_Tool.IsClosed_s(edge, face):
                with suppress(
                    Standard_Failure
                ):  # the kernel's own: a trace that is missing stays so
                    _look_at(edge, face, surface)


def strays_mm(edge: TopoDS_Edge, face: TopoDS_Face, surface: BRepAdaptor_Surface) -> float:
    """How far an edge's trace leaves it, at places along it (mm)."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d

    curve = BRepAdaptor_Curve(edge)
    return _off(curve, BRepAdaptor_Curve2d(edge, face), surface)


def _look_at(edge: TopoDS_Edge, face: TopoDS_Face, surface: BRepAdaptor_Surface) -> None:
    from OCP.BRep import BRep_Builder, BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d
    from OCP.GeomAbs import GeomAbs_CurveType
    from OCP.GeomProjLib import GeomProjLib
    from OCP.gp import gp_Vec2d
    from OCP.TopExp import TopExp

    curve, trace = BRepAdaptor_Curve(edge), BRepAdaptor_Curve2d(edge, face)
    if trace.GetType() != GeomAbs_CurveType.GeomAbs_BSplineCurve:
        return
    off = _off(curve, trace, surface)
    first, last = curve.FirstParameter(), curve.LastParameter()
    chord = curve.Value(first).Distance(curve.Value((first + last) / 2.0))
    left_open = min(2.0 * BRep_Tool.Tolerance_s(edge), _LEFT_OPEN_MM)
    if off <= max(_ASTRAY_MM, 2.0 * _ASTRAY * chord, left_open):
        return
    # both in their own place: the edge's is that of the face, or the solid would not hold together
    space = BRep_Tool.Curve_s(edge, first, last)
    made = GeomProjLib.Curve2d_s(space, first, last, BRep_Tool.Surface_s(face), _ASTRAY_MM * 1e-2)
    if made is None:
        return
    old, new = trace.Value((first + last) / 2.0), made.Value((first + last) / 2.0)
    periods = (
        surface.UPeriod() if surface.IsUPeriodic() else 0.0,
        surface.VPeriod() if surface.IsVPeriodic() else 0.0,
    )
    shift = [
        period * round((there - here) / period) if period else 0.0
        for period, there, here in zip(periods, (old.X(), old.Y()), (new.X(), new.Y()), strict=True)
    ]
    made.Translate(gp_Vec2d(*shift))
    width = (
        surface.LastUParameter() - surface.FirstUParameter(),
        surface.LastVParameter() - surface.FirstVParameter(),
    )
    for t in (first, last):
        a, b = trace.Value(t), made.Value(t)
        if abs(a.X() - b.X()) > _SAME_END * width[0] or abs(a.Y() - b.Y()) > _SAME_END * width[1]:
            return
    now = _off(curve, made, surface)
    if now <= _BETTER * off:
        build, near = BRep_Builder(), max(BRep_Tool.Tolerance_s(edge), 2.0 * now)
        build.UpdateEdge(edge, made, face, near)
        for end in (TopExp.FirstVertex_s(edge), TopExp.LastVertex_s(edge)):
            build.UpdateVertex(end, near)  # never made smaller


def _off(curve: BRepAdaptor_Curve, trace: Any, surface: BRepAdaptor_Surface) -> float:
    """Greatest distance (mm) between an edge and its trace at equal parameters."""
    worst = 0.0
    first, last = curve.FirstParameter(), curve.LastParameter()
    for t in (first + (last - first) * _PLACES).tolist():
        place = trace.Value(t)
        seen = surface.Value(place.X(), place.Y())
        worst = max(worst, seen.SquareDistance(curve.Value(t)))
    return math.sqrt(worst)
