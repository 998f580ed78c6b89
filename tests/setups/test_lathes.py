"""What is said of each lathe, against numbers worked out by hand."""

from dataclasses import replace

import pytest

from turnability.part.profile import drawn_profile
from turnability.rules.drawn import LATHE, drawn_shop
from turnability.setups.effort.lathes import CHUCK_MM, OVER_SLIDE, SPEED, able_lathe, lathes_of
from turnability.setups.model import Datum, Grip, LatheJudged, Operation, Setup
from turnability.stock.choose import choose_stock


def judged(lathe, length=100.0, d=20.0, support="none", tool=None, cnc=False):
    """A rod held by its bar in this lathe."""
    shop = replace(drawn_shop(bars_mm=(25, 60, 130, 260)), machines=(lathe,))
    if tool is not None:
        shop = replace(shop, tools=(*shop.tools, tool))
    profile = drawn_profile([(0, 0), (length, 0), (length, d / 2), (0, d / 2)])
    work = [Operation("turning tool", ("S3",), "turn", support)]
    if tool is not None:
        work.append(Operation(tool.name, (), "drill"))
    grip = Grip("raw bar", "outer", (-15.0, -5.0), d + 5.0, 10.0)
    setup = Setup(1, "low", grip, Datum(None, "bar"), support, tuple(work), ())
    (one,) = lathes_of(profile, choose_stock(profile, shop).choice, (setup,), shop, cnc)
    return one


def test_a_lathe_that_takes_it():
    one = judged(LATHE)
    assert (one.stops, one.hinders, one.measured) == ((), (), None)


@pytest.mark.parametrize(
    ("numbers", "d", "stops", "hinders"),
    [
        # ⌀100 and its 1.27 mm of allowance come from bar 130
        ({"swing_mm": 120.0}, 100.0, "swing: stock of ⌀130 mm, 120 mm at most", None),
        ({"swing_over_cross_slide_mm": 120.0}, 100.0, None, "cross slide: stock of ⌀130 mm"),
        ({"between_centres_mm": 110.0, "spindle_bore_mm": 20.0}, 20.0, "bore is 20 mm", None),
        ({"between_centres_mm": 150.0}, 20.0, None, "stands out by 100 mm, 70 mm at most"),
        # 1 mm at 0.2 mm a turn in C45 at half of 120 m/min takes about half a kilowatt
        ({"power_kw": 0.3}, 20.0, None, "power: a light roughing cut"),
        # ⌀20 at 120 m/min wants 1910 turns a minute
        ({"max_rpm": 900.0}, 20.0, None, "speed: ⌀20 mm wants 1910 turns a minute, 900 at most"),
    ],
)  # fmt: skip
def test_each_number_by_its_own(numbers, d, stops, hinders):
    one = judged(replace(LATHE, **numbers), d=d)
    for told, said in ((one.stops, stops), (one.hinders, hinders)):
        assert (said is None) == (told == ())
        if said is not None:
            assert said in told[0]


def test_tiny_work_is_turned_at_the_highest_speed_that_there_is():
    """⌀1.5 would want 25465 rpm at 120 m/min, which no lathe has (common practice, no source)."""
    assert judged(replace(LATHE, max_rpm=900.0), length=10.0, d=1.5).hinders == ()
    assert judged(replace(LATHE, max_rpm=900.0), length=40.0, d=7.0).hinders != ()


def test_a_drill_needs_its_length_before_the_work():
    """100 mm out and 60 of flute are more than 235 less 80 of chuck."""
    from turnability.rules.drawn import TURNING_TOOL

    drill = replace(TURNING_TOOL, name="drill 10", on_axis=True, limits={"flute_length_mm": 60.0})
    assert CHUCK_MM.value == 80.0
    one = judged(replace(LATHE, between_centres_mm=235.0), tool=drill)
    assert "work with its drill before it of 160 mm, 155 mm at most" in one.hinders[0]
    assert judged(replace(LATHE, between_centres_mm=240.0), tool=drill).hinders == ()


def test_supports_and_contours_that_it_has_not():
    without = replace(LATHE, tailstock=False, steady=False)
    assert "tailstock" in judged(without, support="tailstock").hinders[0]
    assert "steady" in judged(without, support="steady").hinders[0]
    assert "contours" in judged(LATHE, cnc=True).hinders[0]
    assert judged(replace(LATHE, control="cnc"), cnc=True).hinders == ()


def test_what_the_shop_file_does_not_say_stops_nothing():
    bare = replace(
        LATHE, swing_mm=None, swing_over_cross_slide_mm=None, between_centres_mm=None,
        spindle_bore_mm=None, max_rpm=None, power_kw=None,
    )  # fmt: skip
    one = judged(bare, length=2000.0, d=250.0)
    assert (one.stops, one.hinders) == ((), ())


def test_the_plan_is_made_for_the_first_lathe_that_nothing_but_speed_hinders():
    first = replace(LATHE, name="first")

    def planned_for(*hinders, stops=()):
        judged = (LatheJudged("first", stops, hinders), LatheJudged("other", (), ()))
        return able_lathe(judged, first)

    assert planned_for() == "first"
    assert planned_for(f"{SPEED}: slow work is still made") == "first"
    assert planned_for("topslide: taper S4 takes 80.3 mm of travel, 80 mm at most") == "other"
    assert planned_for(f"{OVER_SLIDE}: stock strikes it") == "other"
    assert planned_for(stops=("swing: too large",)) == "other"
    # where the other is hindered too, the first stands
    both = (LatheJudged("first", (), ("topslide",)), LatheJudged("other", (), ("power",)))
    assert able_lathe(both, first) == "first"
    assert able_lathe((LatheJudged("first", ("swing",), ()),), first) is None
