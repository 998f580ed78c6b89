"""What stops a bar at the spindle is quoted as the shop file names and numbers it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent
from turnability.outputs.route_sheet.route import NO_LATHE, route_of
from turnability.rules.beyond_machine import check
from turnability.rules.drawn import LATHE, drawn_part, drawn_shop, drawn_view
from turnability.rules.model import Finding
from turnability.shop.load import starter_shop


def told(
    bore: float | None, capacity: float | None, inch: bool = False, length: float = 499.5
) -> str:
    """The message for a shaft of ⌀30 that is too long between centres."""
    lathe = replace(LATHE, spindle_bore_mm=bore, bar_capacity_mm=capacity)
    view = drawn_view(
        [(0, 0), (length, 0), (length, 15), (0, 15)],
        shop=drawn_shop(bars_mm=(40,), machines=(lathe,), inch=inch),
    )
    found = check(view)
    assert isinstance(found, tuple)
    return " ".join(f.message for f in found if isinstance(f, Finding))


@pytest.mark.parametrize(
    ("bore", "capacity", "says"),
    [
        (26.0, None, "its spindle bore is 26 mm"),
        (26.0, 25.0, "its bar capacity is 25 mm"),
        (None, 25.0, "its bar capacity is 25 mm"),
        (20.0, 25.0, "its spindle bore is 20 mm"),  # the narrower of the two, whichever it is
    ],
)
def test_the_narrowest_way_through_the_spindle_by_its_name(
    bore: float | None, capacity: float | None, says: str
) -> None:
    assert says in told(bore, capacity)


def test_nothing_is_said_of_a_spindle_the_file_says_nothing_of() -> None:
    message = told(None, None)
    assert "between centres" in message
    assert "spindle:" not in message


def test_a_bar_that_goes_through_the_spindle_may_be_longer_than_between_centres() -> None:
    """It is not stopped; but of 500 mm the chuck takes about 80 (common practice, from memory)."""
    message = told(45.0, None, length=490.0)
    assert "hindered" in message
    assert "less 80 mm of chuck: work that stands out by 490 mm, 420 mm at most" in message
    assert "bar capacity is 39.9 mm" in told(45.0, 39.9)


def rod(length: float) -> Finding | None:
    """What is said of a rod of ⌀10 in the starter shop, whose longest lathe has 600 mm."""
    part = drawn_part([(0, 0), (length, 0), (length, 5), (0, 5)])
    report = walk(part, starter_shop(), intent=Intent(bar_outside=False))
    return next((f for f in report.findings if f.rule == "beyond-machine"), None)


def test_work_that_stands_out_by_more_than_lies_between_centres_is_an_error() -> None:
    """By hand: 600 mm and before the jaws 3 mm to part and 2 mm stand-off are 605 mm, not 600."""
    found = rod(600.0)
    assert found is not None
    assert found.level == "error"
    assert (found.measured, found.limit) == pytest.approx((605.0, 600.0))
    assert found.change is not None
    assert (found.change.parameter, found.change.to) == ("length_mm", pytest.approx(595.0))
    assert found.change.proven, "walked again with the rod that much shorter"


def test_the_change_is_the_least_that_is_enough() -> None:
    at, above = rod(595.0), rod(595.2)
    assert at is not None
    assert at.level == "warning"  # the chuck takes about 80 mm of it yet
    assert above is not None
    assert above.level == "error"


def test_a_thick_disc_is_told_what_the_least_swing_hinders() -> None:
    """By hand: a part of ⌀300 from 310 swings in 250 where both are 60 less: too much to ask."""
    view = drawn_view([(0, 0), (20, 0), (20, 150), (0, 150)], shop=drawn_shop(bars_mm=(310,)))
    (found,) = check(view)  # type: ignore[misc]
    assert found.change is None
    view = drawn_view([(0, 0), (20, 0), (20, 125), (0, 125)], shop=drawn_shop(bars_mm=(255,)))
    (found,) = check(view)  # type: ignore[misc]
    assert found.change is not None
    # 255 - 250 too much: 250 - 5
    assert (found.change.parameter, found.change.to) == ("max_diameter_mm", pytest.approx(245.0))


@pytest.mark.parametrize(("length", "lathe"), [(100.0, "bench"), (550.0, "turning centre")])
def test_the_plan_is_made_for_a_lathe_that_nothing_stops(length: float, lathe: str) -> None:
    """The bench's 500 mm are less than a part of 550."""
    report = walk(drawn_part([(0, 0), (length, 0), (length, 5), (0, 5)]), starter_shop())
    assert report.plan is not None
    assert report.plan.lathe == lathe
    assert report.effort is not None
    assert report.effort.lathe == lathe
    assert route_of(report, starter_shop()).lathe == lathe


def test_no_lathe_is_named_where_all_are_stopped() -> None:
    report = walk(drawn_part([(0, 0), (600, 0), (600, 5), (0, 5)]), starter_shop())
    assert report.plan is not None
    assert report.plan.lathe is None
    assert all(one.stops for one in report.plan.lathes)
    assert report.effort is not None
    assert report.effort.lathe is None
    assert route_of(report, starter_shop()).lathe == NO_LATHE


def test_an_inch_shop_reads_inches() -> None:
    assert "its bar capacity is 1 in" in told(None, 25.4, inch=True)


def test_the_starter_shops_numbers_are_quoted_under_their_own_names() -> None:
    bench, centre = starter_shop().machines
    for lathe, bore, capacity in ((bench, 26.0, 25.0), (centre, 65.0, 52.0)):
        assert (lathe.spindle_bore_mm, lathe.bar_capacity_mm) == (bore, capacity)
    view = drawn_view(
        [(0, 0), (700, 0), (700, 35), (0, 35)],
        shop=drawn_shop(bars_mm=(80,), machines=(bench, centre)),
    )
    (found,) = check(view)  # type: ignore[misc]
    assert "its bar capacity is 25 mm" in found.message
    assert "its bar capacity is 52 mm" in found.message
    assert "spindle bore of" not in found.message


def test_a_small_pin_is_made_on_lathes_that_turn_slowly() -> None:
    """⌀4 at 2500 a minute is 31 m/min, what HSS cuts steel at (common practice, no source)."""
    shop = drawn_shop(bars_mm=(6,), machines=(replace(LATHE, max_rpm=2500.0),))
    view = drawn_view([(0, 0), (20, 0), (20, 2), (0, 2)], shop=shop)
    assert check(view) == ()
    long = drawn_view([(0, 0), (495, 0), (495, 2), (0, 2)], shop=shop)
    assert [f.level for f in check(long)] == ["warning"]
    assert "speed" not in check(long)[0].message, "its length hinders it, its speed does not"
