"""Files that cannot be used: one clear sentence each, naming the file, the cause and a way out."""

from __future__ import annotations

import re
from pathlib import Path

import cadquery as cq
import pytest
from step_files import stepped_pin, write_step

from turnability.errors import PartUnreadable
from turnability.part.reading.read import read_solids, solids_in
from turnability.part.reading.shape import solids_of


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_step(stepped_pin().val().wrapped, tmp_path_factory.mktemp("good") / "pin.step")


def refused(path: Path) -> str:
    with pytest.raises(PartUnreadable) as told:
        read_solids(path)
    message = str(told.value)
    assert message.startswith(str(path))
    assert told.value.remedy
    assert "\n" not in message
    return message


def test_missing_and_folder(tmp_path: Path) -> None:
    assert "no such file" in refused(tmp_path / "none.step")
    assert "a folder" in refused(tmp_path)


@pytest.mark.parametrize("content", [b"", b" \r\n\t\n"])
def test_empty(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "empty.step"
    path.write_bytes(content)
    assert "empty" in refused(path)


@pytest.mark.parametrize(
    "content",
    [
        b"solid cube\nfacet normal 0 0 1\n",
        bytes(range(256)) * 40,
        b"\x00" * 5000,
        b"PK\x03\x04" + bytes(200),
        b"<html>ISO-10303-21;</html>",
    ],
)
def test_not_step(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "part.step"
    path.write_bytes(content)
    assert "not a STEP file" in refused(path)


@pytest.mark.parametrize("kept", [0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99, 0.999])
def test_cut_off(tmp_path: Path, good: Path, kept: float) -> None:
    data = good.read_bytes()
    path = tmp_path / "cut.step"
    path.write_bytes(data[: int(len(data) * kept)])
    assert "cut off" in refused(path)


def test_impossible_number(tmp_path: Path, good: Path) -> None:
    path = tmp_path / "odd.step"
    text = good.read_text()
    path.write_text(re.sub(r"(CARTESIAN_POINT\('',\()[^,]+", r"\g<1>1.E400", text, count=1))
    assert "1.E400" in refused(path)


def test_surfaces_only(tmp_path: Path) -> None:
    sheet = cq.Workplane().rect(10, 20).extrude(5).faces(">Z").val()
    assert "no closed solid" in refused(write_step(sheet.wrapped, tmp_path / "sheet.step"))


def test_shell_only(tmp_path: Path) -> None:
    shell = stepped_pin().val().Shells()[0]
    assert "no closed solid" in refused(write_step(shell.wrapped, tmp_path / "shell.step"))


def test_wireframe_only(tmp_path: Path) -> None:
    wire = cq.Workplane().rect(10, 20).wires().val()
    path = write_step(wire.wrapped, tmp_path / "wire.step", curves=True)
    assert "wireframe" in refused(path)


def test_open_shell(tmp_path: Path, good: Path) -> None:
    """The solid's shell lacks its first face."""
    path = tmp_path / "open.step"
    text = good.read_text()
    opened = re.sub(r"(CLOSED_SHELL\('',\()#\d+,", r"\g<1>", text, count=1)
    assert opened != text
    path.write_text(opened)
    message = refused(path)
    assert "open" in message
    assert "free edge" in message


def test_no_shape(tmp_path: Path, good: Path) -> None:
    path = tmp_path / "none.step"
    text = good.read_text()
    begin, end = text.index("DATA;") + 5, text.rindex("ENDSEC;")
    path.write_text(text[:begin] + "\n#1=APPLICATION_CONTEXT('nothing');\n" + text[end:])
    assert "no shape" in refused(path)


@pytest.mark.parametrize(
    ("size", "says"),
    [
        ((2e5, 10.0, 10.0), "huge"),
        ((10.0, 10.0, 5e-4), "no extent"),
        ((1e-4, 1e-4, 1e-4), "no extent"),
    ],
)
def test_extents(tmp_path: Path, size: tuple[float, float, float], says: str) -> None:
    path = write_step(cq.Workplane().box(*size).val().wrapped, tmp_path / "box.step")
    message = refused(path)
    assert says in message
    assert "units" in message


@pytest.mark.parametrize("size", [(9.9e4, 10.0, 10.0), (0.0011, 0.0011, 0.0011)])
def test_extents_just_within(tmp_path: Path, size: tuple[float, float, float]) -> None:
    path = write_step(cq.Workplane().box(*size).val().wrapped, tmp_path / "box.step")
    assert len(read_solids(path)) == 1


def test_one_bad_solid_of_two(tmp_path: Path) -> None:
    boxes = [cq.Workplane().box(1, 1, z).translate((9 * z, 0, 0)).val() for z in (2.0, 5e-4, 3.0)]
    path = write_step(cq.Compound.makeCompound(boxes).wrapped, tmp_path / "b.step")
    first, second, third = solids_in(path)
    assert isinstance(second, PartUnreadable)
    assert f"{path}, solid 2 of 3: " in str(second)
    assert not isinstance(first, PartUnreadable)
    assert not isinstance(third, PartUnreadable)
    assert third.source.solid == 3


@pytest.mark.parametrize(
    "given", [None, 3, "pin.step", cq.Workplane().rect(1, 2), stepped_pin().faces(), [], object()]
)
def test_objects_without_a_solid(given: object) -> None:
    with pytest.raises(PartUnreadable, match="there is no solid in it"):
        solids_of(given)


def test_a_byte_order_mark_before_the_text_is_passed_over(tmp_path: Path) -> None:
    source = Path(__file__).resolve().parents[2] / "fixtures" / "winch_spindle.step"
    marked = tmp_path / "marked.step"
    marked.write_bytes(b"\xef\xbb\xbf" + source.read_bytes())
    assert len(read_solids(marked)) == len(read_solids(source))


def test_keywords_in_small_letters_are_named_as_the_cause(tmp_path: Path) -> None:
    small = tmp_path / "small.step"
    small.write_text("iso-10303-21;\nheader;\nendsec;\nend-iso-10303-21;\n")
    with pytest.raises(PartUnreadable, match="capitals"):
        read_solids(small)


FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture
def cap() -> list[str]:
    """Lines of a sound file of ours."""
    return (FIXTURES / "end_cap.step").read_text().split("\n")


def test_a_file_appended_to_itself(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "twice.step"
    for joint in ("\n", ""):
        path.write_text(joint.join(["\n".join(cap).rstrip()] * 2))
        assert "two STEP files" in refused(path)


def test_a_whole_file_after_one_that_was_cut_off(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "twice.step"
    path.write_text("\n".join(cap[:100]) + "'\n" + "\n".join(cap))
    assert "two STEP files" in refused(path)


def entity_line(lines: list[str], keyword: str) -> int:
    """Where an entity of this kind stands alone on its line."""
    return next(i for i, s in enumerate(lines) if f" = {keyword}(" in s and s.endswith(";"))


@pytest.mark.parametrize("keyword", ["VERTEX_POINT", "CYLINDRICAL_SURFACE", "DIRECTION", "LINE"])
def test_a_lost_line_names_the_entity_that_is_missing(
    tmp_path: Path, cap: list[str], keyword: str
) -> None:
    at = entity_line(cap, keyword)
    number = cap[at].split(" ")[0]
    path = tmp_path / "gap.step"
    path.write_text("\n".join(cap[:at] + cap[at + 1 :]))
    message = refused(path)
    assert f"refers to {number}, which is not in it" in message
    assert "gap in the model" not in message
    line = int(re.findall(r"\(line (\d+)\)", message)[0])
    statement = "\n".join(cap[:at] + cap[at + 1 :]).split("\n")[line - 1 : line + 5]
    assert number in " ".join(statement), "the line that is named holds the reference"


def test_a_gap_of_many_lines(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "gap.step"
    path.write_text("\n".join(cap[:200] + cap[260:]))
    assert "which is not in it" in refused(path)


def test_a_line_that_reads_backwards(tmp_path: Path, cap: list[str]) -> None:
    at = entity_line(cap, "CARTESIAN_POINT")
    path = tmp_path / "flip.step"
    path.write_text("\n".join([*cap[:at], cap[at][::-1], *cap[at + 1 :]]))
    assert "the file is damaged" in refused(path)


def test_a_number_given_twice(tmp_path: Path, cap: list[str]) -> None:
    at = entity_line(cap, "CARTESIAN_POINT")
    other = re.sub(r"\(''.*", "('',(1.,2.,3.));", cap[at])
    path = tmp_path / "double.step"
    path.write_text("\n".join([*cap[:at], cap[at], other, *cap[at + 1 :]]))
    assert f"{cap[at].split(' ')[0]} stands in it twice (again in line {at + 2})" in refused(path)
    path.write_text("\n".join([*cap[:at], cap[at], cap[at], *cap[at + 1 :]]))
    assert len(read_solids(path)) == 1, "the same again is harmless"


def test_damage_beside_the_solids_is_no_reason_to_refuse(tmp_path: Path, cap: list[str]) -> None:
    text = "\n".join(cap)
    end = text.rindex("ENDSEC;")
    path = tmp_path / "note.step"
    path.write_text(f"{text[:end]}#99999=GROUP('#88888 in a text',#99998);\n{text[end:]}")
    assert len(read_solids(path)) == 1


@pytest.mark.parametrize("curves", [False, True])
def test_points_only(tmp_path: Path, curves: bool) -> None:
    points = cq.Compound.makeCompound([cq.Vertex.makeVertex(x, 0, 0) for x in range(4)])
    path = write_step(points.wrapped, tmp_path / "points.step", curves=curves)
    assert "points only" in refused(path)


def test_an_empty_data_section(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "nothing.step"
    path.write_text("\n".join(cap[: cap.index("DATA;") + 1]) + "\nENDSEC;\nEND-ISO-10303-21;\n")
    assert "holds no entity" in refused(path)


def test_places_are_told_without_a_minus_nought(tmp_path: Path) -> None:
    """The pin is turned by a right angle, so that its free edge begins at x = 6e-16 or so."""
    turned = stepped_pin().rotate((0, 0, 0), (0, 0, 1), 270.0)
    path = write_step(turned.val().wrapped, tmp_path / "open.step")
    text = path.read_text()
    path.write_text(re.sub(r"(CLOSED_SHELL\('',\()#\d+,", r"\g<1>", text, count=1))
    assert re.search(r"near x, y, z = (-?\d+(\.\d{1,3})?, ){2}-?\d+(\.\d{1,3})? mm", refused(path))
    assert "-0," not in refused(path)


@pytest.mark.parametrize(
    "unit",
    [
        "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.FOO.))",
        "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.FOO.,.METRE.))",
        "(CONVERSION_BASED_UNIT('ELL',$) LENGTH_UNIT() NAMED_UNIT(*))",
        "(CONTEXT_DEPENDENT_UNIT('ell') LENGTH_UNIT() NAMED_UNIT(*))",
    ],
)
def test_a_unit_of_unknown_size(tmp_path: Path, cap: list[str], unit: str) -> None:
    path = tmp_path / "unit.step"
    text = re.sub(r"\( LENGTH_UNIT\(\)[^;]*", unit, "\n".join(cap), count=1)
    path.write_text(text)
    message = refused(path)
    assert "length unit is unknown" in message
    assert unit in message


def test_no_unit_is_taken_as_millimetres_and_said(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "unit.step"
    whole = "\n".join(cap)
    (number,) = re.findall(r"#(\d+) = \( LENGTH_UNIT\(\)", whole)
    without = whole.replace(f"((#{number},", "((")
    assert without != whole
    path.write_text(without)
    (solid,) = read_solids(path)
    assert (solid.source.length_unit, solid.source.unit_stated) == ("mm", False)
    assert any("no length unit; millimetres were assumed" in said for said in solid.remarks)
    path.write_text(whole)
    (solid,) = read_solids(path)
    assert solid.remarks == ()
    assert solid.source.unit_stated


@pytest.mark.parametrize(("prefix", "mm"), [("HECTO", 1e5), ("DECA", 1e4), ("DECI", 100.0)])
def test_rare_prefixes_are_known(tmp_path: Path, prefix: str, mm: float) -> None:
    """SI prefixes (BIPM, The International System of Units, 9th edition, table 7)."""
    pin = stepped_pin((0.01, 0.005), 0.01)
    path = write_step(pin.val().wrapped, tmp_path / "pin.step")
    text = path.read_text()
    path.write_text(text.replace(".MILLI.,.METRE.", f".{prefix}.,.METRE."))
    (solid,) = read_solids(path)
    assert cq.Solid(solid.shape).BoundingBox().zlen == pytest.approx(0.02 * mm, rel=1e-6)
    assert not any("unit" in said for said in solid.remarks)


def test_a_path_that_no_report_can_name(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "cap\udcff.step"
    path.write_text("\n".join(cap))
    with pytest.raises(PartUnreadable, match=r"cap\\xff\.step: its path holds bytes that are no"):
        read_solids(path)


def test_a_nul_in_the_path() -> None:
    with pytest.raises(PartUnreadable, match=r"a\\0b: its path holds a NUL"):
        read_solids(Path("a\0b"))


def test_links_and_devices_that_are_no_file(tmp_path: Path) -> None:
    loop = tmp_path / "loop.step"
    loop.symlink_to(loop)
    assert "a link to itself" in refused(loop)
    assert "no file" in refused(Path("/dev/zero"))


def test_a_solid_that_was_lost_is_told_in_its_place(tmp_path: Path) -> None:
    """The second face bound of a face is the face itself; its solid cannot be made."""
    text = (FIXTURES / "release_pin.step").read_text()
    brep = text.index("MANIFOLD_SOLID_BREP", text.index("MANIFOLD_SOLID_BREP") + 1)
    bounds = re.compile(r"(#(\d+) = ADVANCED_FACE\('',\(#\d+,)#\d+")
    circle = text[:brep] + bounds.sub(r"\g<1>#\g<2>", text[brep:], count=1)
    assert circle != text
    path = tmp_path / "lost.step"
    path.write_text(circle)
    sound, lost = solids_in(path)
    assert not isinstance(sound, PartUnreadable)
    assert isinstance(lost, PartUnreadable)
    assert f"{path}, solid 2 of 2: the file is damaged" in str(lost)
    assert "refers to itself in a circle; so the CAD kernel could make no solid" in str(lost)
    assert (sound.source.solid, sound.source.solids) == (1, 2)


def with_vertex_off(lines: list[str], off: str) -> str:
    """The end cap with one vertex moved: its x from 54 to 54 and `off`."""
    text = "\n".join(lines)
    (point,) = set(re.findall(r"VERTEX_POINT\('',(#\d+)\)", text)) & set(
        re.findall(r"(#\d+) = CARTESIAN_POINT\('',\(54\.,0\.,0\.\)\);", text)
    )
    return text.replace(
        f"{point} = CARTESIAN_POINT('',(54.,", f"{point} = CARTESIAN_POINT('',({off},"
    )


def test_gaps_are_told_and_wide_ones_refused(tmp_path: Path, cap: list[str]) -> None:
    path = tmp_path / "off.step"
    path.write_text(with_vertex_off(cap, "54.05"))
    (solid,) = read_solids(path)
    assert any("gaps of up to 0.05 mm" in said for said in solid.remarks)
    path.write_text(with_vertex_off(cap, "57."))
    assert "its edges lie up to 3 mm off its faces" in refused(path)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"version https://git-lfs.github.com/spec/v1\noid sha256:0\nsize 9\n", "git lfs pull"),
        (b"PK\x03\x04\x14\x00", "Unpack it"),
        (b"\x1f\x8b\x08\x00", "Unpack it"),
    ],
)
def test_what_stands_for_a_step_file_is_named(data: bytes, told: str, tmp_path: Path) -> None:
    """As batch names it; to export the part again would be no way out."""
    path = tmp_path / "part.step"
    path.write_bytes(data)
    said = refused(path)
    assert told in said
    assert "xport" not in said
