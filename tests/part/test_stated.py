"""What a STEP file knows of its faces: names, colours, layers, sizes, tolerances and datums.

The first files are composed by the kernel's own document writer, the later ones by hand from the
entities of ISO 10303-21, -41, -46 and -47, each as the recommended practices for AP242 show them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.part.stated_files import (
    BORE,
    FLANGE,
    HIGH,
    LOW,
    NECK,
    SHOULDER,
    Wanted,
    flanged_sleeve,
    plane,
    write_stated,
)
from tests.part.step_files import write_step
from turnability.analysis import walk
from turnability.half_plane.curves import Line
from turnability.outputs.json_document import schema_text
from turnability.outputs.summary import summary_lines
from turnability.part.model import DatumReference, Part, Place
from turnability.part.parts import parts_in
from turnability.part.reading.facts import FileFacts
from turnability.part.reading.names import LONGEST_NAME
from turnability.part.reading.sizes import CONTRADICTION
from turnability.part.reading.step_text import read_step_text
from turnability.rules.drawn import drawn_shop

BLUE, RED = (0.2, 0.4, 0.6), (1.0, 0.0, 0.0)


def only_part(path: Path) -> Part:
    _, *parts = parts_in(str(path))
    (part,) = parts
    assert isinstance(part, Part)
    assert part.profile is not None
    return part


def diameters(part: Part, place: Place) -> set[float]:
    """Diameters of the cylinders that the place's segments make."""
    assert part.profile is not None
    lines = [s.curve for s in part.profile.segments if s.id in place.segments]
    return {round(2.0 * line.start[1], 6) for line in lines if line.start[1] == line.end[1]}


def heights(part: Part, place: Place) -> set[float]:
    """z of the plane faces that the place's segments make, in the file's own direction."""
    assert part.profile is not None
    assert part.axis is not None
    curves = [s.curve for s in part.profile.segments if s.id in place.segments]
    flat = {c.start[0] for c in curves if isinstance(c, Line) and c.start[0] == c.end[0]}
    return {round(part.axis.origin_mm[2] + z * part.axis.direction[2], 6) for z in flat}


def size(kind: str, **values: Any) -> Callable[[Any], None]:
    from OCP import XCAFDimTolObjects

    def set_up(size: Any) -> None:
        name = f"XCAFDimTolObjects_DimensionType_{kind}"
        size.SetType(getattr(XCAFDimTolObjects.XCAFDimTolObjects_DimensionType, name))
        for setter, value in values.items():
            getattr(size, setter)(*(value if isinstance(value, tuple) else (value,)))

    return set_up


def tolerance(kind: str, value: float, **setters: Any) -> Callable[[Any], None]:
    from OCP import XCAFDimTolObjects

    def set_up(made: Any) -> None:
        name = f"XCAFDimTolObjects_GeomToleranceType_{kind}"
        made.SetType(getattr(XCAFDimTolObjects.XCAFDimTolObjects_GeomToleranceType, name))
        made.SetValue(value)
        for setter, enumerated in setters.items():
            family, word = enumerated
            values = getattr(XCAFDimTolObjects, f"XCAFDimTolObjects_{family}")
            getattr(made, setter)(getattr(values, f"XCAFDimTolObjects_{family}_{word}"))

    return set_up


@pytest.fixture(scope="module")
def dressed(tmp_path_factory: pytest.TempPathFactory) -> Part:
    wanted = Wanted(
        product="Hülse 7",
        names={BORE: "seat bore", NECK: "Lagersitz Ø"},
        colours={None: BLUE, NECK: RED},
        layers={None: ["body"], NECK: ["fits"]},
    )
    return only_part(write_stated(tmp_path_factory.mktemp("dressed") / "a.step", wanted))


def face_at(part: Part, diameter: float) -> Any:
    (face,) = (f for f in part.faces if diameter in diameters(part, Place((), f.segments)))
    return face


def test_faces_keep_their_names(dressed: Part) -> None:
    assert dressed.source.product == "Hülse 7"
    assert face_at(dressed, BORE).name == "seat bore"
    assert face_at(dressed, NECK).name == "Lagersitz Ø"
    assert face_at(dressed, FLANGE).name is None


def test_a_faces_own_colour_comes_before_its_solids(dressed: Part) -> None:
    # sRGB 0.2, 0.4, 0.6 are 51, 102 and 153 of 255
    assert face_at(dressed, FLANGE).colour == "#336699"
    assert face_at(dressed, NECK).colour == "#ff0000"


def test_a_face_lies_on_its_own_layer_and_its_solids(dressed: Part) -> None:
    assert face_at(dressed, NECK).layers == ("fits", "body")
    assert face_at(dressed, FLANGE).layers == ("body",)


def stated_sizes() -> list[Any]:
    from OCP import XCAFDimTolObjects

    variance = XCAFDimTolObjects.XCAFDimTolObjects_DimensionFormVariance
    # The writer of kernel 7.9 writes a grade two higher than it is given: 7 for this IT5.
    grade = XCAFDimTolObjects.XCAFDimTolObjects_DimensionGrade.XCAFDimTolObjects_DimensionGrade_IT5
    hole = (True, variance.XCAFDimTolObjects_DimensionFormVariance_H, grade)
    # It takes the lower deviation as an amount below the size and writes it with its sign.
    return [
        (
            NECK,
            None,
            size("Size_Diameter", SetValue=20.0, SetLowerTolValue=0.02, SetUpperTolValue=0.013),
        ),
        (BORE, None, size("Size_Diameter", SetValue=8.0, SetClassOfTolerance=hole)),
        (FLANGE, None, size("Size_Diameter", SetLowerBound=39.9, SetUpperBound=40.1)),
        (
            plane(LOW),
            plane(SHOULDER),
            size(
                "Location_LinearDistance",
                SetValue=30.0,
                SetLowerTolValue=0.1,
                SetUpperTolValue=0.2,
            ),
        ),
    ]


@pytest.mark.parametrize(("unit", "mm"), [("MM", 1.0), ("INCH", 25.4)])
def test_sizes_with_limits_fit_and_range(tmp_path: Path, unit: str, mm: float) -> None:
    # The writer puts the given numbers into the file as they are, in the file's own unit.
    path = write_stated(tmp_path / "a.step", Wanted(sizes=stated_sizes()), unit=unit)
    assert "LIMITS_AND_FITS('H','hole','7','')" in path.read_text()
    part = only_part(path)
    neck, bore, flange, distance = part.stated.sizes
    assert (neck.kind, neck.unit, neck.fit) == ("diameter", "mm", None)
    assert (neck.nominal, neck.least, neck.largest) == pytest.approx(
        (20.0 * mm, 19.98 * mm, 20.013 * mm), abs=1e-9
    )
    assert diameters(part, neck.at) == {NECK}
    assert (bore.nominal, bore.least, bore.largest, bore.fit) == (
        pytest.approx(8.0 * mm), None, None, "H7",
    )  # fmt: skip
    assert diameters(part, bore.at) == {BORE}
    assert (flange.least, flange.largest) == pytest.approx((39.9 * mm, 40.1 * mm), abs=1e-9)
    assert diameters(part, flange.at) == {FLANGE}
    assert (distance.kind, distance.what) == ("distance", "linear distance")
    assert (distance.nominal, distance.least, distance.largest) == pytest.approx(
        (30.0 * mm, 29.9 * mm, 30.2 * mm), abs=1e-9
    )
    assert distance.to is not None
    assert (heights(part, distance.at), heights(part, distance.to)) == ({LOW}, {SHOULDER})
    assert all(s.step_id is not None for s in part.stated.sizes)


def test_geometric_tolerances_with_datums_and_modifiers(tmp_path: Path) -> None:
    most = "XCAFDimTolObjects_DatumSingleModif_MaximumMaterialRequirement"
    wanted = Wanted(
        # Where there is no size, the writer of kernel 7.9 gives tolerances in metres.
        sizes=stated_sizes()[:1],
        tolerances=[
            (plane(LOW), tolerance("Flatness", 0.02), []),
            (NECK, tolerance("CircularRunout", 0.03), [("A", "")]),
            (
                FLANGE,
                tolerance(
                    "Position",
                    0.1,
                    SetMaterialRequirementModifier=("GeomToleranceMatReqModif", "M"),
                    SetTypeOfValue=("GeomToleranceTypeValue", "Diameter"),
                ),
                [("A", most), ("B", "")],
            ),
            (plane(HIGH), tolerance("Perpendicularity", 0.05), [("A", "")]),
            (BORE, tolerance("Cylindricity", 0.01), []),
        ],
        datums={"A": BORE, "B": plane(SHOULDER)},
    )
    part = only_part(write_stated(tmp_path / "a.step", wanted))
    found = {t.kind: t for t in part.stated.tolerances}
    assert found["flatness"].value_mm == 0.02
    assert found["flatness"].datums == ()
    assert heights(part, found["flatness"].at) == {LOW}
    assert found["circular-runout"].value_mm == 0.03
    assert found["circular-runout"].datums == (DatumReference(("A",)),)
    assert diameters(part, found["circular-runout"].at) == {NECK}
    assert found["position"].modifiers == ("maximum material requirement",)
    assert found["position"].zone == "cylindrical or circular"
    assert found["position"].datums == (
        DatumReference(("A",), ("maximum material requirement",)),
        DatumReference(("B",)),
    )
    assert heights(part, found["perpendicularity"].at) == {HIGH}
    assert found["cylindricity"].value_mm == 0.01
    assert diameters(part, found["cylindricity"].at) == {BORE}
    letters = {datum.letter: datum for datum in part.stated.datums}
    assert set(letters) == {"A", "B"}
    assert diameters(part, letters["A"].at) == {BORE}
    assert heights(part, letters["B"].at) == {SHOULDER}


def test_the_report_holds_what_is_stated(tmp_path: Path) -> None:
    wanted = Wanted(
        names={NECK: "seat"},
        colours={NECK: RED},
        layers={NECK: ["fits"]},
        sizes=stated_sizes(),
        tolerances=[(NECK, tolerance("CircularRunout", 0.03), [("A", "")])],
        datums={"A": BORE},
    )
    report = walk(only_part(write_stated(tmp_path / "a.step", wanted)), drawn_shop())
    document = json.loads(report.to_json())
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(document)
    (face,) = (face for face in document["faces"] if face["name"])
    assert (face["name"], face["colour"], face["layers"]) == ("seat", "#ff0000", ["fits"])
    sizes, (runout,) = document["stated"]["sizes"], document["stated"]["tolerances"]
    assert [(s["nominal"], s["least"], s["largest"], s["fit"]) for s in sizes] == [
        (20.0, 19.98, 20.013, None),
        (8.0, None, None, "H7"),
        (40.0, 39.9, 40.1, None),
        (30.0, 29.9, 30.2, None),
    ]
    assert sizes[0]["faces"] == runout["faces"] == [face["index"]]
    assert sizes[0]["segments"] == runout["segments"] == face["segments"]
    assert runout["datums"] == [{"letters": ["A"], "modifiers": []}]
    (datum,) = document["stated"]["datums"]
    assert datum["faces"] == sizes[1]["faces"]
    said = " ".join(" ".join(map(str, summary_lines(report))).split())
    assert "the file states 4 sizes and 1 geometric tolerance (see the JSON)" in said


# ---------------------------------------------------------------- composed by hand


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The flanged sleeve by the plain writer, one entity a line."""
    path = tmp_path_factory.mktemp("plain") / "plain.step"
    text = write_step(flanged_sleeve(), path, name="sleeve").read_text()
    return re.sub(r"\s*\n\s*", "", text).replace(";", ";\n")


def number_of(text: str, entity: str) -> int:
    found = re.search(rf"#(\d+) ?= ?{entity}", text)
    assert found is not None
    return int(found.group(1))


def cylinder_face(text: str, radius: float) -> int:
    """The face on the cylinder of a radius."""
    surface = number_of(text, rf"CYLINDRICAL_SURFACE\('',#\d+,{radius:g}\.\)")
    found = re.search(rf"#(\d+) ?= ?ADVANCED_FACE\('[^']*',\([^)]*\),#{surface},", text)
    assert found is not None
    return int(found.group(1))


def added(plain: str, path: Path, entities: str) -> Path:
    """The plain file with entities; NECK, BORE, FLANGE, SHAPE, REP, MM stand for its numbers."""
    numbers = {
        "NECK": cylinder_face(plain, NECK / 2),
        "BORE": cylinder_face(plain, BORE / 2),
        "FLANGE": cylinder_face(plain, FLANGE / 2),
        "SHAPE": number_of(plain, "PRODUCT_DEFINITION_SHAPE"),
        "REP": number_of(plain, "ADVANCED_BREP_SHAPE_REPRESENTATION"),
        "MM": number_of(plain, r"\( ?LENGTH_UNIT"),
        "BREP": number_of(plain, "MANIFOLD_SOLID_BREP"),
    }
    for word, number in numbers.items():
        entities = re.sub(rf"#{word}\b", f"#{number}", entities)
    end = plain.rindex("ENDSEC")
    path.write_text(plain[:end] + entities + plain[end:], encoding="utf-8")
    return path


MEASURE = "(LENGTH_MEASURE_WITH_UNIT()MEASURE_REPRESENTATION_ITEM()MEASURE_WITH_UNIT({},#{})\
REPRESENTATION_ITEM('{}'))"
QUALIFIED = "QUALIFIED_REPRESENTATION_ITEM((#9040))REPRESENTATION_ITEM('"
NOMINAL = MEASURE.format("POSITIVE_LENGTH_MEASURE({})", "MM", "nominal value")


def dimension(at: int, nominal: str, range_: str, aspect: str = "#9000") -> str:
    """A diameter with its representation and a range, on an aspect."""
    return f"""#{at}=DIMENSIONAL_SIZE({aspect},'diameter');
#{at + 1}=DIMENSIONAL_CHARACTERISTIC_REPRESENTATION(#{at},#{at + 2});
#{at + 2}=SHAPE_DIMENSION_REPRESENTATION('',(#{at + 3}),$);
#{at + 3}={NOMINAL.format(nominal)};
#{at + 4}=PLUS_MINUS_TOLERANCE(#{at + 5},#{at});
{range_}
"""


ON_NECK = """#9000=SHAPE_ASPECT('','',#SHAPE,.T.);
#9001=GEOMETRIC_ITEM_SPECIFIC_USAGE('','',#9000,#REP,#NECK);
"""


def bounds(at: int, lower: str, upper: str) -> str:
    return f"""#{at}=TOLERANCE_VALUE(#{at + 1},#{at + 2});
#{at + 1}=MEASURE_WITH_UNIT(LENGTH_MEASURE({lower}),#MM);
#{at + 2}=MEASURE_WITH_UNIT(LENGTH_MEASURE({upper}),#MM);"""


def test_signed_deviations_both_on_one_side(plain: str, tmp_path: Path) -> None:
    text = ON_NECK + dimension(9010, "20.", bounds(9015, "-0.04", "-0.02"))
    (neck,) = only_part(added(plain, tmp_path / "a.step", text)).stated.sizes
    assert (neck.nominal, neck.least, neck.largest) == pytest.approx((20.0, 19.96, 19.98), abs=1e-9)


@pytest.mark.parametrize("lower", ["0.02", "0.5"])
def test_limits_that_contradict_each_other_are_left_away(
    plain: str, tmp_path: Path, lower: str
) -> None:
    # ISO 10303-47, tolerance_value: the upper bound is greater than the lower one.
    text = ON_NECK + dimension(9010, "20.", bounds(9015, lower, "0.02"))
    (neck,) = only_part(added(plain, tmp_path / "a.step", text)).stated.sizes
    assert (neck.nominal, neck.least, neck.largest) == (20.0, None, None)
    assert neck.modifiers == (CONTRADICTION,)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("'h','shaft','6',''", "h6"),
        ("'H','shaft','6',''", "h6"),
        ("'g','','IT6',''", "g6"),
        ("'js','hole','9',''", "JS9"),
    ],
)
def test_fit_classes(plain: str, tmp_path: Path, written: str, meant: str) -> None:
    # ISO 286-1: capitals for holes, small letters for shafts.
    text = ON_NECK + dimension(9010, "20.", f"#9015=LIMITS_AND_FITS({written});")
    (neck,) = only_part(added(plain, tmp_path / "a.step", text)).stated.sizes
    assert (neck.fit, neck.least, neck.largest) == (meant, None, None)


def test_a_basic_dimension_and_one_with_a_largest_value(plain: str, tmp_path: Path) -> None:
    text = (
        ON_NECK
        + dimension(9010, "20.", bounds(9015, "-0.1", "0.1")).replace("(#9013)", "(#9013,#9020)")
        + "#9020=DESCRIPTIVE_REPRESENTATION_ITEM('dimensional note','theoretical');\n"
        + dimension(9030, "8.", "").replace("REPRESENTATION_ITEM('", QUALIFIED)
        + "#9040=TYPE_QUALIFIER('maximum');\n"
    )
    basic, bounded = only_part(added(plain, tmp_path / "a.step", text)).stated.sizes
    assert basic.modifiers == ("theoretical",)
    assert (bounded.nominal, bounded.least, bounded.largest) == (8.0, None, 8.0)
    assert bounded.modifiers == ("maximum",)


def test_angles_are_in_degrees(plain: str, tmp_path: Path) -> None:
    text = (
        ON_NECK
        + """#9010=ANGULAR_SIZE(#9000,'angle',.SMALL.);
#9011=DIMENSIONAL_CHARACTERISTIC_REPRESENTATION(#9010,#9012);
#9012=SHAPE_DIMENSION_REPRESENTATION('',(#9013),$);
#9013=(MEASURE_REPRESENTATION_ITEM()MEASURE_WITH_UNIT(PLANE_ANGLE_MEASURE(30.),#9014)
PLANE_ANGLE_MEASURE_WITH_UNIT()REPRESENTATION_ITEM('nominal value'));
#9014=(CONVERSION_BASED_UNIT('DEGREE',#9016)NAMED_UNIT(#9017)PLANE_ANGLE_UNIT());
#9015=(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.));
#9016=PLANE_ANGLE_MEASURE_WITH_UNIT(PLANE_ANGLE_MEASURE(0.0174532925199433),#9015);
#9017=DIMENSIONAL_EXPONENTS(0.,0.,0.,0.,0.,0.,0.);
"""
    )
    (angle,) = only_part(added(plain, tmp_path / "a.step", text)).stated.sizes
    assert (angle.kind, angle.unit) == ("angle", "deg")
    assert angle.nominal == pytest.approx(30.0, abs=1e-9)


def test_common_datums_by_elements_of_one_compartment(plain: str, tmp_path: Path) -> None:
    text = """#9000=SHAPE_ASPECT('','',#SHAPE,.T.);
#9001=GEOMETRIC_ITEM_SPECIFIC_USAGE('','',#9000,#REP,#FLANGE);
#9002=DATUM_FEATURE('','',#SHAPE,.T.);
#9003=GEOMETRIC_ITEM_SPECIFIC_USAGE('','',#9002,#REP,#NECK);
#9004=DATUM('','',#SHAPE,.F.,'A');
#9005=SHAPE_ASPECT_RELATIONSHIP('','',#9002,#9004);
#9006=DATUM_FEATURE('','',#SHAPE,.T.);
#9007=GEOMETRIC_ITEM_SPECIFIC_USAGE('','',#9006,#REP,#BORE);
#9008=DATUM('','',#SHAPE,.F.,'B');
#9009=SHAPE_ASPECT_RELATIONSHIP('','',#9006,#9008);
#9010=DATUM_REFERENCE_ELEMENT('','',#SHAPE,.F.,#9004,$);
#9011=DATUM_REFERENCE_ELEMENT('','',#SHAPE,.F.,#9008,$);
#9012=DATUM_REFERENCE_COMPARTMENT('','',#SHAPE,.F.,COMMON_DATUM_LIST((#9010,#9011)),$);
#9013=DATUM_SYSTEM('','',#SHAPE,.F.,(#9012));
#9014=TOTAL_RUNOUT_TOLERANCE('frame 1','',#9015,#9000,(#9013));
#9015=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.05),#MM);
"""
    part = only_part(added(plain, tmp_path / "a.step", text))
    (runout,) = part.stated.tolerances
    assert (runout.kind, runout.value_mm, runout.name) == ("total-runout", 0.05, "frame 1")
    assert runout.datums == (DatumReference(("A", "B")),)
    assert diameters(part, runout.at) == {FLANGE}
    assert {d.letter: diameters(part, d.at) for d in part.stated.datums} == {
        "A": {NECK},
        "B": {BORE},
    }


def test_the_older_ways_of_ap214_and_ap203(plain: str, tmp_path: Path) -> None:
    """Datum references with a precedence; an aspect with a representation of its own."""
    text = """#9000=SHAPE_ASPECT('','',#SHAPE,.T.);
#9001=PROPERTY_DEFINITION('','',#9000);
#9002=SHAPE_REPRESENTATION('',(#FLANGE),$);
#9003=SHAPE_DEFINITION_REPRESENTATION(#9001,#9002);
#9004=DATUM('','',#SHAPE,.F.,'A');
#9005=DATUM('','',#SHAPE,.F.,'B');
#9006=DATUM_REFERENCE(2,#9004);
#9007=DATUM_REFERENCE(1,#9005);
#9008=PARALLELISM_TOLERANCE('','',#9009,#9000,(#9006,#9007));
#9009=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.04),#MM);
"""
    part = only_part(added(plain, tmp_path / "a.step", text))
    (parallel,) = part.stated.tolerances
    assert parallel.datums == (DatumReference(("B",)), DatumReference(("A",)))
    assert diameters(part, parallel.at) == {FLANGE}


def test_a_tolerance_on_a_dimension_is_where_the_dimension_is(plain: str, tmp_path: Path) -> None:
    text = (
        ON_NECK
        + dimension(9010, "20.", "").replace("#9000", "#9030")
        + (
            "#9030=COMPOSITE_GROUP_SHAPE_ASPECT('','',#SHAPE,.T.);\n"
            "#9031=SHAPE_ASPECT_RELATIONSHIP('','',#9030,#9000);\n"
            "#9032=STRAIGHTNESS_TOLERANCE('','',#9033,#9010);\n"
            "#9033=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.01),#MM);\n"
        )
    )
    part = only_part(added(plain, tmp_path / "a.step", text))
    (straight,) = part.stated.tolerances
    assert diameters(part, straight.at) == diameters(part, part.stated.sizes[0].at) == {NECK}


def test_unknown_values_are_none_and_circles_end(plain: str, tmp_path: Path) -> None:
    text = """#9000=COMPOSITE_SHAPE_ASPECT('','',#SHAPE,.T.);
#9001=SHAPE_ASPECT_RELATIONSHIP('','',#9000,#9002);
#9002=COMPOSITE_SHAPE_ASPECT('','',#SHAPE,.T.);
#9003=SHAPE_ASPECT_RELATIONSHIP('','',#9002,#9000);
#9004=FLATNESS_TOLERANCE('','',#9005,#9000);
#9005=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.1),#9006);
#9006=(CONVERSION_BASED_UNIT('X',#9005)LENGTH_UNIT()NAMED_UNIT(*));
#9007=FLATNESS_TOLERANCE('','',#123456,#9002);
#9008=DIMENSIONAL_SIZE(#9008,'diameter');
#9009=ROUNDNESS_TOLERANCE('',(((((((((((((((((((((((((((((((((((((((((((((1
"""
    part = only_part(added(plain, tmp_path / "a.step", text + ")" * 45 + ");\n"))
    assert [(t.value_mm, t.at.faces) for t in part.stated.tolerances] == [(None, ()), (None, ())]
    assert part.stated.sizes == ()


def test_names_are_one_printable_line_of_limited_length(plain: str, tmp_path: Path) -> None:
    long = "x" * 5000
    neck, bore = cylinder_face(plain, NECK / 2), cylinder_face(plain, BORE / 2)
    text = re.sub(
        rf"(#{neck} ?= ?ADVANCED_FACE\()''", r"\1'seat\\X\\1B[31m\\X\\0A\\X2\\202E\\X0\\ 2'", plain
    )
    text = re.sub(rf"(#{bore} ?= ?ADVANCED_FACE\()''", rf"\1'{long}'", text)
    path = tmp_path / "a.step"
    path.write_text(text)
    part = only_part(path)
    assert face_at(part, NECK).name == "seat [31m 2"
    name = face_at(part, BORE).name
    assert name is not None
    assert len(name) == LONGEST_NAME
    assert name.endswith("x…")


def test_numbers_for_names_are_no_names(plain: str, tmp_path: Path) -> None:
    neck = cylinder_face(plain, NECK / 2)
    text = re.sub(rf"(#{neck} ?= ?ADVANCED_FACE\()''", rf"\1'#{neck}'", plain)
    path = tmp_path / "a.step"
    path.write_text(text)
    assert face_at(only_part(path), NECK).name is None


def test_styles_of_curves_colour_no_face_and_layers_may_hold_styles(
    plain: str, tmp_path: Path
) -> None:
    text = """#9000=STYLED_ITEM('',(#9001),#BREP);
#9001=PRESENTATION_STYLE_ASSIGNMENT((#9002));
#9002=SURFACE_STYLE_USAGE(.BOTH.,#9003);
#9003=SURFACE_SIDE_STYLE('',(#9004));
#9004=SURFACE_STYLE_BOUNDARY(#9005);
#9005=CURVE_STYLE('',$,POSITIVE_LENGTH_MEASURE(0.3),#9006);
#9006=DRAUGHTING_PRE_DEFINED_COLOUR('yellow');
#9007=PRESENTATION_LAYER_ASSIGNMENT('12','',(#9000));
"""
    part = only_part(added(plain, tmp_path / "a.step", text))
    assert {face.colour for face in part.faces} == {None}
    assert {face.layers for face in part.faces} == {("12",)}


def test_a_fault_in_what_is_stated_loses_no_solid(
    plain: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.step"
    path.write_text(plain)

    def fails(self: FileFacts, step_ids: object) -> None:
        raise KeyError(7)

    monkeypatch.setattr(FileFacts, "_of", fails)
    part = only_part(path)
    assert any("could not be made out" in remark for remark in part.remarks)


def test_nothing_stated_is_nothing(plain: str, tmp_path: Path) -> None:
    path = tmp_path / "a.step"
    path.write_text(plain)
    facts = FileFacts(read_step_text(path)).of((None, 3))
    assert facts.stated.sizes == facts.stated.tolerances == facts.stated.datums == ()


@pytest.mark.shared_parts
def test_a_published_test_case_in_millimetres(shared_parts: Path) -> None:
    """FTC 11 of a national standards institute's public test cases: gasket ring.

    Values as the file's own annotations show them: ⌀63 ±0.5, ⌀32 ±0.3, R1.5 ±0.04, 1.925 ±0.08.
    """
    part = only_part(shared_parts / "gasket_ring_with_tolerances.step")
    sizes = {(s.kind, s.nominal): s for s in part.stated.sizes}
    assert (sizes["diameter", 63.0].least, sizes["diameter", 63.0].largest) == (62.5, 63.5)
    assert (sizes["diameter", 32.0].least, sizes["diameter", 32.0].largest) == (31.7, 32.3)
    assert (sizes["radius", 1.5].least, sizes["radius", 1.5].largest) == (1.46, 1.54)
    thickness = sizes["distance", 1.925]
    assert (thickness.least, thickness.largest) == pytest.approx((1.845, 2.005), abs=1e-9)
    for nominal in (63.0, 32.0):  # the faces really have the sizes that are stated of them
        assert diameters(part, sizes["diameter", nominal].at) == {nominal}
    found = {t.kind: (t.value_mm, [d.letters for d in t.datums]) for t in part.stated.tolerances}
    assert found == {
        "flatness": (0.3, []),
        "surface-profile": (0.3, [("A",), ("B",)]),
        "circular-runout": (1.2, [("A",), ("B",)]),
        "roundness": (1.2, []),
    }
    assert diameters(part, part.stated.datums[1].at) == {32.0}


@pytest.mark.shared_parts
def test_a_published_test_case_in_inches(shared_parts: Path) -> None:
    """CTC 5 of the same: ⌀10.000 ±.001 in, run-outs to A, B and A-B."""
    part = only_part(shared_parts / "flanged_square_spindle_with_tolerances.step")
    (neck,) = (s for s in part.stated.sizes if s.kind == "diameter")
    assert neck.nominal == 254.0
    assert neck.least == pytest.approx(9.999 * 25.4, abs=1e-9)
    assert neck.largest == pytest.approx(10.001 * 25.4, abs=1e-9)
    assert diameters(part, neck.at) == {254.0}
    common = [t for t in part.stated.tolerances if t.datums == (DatumReference(("A", "B")),)]
    assert sorted(t.value_mm or 0.0 for t in common) == pytest.approx(
        [0.025 * 25.4, 0.025 * 25.4, 0.035 * 25.4], abs=1e-9
    )
