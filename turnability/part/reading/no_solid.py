"""Why a STEP file holds no solid, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from turnability.errors import PartUnreadable
from turnability.part.reading.soundness import open_shell
from turnability.part.reading.step_text import EXPORT_AGAIN, StepText

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape

_POINT_SETS = ("GEOMETRIC_SET", "GEOMETRIC_CURVE_SET")
_PUT_TOGETHER = ("NEXT_ASSEMBLY_USAGE_OCCURRENCE", "DOCUMENT_FILE", "EXTERNALLY_DEFINED_CLASS")


def no_solid(text: StepText, shapes: Sequence[TopoDS_Shape]) -> PartUnreadable:
    """Why there is nothing to analyse."""
    what = str(text.path)
    if any(text.by_keyword.get(k) for k in ("MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS")):
        for shape in shapes:
            if shape is not None and not shape.IsNull() and (opened := open_shell(shape, what)):
                return opened
        cause = "the CAD kernel could make no solid of what the file holds"
        return PartUnreadable(what, cause, EXPORT_AGAIN)
    if any(s is not None and not s.IsNull() and _has_faces(s) for s in shapes) or text.faces:
        cause = "the file holds surfaces, but no closed solid"
        return PartUnreadable(what, cause, "Close the surfaces to a solid and export that")
    if any(k.startswith(("TESSELLATED", "COORDINATES_LIST")) for k in text.by_keyword):
        cause = "the file holds a mesh of facets, but no solid with exact faces"
        return PartUnreadable(what, cause, EXPORT_AGAIN)
    if any(k.endswith(("_CURVE", "LINE", "CIRCLE", "ELLIPSE")) for k in text.by_keyword):
        cause = "the file holds curves only (a wireframe), but no solid"
        return PartUnreadable(what, cause, EXPORT_AGAIN)
    if any(text.by_keyword.get(k) for k in ("VERTEX_POINT", "VERTEX_SHELL", *_POINT_SETS)):
        return PartUnreadable(what, "the file holds points only, but no solid", EXPORT_AGAIN)
    if not text.instances:
        cause = "the file's data section holds no entity"
        return PartUnreadable(what, cause, EXPORT_AGAIN)
    cause = "the file holds no shape"
    if any(text.by_keyword.get(k) for k in _PUT_TOGETHER):
        cause += " (it is an assembly whose parts are in other files)"
    return PartUnreadable(what, cause, "Export the part itself with its geometry")


def _has_faces(shape: TopoDS_Shape) -> bool:
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    return bool(TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE).More())
