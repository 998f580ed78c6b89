"""Faces' colours in assemblies: what the kernel shows at every place of a part, occurrences' own
colours or not. The kernel's own presentation styles are the judge (`XCAFPrs`)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from annotations import RED
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Reader, STEPCAFControl_Writer
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDF import TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_FACE
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool
from OCP.XCAFPrs import XCAFPrs, XCAFPrs_IndexedDataMapOfShapeStyle
from step_files import stepped_pin

from turnability.part.reading.read import read_solids
from turnability.part.writing.write import Mark, write_annotated

PLACES = 3
ASSEMBLIES = (
    "assembly_bolted_plates.step",
    "assembly_seven_parts.step",
    "assembly_ball_bearing_metre.step",
)


def document() -> TDocStd_Document:
    return TDocStd_Document(TCollection_ExtendedString("annotated"))


def coloured_occurrences(path: Path) -> Path:
    """One pin three times, the first place red as a whole, the second green."""
    made = document()
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(made.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(made.Main())
    pin = shapes.AddShape(stepped_pin().val().wrapped, False)
    top = shapes.NewShape()
    for colour in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), None):
        place = shapes.AddComponent(top, pin, TopLoc_Location())
        if colour is not None:
            own = Quantity_Color(*colour, Quantity_TOC_sRGB)
            colours.SetColor(place, own, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    shapes.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(True)
    writer.Transfer(made)
    assert writer.Write(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    return path


def shown(path: Path) -> list[tuple[float, ...] | None]:
    """The colour of every face style at every place, as the kernel would present it."""
    made = document()
    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    reader.SetSHUOMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.Transfer(made)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(made.Main()).GetFreeShapes(roots)
    found: list[tuple[float, ...] | None] = []
    for i in range(1, roots.Length() + 1):
        styles = XCAFPrs_IndexedDataMapOfShapeStyle()
        XCAFPrs.CollectStyleSettings_s(roots.Value(i), TopLoc_Location(), styles)
        for k in range(1, styles.Extent() + 1):
            style = styles.FindFromIndex(k)
            if styles.FindKey(k).ShapeType() == TopAbs_FACE:
                is_set = style.IsSetColorSurf()
                found.append(style.GetColorSurf().Values(Quantity_TOC_sRGB) if is_set else None)
    return found


def all_red(source: Path, out: Path) -> int:
    """Annotate every face of every solid; how many faces there are at all places."""
    solids = read_solids(source)
    marks = [
        Mark(solid.source.solid, i, number, colour=RED)
        for solid in solids
        for i, number in enumerate(solid.step_ids, 1)
    ]
    assert write_annotated(source, out, marks) == ()
    return len(marks)


def assert_red(path: Path, count: int) -> None:
    seen = shown(path)
    assert len(seen) == count
    for colour in seen:
        assert colour == pytest.approx(RED, abs=0.01)


def test_an_occurrences_colour_does_not_hide_those_of_faces(tmp_path: Path) -> None:
    source = coloured_occurrences(tmp_path / "three.step")
    text = source.read_text("latin-1")
    assert len(re.findall("PRESENTATION_STYLE_BY_CONTEXT", text)) >= 2, "colours of occurrences"
    assert shown(source) == []
    faces = all_red(source, tmp_path / "out.step")
    assert faces == PLACES * len(read_solids(source)[0].step_ids)
    assert_red(tmp_path / "out.step", faces)


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", ASSEMBLIES)
def test_faces_are_coloured_at_every_place_of_real_assemblies(
    shared_parts: Path, tmp_path: Path, name: str
) -> None:
    faces = all_red(shared_parts / name, tmp_path / "out.step")
    assert_red(tmp_path / "out.step", faces)
