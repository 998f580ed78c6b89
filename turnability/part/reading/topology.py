"""The solids of a kernel shape, and a solid's faces in their order."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid


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
