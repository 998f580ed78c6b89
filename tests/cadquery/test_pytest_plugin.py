"""`assert_turnable` and the fixture `turnable`, as a design repository has them."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.metadata import entry_points
from pathlib import Path

import cadquery as cq
import pytest

from turnability.errors import PartUnreadable
from turnability.testing import assert_turnable

CHECKOUT = Path(__file__).resolve().parents[2]
SHOP = """
name = "one blade"
[[tool]]
name = "blade"
kind = "outline"
access = "outer"
on_axis = false
hand = "neutral"
cutting = [[[0.0, 0.0], [3.0, 0.0], [3.0, 6.0], [0.0, 6.0]]]
body = [[[0.0, 6.0], [20.0, 6.0], [20.0, 100.0], [0.0, 100.0]]]
"""


def pin() -> cq.Workplane:
    return cq.Workplane().circle(8).extrude(30)


def bottle() -> cq.Workplane:
    section = [(0, 0), (0, 10), (14, 20), (14, 40), (10, 40), (10, 60), (22, 60), (22, 0)]
    return cq.Workplane("XZ").polyline(section).close().revolve(360, (0, 0, 0), (0, 1, 0))


def test_what_can_be_made_passes() -> None:
    (report,) = assert_turnable(pin())
    assert report.verdict == "turnable"


def test_the_failure_says_what_where_and_by_how_much() -> None:
    with pytest.raises(AssertionError) as failed:
        assert_turnable(bottle())
    text = str(failed.value)
    assert "recess-behind-small-entry" in text.splitlines()[0]
    assert "⌀20 to 28 mm, 4 mm deep" in " ".join(text.split())


def test_warnings_fail_where_they_are_to() -> None:
    warned = cq.Workplane().circle(50).extrude(140)  # ⌀100, a bright bar's own size
    assert_turnable(warned)
    with pytest.raises(AssertionError, match="outside-near-stock-size"):
        assert_turnable(warned, fail_on="warning")


def test_from_which_level_on_it_fails_is_one_of_three_words() -> None:
    (report,) = assert_turnable(bottle(), fail_on="never")
    assert any(finding.level == "error" for finding in report.findings)
    with pytest.raises(ValueError, match="'warnings': it may be 'error', 'warning', 'never'"):
        assert_turnable(pin(), fail_on="warnings")  # type: ignore[arg-type]


def test_an_error_shows_the_test_and_not_where_in_the_program_it_arose() -> None:
    with pytest.raises(PartUnreadable) as raised:
        assert_turnable("nowhere.step")
    assert raised.value.__cause__ is None
    files = {entry.path.name for entry in raised.traceback}
    assert files == {Path(__file__).name, "testing.py"}


@pytest.mark.parametrize(
    "project",
    [
        '[levels]\noutside-near-stock-size = "note"\n',
        '[[accepted]]\npart = "mast.step"\nrule = "outside-near-stock-size"\n'
        'diameter_mm = [100, 100]\nz_mm = [0, 140]\nreason = "the bar\'s own skin will do"\n'
        'by = "manufacturing lead"\nuntil = 2999-12-31\n',
    ],
    ids=["its level lowered", "accepted"],
)
def test_what_the_project_settles_passes(tmp_path: Path, project: str) -> None:
    part = tmp_path / "mast.step"
    cq.exporters.export(cq.Workplane().circle(50).extrude(140), str(part))
    (tmp_path / "turnability.toml").write_text(project)
    with pytest.raises(AssertionError, match="outside-near-stock-size"):
        assert_turnable(part, fail_on="warning")
    (again,) = assert_turnable(part, project=tmp_path / "turnability.toml", fail_on="warning")
    assert again.project is not None
    assert "outside-near-stock-size" in [f.rule for f in again.findings]


def test_what_is_not_known_does_not_pass(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(SHOP)
    with pytest.raises(AssertionError, match="could not be judged"):
        assert_turnable(pin(), shop)


def test_what_is_no_matter_of_the_design_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(PartUnreadable):
        assert_turnable(tmp_path / "gone.step")


def test_the_fixture_is_found_by_itself_and_reads_its_options(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(SHOP)
    (tmp_path / "pytest.ini").write_text("[pytest]\nturnability_shop = shop.toml\n")
    (tmp_path / "test_design.py").write_text(
        "import cadquery as cq\n"
        "def test_shop_of_the_options(turnable):\n"
        "    turnable(cq.Workplane().circle(8).extrude(30))\n"
        "def test_starter_shop(turnable):\n"
        "    (report,) = turnable(cq.Workplane().circle(8).extrude(30), None)\n"
        "    assert report.verdict == 'turnable'\n"
    )
    known = {point.value for point in entry_points(group="pytest11")}
    there = [] if "turnability.pytest_plugin" in known else ["-p", "turnability.pytest_plugin"]
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *there, "."]
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT)}
    run = subprocess.run(
        command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert "1 failed, 1 passed" in run.stdout, run.stdout + run.stderr
    assert "could not be judged" in run.stdout


def test_loading_the_plugin_is_light() -> None:
    code = (
        "import sys, turnability.pytest_plugin;"
        "print([m for m in ('numpy', 'OCP', 'cadquery', 'scipy') if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=CHECKOUT
    )
    assert run.stdout.strip() == "[]"
