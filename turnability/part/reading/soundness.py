"""Whether a solid of the CAD kernel is one that can be analysed: closed, sized like a part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from turnability.errors import PartUnreadable
from turnability.part.reading.gaps import widest_gap_mm

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid

LARGEST_MM = 1e5
"""No lathe turns a part of 100 m (common practice, no source); a wrong unit is likelier."""
SMALLEST_MM = 1e-3
"""Below the contract's touching tolerance nothing can be told apart."""
BRIDGED_MM = 0.01
"""Gaps between a solid's edges and faces that are bridged without a word; real files have more."""
WIDEST_GAP_MM = 0.2
WIDEST_GAP_OF_EXTENT = 0.01
"""A gap beyond both is none that an exporter leaves: of 60 real parts the widest had 0.1 mm."""
_CHECK_UNITS = "Check the units it was exported in"


def sound_solid(
    solid: TopoDS_Solid, what: str, faces: Sequence[Any]
) -> tuple[TopoDS_Solid, tuple[str, ...]]:
    """The solid, turned outside out where it was inside out, and remarks.

    `what` names it in errors. Raises PartUnreadable: no faces, faces without surface, open shell,
    larger than 100 m, thinner than 1 µm, edges far off their faces, no volume.
    """
    from OCP.BRep import BRep_Tool
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopoDS import TopoDS

    if not faces:
        raise PartUnreadable(what, "the solid has no faces", "Export the part again")
    surfaces = [BRep_Tool.Surface_s(TopoDS.Face_s(face)) for face in faces]
    if None in surfaces:
        # Asking such a face anything else ends the process.
        cause = "the solid has faces without a surface (a mesh of facets)"
        raise PartUnreadable(what, cause, "Export it with exact surfaces, not tessellated")
    if opened := open_shell(solid, what):
        raise opened
    extents = _extents_mm(solid, exact=False)
    if max(extents) > LARGEST_MM:
        extents = _extents_mm(solid, exact=True)
    size = " × ".join(f"{e:.4g}" for e in extents)
    if max(extents) > LARGEST_MM:
        cause = f"the part is huge: {size} mm, more than 100 m"
        raise PartUnreadable(what, cause, _CHECK_UNITS)
    if min(extents) < SMALLEST_MM:
        cause = f"the part has no extent: {size} mm, thinner than 0.001 mm"
        raise PartUnreadable(what, cause, _CHECK_UNITS)
    remarks: tuple[str, ...] = ()
    gap = widest_gap_mm(solid, BRIDGED_MM)
    if gap > WIDEST_GAP_MM:
        largest = max(_extents_mm(solid, exact=True))
        if gap > WIDEST_GAP_OF_EXTENT * largest:
            cause = f"its edges lie up to {gap:.3g} mm off its faces"
            raise PartUnreadable(what, cause, "It is damaged; repair the model and export it again")
    if gap > BRIDGED_MM:
        remarks = (f"gaps of up to {gap:.2g} mm between its edges and faces were bridged",)
    measured = GProp_GProps()
    if any(type(surface).__name__ == "Geom_BSplineSurface" for surface in surfaces):
        # Rough, but five times quicker on splines; only its sign and size matter here.
        BRepGProp.VolumeProperties_s(solid, measured, 1e-2)
    else:
        BRepGProp.VolumeProperties_s(solid, measured)
    volume = measured.Mass()
    box = extents[0] * extents[1] * extents[2]
    if not 1e-9 * box < abs(volume) < 1.05 * box:
        cause = f"its faces enclose no reasonable volume ({volume:.4g} mm³ in {size} mm)"
        raise PartUnreadable(what, cause, "It is damaged; repair the model and export it again")
    if volume < 0.0:
        solid = TopoDS.Solid_s(solid.Reversed())
        return solid, (*remarks, "the solid was inside out; it was turned outside out")
    return solid, remarks


def open_shell(shape: TopoDS_Shape, what: str) -> PartUnreadable | None:
    """The error for a shape whose shell is open; None where it is closed."""
    free, where = _free_edges(shape)
    if not free:
        return None
    edges = "1 free edge" if free == 1 else f"{free} free edges"
    cause = f"the solid's shell is open ({edges} near x, y, z = {where} mm)"
    return PartUnreadable(what, cause, "Close the gap in the model and export it again")


def _free_edges(shape: TopoDS_Shape) -> tuple[int, str]:
    """How many edges bound one face only, and where the first of them begins."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp, TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SHELL)
    closed = True
    while explorer.More():
        closed = closed and BRep_Tool.IsClosed_s(explorer.Current())
        explorer.Next()
    if closed:
        return 0, ""
    shared = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(
        shape, TopAbs_ShapeEnum.TopAbs_EDGE, TopAbs_ShapeEnum.TopAbs_FACE, shared
    )
    free, where = 0, ""
    for i in range(1, shared.Extent() + 1):
        edge = TopoDS.Edge_s(shared.FindKey(i))
        if shared.FindFromIndex(i).Extent() == 1 and not BRep_Tool.Degenerated_s(edge):
            free += 1
            vertex = TopExp.FirstVertex_s(edge)
            if not where and not vertex.IsNull():
                point = BRep_Tool.Pnt_s(vertex)
                where = ", ".join(map(_micrometre, (point.X(), point.Y(), point.Z())))
    return free, where


def _micrometre(mm: float) -> str:
    """A coordinate to the micrometre, without a minus nought."""
    return f"{round(mm, 3) + 0.0:.9g}"


def _extents_mm(solid: TopoDS_Solid, exact: bool) -> tuple[float, float, float]:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    if exact:
        BRepBndLib.AddOptimal_s(solid, box, False, False)
    else:
        BRepBndLib.Add_s(solid, box, False)
    if box.IsVoid():
        return (0.0, 0.0, 0.0)
    low, high = box.CornerMin(), box.CornerMax()
    # The box is wider by the tolerance all round.
    gap = 2.0 * box.GetGap()
    return (
        max(0.0, high.X() - low.X() - gap),
        max(0.0, high.Y() - low.Y() - gap),
        max(0.0, high.Z() - low.Z() - gap),
    )
