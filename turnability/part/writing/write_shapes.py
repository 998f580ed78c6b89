"""Solids from memory to a STEP file of AP242, by the CAD kernel's XCAF writer.

The kernel does not tell which entity a face became. Each face is written under a name of its own,
found by it in the text, and loses it again.
"""

from __future__ import annotations

import errno
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from turnability.part.reading.step_strings import encode_string
from turnability.part.reading.topology import faces_of

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid

    from turnability.part.reading.read import ReadSolid

AP203, AP214, AP242 = 3, 4, 5
"""What the kernel calls the schemas."""
UNITS = {"mm": "MM", "inch": "INCH", "m": "M", "cm": "CM", "foot": "FT", "um": "UM", "km": "KM"}
_TAG = re.compile(r"(#(\d+)\s*=\s*ADVANCED_FACE\s*\(\s*)'turnability (\d+) (\d+)'")


def write_shapes(solids: Sequence[ReadSolid], path: Path) -> Mapping[tuple[int, int], int]:
    """Write the solids in the first one's unit; the entity number by solid and face (from 1).

    Raises OSError where the file cannot be written.
    """
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    _fill(document, solids)
    unit = UNITS.get(solids[0].source.length_unit, "MM") if solids else "MM"
    text = written_text(document, path, unit, AP242)
    numbers: dict[tuple[int, int], int] = {}

    def untag(tag: re.Match[str]) -> str:
        numbers[int(tag[3]), int(tag[4])] = int(tag[2])
        return f"{tag[1]}''"

    path.write_bytes(_TAG.sub(untag, text).encode("ascii"))
    return numbers


def written_text(document: Any, path: Path, unit: str, schema: int) -> str:
    """Write an XCAF document, colours and names included; the text, in ASCII, that then stands.

    Raises OSError where the file cannot be written.
    """
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType

    STEPCAFControl_Controller.Init_s()
    with _silent(), _settings({"write.step.unit": unit}, schema):
        writer = STEPCAFControl_Writer()
        writer.SetColorMode(True)
        writer.SetNameMode(True)
        writer.SetLayerMode(True)
        done = writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
        if not done or writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise OSError(errno.EIO, "the CAD kernel could not write it")
    # The kernel writes names in UTF-8, which ISO 10303-21 doesn't allow: escape them.
    return re.sub(
        r"[^\x00-\x7f]+",
        lambda run: encode_string(run.group())[1:-1],
        path.read_bytes().decode("utf-8", "replace"),
    )


def _fill(document: Any, solids: Sequence[ReadSolid]) -> None:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    for place, solid in enumerate(solids, 1):
        shape = _placed(solid.shape)
        label = shapes.AddShape(shape, False)
        name = solid.source.product or "part"  # the kernel makes one up from its own otherwise
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
        for index, own in enumerate(faces_of(shape), 1):
            face = shapes.AddSubShape(label, own)
            if not face.IsNull():
                tag = TCollection_ExtendedString(f"turnability {place} {index}")
                TDataStd_Name.Set_s(face, tag)


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
def _silent() -> Iterator[None]:
    """The kernel tells of each transfer on standard output, where only results belong."""
    from OCP.Message import Message, Message_Gravity

    printers = list(Message.DefaultMessenger_s().Printers())
    levels = [printer.GetTraceLevel() for printer in printers]
    for printer in printers:
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    try:
        yield
    finally:
        for printer, level in zip(printers, levels, strict=True):
            printer.SetTraceLevel(level)


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
