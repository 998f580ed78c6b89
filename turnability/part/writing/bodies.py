"""Bodies beside the part: rings turned about its axis, as solids of a product of their own.

The kernel makes and writes them as a STEP file; its entities, numbered anew, are then appended to
the part's file, in whose unit and schema they are.
"""

from __future__ import annotations

import math
import re
import tempfile
from collections.abc import Iterator, Sequence
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from turnability.part.reading.step_text import StepText, read_step_text
from turnability.part.writing.marks import Bodies, Body, Ring
from turnability.part.writing.styles import Painted, paint
from turnability.part.writing.write_shapes import AP203, AP214, AP242, UNITS, written_text

if TYPE_CHECKING:
    from OCP.gp import gp_Ax2
    from OCP.TopoDS import TopoDS_Shape

_THIN_MM = 1e-4
"""Corners nearer than this are one."""
_USAGE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE"
_ID = re.compile(r"\(\s*'[^']*'")
_NUMBER = re.compile(r"'[^']*+'|#(\d+)")


def bodies_text(bodies: Bodies, unit: str, schema: str) -> str | None:
    """A STEP file of the bodies alone, in their product; None where none has any volume.

    `unit` is the length unit of the part's solid, as `Source.length_unit` has it, `schema` that of
    its file. The kernel makes and writes it. Raises OSError.
    """
    shapes = [(body, shape) for body in bodies.bodies if (shape := shape_of(body, bodies))]
    if not shapes:
        return None
    which = AP242 if "AP242" in schema else AP203 if "CONFIG" in schema else AP214
    with tempfile.TemporaryDirectory(prefix="turnability-") as folder:
        path = Path(folder) / "bodies.step"
        return written_text(_document(bodies.product, shapes), path, UNITS.get(unit, "MM"), which)


def body_entities(written: str, bodies: Bodies, first: int) -> Iterator[str]:
    """The entities of that file, numbered from `first` on, and the colours of the bodies.

    Raises OSError.
    """
    with tempfile.TemporaryDirectory(prefix="turnability-") as folder:
        path = Path(folder) / "bodies.step"
        path.write_bytes(written.encode("ascii"))
        made = read_step_text(path)
    lines = [
        (number, f"{entity.keyword}{_with_own_count(made, number)};")
        for number, entity in made.instances.items()
    ]
    shift = first - min(made.instances)
    for line in (*(f"#{n}={entity}" for n, entity in lines), *_painted(made, bodies)):
        yield _NUMBER.sub(lambda hit: f"#{int(hit[1]) + shift}" if hit[1] else hit[0], line)


def _with_own_count(made: StepText, number: int) -> str:
    """An entity's parameters; the kernel counts occurrences through the whole process."""
    parameters = made.parameters(number)
    if made.instances[number].keyword != _USAGE:
        return parameters
    count = 1 + made.by_keyword[_USAGE].index(number)
    return _ID.sub(f"('{count}'", re.sub(r"\s*\n\s*", "", parameters), count=1)


def _painted(made: StepText, bodies: Bodies) -> Iterator[str]:
    """Their colours, which the kernel would write in another order each time."""
    named = {body.name: body for body in bodies.bodies}
    items = []
    for brep in made.by_keyword["MANIFOLD_SOLID_BREP"]:
        body = named[made.product_of_brep(brep) or ""]
        context = made.references(made.representations_of[brep][0])[-1]
        items.append(Painted(brep, body.colour, body.opacity, None, context))
    return paint(items, count(max(made.instances) + 1))


def shape_of(body: Body, bodies: Bodies) -> TopoDS_Shape | None:
    """The body as a kernel solid in the part's coordinates; None for a ring without area."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Vec

    frame = gp_Ax2(gp_Pnt(*bodies.origin_mm), gp_Dir(*bodies.direction))
    ring = without_crumbs(body.ring)
    if len(ring) < 3:
        return None
    if body.across_flats_mm is not None:
        low, high = min(z for z, _ in ring), max(z for z, _ in ring)
        across = body.across_flats_mm / math.sqrt(3.0)
        corners = [(across * math.cos(a * math.pi / 3), across * math.sin(a * math.pi / 3), low)
                   for a in range(6)]  # fmt: skip
        way = gp_Vec(frame.Direction()).Multiplied(high - low)
    else:
        corners = [(r, 0.0, z) for z, r in ring]
    polygon = BRepBuilderAPI_MakePolygon()
    for corner in corners:
        polygon.Add(_point(frame, *corner))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire(), True).Face()
    if body.across_flats_mm is not None:
        return BRepPrimAPI_MakePrism(face, way).Shape()
    axis = gp_Ax1(frame.Location(), frame.Direction())
    return BRepPrimAPI_MakeRevol(face, axis, 2.0 * math.pi).Shape()


def without_crumbs(ring: Ring, tolerance_mm: float = _THIN_MM) -> Ring:
    """The ring without corners that lie on the line between their neighbours, or on these."""
    kept: list[tuple[float, float]] = []
    for corner in ring:
        if not kept or math.dist(corner, kept[-1]) > tolerance_mm:
            kept.append(corner)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= tolerance_mm:
        kept.pop()
    changed = True
    while changed and len(kept) > 2:
        changed = False
        for i in range(len(kept)):
            (z0, r0), (z1, r1), (z2, r2) = kept[i - 1], kept[i], kept[(i + 1) % len(kept)]
            length = math.dist((z0, r0), (z2, r2))
            cross = abs((z1 - z0) * (r2 - r0) - (r1 - r0) * (z2 - z0))
            if cross <= tolerance_mm * max(length, tolerance_mm):
                del kept[i]
                changed = True
                break
    return tuple(kept)


def _point(frame: gp_Ax2, x: float, y: float, z: float) -> Any:
    from OCP.gp import gp_Vec

    moved = (
        gp_Vec(frame.XDirection()).Multiplied(x)
        + gp_Vec(frame.YDirection()).Multiplied(y)
        + gp_Vec(frame.Direction()).Multiplied(z)
    )
    return frame.Location().Translated(moved)


def _document(product: str, shapes: Sequence[tuple[Body, TopoDS_Shape]]) -> Any:
    """One product that holds each body as a part of it, by its name."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    whole = tool.NewShape()
    TDataStd_Name.Set_s(whole, TCollection_ExtendedString(product, True))
    for body, shape in shapes:
        label = tool.AddShape(shape, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(body.name, True))
        component = tool.AddComponent(whole, label, TopLoc_Location())
        TDataStd_Name.Set_s(component, TCollection_ExtendedString(body.name, True))
    tool.UpdateAssemblies()
    return document
