"""Walls thin for their diameter, told wherever they stand on the part, with closed-form limits."""

from __future__ import annotations

import math

import pytest

from turnability.half_plane.curves import Arc, Line
from turnability.part.profile import make_profile
from turnability.rules import wall_under_tool
from turnability.rules.drawn import drawn_view

TABLE = {
    # wall in mm by diameter in mm: below d/30 or 0.5 a note, below d/60 a warning
    (10, 0.3): "note", (10, 0.5): None, (10, 1.0): None, (10, 2.0): None,
    (20, 0.3): "warning", (20, 0.5): "note", (20, 1.0): None, (20, 2.0): None,
    (40, 0.3): "warning", (40, 0.5): "warning", (40, 1.0): "note", (40, 2.0): None,
    (60, 0.3): "warning", (60, 0.5): "warning", (60, 1.0): "note", (60, 2.0): None,
    (100, 0.3): "warning", (100, 0.5): "warning", (100, 1.0): "warning", (100, 2.0): "note",
}  # fmt: skip


def bush(diameter: float, wall: float, length: float):
    half = diameter / 2.0
    return drawn_view([(0, half - wall), (length, half - wall), (length, half), (0, half)])


@pytest.mark.parametrize(("size", "level"), TABLE.items(), ids=str)
def test_bushes_by_diameter_and_wall(size: tuple[float, float], level: str | None) -> None:
    diameter, wall = size
    found = wall_under_tool.check(bush(diameter, wall, 0.75 * diameter))
    assert [f.level for f in found] == ([level] if level else [])
    if found:
        assert found[0].measured == pytest.approx(wall)
        assert found[0].limit == pytest.approx(max(0.5, diameter / 30.0))
        assert found[0].where.z_mm == pytest.approx((0.0, 0.75 * diameter))


@pytest.mark.parametrize("share", [0.97, 1.03])
def test_a_short_wall_is_stiffened_by_its_ends(share: float) -> None:
    """π/β with β⁴ = 3 (1 - ν²)/(R t)², ν = 0.3: 2.444 √(R t) (shell theory)."""
    radius, wall = 19.75, 0.5
    beta = (3.0 * (1.0 - 0.3**2)) ** 0.25 / math.sqrt(radius * wall)
    found = wall_under_tool.check(bush(40.0, wall, share * math.pi / beta))
    assert bool(found) is (share > 1.0)


def test_a_thin_stretch_between_thick_ones_is_told_by_its_own_place() -> None:
    """Wall 5, but 0.4 from z 20 to 45, behind a groove in the outside."""
    ring = [
        (0, 15), (80, 15), (80, 20), (45, 20), (45, 15.4), (20, 15.4), (20, 20), (0, 20),
    ]  # fmt: skip
    (finding,) = wall_under_tool.check(drawn_view(ring))
    assert finding.level == "warning"
    assert finding.measured == pytest.approx(0.4)
    assert "z 20 to 45 mm" in finding.message
    assert "1/77 of it" in finding.message


def test_a_solid_neck_and_a_cone_on_the_axis_are_no_walls() -> None:
    neck = [(0, 0), (60, 0), (60, 10), (40, 10), (40, 0.2), (20, 0.2), (20, 10), (0, 10)]
    assert wall_under_tool.check(drawn_view(neck)) == ()
    assert wall_under_tool.check(drawn_view([(0, 0), (60, 0), (0, 10)])) == ()


def test_an_edge_that_runs_out_to_nothing_makes_no_wall_thin() -> None:
    """A wall of 5 with a cone of 10° down to a knife's edge: thin over 7.6 mm, of mean 0.67 mm."""
    run_out = 5.0 / math.tan(math.radians(10.0))
    ring = [(0, 15), (60, 15), (60, 20), (run_out, 20), (0, 15)]
    assert wall_under_tool.check(drawn_view(ring[:-1])) == ()


def test_a_shell_round_a_ball_is_told_by_its_wall() -> None:
    """Spheres of 60 and 59: 1 mm at ⌀120 where the end is, and thicker across toward the pole."""
    loop = [
        Arc((0, 59), (59, 0), (0, 0), 59.0, clockwise=True),
        Line((59, 0), (60, 0)),
        Arc((60, 0), (0, 60), (0, 0), 60.0, clockwise=False),
        Line((0, 60), (1e-15, 59)),
    ]
    (finding,) = wall_under_tool.check(drawn_view(make_profile([[(curve, ()) for curve in loop]])))
    assert finding.level == "warning"
    assert 1.0 <= finding.measured < 1.2
