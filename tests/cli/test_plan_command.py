"""`turnability plan PART`: exit codes, streams, the page."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
from typer.testing import CliRunner, Result

from turnability.cli import app

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["plan", *map(str, arguments)])


def test_the_sheet_is_printed() -> None:
    result = run(FIXTURES / "winch_spindle.step")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith("Route sheet: winch_spindle (")
    for word in ("Stock", "Setup 1", "Hold", "Datum", "rpm", "Measure before", "Caution"):
        assert word in result.stdout


def test_the_page_is_written(tmp_path: Path) -> None:
    result = run(FIXTURES / "end_cap.step", "--out", tmp_path, "--units", "inch")
    assert (result.exit_code, result.stderr) == (0, "")
    (page,) = tmp_path.iterdir()
    assert page.name == "end_cap.route.html"
    assert page.read_text("utf-8").count("<svg") == 2


def test_each_solid_has_its_sheet(tmp_path: Path) -> None:
    assert run(FIXTURES / "release_pin.step", "--out", tmp_path).exit_code == 0
    assert len(list(tmp_path.iterdir())) == 2


def test_a_solid_that_is_placed_again_has_one_sheet_with_all_its_places(tmp_path: Path) -> None:
    pin, ring = cq.Workplane().circle(8).extrude(30), cq.Workplane().circle(20).circle(12)
    both = cq.Assembly(name="rig")
    for n in range(2):
        both.add(pin, name=f"pin {n}", loc=cq.Location(cq.Vector(60.0 * n, 0, 0)))
    both.add(ring.extrude(12), name="ring", loc=cq.Location(cq.Vector(0, 90, 0)))
    file = tmp_path / "rig.step"
    both.export(str(file))
    told = run(file).stdout.splitlines()
    heads = [line.split(" (")[0] for line in told if line.startswith("Route sheet")]
    assert heads == ["Route sheet: rig, solid 1 of 3", "Route sheet: rig, solid 3 of 3"]
    assert [line.split(None, 1)[1] for line in told if line.startswith("  Places")] == [
        "2 times in this file, as solid 1 rig / pin 0; 2 rig / pin 1",
        "In rig / ring",
    ]
    assert run(file, "--out", tmp_path / "pages").exit_code == 0
    pages = {p.name: p.read_text("utf-8") for p in (tmp_path / "pages").iterdir()}
    assert "<h1>rig, solid 2 of 3</h1>" in pages["rig.2.route.html"]


def test_what_does_not_turn_has_no_plan() -> None:
    result = run(FIXTURES / "mooring_clamp.step")
    assert result.exit_code == 0
    assert "no plan" in result.stdout


def test_wrong_use_and_bad_files(tmp_path: Path) -> None:
    assert run().exit_code == 2
    file = tmp_path / "file"
    file.write_text("no STEP")
    assert run(FIXTURES / "winch_spindle.step", "--out", file).exit_code == 2
    result = run(file)
    assert (result.exit_code, result.stdout) == (3, "")
    assert "file" in result.stderr
