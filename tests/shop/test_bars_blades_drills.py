"""Bodies and limits of bars, blades and drills against closed-form geometry."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.half_plane.curves import flatten_ring, ring_area
from turnability.shop.load import tools_of
from turnability.shop.model import Outlines, Ring, Tool


def tool(**table: Any) -> Tool:
    (made,) = tools_of(table)
    return made


def span(rings: tuple[Ring, ...], column: int) -> tuple[float, float]:
    points = [flatten_ring(ring, 1e-5)[:, column] for ring in rings]
    return min(p.min() for p in points), max(p.max() for p in points)


def relaxed(made: Tool, cause: str) -> Outlines:
    return next(r.outlines for r in made.relaxations if r.cause == cause)


BAR = {"kind": "boring", "bar": "S16Q-SCLCR 09", "insert": "CCMT 09T304"}


def test_boring_tip_is_the_outermost_and_foremost_point() -> None:
    made = tool(**BAR)
    every = (*made.outlines.cutting, *made.outlines.body[:2])
    assert math.isclose(span(every, 0)[0], 0.0, abs_tol=1e-4)
    assert math.isclose(span(every, 1)[1], 0.0, abs_tol=1e-4)


def test_bar_lies_f_below_the_tip_and_ends_at_its_overhang() -> None:
    made = tool(**BAR, f_mm=12.0, overhang_mm=55.0)
    bar, block = made.outlines.body[1:]
    assert span((bar,), 1) == pytest.approx((-20.0, -4.0))
    assert span((bar,), 0)[1] == pytest.approx(55.0)
    assert span((block,), 0)[0] == pytest.approx(55.0)
    assert made.limits["recess_depth_mm"] == pytest.approx(12.0 - 8.0)
    assert made.limits["min_bore_mm"] == pytest.approx(12.0 + 8.0)


@pytest.mark.parametrize(
    "bar",
    [BAR, {"kind": "internal-grooving", "width_mm": 3.0, "bar_diameter_mm": 16.0, "f_mm": 11.0}],
)
def test_a_stated_smallest_bore_is_drawn_and_so_decides(bar: dict[str, Any]) -> None:
    made = tool(**bar, min_bore_mm=22.0)
    assert made.limits["min_bore_mm"] == 22.0
    shank = max(made.outlines.body[:-1], key=ring_area)
    assert span((shank,), 1) == pytest.approx((-22.0, -3.0))
    assert not any("advises" in note for note in made.notes)


def test_behind_its_flutes_a_drill_needs_an_entry_of_two_diameters() -> None:
    """DIN 338, from memory: 10 mm has flutes of 87; 2 d: common practice, no source."""
    made = tool(kind="drill", diameter_mm=10.0)
    assert span(made.outlines.body[:1], 0)[0] == pytest.approx(87.0 - 15.0)
    assert span(made.outlines.body[:1], 1) == pytest.approx((-10.0, 10.0))


@pytest.mark.parametrize(("d", "flute"), [(3.0, 12.0), (6.0, 24.0), (10.0, 45.0), (16.0, 63.0)])
def test_a_flat_drill_is_a_slot_drill_with_short_flutes(d: float, flute: float) -> None:
    """Cutting lengths of the long series, ISO 1641-1, from memory."""
    made = tool(kind="drill", diameter_mm=d, point_angle_deg=180.0)
    assert made.limits["flute_length_mm"] == flute
    assert span(made.outlines.body[:1], 0)[0] == pytest.approx(flute)


def test_steel_bar_stands_out_four_diameters() -> None:
    """Steel up to 4 × d: small-hole boring bar guide (publisher withheld)."""
    assert tool(**BAR).limits["overhang_mm"] == pytest.approx(64.0)


def test_too_long_an_overhang_is_a_caution_not_a_fault() -> None:
    assert any("machinist" in note for note in tool(**BAR, overhang_mm=100.0).notes)


def test_relaxed_bars_keep_the_other_side() -> None:
    made = tool(**BAR)
    near, far = made.limits["recess_depth_mm"], made.limits["min_bore_mm"]
    assert far == pytest.approx(11.0 + 8.0)
    assert any("advises 20 mm" in note for note in made.notes)  # the table's leaves 1 mm of room
    thin, low = relaxed(made, "entry-bore"), relaxed(made, "recess-depth")
    assert span(thin.body[:2], 1)[0] == pytest.approx(-near - 0.5)
    assert span(thin.cutting, 1)[0] == pytest.approx(-near - 0.5)
    assert span(low.body[1:2], 1) == pytest.approx((-far, -far + 0.5))
    assert len(relaxed(made, "bar-length").body) == len(made.outlines.body) - 1
    assert relaxed(made, "holder").body == ()


@given(
    st.floats(0.5, 8.0),
    st.floats(0.0, 0.5),
    st.floats(0.5, 40.0),
)
def test_blade_is_a_block_with_rounded_corners(width: float, share: float, depth: float) -> None:
    """Width × head less (4 - pi) r² for four corners; never deeper than its depth."""
    radius = min(share * width, depth / 4.0)
    radius = radius if radius >= 0.001 else 0.0  # less is no length in a shop file
    made = tool(kind="grooving", width_mm=width, corner_radius_mm=radius, depth_mm=depth)
    (ring,) = made.outlines.cutting
    assert span((ring,), 0) == pytest.approx((0.0, width), abs=1e-4)
    head = span((ring,), 1)[1]
    assert head <= depth + 1e-9
    assert ring_area(ring) == pytest.approx(width * head - (4.0 - math.pi) * radius**2, abs=1e-9)
    block = made.outlines.body[-1]
    assert span((block,), 1)[0] == pytest.approx(depth)
    if len(made.outlines.body) == 2:
        z = span(made.outlines.body[:1], 0)
        assert 0.0 < z[0] < z[1] < width


def test_parting_blade_reaches_the_centre_of_its_largest_bar() -> None:
    made = tool(kind="parting", width_mm=2.0, max_diameter_mm=30.0)
    assert made.limits["depth_mm"] == pytest.approx(15.0)
    assert span(made.outlines.body[-1:], 1)[0] == pytest.approx(15.0)


def test_relaxed_blade_is_narrower_but_keeps_its_corners() -> None:
    made = tool(kind="grooving", width_mm=3.0, corner_radius_mm=0.2, depth_mm=10.0)
    assert span(relaxed(made, "blade-width").cutting, 0) == pytest.approx((0.0, 0.4))
    assert ring_area(relaxed(made, "nose-radius").cutting[0]) > ring_area(made.outlines.cutting[0])


def test_inside_blade_grooves_to_the_side_of_its_bar() -> None:
    made = tool(kind="internal-grooving", width_mm=2.0, bar_diameter_mm=12.0, depth_mm=2.5)
    assert made.access == "inner"
    bar = max(made.outlines.body[:-1], key=ring_area)
    assert span((bar,), 1) == pytest.approx((-14.5, -2.5))
    assert span(made.outlines.cutting, 1)[1] == pytest.approx(0.0, abs=1e-6)


@given(st.floats(1.0, 30.0), st.sampled_from([90.0, 118.0, 135.0, 140.0]))
def test_drill_point_by_closed_form(d: float, angle: float) -> None:
    """The cone is d/2 / tan(angle/2) long; the outline is symmetric about the axis."""
    made = tool(kind="drill", diameter_mm=d, point_angle_deg=angle, flute_length_mm=12.0 * d)
    (ring,) = made.outlines.cutting
    usable = 12.0 * d - 1.5 * d
    cone = d / 2.0 / math.tan(math.radians(angle / 2.0))
    assert ring_area(ring) == pytest.approx(d * usable - d * cone / 2.0)
    assert made.on_axis
    assert made.access == "end"
    assert span((ring,), 1) == pytest.approx((-d / 2.0, d / 2.0))
    assert made.limits["usable_length_mm"] == pytest.approx(usable)
    assert span(made.outlines.body, 0)[0] == pytest.approx(usable)


def test_a_set_of_drills_is_one_tool_each() -> None:
    made = tools_of({"kind": "drill", "name": "hss", "diameters_mm": [3.0, 8.5]})
    assert [t.name for t in made] == ["hss 3", "hss 8.5"]
    assert [t.limits["diameter_mm"] for t in made] == [3.0, 8.5]
