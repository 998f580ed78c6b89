"""Plans are carried out on pixels: each step gets in, cuts something, and the part is what is left.

What a plan names is all that is taken from it; how that is told, and what is forgiven, stands in
`step_by_step`.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pixels import filled, trailed
from step_by_step import carry_out, confirmed

from turnability.analysis import analyze_all
from turnability.analysis.stages import walk
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
DEMO = ("cable_gland", "end_cap", "float_housing", "flow_venturi", "winch_spindle")
SHARED = ("bottle_shaped_body", "dock_pin_bullet_nose", "stepped_housing_ring", "stepped_shaft")
"""Turned parts with tapers, curves, necks and bores, in one setup and in two."""


def reports(path: Path) -> list[Report]:
    found = [one for one in analyze_all(path) if isinstance(one, Report)]
    assert found
    assert all(one.setups for one in found)
    return found


@pytest.mark.parametrize("name", DEMO)
def test_plans_of_the_demo_parts(name: str) -> None:
    for report in reports(FIXTURES / f"{name}.step"):
        assert confirmed(report, STARTER) == []


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", SHARED)
def test_plans_of_real_parts(name: str, shared_parts: Path) -> None:
    for report in reports(shared_parts / f"{name}.step"):
        assert confirmed(report, STARTER) == []


PIN = [(0, 0), (60, 0), (60, 10), (40, 10), (40, 15), (34, 15), (34, 12), (26, 12), (26, 15)]
PIN += [(10, 15), (10, 20), (0, 20)]
"""A stepped pin with a groove 8 x 3 (ours)."""
BUSH = [(0, 12), (20, 12), (20, 15), (40, 15), (40, 12), (60, 12), (60, 22), (0, 22)]
"""Bored ⌀24 with a recess ⌀30 x 20 in the middle (ours)."""


def changed(report: Report, change) -> Report:
    """The report with the first setup's operations changed."""
    first, *more = report.setups
    other = replace(first, operations=tuple(change(list(first.operations))))
    return replace(report, setups=(other, *more))


def test_a_surface_that_no_step_names_is_found_to_stay() -> None:
    report = walk(drawn_part(PIN), STARTER)
    assert carry_out(report, STARTER) == []
    without = changed(report, lambda all_: [o for o in all_ if o.kind != "groove"])
    (found,) = carry_out(without, STARTER)
    # by hand: 8 x 3 mm, less what may stay within 1.2 mm and two pixels of its corners
    area = float(found.split()[1])
    assert found.startswith("left")
    assert 14.0 < area < 22.0
    assert "z 26" in found


def test_a_step_that_another_has_done_is_found_to_cut_air() -> None:
    report = walk(drawn_part(PIN), STARTER)
    twice = changed(report, lambda all_: [*all_[:2], *all_[1:]])
    assert any("cuts air" in one for one in carry_out(twice, STARTER))


def test_a_bar_before_its_drill_is_found_not_to_get_in() -> None:
    report = walk(drawn_part(BUSH), STARTER)
    assert carry_out(report, STARTER) == []
    late = changed(report, lambda all_: sorted(all_, key=lambda o: o.kind == "drill"))
    assert any("gets at 0/" in one for one in carry_out(late, STARTER))


def test_a_grip_on_what_is_not_cut_is_found() -> None:
    report = next(iter(reports(FIXTURES / "end_cap.step")))
    first, second = report.setups
    assert second.grip.z_mm == (3.0, 14.0)
    raw = replace(second, grip=replace(second.grip, z_mm=(14.0, 23.0)))
    moved = replace(report, setups=(first, raw))
    assert any("gripped, and broken" in one for one in carry_out(moved, STARTER))
    bare = replace(second, grip=replace(second.grip, diameter_mm=100.0))
    moved = replace(report, setups=(first, bare))
    assert any("gripped, and not cut" in one for one in carry_out(moved, STARTER))


def test_lattice_points_of_a_triangle() -> None:
    """By hand: of nine points the six with z + r < 3.5; the whole square lies on from them."""
    at = np.array([0.5, 1.5, 2.5])
    grid = filled(np.array([(0.0, 0.0), (3.5, 0.0), (0.0, 3.5)]), at, at)
    assert grid.tolist() == [[True, True, True], [True, True, False], [True, False, False]]
    assert trailed(grid, 1, False).tolist() == grid.tolist()
    assert trailed(grid, 1, True).all()
