"""STEP files with names, colours, layers and semantic tolerances, by the kernel's own writer.

An independent witness: the document writer (XCAF) composes the AP242 entities of the recommended
practices itself; nothing of what is tested here takes part in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cadquery as cq

BORE, NECK, FLANGE = 8.0, 20.0, 40.0
"""Diameters of the flanged sleeve."""
LOW, SHOULDER, HIGH = 0.0, 30.0, 55.0
"""Its plane faces' z."""


def flanged_sleeve() -> Any:
    """A solid about z: flange ⌀40 × 30, neck ⌀20 × 25, bore ⌀8 through."""
    body = cq.Workplane().circle(FLANGE / 2).extrude(SHOULDER)
    body = body.faces(">Z").workplane().circle(NECK / 2).extrude(HIGH - SHOULDER)
    return body.faces(">Z").workplane().hole(BORE).val().wrapped


def faces_by_size(solid: Any) -> dict[float, Any]:
    """The sleeve's faces: cylinders by their diameter, planes by minus their z less 1000."""
    found = {}
    for face in cq.Shape.cast(solid).Faces():
        if face.geomType() == "CYLINDER":
            found[round(2.0 * face._geomAdaptor().Cylinder().Radius(), 6)] = face.wrapped
        else:
            found[plane(face.Center().z)] = face.wrapped
    return found


def plane(z: float) -> float:
    """The key of a plane face."""
    return -1000.0 - round(z, 6)


@dataclass(frozen=True)
class Wanted:
    """What a file is to say; faces by the keys of `faces_by_size`."""

    names: Mapping[float, str] | None = None
    colours: Mapping[float | None, tuple[float, float, float]] | None = None
    layers: Mapping[float | None, Sequence[str]] | None = None
    product: str = "sleeve"
    sizes: Sequence[tuple[float, float | None, Callable[[Any], None]]] = ()
    tolerances: Sequence[tuple[float, Callable[[Any], None], Sequence[tuple[str, str]]]] = ()
    """Face, what sets up the object, and its datums with their modifier ("" for none)."""
    datums: Mapping[str, float] | None = None


def write_stated(path: Path, wanted: Wanted, *, unit: str = "MM") -> Path:
    """Write the flanged sleeve with all that in AP242."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    STEPCAFControl_Controller.Init_s()
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    _fill(document, wanted)
    before = {name: Interface_Static.IVal_s(name) for name in _SETTINGS}
    try:
        for name, value in _SETTINGS.items():
            assert Interface_Static.SetIVal_s(name, value)
        assert Interface_Static.SetCVal_s("write.step.unit", unit)
        writer = STEPCAFControl_Writer()
        for mode in ("Color", "Name", "Layer", "DimTol"):
            getattr(writer, f"Set{mode}Mode")(True)
        assert writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
        assert writer.Write(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    finally:
        for name, value in before.items():
            Interface_Static.SetIVal_s(name, value)
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    return path


_SETTINGS = {"write.step.schema": 5, "write.stepcaf.subshapes.name": 1}


def _fill(document: Any, wanted: Wanted) -> None:
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    layers = XCAFDoc_DocumentTool.LayerTool_s(document.Main())
    solid = flanged_sleeve()
    faces = faces_by_size(solid)
    whole = shapes.AddShape(solid, False)
    TDataStd_Name.Set_s(whole, TCollection_ExtendedString(wanted.product, True))

    def label(key: float | None) -> Any:
        return whole if key is None else shapes.AddSubShape(whole, faces[key])

    for key, name in (wanted.names or {}).items():
        TDataStd_Name.Set_s(label(key), TCollection_ExtendedString(name, True))
    for place, rgb in (wanted.colours or {}).items():
        colour = Quantity_Color(*rgb, Quantity_TypeOfColor.Quantity_TOC_sRGB)
        colours.SetColor(label(place), colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    for place, named in (wanted.layers or {}).items():
        for layer in named:
            layers.SetLayer(label(place), TCollection_ExtendedString(layer, True))
    _fill_stated(document, wanted, label)


def _fill_stated(document: Any, wanted: Wanted, label: Callable[[float | None], Any]) -> None:
    from OCP.TCollection import TCollection_HAsciiString
    from OCP.XCAFDimTolObjects import (
        XCAFDimTolObjects_DatumObject,
        XCAFDimTolObjects_DatumSingleModif,
        XCAFDimTolObjects_DimensionObject,
        XCAFDimTolObjects_GeomToleranceObject,
    )
    from OCP.XCAFDoc import (
        XCAFDoc_Datum,
        XCAFDoc_Dimension,
        XCAFDoc_DocumentTool,
        XCAFDoc_GeomTolerance,
    )

    tool = XCAFDoc_DocumentTool.DimTolTool_s(document.Main())
    for key, to, set_up in wanted.sizes:
        made = tool.AddDimension()
        tool.SetDimension(
            _sequence([label(key)]), _sequence([] if to is None else [label(to)]), made
        )
        size = XCAFDimTolObjects_DimensionObject()
        set_up(size)
        XCAFDoc_Dimension.Set_s(made).SetObject(size)
    for key, set_up, datums in wanted.tolerances:
        made = tool.AddGeomTolerance()
        tool.SetGeomTolerance(_sequence([label(key)]), made)
        tolerance = XCAFDimTolObjects_GeomToleranceObject()
        set_up(tolerance)
        XCAFDoc_GeomTolerance.Set_s(made).SetObject(tolerance)
        for place, (letter, modifier) in enumerate(datums, 1):
            named = tool.AddDatum()
            tool.SetDatum(_sequence([label((wanted.datums or {})[letter])]), named)
            datum = XCAFDimTolObjects_DatumObject()
            datum.SetName(TCollection_HAsciiString(letter))
            datum.SetPosition(place)
            if modifier:
                datum.AddModifier(getattr(XCAFDimTolObjects_DatumSingleModif, modifier))
            XCAFDoc_Datum.Set_s(named).SetObject(datum)
            tool.SetDatumToGeomTol(named, made)


def _sequence(labels: Iterable[Any]) -> Any:
    from OCP.TDF import TDF_LabelSequence

    made = TDF_LabelSequence()
    for label in labels:
        made.Append(label)
    return made
