"""Raw stock is held in hard jaws or a collet, and must turn clear of the lathe."""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.outputs.route_sheet import route_text
from turnability.outputs.summary import summary_lines
from turnability.rules.drawn import CHUCK, drawn_part, drawn_profile, drawn_shop
from turnability.setups.effort.lathes import CLEAR_OF_SLIDE_MM, lathes_of
from turnability.shop.holding import holdings_for_bar, least_grip_mm
from turnability.shop.load import starter_shop
from turnability.shop.model import StockSize
from turnability.stock.allowance import mill_tolerance_mm
from turnability.stock.choose import choose_stock

SOFT = replace(
    CHUCK, name="soft jaws", kind="soft-jaws", least_grip_mm=8.0, least_grip_per_diameter=0.25
)
SHAFT = [(0, 0), (60, 0), (60, 8), (40, 8), (40, 12.5), (20, 12.5), (20, 8), (0, 8)][::-1]


def test_soft_jaws_do_not_hold_raw_bar():
    """They are bored to what is finished (common practice, no source)."""
    assert holdings_for_bar(28.0, drawn_shop(holdings=(CHUCK, SOFT))) == (CHUCK,)


def test_a_chuck_listed_with_soft_jaws_alone_has_hard_ones():
    (hard,) = holdings_for_bar(28.0, drawn_shop(holdings=(SOFT,)))
    assert (hard.kind, hard.name) == ("three-jaw", "hard jaws in place of soft jaws")
    # 10 mm and half the diameter (common practice)
    assert least_grip_mm(hard, 28.0) == 14.0
    assert least_grip_mm(hard, 16.0) == 10.0


@pytest.mark.parametrize("more", [(), (SOFT,)])
def test_listing_soft_jaws_changes_nothing_of_the_first_grip(more):
    """With them and without, hard jaws hold the raw bar, by half its diameter, and are named."""
    starter = starter_shop()
    shop = replace(starter, holdings=(*starter.holdings, *more))
    report = walk(drawn_part(SHAFT), shop)
    setup = report.setups[0]
    assert report.stock.choice.across_mm == 28.0
    assert (setup.grip.kind, setup.grip.length_mm) == ("raw bar", 14.0)
    assert report.document()["setups"][0]["holding"] == "three-jaw 160"
    assert "raw bar, ⌀28 mm over 14 mm in three-jaw 160" in route_text(report, shop)
    assert "raw bar ⌀28 over 14 mm in three-jaw 160" in " ".join(
        " ".join(map(str, summary_lines(report))).split()
    )


@pytest.mark.parametrize(
    ("size", "more"),
    [
        (StockSize("bar", "hot rolled bar 150", 150.0, finish="hot-rolled"), 2.0),
        (StockSize("bar", "hot rolled bar 52", 52.0, finish="hot-rolled"), 1.0),
        # between two sizes of the standard, the larger one's
        (StockSize("bar", "hot rolled bar 121", 121.0, finish="hot-rolled"), 2.0),
        (StockSize("bar", "bright bar 150", 150.0, finish="bright"), 0.0),
    ],
)
def test_rolled_bar_comes_larger_by_its_mill_tolerance(size, more):
    """EN 10060, limits of its preferred sizes, from memory; EN 10278 bars are h, never larger."""
    assert mill_tolerance_mm(size) == more


@pytest.mark.parametrize(
    ("finish", "over", "hindered"),
    [
        ("hot-rolled", 150.0, True),
        # 150 + 2 of the mill + 2 of room
        ("hot-rolled", 153.9, True),
        ("hot-rolled", 154.0, False),
        ("bright", 151.9, True),
        ("bright", 152.0, False),
    ],
)
def test_stock_turns_clear_of_the_cross_slide(finish, over, hindered):
    assert CLEAR_OF_SLIDE_MM.value == 2.0
    machine = replace(drawn_shop().machines[0], swing_over_cross_slide_mm=over)
    stock = (StockSize("bar", f"{finish} bar 150", 150.0, finish=finish),)
    shop = replace(drawn_shop(), machines=(machine,), stock=stock)
    profile = drawn_profile([(0, 0), (20, 0), (20, 70), (0, 70)])
    (one,) = lathes_of(profile, choose_stock(profile, shop).choice, (), shop)
    told = [text for text in one.hinders if text.startswith("swing over cross slide")]
    assert bool(told) is hindered


def test_a_hexagon_swings_its_corners():
    """Across corners = 2 / sqrt(3) across flats: 92.38 mm of hex 80."""
    machine = replace(drawn_shop().machines[0], swing_over_cross_slide_mm=92.0)
    shop = replace(drawn_shop(), machines=(machine,), stock=(StockSize("hex", "hex 80", 80.0),))
    profile = drawn_profile([(0, 0), (20, 0), (20, 30), (0, 30)])
    (one,) = lathes_of(profile, choose_stock(profile, shop).choice, (), shop)
    assert one.hinders[0] == (
        "swing over cross slide: stock across its corners of ⌀92.38 mm, 92 mm at most"
    )


def test_work_goes_to_the_lathe_whose_slide_it_clears():
    """⌀140 comes from rolled bar 150, over a bench lathe's slide that swings just that."""
    shop = starter_shop()
    report = walk(drawn_part([(0, 0), (20, 0), (20, 70), (0, 70)]), shop)
    assert report.stock.choice.name == "hot rolled bar 150"
    assert report.plan.lathe == "turning centre"
    by_name = {one.name: one for one in report.plan.lathes}
    assert "wants 154 mm, 150 mm at most" in by_name["bench"].hinders[0]
    assert not [h for h in by_name["turning centre"].hinders if "slide" in h]
