"""Plans are carried out on pixels: each step gets in, cuts something, and the part is what is left.

What a plan names is all that is taken from it; how that is told, and what is forgiven, stands in
`step_by_step`.
"""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from step_by_step import carry_out, confirmed
from step_pixels import filled, trailed

from turnability.analysis.stages import walk
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
DEMO = ("cable_gland", "end_cap", "float_housing", "flow_venturi", "winch_spindle")
SHARED = ("bottle_shaped_body", "dock_pin_bullet_nose", "stepped_housing_ring", "stepped_shaft")
"""Turned parts with tapers, curves, necks and bores, in one setup and in two."""


@pytest.mark.parametrize("name", DEMO)
def test_plans_of_the_demo_parts(name: str, reports_of: Any) -> None:
    for report in reports_of(FIXTURES / f"{name}.step"):
        assert report.setups
        assert confirmed(report, STARTER) == []


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", SHARED)
def test_plans_of_real_parts(name: str, shared_parts: Path, reports_of: Any) -> None:
    for report in reports_of(shared_parts / f"{name}.step"):
        assert report.setups
        assert confirmed(report, STARTER) == []


@st.composite
def stepped(draw) -> list[tuple[float, float]]:
    """Lands and necks of two to five diameters, solid or bored through, maybe with a recess."""
    sizes = draw(st.lists(st.integers(16, 30), min_size=2, max_size=5))
    lengths = draw(st.lists(st.integers(4, 25), min_size=len(sizes), max_size=len(sizes)))
    ends = np.cumsum([0, *lengths]).tolist()
    outside = [(z, r) for r, pair in zip(sizes, pairwise(ends), strict=True) for z in pair[::-1]]
    whole, bore = ends[-1], draw(st.sampled_from((0.0, 8.2, 11.3)))
    recess = draw(st.booleans()) and bore > 0
    inside = [(0, bore), (whole, bore)]
    if recess:
        low, high = whole // 3, whole // 3 + 6
        inside[1:1] = [(low, bore), (low, bore + 2), (high, bore + 2), (high, bore)]
    steps = [p for k in range(len(sizes) - 1, -1, -1) for p in outside[2 * k : 2 * k + 2]]
    ring = [*inside, *steps]
    return [p for p, q in pairwise([*ring, ring[0]]) if p != q]


@settings(max_examples=3, phases=(Phase.explicit, Phase.generate))
@given(stepped())
def test_plans_of_profiles_drawn_at_random(points: list[tuple[float, float]]) -> None:
    report = walk(drawn_part(points), STARTER)
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
    (groove,) = [o for o in report.setups[0].operations if o.kind == "groove"]
    wall, *rest = groove.segments
    apart = [replace(groove, segments=tuple(some)) for some in (rest, [wall])]
    twice = changed(report, lambda all_: [n for o in all_ for n in (apart if o is groove else [o])])
    assert any("cuts air" in one for one in carry_out(twice, STARTER))


def test_a_bar_before_its_drill_is_found_not_to_get_in() -> None:
    report = walk(drawn_part(BUSH), STARTER)
    assert carry_out(report, STARTER) == []
    late = changed(report, lambda all_: sorted(all_, key=lambda o: o.kind == "drill"))
    assert any("gets at 0/" in one for one in carry_out(late, STARTER))


def test_a_grip_on_what_is_not_cut_is_found(reports_of: Any) -> None:
    (report,) = reports_of(FIXTURES / "end_cap.step")
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
