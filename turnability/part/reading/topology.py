"""The solids of a kernel shape, a solid's faces in their order, edges, and whether they close."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Solid


def faces_of(shape: TopoDS_Shape) -> list[Any]:
    """Faces in the order of the kernel's face map, which gives them their 1-based index."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_ShapeEnum.TopAbs_FACE, faces)
    return [faces.FindKey(i) for i in range(1, faces.Extent() + 1)]


def solids_of_shape(shape: TopoDS_Shape) -> Iterator[TopoDS_Solid]:
    """Solids of a kernel shape as they are placed in it, repeated ones repeatedly."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    if shape is None or shape.IsNull():
        return
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        yield TopoDS.Solid_s(explorer.Current())
        explorer.Next()


def edges_of(face: TopoDS_Face) -> Iterator[TopoDS_Edge]:
    """The edges of a face as they run along it, those of a seam twice."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(face, TopAbs_ShapeEnum.TopAbs_EDGE)
    while explorer.More():
        yield TopoDS.Edge_s(explorer.Current())
        explorer.Next()


def is_closed(faces: Sequence[TopoDS_Face]) -> bool:
    """Whether each edge is run along twice, to and fro."""
    from OCP.BRep import BRep_Tool
    from OCP.TopTools import TopTools_IndexedMapOfShape

    order = TopTools_IndexedMapOfShape()
    uses: list[list[TopoDS_Edge]] = []
    for face in faces:
        for edge in edges_of(face):
            if BRep_Tool.Degenerated_s(edge):
                continue
            place = order.Add(edge)
            if place > len(uses):
                uses.append([])
            uses[place - 1].append(edge)
    return all(len(both) == 2 and both[0].Orientation() != both[1].Orientation() for both in uses)
