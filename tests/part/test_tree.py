"""Assemblies: every solid with its places in the tree, one analysis for all places of one shape."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cadquery as cq
import jsonschema
import pytest
from typer.testing import CliRunner

from tests.part.stated_files import Wanted, write_stated
from turnability.analysis import analyze_all
from turnability.cli import app
from turnability.outputs.json_document import schema_text
from turnability.part.model import Part, Source
from turnability.part.parts import parts_in
from turnability.part.reading.step_text import read_step_text
from turnability.report import Report
from turnability.rules.drawn import drawn_shop


def rig() -> Any:
    """Two pairs of pin and nut, and a spare nut, with names as an assembly has them."""
    pin = cq.Workplane().circle(5).extrude(10)
    nut = cq.Workplane().circle(8).circle(5).extrude(4)
    pair = cq.Assembly(name="pair").add(pin, name="pin")
    pair = pair.add(nut, name="nut", loc=cq.Location((0, 0, 10)))
    whole = cq.Assembly(name="rig").add(pair, name="left")
    whole = whole.add(pair, name="right", loc=cq.Location((50, 0, 0), (0, 1, 0), 90))
    return whole.add(nut, name="spare", loc=cq.Location((0, 50, 0)))


@pytest.fixture(scope="module")
def text(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The rig's STEP file, one entity a line."""
    path = tmp_path_factory.mktemp("rig") / "rig.step"
    rig().export(str(path))
    return re.sub(r"\s*\n\s*", "", path.read_text()).replace(";", ";\n")


def written(text: str, path: Path) -> Path:
    path.write_text(text)
    return path


def parts(path: Path) -> list[Part]:
    _, *made = parts_in(str(path))
    assert all(isinstance(part, Part) for part in made)
    return [part for part in made if isinstance(part, Part)]


def places(source: Source) -> dict[int, tuple[str, ...]]:
    return {place.solid: place.path for place in source.instances}


PIN = {1: ("rig", "left", "pin"), 3: ("rig", "right", "pin")}
NUT = {2: ("rig", "left", "nut"), 4: ("rig", "right", "nut"), 5: ("rig", "spare")}


def test_every_solid_knows_all_its_places(text: str, tmp_path: Path) -> None:
    found = [part.source for part in parts(written(text, tmp_path / "a.step"))]
    assert [(s.solid, s.solids, s.product) for s in found] == [
        (1, 5, "pin"), (2, 5, "nut"), (3, 5, "pin"), (4, 5, "nut"), (5, 5, "nut"),
    ]  # fmt: skip
    assert [places(s) for s in found] == [PIN, NUT, PIN, NUT, NUT]
    assert [s.repeats for s in found] == [None, None, 1, 2, 2]


def test_a_file_of_one_part_names_its_product(tmp_path: Path) -> None:
    (part,) = parts(write_stated(tmp_path / "a.step", Wanted(product="plug")))
    assert places(part.source) == {1: ("plug",)}


def test_equal_names_in_one_product_are_numbered(text: str, tmp_path: Path) -> None:
    same = re.sub(r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+',')[^']*'", r"\1'", text)
    same = same.replace("'left'", "'pair'").replace("'right'", "'pair'")
    found = parts(written(same, tmp_path / "a.step"))
    assert places(found[0].source) == {1: ("rig", "pair (1)", "pin"), 3: ("rig", "pair (2)", "pin")}


def placed(text: str, scale: str, third: str) -> str:
    """The spare nut placed by a transformation operator (ISO 10303-42) in place of two axes."""
    usage = re.search(r"#(\d+) ?= ?NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+','spare'", text)
    assert usage
    shape = re.search(rf"#(\d+) ?= ?PRODUCT_DEFINITION_SHAPE\([^;]*#{usage[1]}\s*\)", text)
    assert shape
    link = re.search(rf"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION\(#(\d+),#{shape[1]}\)", text)
    assert link
    how = re.search(rf"#{link[1]} ?=.*?WITH_TRANSFORMATION\(#(\d+)\)", text)
    assert how
    operator = f"""#{how[1]}=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',#9001,#9002,#9003,{scale},#9004);
#9001=DIRECTION('',(1.,0.,0.));
#9002=DIRECTION('',(0.,1.,0.));
#9003=CARTESIAN_POINT('',(0.,50.,0.));
#9004=DIRECTION('',(0.,0.,{third}));"""  # noqa: E501
    changed = re.sub(rf"#{how[1]} ?= ?ITEM_DEFINED_TRANSFORMATION\([^;]*;", operator, text)
    assert changed != text
    return changed


def test_a_mirrored_place_is_told(text: str, tmp_path: Path) -> None:
    found = parts(written(placed(text, "1.", "-1."), tmp_path / "a.step"))
    assert [place.mirrored for place in found[4].source.instances] == [False, False, True]
    assert found[4].source.repeats is None
    assert any("mirrored" in remark for remark in found[4].remarks)
    assert not any("mirrored" in remark for remark in found[3].remarks)
    assert found[4].profile == found[1].profile


def test_a_scaled_place_is_told_and_analysed_in_its_products_size(
    text: str, tmp_path: Path
) -> None:
    found = parts(written(placed(text, "2.", "1."), tmp_path / "a.step"))
    assert [place.scale for place in found[4].source.instances] == [1.0, 1.0, 2.0]
    assert any("2 times its size" in remark for remark in found[4].remarks)
    assert found[4].profile is not None
    assert found[4].profile.max_diameter_mm == pytest.approx(16.0, abs=1e-6)


def test_an_unscaled_operator_is_a_plain_place(text: str, tmp_path: Path) -> None:
    found = parts(written(placed(text, "1.", "1."), tmp_path / "a.step"))
    assert found[4].source.repeats == 2
    assert not any("places this solid" in remark for remark in found[4].remarks)


def test_mapped_items_that_scale_are_told(text: str, tmp_path: Path) -> None:
    nut = brep_representation(text, "nut")
    root = re.search(r"#(\d+) ?= ?SHAPE_REPRESENTATION\('',\((#\d+)", text)
    assert root
    with_item = text.replace(root[0], root[0].replace(root[2], f"#9100,{root[2]}"), 1)
    with_item = with_item.replace(
        "DATA;",
        f"""DATA;
#9100=MAPPED_ITEM('',#9101,#9102);
#9101=REPRESENTATION_MAP({root[2]},#{nut});
#9102=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,$,#9103,25.4,$);
#9103=CARTESIAN_POINT('',(0.,90.,0.));""",
        1,
    )
    found = parts(written(with_item, tmp_path / "a.step"))
    nuts = [part for part in found if part.source.product == "nut"]
    assert len(nuts) == 4
    assert all(any("25.4 times" in r for r in part.remarks) for part in nuts)
    # Which of its places is which cannot be told: only the root is common to all.
    assert {place.path for place in nuts[0].source.instances} == {("rig",)}


def brep_representation(text: str, product: str) -> int:
    step = read_step_text_of(text)
    for brep in step.by_keyword["MANIFOLD_SOLID_BREP"]:
        if step.product_of_brep(brep) == product:
            return step.representations_of[brep][0]
    raise LookupError(product)


def read_step_text_of(text: str) -> Any:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        return read_step_text(written(text, Path(folder) / "a.step"))


def test_an_inch_part_in_a_millimetre_assembly_has_its_own_size(text: str, tmp_path: Path) -> None:
    """The nut's numbers, 16 across and 4 thick, are made inches by its context's unit."""
    step = read_step_text_of(text)
    context = step.references(brep_representation(text, "nut"))[-1]
    line = re.search(rf"#{context} ?=[^\n]*", text)
    assert line
    unit = re.search(r"GLOBAL_UNIT_ASSIGNED_CONTEXT\(\(#(\d+)", line[0])
    assert unit
    inch = line[0].replace(f"CONTEXT((#{unit[1]}", "CONTEXT((#9001", 1)
    mixed = text.replace(
        line[0],
        f"""{inch}
#9001=(CONVERSION_BASED_UNIT('INCH',#9002)LENGTH_UNIT()NAMED_UNIT(#9003));
#9002=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#{unit[1]});
#9003=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);""",
    )
    found = parts(written(mixed, tmp_path / "a.step"))
    sizes = {
        (p.source.product, p.source.length_unit): (
            round(p.profile.max_diameter_mm, 6),
            round(p.profile.length_mm, 6),
        )
        for p in found
        if p.profile is not None
    }
    assert sizes == {("pin", "mm"): (10.0, 10.0), ("nut", "inch"): (16 * 25.4, 4 * 25.4)}


def test_a_tree_that_contains_itself_ends(text: str, tmp_path: Path) -> None:
    """By hand: the pin contains the left pair, of which the right pin then holds one more nut, but
    no more pins, which would contain themselves. A whole rig within its own part has no place.
    """
    from turnability.part.reading.records import Records
    from turnability.part.reading.tree import Tree

    usage = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+','[^']*','',#(\d+),#(\d+)", text)
    parts_of_others = {part for _, part in usage}

    def spots(whole: str, part: str) -> list[tuple[str, ...]]:
        loop = f"#9001=NEXT_ASSEMBLY_USAGE_OCCURRENCE('9','back','',#{part},#{whole},$);\n"
        step = read_step_text(
            written(text.replace("ENDSEC;\nEND-", loop + "ENDSEC;\nEND-"), tmp_path / "a")
        )
        tree = Tree(Records(step))
        return [s.path for b in step.by_keyword["MANIFOLD_SOLID_BREP"] for s in tree.spots(b)]

    within = next((whole, part) for whole, part in usage if whole in parts_of_others)
    assert sorted(spots(*within)) == [
        ("rig", "left", "nut"), ("rig", "left", "pin"), ("rig", "right", "nut"),
        ("rig", "right", "pin"), ("rig", "right", "pin", "back", "nut"), ("rig", "spare"),
    ]  # fmt: skip
    root = next((whole, part) for whole, part in usage if whole not in parts_of_others)
    assert spots(*root) == []


def test_repeated_solids_share_one_analysis_and_keep_their_numbers(
    text: str, tmp_path: Path
) -> None:
    reports = analyze_all(written(text, tmp_path / "a.step"), drawn_shop())
    schema = jsonschema.Draft202012Validator(json.loads(schema_text()))
    documents = []
    for report in reports:
        assert isinstance(report, Report)
        document = report.document()
        schema.validate(json.loads(report.to_json()))
        documents.append(document)
    assert [d["source"]["solid"] for d in documents] == [1, 2, 3, 4, 5]
    assert [i["solid"] for i in documents[3]["source"]["instances"]] == [2, 4, 5]
    assert documents[3]["source"]["instances"][2]["path"] == ["rig", "spare"]
    for first, again in ((0, 2), (1, 3), (1, 4)):
        one, other = (
            {k: v for k, v in documents[i].items() if k != "source"} for i in (first, again)
        )
        assert one == other
    assert reports[1].findings is reports[3].findings  # type: ignore[union-attr]


def test_the_command_line_tells_repeated_solids_once(text: str, tmp_path: Path) -> None:
    path = written(text, tmp_path / "rig.step")
    done = CliRunner().invoke(app, ["check", str(path), "--out", str(tmp_path / "out")])
    assert done.exit_code in (0, 1)
    heads = [line for line in done.output.splitlines() if line.startswith("rig, solid ")]
    assert [head.split(":")[0] for head in heads] == ["rig, solid 1 of 5", "rig, solid 2 of 5"]
    said = " ".join(done.output.split())
    assert "2 times in this file, as solid 1 rig / left / pin; 3 rig / right / pin" in said
    assert "3 times in this file" in said
    names = {file.name for file in (tmp_path / "out").iterdir()}
    assert {f"rig.{n}.turnability.json" for n in range(1, 6)} <= names
    assert {n for n in names if n.endswith(".svg")} == {
        "rig.1.turnability.svg", "rig.2.turnability.svg",
    }  # fmt: skip


def test_one_solid_asked_for_is_told_whole_though_it_repeats(text: str, tmp_path: Path) -> None:
    path = written(text, tmp_path / "rig.step")
    done = CliRunner().invoke(app, ["check", str(path), "--solid", "4"])
    assert "rig, solid 4 of 5" in done.output


# ------------------------------------------------ beside the kernel's own document reader


def component_names(path: Path) -> Iterator[tuple[str, ...]]:
    """Paths of the components that hold shapes, as the kernel's document reader tells them."""
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.ReadFile(str(path))
    reader.Transfer(document)

    def name(label: Any) -> str:
        found = TDataStd_Name()
        assert label.FindAttribute(TDataStd_Name.GetID_s(), found)
        return str(found.Get().ToExtString())

    def walk(label: Any, above: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        components = TDF_LabelSequence()
        if not XCAFDoc_ShapeTool.GetComponents_s(label, components, False):
            yield above
        for i in range(1, components.Length() + 1):
            referred = TDF_Label()
            assert XCAFDoc_ShapeTool.GetReferredShape_s(components.Value(i), referred)
            yield from walk(referred, (*above, name(components.Value(i))))

    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    for i in range(1, roots.Length() + 1):
        yield from walk(roots.Value(i), (name(roots.Value(i)),))


@pytest.mark.shared_parts
@pytest.mark.parametrize("file", ["assembly_bolted_plates.step", "assembly_seven_parts.step"])
def test_real_trees_as_the_kernels_document_reader_names_them(
    shared_parts: Path, file: str
) -> None:
    found = parts(shared_parts / file)
    own = [places(part.source)[part.source.solid] for part in found]
    order = list(component_names(shared_parts / file))
    # Its components stand in another order within one product; the places of each are in order.
    for last in {path[-1] for path in order}:
        assert [p for p in own if p[-1] == last] == [p for p in order if p[-1] == last]
    assert len(own) == len(order)


@pytest.mark.shared_parts
def test_separate_products_are_counted_apart(shared_parts: Path) -> None:
    found = parts(shared_parts / "assembly_ball_bearing_metre.step")
    assert len(found) == 16
    assert all(len(part.source.instances) == 1 for part in found)
