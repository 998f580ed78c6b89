"""Causes where the geometry leaves no doubt which constraint stops the tool (common practice)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from drawn_tools import FAR, bar, blade, drill, rectangle
from test_closed_forms import F, R, bored, flat, grooved

from turnability.half_plane.curves import Arc, Line
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.reach.model import Left
from turnability.shop.load import tools_of
from turnability.shop.model import Outlines, Tool

TAN_59 = math.tan(math.radians(59.0))


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


def held_bar(diameter: float, f: float, overhang: float) -> Tool:
    """A bar with a block a little thicker than it behind its overhang."""
    plain = bar(diameter, f)
    low, high = -f - diameter / 2.0, -f + diameter / 2.0
    body = (
        rectangle(0.2, low, overhang, high),
        rectangle(overhang, low - 4.0, FAR, high + 4.0),
    )
    return Tool("bar", "outline", "inner", False, "right", Outlines(plain.outlines.cutting, body))


def test_a_bore_just_beside_a_drill() -> None:
    # the bar is thicker than the hole, however little there is to take
    profile = drawn_profile([(0, 4.51), (0, R), (60, R), (60, 4.51)])
    left = the_one(reach_of(profile, [drill(9.0, 180.0), bar(8.0, F)]).left)
    assert left.causes == ("entry-bore",)


def test_the_least_depth_of_a_recess() -> None:
    # closed form: a recess h deep asks for f - d/2 >= h
    left = the_one(reach_of(bored(20.0, F - 4.0 + 0.5), [flat(20.0), bar(8.0, F)]).left)
    assert left.needed is not None
    assert (left.needed.parameter, left.needed.unit) == ("recess_depth_mm", "mm")
    assert abs(left.needed.value - (F - 4.0 + 0.5)) <= 0.03


def test_a_bar_too_short_says_how_long() -> None:
    profile = drawn_profile([(0, 10), (0, R), (60, R), (60, 10)])
    drilled, short = drill(18.0, 180.0), held_bar(8.0, F, 20.0)
    left = the_one(reach_of(profile, [drilled, short]).left)
    assert left.causes == ("bar-length",)
    assert left.needed is not None
    assert left.needed.parameter == "overhang_mm"
    # half of the 60 mm from either end, less what the edge is long
    assert 29.0 <= left.needed.value <= 30.3


def test_a_narrow_relief_asks_for_a_narrow_sharp_blade() -> None:
    profile = drawn_profile(
        [(0, 0), (0, 10), (10, 10), (10, 9), (11, 9), (11, 10), (20, 10), (20, 0)]
    )
    left = the_one(reach_of(profile, [blade(3.0, 4.0, 20.0)]).left)
    assert left.causes == ("blade-width",)
    assert left.needed is not None
    assert left.needed.parameter == "width_mm"
    assert 0.97 <= left.needed.value <= 1.0


def test_a_corner_finer_than_the_nose_names_its_radius() -> None:
    # published nowhere: the largest disc that touches all of a hollow fillet is the fillet itself
    profile = drawn_profile([(0, 0), (0, 20), (20, 20), (20, 10), (50, 10), (50, 0)])
    left = [
        one
        for one in reach_of(profile, [rounded(0.8)]).left
        if one.deepest_mm > 0.1 and one.polygon
    ]
    (corner,) = left
    assert corner.causes == ("nose-radius",)
    assert corner.needed is not None
    assert corner.needed.value == 0.0


def rounded(nose: float) -> Tool:
    """A square corner with a nose, as tall as need be, without a body."""
    ring = (
        Line((nose, 0.0), (1.0, 0.3)),
        Line((1.0, 0.3), (1.0, 60.0)),
        Line((1.0, 60.0), (0.0, 60.0)),
        Line((0.0, 60.0), (0.0, nose)),
        Arc((0.0, nose), (nose, 0.0), (nose, nose), nose, False),
    )
    return Tool("corner", "outline", "outer", False, "right", Outlines((ring,), ()))


@pytest.mark.parametrize(
    ("table", "key", "profile", "truth"),
    [
        # a groove 6 wide and 8.96 deep under a blade that sinks 7.35
        (
            {"kind": "grooving", "width_mm": 3.0, "depth_mm": 7.35, "corner_radius_mm": 0.0},
            "depth_mm",
            [(0, 0), (60, 0), (60, 25), (26, 25), (26, 16.04), (20, 16.04), (20, 25), (0, 25)],
            8.96,
        ),
        # a recess from z = 30 on in a part of 60, for a bar that stands out 25
        (
            {
                "kind": "internal-grooving",
                "width_mm": 3.0,
                "bar_diameter_mm": 16.0,
                "depth_mm": 2.0,
                "corner_radius_mm": 0.0,
                "overhang_mm": 25.0,
            },
            "overhang_mm",
            [(0, 15), (30, 15), (30, 16.5), (35, 16.5), (35, 15), (60, 15), (60, 25), (0, 25)],
            30.0,
        ),
        # a blind hole of 8, 40 deep, with 1.5 diameters of the flutes kept for the chips
        (
            {"kind": "drill", "diameter_mm": 8.0, "flute_length_mm": 40.0},
            "flute_length_mm",
            [(0, 0), (40 - 4 / TAN_59, 0), (40, 4), (80, 4), (80, 20), (0, 20)],
            40.0 + 4 / TAN_59 + 12.0,
        ),
    ],
)
def test_with_the_number_that_is_told_nothing_stays(
    table: dict[str, Any], key: str, profile: list[tuple[float, float]], truth: float
) -> None:
    """And with 2 % less it does. What 1 % of a region leaves at its floor would be told again."""
    part = drawn_profile(profile)
    before = [flat(30.0)] if table["kind"] == "internal-grooving" else []

    def left(**changed: float) -> tuple[Left, ...]:
        return reach_of(part, [*before, *tools_of(table | changed)]).left

    needed = max(left(), key=lambda one: one.area_mm2).needed
    assert needed is not None
    assert needed.parameter == key
    assert needed.value == pytest.approx(truth, rel=6e-3)
    assert needed.value >= truth - 1e-6
    assert not left(**{key: needed.value})
    assert left(**{key: 0.98 * needed.value})


@pytest.mark.parametrize("radius", [8.1, 8.57, 8.9])
def test_the_bar_that_cuts_a_floor_to_its_middle(radius: float) -> None:
    """Geometry: with the nose's middle over the axis the bar's far side lies d + 3 - 0.4 beyond it.

    3 is what the edge stands out of the bar, 0.4 its nose; what stays where it is 0.08 more, at the
    point of the drill's cone, is nowhere 0.005 deep.
    """
    part = drawn_profile([(0, 0), (30, 0), (30, radius), (60, radius), (60, 20), (0, 20)])
    (bar_12,) = tools_of({"kind": "boring", "bar": "S12M-SCLCR 06", "insert": "CCMT 060204"})
    out = bar_12.limits["recess_depth_mm"] - bar_12.limits["nose_radius_mm"]
    left = max(reach_of(part, [drill(10.0), bar_12]).left, key=lambda one: one.area_mm2)
    assert left.causes == ("opposite-wall",)
    assert left.needed is not None
    assert radius - out - 0.02 <= left.needed.value <= radius - out + 0.08
