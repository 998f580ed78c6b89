"""The side of its rim that a spherical face is, told by the rim alone, and made as a face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from turnability.part.reading.spheres import Array, Ball, seamless, sphere_about, xyz
from turnability.part.reading.traces import strays_mm

if TYPE_CHECKING:
    from OCP.Geom import Geom_Surface
    from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

_PLACES = 300
"""Places spread over a sphere, to tell sides apart by."""
_MEASURED = 2000
"""Places by which a side's area is told within some percent."""
_POLES = 300
_SEAMS = 24
_CLEAR = 0.02
"""Sine of the angle by which poles and seam of a new sphere keep clear of the rim."""
_ALONG = 64
"""Chords along each edge; a circle of a whole turn is left by 0.12 % of its radius at most."""
_ACROSS = 9
"""Places along u and v at which a face is asked for its side."""
_BESIDE = 0.02
"""Places nearer to the rim than this many radians are not asked."""
_LEAST_CAP = 0.1
"""Radians about a place that is not of the side; nearer to one that would be left of the sphere
than that, a surface without a seam is too steep."""
_ASTRAY = 1e-5
"""Share of the radius by which a trace may leave its edge."""
_TRACE_MM = 1e-9
"""How near its edges' traces on the new sphere run."""


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
        self.lines = [self._line(edge) for edge in self.edges]
        self.rim = np.concatenate(self.lines) if self.lines else np.zeros((0, 3))
        self._places = _spread(_PLACES)
        self._far = self._farthest()

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

    def _farthest(self) -> Array:
        """The place farthest from the rim."""
        if not len(self.rim):
            return np.asarray(self._places[0])
        return np.asarray(self._places[(self._places @ self.rim.T).max(axis=1).argmin()])

    def holds(self, places: Array) -> NDArray[np.bool_] | None:
        """Whether unit places (n, 3) are of the side; None where the rim bounds none.

        Seen from the place farthest from the rim, the sphere less that place is a plane, and
        places of the side are those that the rim runs round once more than round that place.
        """
        if not self.lines:
            return np.ones(len(places), dtype=bool)
        known = np.concatenate((places, self._places))
        far = self._far
        across = np.cross(far, np.eye(3)[np.abs(far).argmin()])
        across /= np.linalg.norm(across)
        # Seen from outside, a turn to the left stays one to the left.
        up = np.cross(across, far)

        def flat(p: Array) -> NDArray[np.complex128]:
            seen = ((p @ across) + 1j * (p @ up)) / np.maximum(1.0 - p @ far, 1e-9)
            return np.asarray(seen, dtype=np.complex128)

        seen, turns, area = flat(known), np.zeros(len(known)), 0.0
        for line in self.lines:
            run = flat(line)
            area += float((run[:-1].conj() * run[1:]).imag.sum())
            away = run[None, :] - seen[:, None]
            away[away == 0.0] = 1e-300
            turns += np.angle(away[:, 1:] / away[:, :-1]).sum(axis=1)
        rounds = np.rint(turns / math.tau).astype(int)
        clear = (self._places @ self.rim.T).max(axis=1) < math.cos(_BESIDE)
        kinds = set(rounds[len(places) :][clear].tolist())
        if kinds <= {0, 1} or kinds <= {0, -1}:
            # A rim so narrow that no place is within it still runs to the left or to the right.
            inside = rounds + (1 if -1 in kinds or (1 not in kinds and area < 0.0) else 0)
            return np.asarray(inside[: len(places)] == 1)
        return None

    @property
    def share(self) -> float | None:
        """How much of its sphere the side is; None where the rim bounds none."""
        held = self.holds(_spread(_MEASURED))
        return None if held is None else float(held.mean())

    def is_held_by(self, face: TopoDS_Face) -> bool | None:
        """Whether the face as the kernel has it is this side; None where the rim bounds none."""
        ways, _, held = self._asked(face)
        if len(self.rim):
            clear = (ways @ self.rim.T).max(axis=1) < math.cos(_BESIDE)
            ways, held = ways[clear], held[clear]
        own = self.holds(ways)
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

    def face(self) -> TopoDS_Face | None:
        """The side as a face on a new sphere, its seam clear of the rim; None where none is.

        Where every seam meets the rim, as that of a half sphere, it lies on a B-spline without one.
        """
        held = self.holds(_spread(_MEASURED))
        if held is None or not self.lines:
            return None
        area = 4.0 * math.pi * self.ball.radius**2 * float(held.mean())
        for pole, seam, within in self._frames():
            made = self._on(sphere_about(self.ball, pole, seam), within)
            if made is not None and _is_of_area(made, area):
                return made
        if (far := self._farthest_outside()) is not None:
            made = self._on(seamless(self.ball, *far), False)
            if made is not None and _is_of_area(made, area):
                return made
        return None

    def _farthest_outside(self) -> tuple[Array, float] | None:
        """The place that is not of the side and farthest from its rim, and how far (radians)."""
        places = _spread(_MEASURED)
        held = self.holds(places)
        if held is None or held.all():
            return None
        outside = places[~held]
        near = (outside @ self.rim.T).max(axis=1)
        apart = math.acos(min(1.0, float(near.min())))
        return (outside[near.argmin()], apart) if apart > _LEAST_CAP else None

    def _frames(self) -> Iterator[tuple[Array, Array, bool]]:
        """Pole, seam's direction, and whether both are within the side; without first."""
        poles = _spread(_POLES)
        found: dict[bool, tuple[float, Array, Array]] = {}
        turns = np.arange(_SEAMS) * (math.tau / _SEAMS)
        steps = [np.linalg.norm(np.diff(line, axis=0), axis=1).max() for line in self.lines]
        between = float(max(steps))
        least = _CLEAR + 0.5 * between
        within = self.holds(poles)
        if within is None:
            return
        for pole, key in zip(poles, within.tolist(), strict=True):
            at_pole = np.sqrt(np.maximum(1.0 - (self.rim @ pole) ** 2, 0.0))
            if at_pole.min() < least:
                continue
            across = np.cross(pole, np.eye(3)[np.abs(pole).argmin()])
            across /= np.linalg.norm(across)
            up = np.cross(pole, across)
            x, y = self.rim @ across, self.rim @ up
            ahead = x[:, None] * np.cos(turns) + y[:, None] * np.sin(turns)
            beside = np.abs(y[:, None] * np.cos(turns) - x[:, None] * np.sin(turns))
            clear = np.where(ahead > 0.0, beside, at_pole[:, None]).min(axis=0)
            ways = np.cos(turns)[:, None] * across + np.sin(turns)[:, None] * up
            best = int(clear.argmax())
            if clear[best] > max(least, found[key][0] if key in found else 0.0):
                found[key] = (float(clear[best]), pole, ways[best])
        for key in (False, True):
            if key in found:
                yield found[key][1], found[key][2], key

    def _on(self, surface: Geom_Surface, within: bool) -> TopoDS_Face | None:
        """The side on a surface; None where the kernel can lay an edge on it nowhere."""
        from OCP.BRep import BRep_Builder, BRep_Tool
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
        from OCP.Geom2d import Geom2d_Curve
        from OCP.GeomProjLib import GeomProjLib
        from OCP.gp import gp_Vec2d
        from OCP.TopExp import TopExp
        from OCP.TopLoc import TopLoc_Location
        from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Wire

        build, made = BRep_Builder(), TopoDS_Face()
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
                trace: Geom2d_Curve | None = GeomProjLib.Curve2d_s(
                    curve, first, last, surface, _TRACE_MM
                )
                if trace is None:
                    return None
                if surface.IsUPeriodic():
                    u = trace.Value(0.5 * (first + last)).X()
                    trace.Translate(gp_Vec2d(-math.tau * math.floor(u / math.tau), 0.0))
                off = max(
                    curve.Value(t).Distance(surface.Value(trace.Value(t).X(), trace.Value(t).Y()))
                    for t in np.linspace(first, last, _ALONG + 1).tolist()
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
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        if not (BRep_Tool.Degenerated_s(edge) or BRep_Tool.IsClosed_s(edge, face)):
            yield edge
        explorer.Next()


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
    BRepGProp.SurfaceProperties_s(face, measured, 1e-6, False)
    off = abs(measured.Mass() - area_mm2)
    return bool(BRepCheck_Analyzer(face).IsValid()) and off < max(0.1 * area_mm2, 1e-9)


def _spread(count: int) -> Array:
    """Unit vectors spread evenly over the sphere, shape (count, 3)."""
    k = np.arange(count) + 0.5
    z, turn = 1.0 - 2.0 * k / count, np.pi * (1.0 + 5.0**0.5) * k
    r = np.sqrt(1.0 - z * z)
    return np.column_stack((r * np.cos(turn), r * np.sin(turn), z))
