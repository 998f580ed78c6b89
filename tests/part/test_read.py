"""Solids of STEP files: geometry, units, names and face numbers, against closed forms."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from step_files import SCHEMAS, UNITS_MM, entities_of, mismatch, stepped_pin, volume, write_step

from turnability.part.reading import transfer
from turnability.part.reading.read import read_solids
from turnability.part.reading.shape import solids_of
from turnability.part.reading.soundness import sound_solid
from turnability.part.reading.step_units import unit_size_mm
from turnability.part.reading.topology import faces_of

UNIT_NAMES = {"MM": "mm", "INCH": "inch", "M": "m", "CM": "cm"}
PIN_MM3 = math.pi * 12.0 * (100.0 + 64.0 + 25.0)


@pytest.mark.parametrize("schema", SCHEMAS)
@pytest.mark.parametrize("unit", UNITS_MM)
def test_schemas_and_units(tmp_path: Path, schema: str, unit: str) -> None:
    path = write_step(stepped_pin().val().wrapped, tmp_path / "p.step", schema=schema, unit=unit)
    (solid,) = read_solids(path)
    assert volume(solid.shape) == pytest.approx(PIN_MM3, rel=1e-9)
    assert solid.source.length_unit == UNIT_NAMES[unit]
    assert solid.source.step_schema is not None
    assert (solid.source.solid, solid.source.solids) == (1, 1)
    assert solid.remarks == ()


@pytest.mark.parametrize("unit", UNITS_MM)
def test_face_numbers_are_those_of_the_file(tmp_path: Path, unit: str) -> None:
    path = write_step(stepped_pin().val().wrapped, tmp_path / "p.step", unit=unit)
    (solid,) = read_solids(path)
    entities = entities_of(path)
    faces = faces_of(solid.shape)
    assert len(set(solid.step_ids)) == len(faces) == 7
    for face, number in zip(faces, solid.step_ids, strict=True):
        assert number is not None
        assert mismatch(face, number, entities, UNITS_MM[unit]) is None


def test_the_check_of_face_numbers_can_fail(tmp_path: Path) -> None:
    path = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    (solid,) = read_solids(path)
    numbers = solid.step_ids[1:] + solid.step_ids[:1]
    entities = entities_of(path)
    assert any(
        mismatch(face, n or 0, entities, 1.0)
        for face, n in zip(faces_of(solid.shape), numbers, strict=True)
    )


def test_face_numbers_of_very_large_solids_go_by_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_step(stepped_pin(tuple(range(60, 10, -1)), 2.0).val().wrapped, tmp_path / "p.step")
    (asked,) = read_solids(path)
    monkeypatch.setattr(transfer, "_MANY", 0)
    (ordered,) = read_solids(path)
    assert ordered.step_ids == asked.step_ids


def test_names_and_several_solids(tmp_path: Path) -> None:
    boxes = [cq.Workplane().box(k, 2, 3).translate((0, 9 * k, 0)).val() for k in (1, 2, 3)]
    path = write_step(cq.Compound.makeCompound(boxes).wrapped, tmp_path / "b.step", name="clamp")
    solids = read_solids(path)
    assert [volume(s.shape) for s in solids] == pytest.approx([6.0, 12.0, 18.0], rel=1e-9)
    assert [s.source.solid for s in solids] == [1, 2, 3]
    assert {s.source.solids for s in solids} == {3}
    assert all(s.source.product and s.source.product.startswith("clamp") for s in solids)


def test_assembly_instances_stand_in_their_own_coordinates(tmp_path: Path) -> None:
    pin = stepped_pin()
    assembly = cq.Assembly(name="rig")
    for k in range(3):
        place = cq.Location((100.0 * k, 50.0, 0.0), (1, 1, 0), 30.0 * k)
        assembly.add(pin, name=f"float pin {k}", loc=place)
    path = tmp_path / "assembly.step"
    assembly.export(str(path))
    solids = read_solids(path)
    assert len(solids) == 3
    own = [point for face in faces_of(pin.val().wrapped) for point in [centre_of(face)]]
    for solid in solids:
        seen = [centre_of(face) for face in faces_of(solid.shape)]
        assert seen == pytest.approx(own, abs=1e-9)


def centre_of(face: Any) -> float:
    """Distance of the face's centre of area from the origin."""
    return float(cq.Face(face).Center().Length)


def test_a_single_part_keeps_its_place(tmp_path: Path) -> None:
    path = write_step(stepped_pin().translate((7, 8, 9)).val().wrapped, tmp_path / "p.step")
    (solid,) = read_solids(path)
    assert cq.Solid(solid.shape).BoundingBox().xmin == pytest.approx(-3.0, abs=1e-6)


def test_an_inside_out_solid_is_turned_and_said() -> None:
    from OCP.TopoDS import TopoDS

    inside_out = TopoDS.Solid_s(stepped_pin().solids().val().wrapped.Reversed())
    assert volume(inside_out) == pytest.approx(-PIN_MM3)
    solid, remarks = sound_solid(inside_out, "pin", faces_of(inside_out))
    assert volume(solid) == pytest.approx(PIN_MM3)
    assert "inside out" in remarks[0]


class Wraps:
    """An object of some modelling library."""

    def __init__(self, wrapped: Any, label: str = "") -> None:
        self.wrapped = wrapped
        self.label = label


def test_shapes_from_memory() -> None:
    pin = stepped_pin().translate((5, 0, 0))
    shape = pin.val().wrapped
    for given in (shape, pin.val(), pin, Wraps(shape), [pin], cq.Assembly().add(pin)):
        (solid,) = solids_of(given)
        assert volume(solid.shape) == pytest.approx(PIN_MM3)
        assert cq.Solid(solid.shape).BoundingBox().xmin == pytest.approx(-5.0, abs=1e-6)
        assert solid.step_ids == (None,) * 7
        assert (solid.source.path, solid.source.sha256) == (None, None)
        assert solid.source.length_unit == "mm"
    (named,) = solids_of(Wraps(shape, "float pin"))
    assert named.source.product == "float pin"
    assert [s.source.solid for s in solids_of([pin, pin.translate((50, 0, 0))])] == [1, 2]


def test_placement_from_memory_is_kept() -> None:
    from OCP.gp import gp_Trsf, gp_Vec
    from OCP.TopLoc import TopLoc_Location

    move = gp_Trsf()
    move.SetTranslation(gp_Vec(0, 0, 40))
    (solid,) = solids_of(stepped_pin().val().wrapped.Moved(TopLoc_Location(move)))
    assert cq.Solid(solid.shape).BoundingBox().zmin == pytest.approx(40.0, abs=1e-6)


@pytest.mark.shared_parts
def test_real_files_as_their_list_says(shared_parts: Path) -> None:
    """Number of solids, unit and faces; every face's number by the file's own geometry."""
    units = {"millimetre": "mm", "inch": "inch", "metre": "m", "centimetre": "cm"}
    with (shared_parts / "manifest.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 60
    for row in rows:
        if (shared_parts / row["file"]).stat().st_size > 600_000:
            continue  # the large ones take as long as all others together
        solids = read_solids(shared_parts / row["file"])
        assert len(solids) == int(row["solids"]), row["file"]
        assert {s.source.length_unit for s in solids} == {units[row["unit"]]}, row["file"]
        assert all(s.source.product for s in solids), row["file"]
        if row["faces"]:
            assert sum(len(s.step_ids) for s in solids) == int(row["faces"]), row["file"]
        entities = entities_of(shared_parts / row["file"])
        for solid in solids:
            assert volume(solid.shape) > 0.0 if len(solid.step_ids) < 60 else True
            mm = unit_size_mm(solid.source.length_unit) or 0.0
            for face, number in zip(faces_of(solid.shape), solid.step_ids, strict=True):
                assert number is not None, row["file"]
                assert mismatch(face, number, entities, mm) is None, row["file"]
