"""Causes where the geometry leaves no doubt which constraint stops the tool (common practice)."""

from __future__ import annotations

from drawn_tools import FAR, bar, blade, drill, rectangle
from test_closed_forms import F, R, bored, flat, grooved

from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.reach.model import Left
from turnability.shop.model import Outlines, Tool


def the_one(lefts: tuple[Left, ...]) -> Left:
    (left,) = lefts
    return left


def test_a_recess_too_deep_for_f() -> None:
    left = the_one(reach_of(bored(20.0, F - 4.0 + 0.5), [flat(20.0), bar(8.0, F)]).left)
    assert left.causes == ("recess-depth",)
    assert left.nearest_tool == "bar"


def test_a_bar_too_thick_for_the_entry() -> None:
    left = the_one(reach_of(bored(9.0, 0.5), [flat(9.0), bar(8.0, F)]).left)
    assert "entry-bore" in left.causes
    assert "nose-radius" not in left.causes
    assert left.needed is not None
    # from near the wall the thin bar reaches f less half of it deep; both its sides must fit
    assert 0.0 < left.needed.value < 8.0


def test_a_floor_that_the_opposite_wall_forbids() -> None:
    left = the_one(reach_of(bored(16.0), [drill(12.0), bar(8.0, F, 0.5, 1.0)]).left)
    assert "opposite-wall" in left.causes


def test_a_groove_deeper_than_the_blade() -> None:
    left = the_one(reach_of(grooved(3.5), [blade(3.0, 4.0, 20.0)]).left)
    assert left.causes == ("blade-depth", "holder")


def test_width_and_depth_are_needed_together() -> None:
    left = the_one(reach_of(grooved(2.0), [blade(3.0, 4.0, 20.0)]).left)
    assert left.causes in (("blade-width", "blade-depth"), ("blade-width", "holder"))


def test_a_bore_is_nothing_for_outside_tools() -> None:
    profile = drawn_profile([(0, 0), (0, R), (50, R), (50, 5), (20, 5), (20, 0)])
    left = the_one(reach_of(profile, [blade(3.0, 8.0, 20.0)]).left)
    assert left.causes == ("no-tool",)


def test_a_drill_too_short() -> None:
    profile = drawn_profile([(0, 0), (0, R), (50, R), (50, 5), (20, 5), (20, 0)])
    cutting, body = rectangle(0, -5, 20, 5), rectangle(20, -9, FAR, 9)
    short = Tool("drill", "outline", "end", True, "neutral", Outlines((cutting,), (body,)))
    left = the_one(reach_of(profile, [short]).left)
    assert left.causes == ("drill-length",)
    assert abs(left.area_mm2 - 50.0) < 1e-4
