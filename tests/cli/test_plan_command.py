"""`turnability plan PART`: exit codes, streams, the page."""

from __future__ import annotations

from pathlib import Path

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
