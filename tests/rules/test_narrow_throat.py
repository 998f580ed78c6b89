"""A nozzle whose throat no bar passes: both numbers at once, and the throat that would do."""

from __future__ import annotations

import pytest

from turnability.analysis import walk
from turnability.reach.compute import reach_of
from turnability.reach.together import with_numbers
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


def stays(part, names, tools):
    again = reach_of(part.profile, tools, numbers=False)
    return [left for left in again.left if left.segments == names]


def test_two_numbers_are_told_at_once_where_neither_does_it_alone():
    """⌀12 tapers over 50 mm to ⌀9, and the other 50 mm are of ⌀9: bars that get in stand
    out too little, those that stand out enough are too thick. Tried on the whole part, beside all
    other tools: only both numbers leave nothing."""
    part = drawn_part([(0, 6), (50, 4.5), (100, 4.5), (100, 15), (0, 15)])
    report = walk(part, STARTER)
    regions = [left for left in report.reach.left if left.segments == ("S1",)]
    assert {left.causes for left in regions} == {("bar-length",), ("entry-bore",)}
    (both,) = {left.needed_together for left in regions}
    assert (both[0].parameter, both[0].value) == ("overhang_mm", 50.0)
    (finding,) = [f for f in report.findings if f.rule == "unreached-surface"]
    assert "the bar is too short and the bar does not pass the entry bore" in finding.message
    told = f"would need both overhang 50 mm and bar diameter {both[1].value:.2f} mm"
    assert f"{told} (bore 12 enters bores from ⌀15 mm and stands out 48 mm)." in finding.message
    bar = next(tool for tool in STARTER.tools if tool.name == "bore 12")
    for numbers, clears in ((both[:1], False), (both[1:], False), (both, True)):
        like = with_numbers(bar, numbers)
        assert (stays(part, ("S1",), (*STARTER.tools, like)) == []) is clears


def test_what_stops_a_bar_only_because_of_the_next_step_is_not_told():
    """Two steps are out of reach for bore 8, all others too narrow: a thinner one cuts them all,
    for it comes through the throat."""
    part = drawn_part(DEEP)
    report = walk(part, STARTER)
    steps = [left for left in report.reach.left if left.segments == ("S2",)]
    assert {left.causes for left in steps} == {("bar-length",), ("entry-bore",)}
    ((thin,),) = {left.needed_together for left in steps}
    assert thin.parameter == "bar_diameter_mm"
    said = next(f.message for f in report.findings if f.where.segments == ("S2",))
    assert "but the bar does not pass the entry bore. " in said
    assert f"would need bar diameter {thin.value:.2f} mm (bore 8 enters bores from ⌀10 mm)" in said
    # thinner than 4 mm is hardly to be had (common practice, no source)
    assert "there is hardly one" in said
    bar = next(tool for tool in STARTER.tools if tool.name == "bore 8")
    long = next(left.needed for left in steps if left.needed and left.causes == ("bar-length",))
    for need, clears in ((long, False), (thin, True)):
        like = with_numbers(bar, [need])
        assert (stays(part, ("S2",), (*STARTER.tools, like)) == []) is clears


def test_of_steps_with_one_cause_the_number_clears_them_all():
    """Each step of the upper taper has its own bar; only the thinnest of those cuts them all."""
    report = walk(drawn_part(DEEP), STARTER)
    steps = [left for left in report.reach.left if left.segments == ("S4",)]
    assert len({left.needed.value for left in steps}) > 1
    least = min(left.needed.value for left in steps)
    said = next(f.message for f in report.findings if f.where.segments == ("S4",))
    assert f"would need bar diameter {least:.2f} mm (bore 8 enters bores from ⌀10 mm)." in said


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
