"""STEP files for tests, made while they run, and what other eyes see in such files."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import cadquery as cq

SCHEMAS = {"AP203": 3, "AP214": 4, "AP242": 5}
UNITS_MM = {"MM": 1.0, "INCH": 25.4, "M": 1000.0, "CM": 10.0}


def stepped_pin(radii: tuple[float, ...] = (10.0, 8.0, 5.0), length: float = 12.0) -> Any:
    """Cylinders on one another, each of another radius, so that faces differ in their numbers."""
    pin = cq.Workplane().circle(radii[0]).extrude(length)
    for radius in radii[1:]:
        pin = pin.faces(">Z").workplane().circle(radius).extrude(length)
    return pin


def write_step(
    shape: Any,
    path: Path,
    *,
    schema: str = "AP214",
    unit: str = "MM",
    name: str | None = None,
    curves: bool = False,
) -> Path:
    """Write with the kernel's plain writer in the given schema and unit."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import (
        STEPControl_Controller,
        STEPControl_StepModelType,
        STEPControl_Writer,
    )

    STEPControl_Controller.Init_s()
    mode = (
        STEPControl_StepModelType.STEPControl_GeometricCurveSet
        if curves
        else STEPControl_StepModelType.STEPControl_AsIs
    )
    try:
        Interface_Static.SetIVal_s("write.step.schema", SCHEMAS[schema])
        Interface_Static.SetCVal_s("write.step.unit", unit)
        if name is not None:
            Interface_Static.SetCVal_s("write.step.product.name", name)
        writer = STEPControl_Writer()
        assert writer.Transfer(shape, mode) == IFSelect_ReturnStatus.IFSelect_RetDone
        assert writer.Write(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    finally:
        Interface_Static.SetIVal_s("write.step.schema", SCHEMAS["AP214"])
        Interface_Static.SetCVal_s("write.step.unit", "MM")
        Interface_Static.SetCVal_s("write.step.product.name", "")
    return path


def volume(shape: Any) -> float:
    """Volume in mm³, by the kernel's adaptive integration."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    measured = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, measured, 1e-9)
    return float(measured.Mass())


_KINDS = {
    "PLANE": "GeomAbs_Plane",
    "CYLINDRICAL_SURFACE": "GeomAbs_Cylinder",
    "CONICAL_SURFACE": "GeomAbs_Cone",
    "SPHERICAL_SURFACE": "GeomAbs_Sphere",
    "TOROIDAL_SURFACE": "GeomAbs_Torus",
}


def entities_of(path: Path) -> dict[int, tuple[str, str]]:
    """Keyword and parameters by number, by another and simpler way than the package's."""
    text = path.read_text(encoding="latin-1")
    return {
        int(n): (kind, parameters)
        for n, kind, parameters in re.findall(
            r"#(\d+)\s*=\s*([A-Z_0-9]+)\s*\(((?:'[^']*'|[^;'])*)\)\s*;", text
        )
    }


def mismatch(face: Any, number: int, entities: dict[int, tuple[str, str]], mm: float) -> str | None:
    """How the kernel's face differs from the entity with this number: surface, place, radius."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.TopoDS import TopoDS

    kind, parameters = entities[number]
    if kind != "ADVANCED_FACE":
        return f"#{number} is a {kind}"
    references = [int(n) for n in re.findall(r"#(\d+)", re.sub(r"'[^']*'", "", parameters))]
    surface, values = entities.get(references[-1], ("a complex entity", ""))
    adaptor = BRepAdaptor_Surface(TopoDS.Face_s(face), True)
    if surface not in _KINDS:
        return None  # splines and the like are not told apart here
    if adaptor.GetType().name != _KINDS[surface]:
        return f"#{number} is a {surface}, the face a {adaptor.GetType().name}"
    bare = re.sub(r"'[^']*'", "", values)
    placement = entities[int(re.findall(r"#(\d+)", bare)[0])][1]
    point = entities[int(re.findall(r"#(\d+)", re.sub(r"'[^']*'", "", placement))[0])][1]
    centre = [
        float(v) * mm for v in re.findall(r"[-+]?\d[\d.]*(?:E[-+]?\d+)?", point.split("(")[-1])
    ]
    one = {
        "GeomAbs_Plane": lambda: adaptor.Plane().Location(),
        "GeomAbs_Cylinder": lambda: adaptor.Cylinder().Location(),
        "GeomAbs_Cone": lambda: adaptor.Cone().Location(),
        "GeomAbs_Sphere": lambda: adaptor.Sphere().Location(),
        "GeomAbs_Torus": lambda: adaptor.Torus().Location(),
    }[_KINDS[surface]]()
    seen = (one.X(), one.Y(), one.Z())
    if max(abs(a - b) for a, b in zip(centre, seen, strict=True)) > 1e-6 * max(1.0, mm):
        return f"#{number} lies at {centre}, the face at {seen}"
    if surface == "CYLINDRICAL_SURFACE":
        radius = float(re.findall(r",\s*([-+.\dE]+)\s*$", bare.strip())[0]) * mm
        if abs(adaptor.Cylinder().Radius() - radius) > 1e-6 * max(1.0, mm):
            return f"#{number} has radius {radius}, the face {adaptor.Cylinder().Radius()}"
    return None


def read_back(path: Path) -> tuple[list[tuple[Any, str | None, Any, list[str]]], list[str]]:
    """Faces with name, colour (sRGB) and layers as the kernel's XCAF reader gives them.

    Also the names that the face entities themselves carry.
    """
    from OCP.Interface import Interface_Static
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    STEPCAFControl_Controller.Init_s()
    Interface_Static.SetIVal_s("read.stepcaf.subshapes.name", 1)
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    reader.SetNameMode(True)
    reader.SetLayerMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    layers = XCAFDoc_DocumentTool.LayerTool_s(document.Main())
    transferred = reader.ChangeReader().WS().TransferReader()
    labels = TDF_LabelSequence()
    shapes.GetShapes(labels)
    found = []
    entity_names = []
    for i in range(1, labels.Length() + 1):
        parts = TDF_LabelSequence()
        shapes.GetSubShapes_s(labels.Value(i), parts)
        for k in range(1, parts.Length() + 1):
            label = parts.Value(k)
            face = shapes.GetShape_s(label)
            if face.ShapeType() != TopAbs_ShapeEnum.TopAbs_FACE:
                continue
            name = None
            if label.IsAttribute(TDataStd_Name.GetID_s()):
                attribute = TDataStd_Name()
                label.FindAttribute(TDataStd_Name.GetID_s(), attribute)
                name = attribute.Get().ToExtString()
            colour = Quantity_Color()
            rgb = None
            if colours.GetColor_s(label, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour):
                rgb = colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
            on = layers.GetLayers(label)
            found.append(
                (
                    face,
                    name,
                    rgb,
                    [on.Value(j).ToExtString() for j in range(1, on.Length() + 1)]
                    if on is not None
                    else [],
                )
            )
            entity = transferred.EntityFromShapeResult(face, 1)
            entity_names.append(entity.Name().ToCString() if entity is not None else "")
    return found, entity_names
