"""Annotated STEP keeps all that stood in the file, on every kind of file."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
import pytest
from annotations import BLUE, GREEN, RED, check_annotations, check_nothing_lost, marks_for
from step_files import stepped_pin, volume, write_step

from turnability.part.reading.read import read_solids
from turnability.part.reading.step_text import read_step_text
from turnability.part.writing.write import Mark, Remark, write_annotated

SAID = (
    ("turnability level", "error"),
    ("turnability message", "the nose's ⌀ is too round; see #1"),
)


def annotated(source: Path, out: Path) -> list[Mark]:
    """Annotate every second face, and say something of all of them; the marks."""
    solids = read_solids(source)
    marks = list({m.step_id: m for m in marks_for(solids)}.values())
    faces = {m.solid: tuple(n.face for n in marks if n.solid == m.solid) for m in marks}
    remarks = [Remark(solid, own, f"N{solid} rule", "x'y", SAID) for solid, own in faces.items()]
    assert write_annotated(source, out, marks, remarks) == ()
    check_nothing_lost(
        source.read_bytes(), out.read_bytes(), {m.step_id for m in marks if m.step_id}
    )
    return marks


def crlf(data: bytes) -> bytes:
    return data.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")


def print_control(data: bytes) -> bytes:
    data = re.sub(rb"\n(#\d+ = ADVANCED_FACE)\(", rb"\n\\N\\\1(\\F\\ ", data)
    return data.replace(b"DATA;", b"DATA;\\N\\\\F\\")


def comments(data: bytes) -> bytes:
    return re.sub(rb"(ADVANCED_FACE)\(", rb"\1 /* it's; */ (/* #1=X('); */ ", data)


def byte_order_mark(data: bytes) -> bytes:
    return b"\xef\xbb\xbf" + data


@pytest.mark.parametrize("change", [crlf, print_control, comments, byte_order_mark])
def test_odd_ways_of_writing(change: Callable[[bytes], bytes], tmp_path: Path) -> None:
    """What ISO 10303-21 allows between tokens, and a mark that some editors put before text."""
    plain = write_step(stepped_pin().val().wrapped, tmp_path / "plain.step")
    source = tmp_path / "odd.step"
    source.write_bytes(change(plain.read_bytes()))
    assert source.read_bytes() != plain.read_bytes()
    (before,), (odd,) = read_solids(plain), read_solids(source)
    assert (odd.step_ids, odd.remarks) == (before.step_ids, ())
    assert volume(odd.shape) == volume(before.shape)
    marks = annotated(source, tmp_path / "out.step")
    result = (tmp_path / "out.step").read_bytes()
    for mark in marks:
        assert f"it''s face {mark.step_id}.".encode() in result
    if change is crlf:
        assert result.count(b"\n") == result.count(b"\r\n")
    (again,) = read_solids(tmp_path / "out.step")
    assert volume(again.shape) == volume(before.shape)


def texts_on(path: Path) -> dict[tuple[str, str], set[int]]:
    """Attributes of faces: title and text, on which entity numbers. By the standard's own path:

    face - geometric_item_specific_usage - shape_aspect - property_definition, whose general
    property has its name (ISO 10303-41) - representation - descriptive_representation_item.
    """
    text = read_step_text(path)

    def ends(keyword: str) -> list[list[int]]:
        return [text.references(n) for n in text.by_keyword.get(keyword, ())]

    properties = {n: text.references(n)[0] for n in text.by_keyword.get("PROPERTY_DEFINITION", ())}
    for general, definition in ends("GENERAL_PROPERTY_ASSOCIATION"):
        assert text.strings(general)[1] == text.strings(definition)[0]
    associated = {definition for _, definition in ends("GENERAL_PROPERTY_ASSOCIATION")}
    usages = ends("GEOMETRIC_ITEM_SPECIFIC_USAGE")
    found: dict[tuple[str, str], set[int]] = {}
    for definition, representation in ends("PROPERTY_DEFINITION_REPRESENTATION"):
        items = text.references(representation)
        if definition not in associated or text.instances[items[0]].keyword[:11] != "DESCRIPTIVE":
            continue
        title, words = text.strings(items[0])
        on = {face for aspect, _, face in usages if aspect == properties[definition]}
        found.setdefault((title, words), set()).update(on)
    return found


@pytest.mark.parametrize("schema", ["AP214", "AP242"])
def test_what_is_said_is_an_attribute_on_the_faces(schema: str, tmp_path: Path) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step", schema=schema)
    marks = annotated(source, tmp_path / "o.step")
    assert texts_on(tmp_path / "o.step") == {one: {m.step_id for m in marks} for one in SAID}


def test_the_first_ap203_says_it_in_the_aspect(tmp_path: Path) -> None:
    """CONFIG_CONTROL_DESIGN has neither general properties nor texts as items (from memory)."""
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step", schema="AP203")
    marks = annotated(source, tmp_path / "o.step")
    text = read_step_text(tmp_path / "o.step")
    assert not {"GENERAL_PROPERTY", "DESCRIPTIVE_REPRESENTATION_ITEM"} & text.by_keyword.keys()
    assert "GEOMETRIC_ITEM_SPECIFIC_USAGE" not in text.by_keyword
    aspect = text.by_keyword["SHAPE_ASPECT"][-1]
    assert text.strings(aspect) == ["N1 rule", "x'y"]
    (definition,) = [
        n for n in text.by_keyword["PROPERTY_DEFINITION"] if aspect in text.references(n)
    ]
    (link,) = [
        text.references(n)
        for n in text.by_keyword["SHAPE_DEFINITION_REPRESENTATION"]
        if definition in text.references(n)
    ]
    assert set(text.references(link[1])[:-1]) == {m.step_id for m in marks}
    assert all(check_annotations(tmp_path / "o.step", source, marks, 1.0))
    assert len(read_solids(tmp_path / "o.step")) == 1


def test_styles_that_override_others_are_overridden(tmp_path: Path) -> None:
    """Solid green, one face red over it: ours over either, and the chain leads to the first."""
    plain = write_step(stepped_pin().val().wrapped, tmp_path / "plain.step")
    (solid,) = read_solids(plain)
    text = plain.read_text()
    brep = int(re.findall(r"#(\d+) = MANIFOLD_SOLID_BREP", text)[0])
    marks = [Mark(1, 1, solid.step_ids[0], colour=RED), Mark(1, 2, solid.step_ids[1], colour=RED)]
    write_annotated(plain, tmp_path / "red.step", marks)
    red = (tmp_path / "red.step").read_text()
    style = re.findall(r"#(\d+)=PRESENTATION_STYLE", red)[0]
    number = 1 + max(int(n) for n in re.findall(r"^#(\d+)", red, re.M))
    (of_one, _) = re.findall(r"#(\d+)=STYLED_ITEM", red)
    red = red.replace(f"#{of_one}=STYLED_ITEM('',(#{style}),#{solid.step_ids[0]});",
        f"#{of_one}=OVER_RIDING_STYLED_ITEM('',(#{style}),#{solid.step_ids[0]},#{number});\n"
        f"#{number}=STYLED_ITEM('',(#{style}),#{brep});")  # fmt: skip
    (tmp_path / "red.step").write_text(red)
    over = [
        Mark(1, i, n, f"f{i}", c, f"layer of face {n}.")
        for i, (n, c) in enumerate(zip(solid.step_ids[:3], (BLUE, GREEN, BLUE), strict=True), 1)
    ]
    write_annotated(tmp_path / "red.step", tmp_path / "o.step", over)
    check_annotations(tmp_path / "o.step", tmp_path / "red.step", over, 1.0)
    ours = re.findall(
        r"OVER_RIDING_STYLED_ITEM\('',\(#\d+\),#(\d+),#(\d+)\)", (tmp_path / "o.step").read_text()
    )
    last = {int(face): int(was) for face, was in ours}
    second = int(re.findall(r"#(\d+)=STYLED_ITEM", red)[-1])
    assert last == {
        solid.step_ids[0]: int(of_one), solid.step_ids[1]: second, solid.step_ids[2]: number,
    }  # fmt: skip


def test_repeated_parts_are_marked_once_and_stay_where_they_were(tmp_path: Path) -> None:
    pin = stepped_pin()
    whole = cq.Assembly(name="stand")
    for i in range(3):
        whole.add(pin, name=f"pin {i}", loc=cq.Location((40.0 * i, 0, 0), (0, 0, 1), 30.0 * i))
    whole.add(cq.Workplane().box(100, 20, 5), name="base", color=cq.Color("gray"))
    whole.export(str(tmp_path / "a.step"))
    marks = annotated(tmp_path / "a.step", tmp_path / "o.step")
    assert all(check_annotations(tmp_path / "o.step", tmp_path / "a.step", marks, 1.0))
    before, after = read_solids(tmp_path / "a.step"), read_solids(tmp_path / "o.step")
    assert [s.facts.spots for s in after] == [s.facts.spots for s in before]
    assert [s.source.instances for s in after] == [s.source.instances for s in before]
    assert [s.step_ids for s in after] == [s.step_ids for s in before]
    assert len(after) == 4


NAMES_NOT_ON_LABELS = {
    # The XCAF reader looks for face names only below the first shape representation, forward
    # along its relationships; these files link theirs backward or have several. The entities
    # carry the names all the same, and colours and layers arrive.
    "flanged_square_spindle_with_tolerances.step",
    "gasket_ring_plain.step",
    "round_nosed_sleeve_cm.step",
    "sheet_box_with_tolerances.step",
    "sphere_cap_cm.step",
}
LARGE = 100_000


def real_files(folder: Path) -> list[dict[str, str]]:
    with (folder / "manifest.csv").open(newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.shared_parts
@pytest.mark.parametrize("share", range(4))
def test_real_files(shared_parts: Path, tmp_path: Path, share: int) -> None:
    """All real files, in four shares so that they can run beside one another."""
    mm = {"millimetre": 1.0, "inch": 25.4, "metre": 1000.0, "centimetre": 10.0}
    for row in real_files(shared_parts)[share::4]:
        source = shared_parts / row["file"]
        out = tmp_path / row["file"]
        marks = annotated(source, out)
        named = check_annotations(out, source, marks, mm[row["unit"]])
        assert all(named) or row["file"] in NAMES_NOT_ON_LABELS, row["file"]
        if row["schema"] != "CONFIG_CONTROL_DESIGN":
            said = {face for where in (texts_on(out)[said] for said in SAID) for face in where}
            assert said == {m.step_id for m in marks}, row["file"]
        if source.stat().st_size > LARGE:
            continue  # reading these once more and measuring them takes too long
        solids, again = read_solids(source), read_solids(out)
        assert [s.step_ids for s in again] == [s.step_ids for s in solids], row["file"]
        assert [s.source.length_unit for s in again] == [s.source.length_unit for s in solids]
        assert [s.facts.stated for s in again] == [s.facts.stated for s in solids]
        assert [s.facts.spots for s in again] == [s.facts.spots for s in solids]
        if len(solids[0].step_ids) < 30:
            assert [volume(s.shape) for s in again] == [volume(s.shape) for s in solids]
