"""Traces of edges that leave them between the places that the kernel looks at."""

import math

import cadquery as cq
import pytest
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve2d, BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.gp import gp_Pnt2d
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS
from random_solids import resurfaced

from turnability.part.reading.read import faces_of
from turnability.part.reading.traces import redraw_traces, strays_mm


def oblique_rod():
    """A rod of radius 10 cut off obliquely at 30 mm, on B-splines: pi r^2 h, whatever the slant."""
    rod = cq.Solid.makeCylinder(10, 60)
    off = cq.Workplane().box(80, 80, 60).translate((0, 0, 30)).rotate((0, 0, 0), (0, 1, 0), 25)
    cut = rod.cut(off.translate((0, 0, 30)).val()).Solids()[0]
    return resurfaced(cut.wrapped, "nurbs")


def curved_rim(shape):
    """The oblique edge on the round face, with the face and its surface."""
    for face in map(TopoDS.Face_s, faces_of(shape)):
        surface = BRepAdaptor_Surface(face, True)
        assert surface.GetType() == GeomAbs_SurfaceType.GeomAbs_BSplineSurface
        for edge in (TopoDS.Edge_s(edge.wrapped) for edge in cq.Face(face).Edges()):
            trace = BRepAdaptor_Curve2d(edge, face)
            bent = trace.GetType() == GeomAbs_CurveType.GeomAbs_BSplineCurve
            if bent and trace.NbPoles() > 8:
                return edge, face, surface
    raise AssertionError


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-11, False, False)
    return props.Mass()


def test_a_trace_that_leaves_its_edge_is_drawn_anew():
    shape = oblique_rod()
    edge, face, surface = curved_rim(shape)
    assert strays_mm(edge, face, surface) < 1e-5
    first, last = BRep_Tool.Range_s(edge, face)
    trace = BRep_Tool.CurveOnSurface_s(edge, face, first, last)
    bent = trace.Copy()
    middle = bent.NbPoles() // 2
    pole = bent.Pole(middle)
    bent.SetPole(middle, gp_Pnt2d(pole.X(), pole.Y() + 0.05))
    BRep_Builder().UpdateEdge(edge, bent, face, 1e-7)
    assert strays_mm(edge, face, surface) > 1e-3
    assert abs(volume(shape) / (math.pi * 100 * 30) - 1) > 1e-6
    redraw_traces(faces_of(shape))
    assert strays_mm(edge, face, surface) < 1e-5
    assert volume(shape) == pytest.approx(math.pi * 100 * 30, rel=1e-7)
