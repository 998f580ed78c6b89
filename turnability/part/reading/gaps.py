"""How far a solid's edges truly lie off its faces, where the CAD kernel allows for much.

The kernel widens what it allows at an edge by each trace that it draws astray, and keeps that when
the trace is drawn anew; it would be told of as a gap that the file does not have.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.part.reading.traces import strays_mm

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Vertex

_LEAST_MM = 1e-7
_ROOM = 1.1
"""Between the places that are looked at an edge may lie farther off."""


def widest_gap_mm(solid: TopoDS_Shape, beyond_mm: float) -> float:
    """The widest gap between a solid's edges and vertices and its faces.

    Where the kernel allows for more than `beyond_mm` it is measured, and what is allowed lowered
    to what there is.
    """
    allowed = _allowed_mm(solid)
    if allowed <= beyond_mm:
        return allowed
    from OCP.BRep import BRep_Tool
    from OCP.ShapeFix import ShapeFix_ShapeTolerance
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_VERTEX
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import (
        TopTools_IndexedDataMapOfShapeListOfShape,
        TopTools_IndexedMapOfShape,
    )

    set_to = ShapeFix_ShapeTolerance()
    beside = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(solid, TopAbs_EDGE, TopAbs_FACE, beside)
    vertices, needed = TopTools_IndexedMapOfShape(), [0.0]
    for i in range(1, beside.Extent() + 1):
        edge = TopoDS.Edge_s(beside.FindKey(i))
        near = BRep_Tool.Tolerance_s(edge)
        if near > beyond_mm and not BRep_Tool.Degenerated_s(edge):
            off = max(_off_mm(edge, TopoDS.Face_s(face)) for face in beside.FindFromIndex(i))
            near = min(near, max(_ROOM * off, _LEAST_MM))
            set_to.SetTolerance(edge, near, TopAbs_EDGE)
        for vertex, apart in _ends(edge):
            place = vertices.Add(vertex)
            needed += [0.0] * (place + 1 - len(needed))
            needed[place] = max(needed[place], near, apart)
    for place in range(1, vertices.Extent() + 1):
        vertex = TopoDS.Vertex_s(vertices.FindKey(place))
        if BRep_Tool.Tolerance_s(vertex) > max(beyond_mm, needed[place]):
            set_to.SetTolerance(vertex, needed[place], TopAbs_VERTEX)
    return _allowed_mm(solid)


def _allowed_mm(solid: TopoDS_Shape) -> float:
    """The widest gap between faces and their edges and vertices that the kernel allows for."""
    from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance
    from OCP.TopAbs import TopAbs_ShapeEnum

    measured = ShapeAnalysis_ShapeTolerance()
    kinds = (TopAbs_ShapeEnum.TopAbs_VERTEX, TopAbs_ShapeEnum.TopAbs_EDGE)
    return max(float(measured.Tolerance(solid, 1, kind)) for kind in kinds)


def _off_mm(edge: TopoDS_Edge, face: TopoDS_Face) -> float:
    """How far an edge's traces on a face leave it; a seam has two."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.TopoDS import TopoDS

    surface = BRepAdaptor_Surface(face, False)
    off = strays_mm(edge, face, surface)
    if BRep_Tool.IsClosed_s(edge, face):
        off = max(off, strays_mm(TopoDS.Edge_s(edge.Reversed()), face, surface))
    return off


def _ends(edge: TopoDS_Edge) -> Iterator[tuple[TopoDS_Vertex, float]]:
    """An edge's vertices and how far each lies from the end of its curve; a pole's has none."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.TopExp import TopExp

    if BRep_Tool.Degenerated_s(edge):
        return
    curve = BRepAdaptor_Curve(edge)
    for vertex, t in (
        (TopExp.FirstVertex_s(edge), curve.FirstParameter()),
        (TopExp.LastVertex_s(edge), curve.LastParameter()),
    ):
        if not vertex.IsNull():
            yield vertex, BRep_Tool.Pnt_s(vertex).Distance(curve.Value(t))
