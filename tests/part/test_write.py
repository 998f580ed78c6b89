"""Annotated STEP: colours and names on the right faces, all else as it was."""

from __future__ import annotations

import os
import re
from pathlib import Path

import cadquery as cq
import pytest
from annotations import BLUE, GREEN, RED, check_annotations, marks_for, same_colour
from step_files import SCHEMAS, UNITS_MM, read_back, stepped_pin, volume, write_step

from turnability.errors import OutputUnwritable, PartUnreadable
from turnability.part.reading.read import faces_of, read_solids
from turnability.part.reading.shape import solids_of
from turnability.part.writing.write import Mark, is_annotated, write_annotated


def without_names(text: str) -> str:
    return re.sub(r"(ADVANCED_FACE\s*\(\s*)'(?:[^']|'')*'", r"\1''", text)


@pytest.mark.parametrize("schema", SCHEMAS)
@pytest.mark.parametrize("unit", UNITS_MM)
def test_faces_carry_marks_and_all_else_stays(tmp_path: Path, schema: str, unit: str) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step", schema=schema, unit=unit)
    solids = read_solids(source)
    marks = marks_for(solids)
    out = tmp_path / "new folder" / "p.annotated.step"
    assert write_annotated(source, out, marks) == ()
    assert all(check_annotations(out, source, marks, UNITS_MM[unit]))
    (again,) = read_solids(out)
    assert again.step_ids == solids[0].step_ids
    assert again.source.length_unit == solids[0].source.length_unit
    assert volume(again.shape) == volume(solids[0].shape)
    # Names apart, the source's text is a prefix and the rest of the result.
    before, after = (without_names(p.read_text()) for p in (source, out))
    end = before.rindex("ENDSEC;")
    assert after.startswith(before[:end])
    assert after.endswith(before[end:])
    assert out.read_bytes().isascii()
    assert [p.name for p in out.parent.iterdir()] == [out.name]


def test_names_that_were_there_stay(tmp_path: Path) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    names = iter(["'NONE'", "'seat ''A'''", "' '", "''", "''", "''", "''"])
    text = re.sub(
        r"ADVANCED_FACE\(''", lambda _: f"ADVANCED_FACE({next(names)}", source.read_text()
    )
    source.write_text(text)
    numbers = [int(n) for n in re.findall(r"#(\d+) = ADVANCED_FACE", text)]
    marks = [Mark(1, i, n, f"new {i}") for i, n in enumerate(numbers[:4], 1)]
    write_annotated(source, tmp_path / "o.step", marks)
    written = re.findall(r"ADVANCED_FACE\(('(?:[^']|'')*')", (tmp_path / "o.step").read_text())
    assert written == ["'new 1'", "'seat ''A'''", "'new 3'", "'new 4'", "''", "''", "''"]


def test_marks_win_over_colours_that_were_there(tmp_path: Path) -> None:
    """The first pass colours all faces, the second some of them otherwise."""
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    (solid,) = read_solids(source)
    first = [Mark(1, i, n, colour=RED) for i, n in enumerate(solid.step_ids, 1)]
    write_annotated(source, tmp_path / "first.step", first)
    second = [Mark(1, i, n, f"face {n}.", BLUE) for i, n in enumerate(solid.step_ids[:3], 1)]
    write_annotated(tmp_path / "first.step", tmp_path / "second.step", second)
    seen, names = read_back(tmp_path / "second.step")
    assert len(seen) == 7
    for (_, _, colour, _), name in zip(seen, names, strict=True):
        assert same_colour(colour, BLUE if name.startswith("face") else RED)
    assert sum(name.startswith("face") for name in names) == 3


def test_marks_of_one_face_are_merged(tmp_path: Path) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    (solid,) = read_solids(source)
    number = solid.step_ids[0]
    marks = [
        Mark(1, 1, number, "N1 too deep"),
        Mark(2, 1, number, "N1 too deep", RED),
        Mark(3, 1, number, "N2", BLUE),
        Mark(3, 2, None, "unknown"),
        Mark(3, 3, 999999, "not there"),
    ]
    left = write_annotated(source, tmp_path / "o.step", marks)
    assert [mark.name for mark in left] == ["unknown", "not there"]
    text = (tmp_path / "o.step").read_text()
    assert text.count("'N1 too deep; N2'") == 1
    assert text.count("COLOUR_RGB") == 1


def test_no_marks_give_the_same_file_but_for_a_comment(tmp_path: Path) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    source.write_bytes(source.read_bytes().replace(b"''", b"'\xe4 \xff'", 1))
    write_annotated(source, tmp_path / "o.step", [])
    was, now = source.read_bytes(), (tmp_path / "o.step").read_bytes()
    end = was.rindex(b"ENDSEC;")
    assert now[:end] == was[:end]
    assert now.endswith(was[end:])
    assert re.fullmatch(rb"/\*[^*]*turnability[^*]*\*/\n", now[end : -len(was[end:])])


def test_what_was_written_here_is_known_by_what_is_in_it(tmp_path: Path) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    write_annotated(source, tmp_path / "o.step", marks_for(read_solids(source)))
    assert is_annotated(tmp_path / "o.step")
    assert not is_annotated(source)
    named = tmp_path / "p.annotated.step"
    named.write_bytes(source.read_bytes())
    assert not is_annotated(named), "a name proves nothing"
    (again,) = read_solids(tmp_path / "o.step")
    write_step(again.shape, tmp_path / "saved.step")
    assert not is_annotated(tmp_path / "saved.step"), "another program's work is another part"
    assert not is_annotated(tmp_path / "none.step")
    assert not is_annotated(tmp_path)


@pytest.mark.parametrize("unit", ["mm", "inch"])
def test_shapes_from_memory(tmp_path: Path, unit: str) -> None:
    from dataclasses import replace

    solids = tuple(
        replace(s, source=replace(s.source, length_unit=unit, product="Schäkel"))
        for s in solids_of([stepped_pin(), cq.Workplane().box(3, 4, 5).translate((40, 0, 0))])
    )
    marks = [
        Mark(1, 2, None, "Nut ⌀8 'tief' 漢", RED, "findings"),
        Mark(2, 3, None, "side", GREEN),
        Mark(1, 99, None, "not there"),
    ]
    out = tmp_path / "o.step"
    assert write_annotated(solids, out, marks) == (marks[2],)
    assert out.read_bytes().isascii()
    again = read_solids(out)
    assert [volume(s.shape) for s in again] == pytest.approx([volume(s.shape) for s in solids])
    assert {s.source.length_unit for s in again} == {unit}
    assert {s.source.product for s in again} == {"Schäkel"}
    seen, _ = read_back(out)
    assert len(seen) == 2
    for (face, name, colour, layers), mark in zip(seen, marks, strict=False):
        assert name == mark.name
        assert same_colour(colour, mark.colour)
        assert layers == ([mark.layer] if mark.layer else [])
        original = faces_of(solids[mark.solid - 1].shape)[mark.face - 1]
        assert cq.Face(face).Center().toTuple() == pytest.approx(
            cq.Face(original).Center().toTuple(), abs=1e-9
        )


def test_settings_of_the_kernel_are_put_back(tmp_path: Path) -> None:
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Controller

    STEPControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.unit", "CM")
    try:
        write_annotated(solids_of(stepped_pin()), tmp_path / "o.step", [])
        assert Interface_Static.CVal_s("write.step.unit") == "CM"
        assert Interface_Static.IVal_s("write.step.schema") == SCHEMAS["AP214"]
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")


def test_targets_that_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    before = source.read_bytes()
    in_the_way = tmp_path / "file"
    in_the_way.write_text("x")
    for given in (source, solids_of(stepped_pin())):
        with pytest.raises(OutputUnwritable):
            write_annotated(given, in_the_way / "o.step", [])
        (tmp_path / "folder").mkdir(exist_ok=True)
        with pytest.raises(OutputUnwritable):
            write_annotated(given, tmp_path / "folder", [])
    with pytest.raises(OutputUnwritable, match="never overwritten"):
        write_annotated(source, source, [])
    old = tmp_path / "old.step"
    old.write_text("as it was")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputUnwritable, match="No space left") as told:
        write_annotated(source, old, [])
    assert "Free some space" in str(told.value)
    assert old.read_text() == "as it was"
    assert source.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["file", "folder", "old.step", "p.step"]


def test_a_source_that_has_gone(tmp_path: Path) -> None:
    with pytest.raises(PartUnreadable):
        write_annotated(tmp_path / "gone.step", tmp_path / "o.step", [])
    assert list(tmp_path.iterdir()) == []
