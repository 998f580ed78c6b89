"""The side of its rim that a spherical face is, told by the rim alone, and made as a face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from turnability.part.reading.ball_rims import Rim
from turnability.part.reading.laid_balls import LaidBall, seamless, sphere_about
from turnability.part.reading.spheres import Array, Ball, xyz
from turnability.part.reading.topology import edges_of
from turnability.part.reading.traces import strays_mm

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

_ALONG = 64
"""Chords along each edge; a circle of a whole turn is left by 0.12 % of its radius at most."""
_BETWEEN = 60
"""Places along each edge at which a new trace is held against it; few are where it was drawn."""
_ACROSS = 9
"""Places along u and v at which a face is asked for its side."""
_LAPS = 1e-6
_ASTRAY = 1e-5
"""Share of the radius by which a trace may leave its edge."""


class Side:
    """The side of its rim that a face is: to the left of the rim, seen from where it looks.

    `turned`: it is to look the other way than it does, along the same rim. `counted`: whether the
    file's surface has its normal outward, where the kernel's own may have it the other way. `rim`:
    edges as they run along the side, where the face's own are not those.
    """

    def __init__(
        self,
        face: TopoDS_Face,
        ball: Ball,
        *,
        turned: bool,
        counted: bool | None = None,
        rim: Sequence[TopoDS_Edge] | None = None,
    ) -> None:
        from OCP.BRep import BRep_Tool
        from OCP.BRepAdaptor import BRepAdaptor_Surface
        from OCP.TopAbs import TopAbs_FORWARD
        from OCP.TopoDS import TopoDS

        self.ball = ball
        self._told = (turned, counted)
        self._face = face
        self._surface = BRepAdaptor_Surface(face, True)
        self._astray = max(_ASTRAY * ball.radius, 2.0 * max_gap(face))
        self._tolerance = BRep_Tool.Tolerance_s(face)
        forward = face.Orientation() == TopAbs_FORWARD
        natural = self._natural_way(face)
        self._looks_outward = natural == forward
        counts = natural if counted is None else counted
        self.outward = (counts == forward) != turned
        """Whether the face looks away from the sphere's centre."""
        along = _rim_of(face) if rim is None else rim
        self.edges = [edge if self.outward else TopoDS.Edge_s(edge.Reversed()) for edge in along]
        """The rim, the side to its left seen from outside the sphere."""
        self.rim = Rim([self._line(edge) for edge in self.edges])

    def with_the_rim_turned(self) -> Side:
        """The side to the right of the rim, which looks the same way."""
        from OCP.TopoDS import TopoDS

        turned, counted = self._told
        rim = [edge if not self.outward else TopoDS.Edge_s(edge.Reversed()) for edge in self.edges]
        return Side(self._face, self.ball, turned=turned, counted=counted, rim=rim)

    def _natural_way(self, face: TopoDS_Face) -> bool:
        """Whether the stored surface's own normal points outward where the face is."""
        points, normals, held = self._asked(face)
        if held.any():
            points, normals = points[held], normals[held]
        return bool(((points * normals).sum(axis=1) > 0.0).mean() > 0.5)

    def _asked(self, face: TopoDS_Face) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Unit places over the bounds of the face, surface normals there, and which it holds."""
        from OCP.BRepTopAdaptor import BRepTopAdaptor_FClass2d
        from OCP.gp import gp_Pnt, gp_Pnt2d, gp_Vec
        from OCP.TopAbs import TopAbs_IN

        s, classifier = self._surface, BRepTopAdaptor_FClass2d(face, 1e-9)
        steps = (np.arange(_ACROSS) + 0.5) / _ACROSS
        us = s.FirstUParameter() + steps * (s.LastUParameter() - s.FirstUParameter())
        vs = s.FirstVParameter() + steps * (s.LastVParameter() - s.FirstVParameter())
        points, normals, held = [], [], []
        point, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
        for u in us.tolist():
            for v in vs.tolist():
                s.D1(u, v, point, du, dv)
                points.append(xyz(point))
                normals.append(xyz(du.Crossed(dv)))
                held.append(classifier.Perform(gp_Pnt2d(u, v)) == TopAbs_IN)
        ways = (np.array(points) - self.ball.centre) / self.ball.radius
        return ways, np.array(normals), np.array(held)

    def _line(self, edge: TopoDS_Edge) -> Array:
        """Unit places along an edge in its direction."""
        from OCP.BRepAdaptor import BRepAdaptor_Curve
        from OCP.TopAbs import TopAbs_FORWARD

        curve = BRepAdaptor_Curve(edge)
        ts = np.linspace(curve.FirstParameter(), curve.LastParameter(), _ALONG + 1)
        places = np.array([xyz(curve.Value(t)) for t in ts.tolist()]) - self.ball.centre
        places /= np.linalg.norm(places, axis=1)[:, None]
        return places if edge.Orientation() == TopAbs_FORWARD else places[::-1]

    def is_held_by(self, face: TopoDS_Face) -> bool | None:
        """Whether the face as the kernel has it is this side; None where the rim bounds none."""
        ways, _, held = self._asked(face)
        clear = self.rim.clear(ways)
        ways, held = ways[clear], held[clear]
        own = self.rim.holds(ways)
        if own is None:
            return None
        return not len(own) or bool((own == held).mean() > 0.9)

    @property
    def looks_right(self) -> bool:
        """Whether the face as the kernel has it looks the way that this side does."""
        return bool(self._looks_outward == self.outward)

    @property
    def strays(self) -> bool:
        """Whether a trace of the rim on the face as the kernel has it leaves the rim itself.

        Beside a pole the kernel's do so at times.
        """
        return any(strays_mm(edge, self._face, self._surface) > self._astray for edge in self.edges)

    @property
    def laps(self) -> bool:
        """Whether the face as the kernel has it runs more than once round its sphere's axis.

        So it does where it laid the rim and the seam a turn apart.
        """
        surface = self._surface
        turns = surface.LastUParameter() - surface.FirstUParameter()
        return bool(surface.IsUPeriodic() and turns > (1.0 + _LAPS) * surface.UPeriod())

    def face(self) -> TopoDS_Face | None:
        """The side as a face on a new sphere, its seam clear of the rim; None where none is.

        Where every seam meets the rim, as that of a half sphere, it lies on a B-spline without one.
        """
        share = self.rim.share
        if share is None or not self.edges:
            return None
        area = 4.0 * math.pi * self.ball.radius**2 * share
        for pole, seam, within in self.rim.frames():
            made = self._on(sphere_about(self.ball, pole, seam), within)
            if _is_of_area(made, area):
                return made
        if (far := self.rim.farthest_outside()) is not None:
            made = self._on(seamless(self.ball, *far), False)
            if _is_of_area(made, area):
                return made
        return None

    def _on(self, laid: LaidBall, within: bool) -> TopoDS_Face:
        """The side on a surface."""
        from OCP.BRep import BRep_Builder, BRep_Tool
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
        from OCP.TopExp import TopExp
        from OCP.TopLoc import TopLoc_Location
        from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Wire

        build, made, surface = BRep_Builder(), TopoDS_Face(), laid.surface
        if within:  # the whole sphere with its seam, the rim cut out of it
            made = BRepBuilderAPI_MakeFace(surface, self._tolerance).Face()
        else:
            build.MakeFace(made, surface, self._tolerance)
        for loop in _loops(self.edges):
            wire = TopoDS_Wire()
            build.MakeWire(wire)
            for edge in loop:
                first, last = BRep_Tool.Range_s(edge)
                curve = BRep_Tool.Curve_s(edge, first, last)
                trace = laid.trace(curve, first, last)
                off = max(
                    curve.Value(t).Distance(surface.Value(trace.Value(t).X(), trace.Value(t).Y()))
                    for t in np.linspace(first, last, _BETWEEN).tolist()
                )
                near = max(BRep_Tool.Tolerance_s(edge), 2.0 * off)
                build.UpdateEdge(edge, trace, surface, TopLoc_Location(), near)
                for end in (TopExp.FirstVertex_s(edge), TopExp.LastVertex_s(edge)):
                    build.UpdateVertex(end, near)  # never made smaller
                build.Add(wire, edge)
            wire.Closed(True)
            build.Add(made, wire)
        return TopoDS.Face_s(made if self.outward else made.Reversed())


def _rim_of(face: TopoDS_Face) -> Iterator[TopoDS_Edge]:
    """A face's edges as they run along it, but for poles and seams of its sphere."""
    from OCP.BRep import BRep_Tool

    for edge in edges_of(face):
        if not (BRep_Tool.Degenerated_s(edge) or BRep_Tool.IsClosed_s(edge, face)):
            yield edge


def max_gap(face: TopoDS_Face) -> float:
    """The widest gap that a face's edges leave open (mm)."""
    from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance
    from OCP.TopAbs import TopAbs_EDGE

    return float(ShapeAnalysis_ShapeTolerance().Tolerance(face, 1, TopAbs_EDGE))


def _loops(edges: Sequence[TopoDS_Edge]) -> list[list[TopoDS_Edge]]:
    """The edges in loops, each beginning where the one before ends."""
    from OCP.TopExp import TopExp

    left, loops = list(edges), []
    while left:
        loop = [left.pop(0)]
        while True:
            end = TopExp.LastVertex_s(loop[-1], True)
            after = (i for i, e in enumerate(left) if TopExp.FirstVertex_s(e, True).IsSame(end))
            if TopExp.FirstVertex_s(loop[0], True).IsSame(end) or (i := next(after, -1)) < 0:
                break
            loop.append(left.pop(i))
        loops.append(loop)
    return loops


def _is_of_area(face: TopoDS_Face, area_mm2: float) -> bool:
    """Whether a face is sound and of the area that so many places of the sphere stand for."""
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    measured = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, measured)
    if abs(measured.Mass() - area_mm2) > max(0.1 * area_mm2, 1e-9):
        return False  # what meets itself takes the kernel long to tell
    return bool(BRepCheck_Analyzer(face).IsValid())
