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
