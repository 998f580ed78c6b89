"""A nozzle whose throat no bar passes: both numbers at once, and the throat that would do."""

from __future__ import annotations

import pytest

from turnability.analysis import walk
from turnability.reach.compute import reach_of
from turnability.reach.together import slimmer
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
DEEP = [
    (0, 12),
    (12, 12),
    (38, 3),
    (42, 3),
    (60, 9),
    (60, 12),
    (50, 15),
    (15, 15),
    (15, 20),
    (0, 20),
]
"""⌀24 tapers over 26 mm to a throat of ⌀6 at z 38, bars stand out 32 mm."""


def shallow(throat: float):
    """The same with a taper that bars are long enough for."""
    r = throat / 2.0
    return [
        (0, 12),
        (8, 12),
        (30, r),
        (42, r),
        (60, 9),
        (60, 12),
        (50, 15),
        (15, 15),
        (15, 20),
        (0, 20),
    ]


def errors(points):
    return [f for f in walk(drawn_part(points), STARTER).findings if f.level == "error"]


def stays_mm2(part, names, tools):
    again = reach_of(part.profile, tools, numbers=False)
    return sum(left.area_mm2 for left in again.left if left.segments == names)


@pytest.mark.parametrize(
    ("points", "names", "deep"),
    [
        # ⌀12 tapers over 50 mm to ⌀9, and goes on with ⌀9: from the low end alone
        ([(0, 6), (50, 4.5), (100, 4.5), (100, 15), (0, 15)], ("S1",), 50.0),
        # the lower taper of the nozzle ends at z 38, the upper one begins 60 - 42 below its end
        (DEEP, ("S2",), 38.0),
        (DEEP, ("S4",), 18.0),
    ],
)
def test_a_bar_slim_enough_is_told_with_how_far_it_must_stand_out(points, names, deep):
    """Tried on the whole part, beside all other tools of the shop: only both numbers clear 99 %."""
    part = drawn_part(points)
    report = walk(part, STARTER)
    regions = [left for left in report.reach.left if left.segments == names]
    was = sum(left.area_mm2 for left in regions)
    ((overhang, slim),) = {left.needed_together for left in regions}
    assert (overhang.parameter, slim.parameter) == ("overhang_mm", "bar_diameter_mm")
    assert overhang.value == deep
    said = next(f.message for f in report.findings if f.where.segments == names)
    assert f"would need both overhang {deep:.0f} mm and bar diameter {slim.value:g} mm" in said
    assert "enters bores from ⌀" in said
    nearest = max(regions, key=lambda left: left.deepest_mm).nearest_tool
    bar = next(tool for tool in STARTER.tools if tool.name == nearest)
    short = 0.6 * deep
    for thick, far, clears in ((slim.value, deep, True), (slim.value, short, False)):
        like = slimmer(bar, thick, far)
        stays = stays_mm2(part, names, (*STARTER.tools, like))
        assert (stays <= 0.01 * was) is clears
    like = slimmer(bar, bar.limits["bar_diameter_mm"] - 0.01, deep)
    assert stays_mm2(part, names, (*STARTER.tools, like)) > 0.01 * was


def test_a_throat_a_little_too_narrow_is_widened_to_the_slimmest_bar():
    """bore 8 enters from ⌀10: 8.5 to 10 is a modest change (a quarter of it at most), 6 is not."""
    found = errors(shallow(8.5))
    proven = [f.change for f in found if f.change is not None]
    assert proven
    for change in proven:
        assert (change.parameter, change.from_, change.to, change.proven) == (
            "throat_diameter_mm", 8.5, 10.0, True,
        )  # fmt: skip
    assert all(f.change is None for f in errors(shallow(6.0)))
    # the same drawn by hand
    assert errors(shallow(10.0)) == []


@pytest.mark.parametrize("wall", [5.4, 8.0])
def test_no_throat_is_widened_into_a_wall_of_nothing(wall):
    """At least 0.5 mm must stay round it (common practice): ⌀10 within ⌀10.8 does not."""
    points = [(0, 9), (6, 9), (24, 4.25), (36, 4.25), (54, 9), (54, 12), (44, wall), (10, wall),
              (10, 15), (0, 15)]  # fmt: skip
    changes = [f.change for f in errors(points) if f.rule == "unreached-surface"]
    assert changes
    assert any(c is not None and c.parameter == "throat_diameter_mm" for c in changes) is (wall > 6)
