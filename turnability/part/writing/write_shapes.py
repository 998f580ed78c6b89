"""Solids from memory to a STEP file with colours, names and layers on faces, by the CAD kernel."""

from __future__ import annotations

import errno
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from turnability.part.reading.read import faces_of
from turnability.part.reading.step_strings import encode_string

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid

    from turnability.part.reading.read import ReadSolid
    from turnability.part.writing.marks import Mark

_AP242 = 5
_UNITS = {"mm": "MM", "inch": "INCH", "m": "M", "cm": "CM", "foot": "FT", "um": "UM", "km": "KM"}


def write_shapes(solids: Sequence[ReadSolid], path: Path, marks: Sequence[Mark]) -> list[Mark]:
    """Write AP242 in the first solid's unit and hand back the marks that found no face.

    Raises OSError where the file cannot be written.
    """
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    STEPCAFControl_Controller.Init_s()
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    left_out = _fill(document, solids, marks)
    unit = _UNITS.get(solids[0].source.length_unit, "MM") if solids else "MM"
    with _settings({"write.step.unit": unit}, _AP242):
        writer = STEPCAFControl_Writer()
        writer.SetColorMode(True)
        writer.SetNameMode(True)
        writer.SetLayerMode(True)
        done = writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
        if not done or writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise OSError(errno.EIO, "the CAD kernel could not write it")
    _escape(path)
    return left_out


def _fill(document: Any, solids: Sequence[ReadSolid], marks: Sequence[Mark]) -> list[Mark]:
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    layers = XCAFDoc_DocumentTool.LayerTool_s(document.Main())
    left_out = list(marks)
    for place, solid in enumerate(solids, 1):
        shape = _placed(solid.shape)
        label = shapes.AddShape(shape, False)
        if solid.source.product:
            TDataStd_Name.Set_s(label, TCollection_ExtendedString(solid.source.product, True))
        faces = faces_of(shape)
        for mark in marks:
            if mark.solid != place or not 1 <= mark.face <= len(faces):
                continue
            face = shapes.AddSubShape(label, faces[mark.face - 1])
            if face.IsNull():
                continue
            left_out.remove(mark)
            if mark.name:
                TDataStd_Name.Set_s(face, TCollection_ExtendedString(mark.name, True))
            if mark.colour is not None:
                colour = Quantity_Color(*mark.colour, Quantity_TypeOfColor.Quantity_TOC_sRGB)
                colours.SetColor(face, colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
            if mark.layer:
                layers.SetLayer(face, TCollection_ExtendedString(mark.layer, True))
    return left_out


def _placed(shape: TopoDS_Solid) -> TopoDS_Shape:
    """The solid with its placement worked into its geometry; faces keep their order.

    A document takes a placed shape for an instance, whose faces then cannot be named.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.TopLoc import TopLoc_Location

    place = shape.Location()
    if place.IsIdentity():
        return shape
    unplaced = shape.Located(TopLoc_Location())
    return BRepBuilderAPI_Transform(unplaced, place.Transformation(), True).Shape()


@contextmanager
def _settings(texts: dict[str, str], schema: int) -> Iterator[None]:
    """The kernel's settings belong to the whole process: put them back as they were."""
    from OCP.Interface import Interface_Static as Static

    numbers = {"write.step.schema": schema, "write.stepcaf.subshapes.name": 1}
    texts_before = {name: Static.CVal_s(name) for name in texts}
    numbers_before = {name: Static.IVal_s(name) for name in numbers}
    try:
        for name, text in texts.items():
            Static.SetCVal_s(name, text)
        for name, number in numbers.items():
            Static.SetIVal_s(name, number)
        yield
    finally:
        for name, text in texts_before.items():
            Static.SetCVal_s(name, text)
        for name, number in numbers_before.items():
            Static.SetIVal_s(name, number)


def _escape(path: Path) -> None:
    """The kernel writes names in UTF-8, which ISO 10303-21 doesn't allow: escape them."""
    data = path.read_bytes()
    if not data.isascii():
        text = re.sub(
            r"[^\x00-\x7f]+",
            lambda run: encode_string(run.group())[1:-1],
            data.decode("utf-8", "replace"),
        )
        path.write_bytes(text.encode("ascii"))
