"""Bodies beside the part, in a product of their own."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from annotations import check_nothing_lost
from step_files import SCHEMAS, stepped_pin, volume, write_step

from turnability.errors import OutputUnwritable
from turnability.part.apart import bodies as apart_bodies
from turnability.part.reading.read import read_solids
from turnability.part.reading.shape import solids_of
from turnability.part.writing.bodies import without_crumbs
from turnability.part.writing.write import Bodies, Body, write_annotated

VIOLET, GREY = (0x4B / 255, 0x2A / 255, 0x7B / 255), (0xA9 / 255, 0xB2 / 255, 0xBC / 255)
TILTED = (0.6, 0.0, 0.8)
BODIES = Bodies(
    "pin: turnability",
    (3.0, -2.0, 1.0),
    TILTED,
    (
        Body("L1 uncut", ((2.0, 5.0), (6.0, 5.0), (6.0, 8.0)), VIOLET),
        Body("core", ((0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 4.0)), VIOLET),
        Body("stock", ((-1.0, 0.0), (9.0, 0.0), (9.0, 10.0), (-1.0, 10.0)), GREY, 0.4, 20.0),
        Body("nothing", ((0.0, 1.0), (5.0, 1.0), (9.0, 1.0)), VIOLET),
    ),
)
VOLUMES = {
    # Pappus: area times the way of its centroid; a hexagon of s across flats has √3/2 s².
    "L1 uncut": 6.0 * 2.0 * math.pi * 6.0,
    "core": math.pi * 16.0 * 10.0,
    "stock": math.sqrt(3.0) / 2.0 * 400.0 * 10.0,
}


@pytest.mark.parametrize("schema", SCHEMAS)
@pytest.mark.parametrize("unit", ["MM", "INCH"])
def test_bodies_stand_about_the_axis(tmp_path: Path, schema: str, unit: str) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step", schema=schema, unit=unit)
    (part,) = read_solids(source)
    write_annotated(source, tmp_path / "o.step", [], (), BODIES, part.source.length_unit)
    check_nothing_lost(source.read_bytes(), (tmp_path / "o.step").read_bytes(), set())
    first, *bodies = read_solids(tmp_path / "o.step")
    assert first.step_ids == part.step_ids
    assert volume(first.shape) == volume(part.shape)
    assert first.facts.spots == part.facts.spots
    assert {b.source.product: volume(b.shape) for b in bodies} == pytest.approx(VOLUMES, rel=1e-9)
    assert {b.source.length_unit for b in bodies} == {part.source.length_unit}
    assert {s.path[0] for b in bodies for s in b.facts.spots} == {"pin: turnability"}
    centres = {b.source.product: centre(b.shape) for b in bodies}
    # The triangle's centroid lies at z = 14/3, and of a full turn on the axis.
    for name, z in (("L1 uncut", None), ("core", 5.0), ("stock", 4.0)):
        seen = centres[name]
        along = sum((s - o) * d for s, o, d in zip(seen, BODIES.origin_mm, TILTED, strict=True))
        on_axis = [o + along * d for o, d in zip(BODIES.origin_mm, TILTED, strict=True)]
        assert seen == pytest.approx(on_axis, abs=1e-6)
        assert z is None or along == pytest.approx(z, abs=1e-6)
    colours = {b.source.product: {f.colour for f in b.facts.faces.values()} for b in bodies}
    assert colours["core"] == {"#4b2a7b"}
    assert colours["stock"] == {"#a9b2bc"}


def centre(shape: object) -> tuple[float, float, float]:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    measured = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, measured, 1e-9)
    point = measured.CentreOfMass()
    return point.X(), point.Y(), point.Z()


def test_bodies_beside_a_shape_from_memory(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    write_annotated(solids_of(stepped_pin()), tmp_path / "o.step", [], (), BODIES)
    assert capfd.readouterr() == ("", "")
    assert [s.source.product for s in read_solids(tmp_path / "o.step")] == ["part", *VOLUMES]


@pytest.mark.parametrize(
    ("job", "said"),
    [
        ("killed_by_segmentation", "the CAD kernel died on it (SIGSEGV)"),
        ("hangs", "the CAD kernel did not finish within 1 s"),
        ("wants_memory", "the CAD kernel needed more than 8 GiB of memory"),
        ("raises", "making them stopped with ZeroDivisionError: no such thing"),
    ],
)
def test_a_kernel_that_fails_over_bodies_costs_them_alone(
    job: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = write_step(stepped_pin().val().wrapped, tmp_path / "p.step")
    monkeypatch.setattr(apart_bodies, "_TEXT", f"kernel_jobs:{job}_over_bodies")
    monkeypatch.setattr(apart_bodies, "TIME_LIMIT_S", 1.0)
    target = tmp_path / "out" / "o.step"
    target.parent.mkdir()
    with pytest.raises(OutputUnwritable) as raised:
        write_annotated(source, target, [], (), BODIES)
    assert str(raised.value).startswith(str(target))
    assert said in str(raised.value)
    assert "Do without the bodies" in str(raised.value)
    assert list(target.parent.iterdir()) == []


def test_corners_on_a_line_are_left_out() -> None:
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    more = ((0.0, 0.0), (0.5, 0.0), (1.0, 0.0), (1.0, 1.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0))
    assert without_crumbs(square) == square
    assert set(without_crumbs(more)) == set(square)
    assert len(without_crumbs(((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)))) < 3
