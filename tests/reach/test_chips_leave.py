"""Drills from their designations go no deeper than chips leave (common practice, no source)."""

from __future__ import annotations

import pytest

from turnability.part.profile import drawn_profile
from turnability.reach.choose import order_of_use
from turnability.reach.compute import reach_of
from turnability.shop.load import tools_of
from turnability.shop.model import Tool


def drills(*diameters: float, flat: bool = False) -> list[Tool]:
    table = {"kind": "drill", "name": "slot drill" if flat else "drill"}
    point = 180.0 if flat else 118.0
    return tools_of(table | {"diameters_mm": list(diameters), "point_angle_deg": point})


@pytest.mark.parametrize(("mouth", "reaches"), [(30.0, False), (55.5, False), (56.5, True)])
def test_a_shank_follows_into_an_entry_of_two_diameters_only(mouth: float, reaches: bool) -> None:
    """Drill 28: flutes 170 (DIN 345, from memory), 42 kept for chips: 128 deep in its own hole.

    The hole is `mouth` wide for 90 mm, then 28 wide to a depth of 200 mm.
    """
    wide = tools_of({"kind": "drill", "diameter_mm": mouth, "flute_length_mm": 260.0})
    a, end = mouth / 2.0, 220.0
    corners = [(0, 0), (20, 0), (20, 14), (130, 14), (130, a), (end, a), (end, 60), (0, 60)]
    left = reach_of(drawn_profile(corners), [*wide, *drills(28.0)], False).left
    on_floor = [one for one in left if min(z for z, _ in one.polygon) < 20.1]
    height = max(z for one in on_floor for z, _ in one.polygon) - 20.0
    # the cone of the point, 14 / tan 59 degrees = 8.4, stays on the flat floor in any case
    expected = 8.41 if reaches else 200.0 - 128.0 + 8.41
    assert height == pytest.approx(expected, abs=0.05)


def test_a_flat_floor_asks_for_a_pointed_drill_first() -> None:
    corners = [(0, 0), (20, 0), (20, 5), (60, 5), (60, 20), (0, 20)]
    found = reach_of(drawn_profile(corners), [*drills(10.0), *drills(10.0, flat=True)])
    assert found.chosen_tools == ("drill 10", "slot drill 10")


def test_a_drill_before_a_bar_leaves_the_bore_something() -> None:
    """A cup of ⌀30 with a floor of radius 2: 28 is drilled, not 30 (common practice, no source)."""
    bar = tools_of(
        {"kind": "boring", "name": "bar", "bar": "S12M-SCLCR 06", "insert": "CCMT 060204"}
    )
    slope = [(5, 13), (6, 14.5), (8, 15)]
    cup = drawn_profile([(0, 0), (5, 0), *slope, (25, 15), (25, 20), (0, 20)])
    assert reach_of(cup, [*drills(20.0, 28.0, 30.0), *bar]).chosen_tools == ("drill 28", "bar")
    # with no other at hand it is the way in all the same
    assert reach_of(cup, [*drills(30.0), *bar]).chosen_tools == ("drill 30", "bar")


def test_drills_are_listed_in_an_order_that_works() -> None:
    """Widest first, then what squares floors, then what follows a drill."""
    reamer = tools_of(
        {"kind": "reamer", "name": "r", "diameters_mm": [10.0], "cutting_length_mm": 26.0}
    )
    found = sorted([*reamer, *drills(10.0, flat=True), *drills(9.0, 28.0, 30.0)], key=order_of_use)
    names = [tool.name for tool in found]
    assert names == ["drill 30", "drill 28", "drill 9", "slot drill 10", "r 10"]


def test_the_drill_is_named_where_a_through_bore_is_too_long() -> None:
    bore = drawn_profile([(0, 5), (200, 5), (200, 20), (0, 20)])
    tools = [*drills(10.0), *drills(10.0, flat=True)]
    (left,) = reach_of(bore, tools, False).left
    assert left.causes == ("drill-length",)
    assert left.nearest_tool == "drill 10"
