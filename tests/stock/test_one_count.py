"""Length a piece, mass, waste, parts a bar and the choice of stock follow one count.

All by hand from lengths; 7850 kg/m3 of steel as in any handbook.
"""

import math
from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent
from turnability.outputs.route_sheet import route_text
from turnability.outputs.summary import summary_lines
from turnability.rules.drawn import CHUCK, LATHE, drawn_part, drawn_profile, drawn_shop
from turnability.shop.load import starter_shop
from turnability.shop.model import StockSize
from turnability.stock.choose import choose_stock

WASHER = [(0, 6.5), (2.5, 6.5), (2.5, 12), (0, 12)]
NARROW = replace(LATHE, name="narrow", spindle_bore_mm=20.0, bar_capacity_mm=None)
WIDE = replace(LATHE, name="wide", spindle_bore_mm=30.0, bar_capacity_mm=None)
BAR = StockSize("bar", "bar 28", 28.0, bar_length_mm=3000.0)


def stock_of(machines, quantity=1, lathe=None, sizes=(BAR,)):
    shop = replace(drawn_shop(holdings=(CHUCK,)), stock=sizes, machines=machines)
    return choose_stock(drawn_profile(WASHER), shop, quantity=quantity, lathe=lathe)


def kg(length_mm):
    return 7.85e-6 * math.pi / 4.0 * 28.0**2 * length_mm


def test_a_fed_bar_gives_a_part_each_length_and_keeps_one_rest():
    """2.5 + 2 x 1 + 3 = 7.5 a part; 14 + 2 mm stay in the chuck: (3000 - 16) / 7.5 = 397.9."""
    stock = stock_of((WIDE,))
    one = stock.choice
    assert (one.fed, one.length_mm, one.stub_mm, one.per_bar) == (True, 7.5, 16.0, 397)
    assert one.per_bar * one.length_mm + one.stub_mm <= 3000.0
    assert one.mass_kg == pytest.approx(kg(7.5))
    volume = math.pi * (12.0**2 - 6.5**2) * 2.5
    assert stock.removed_fraction == pytest.approx(1.0 - volume / (math.pi * 14.0**2 * 7.5))


def test_a_sawn_piece_has_its_grip_and_its_cut():
    """Held over 10 mm and 2 of stand-off: 19.5 a piece, (3000 + 3) / (19.5 + 3) = 133.5."""
    stock = stock_of((NARROW,))
    one = stock.choice
    assert (one.fed, one.length_mm, one.stub_mm, one.per_bar) == (False, 19.5, 12.0, 133)
    assert one.mass_kg == pytest.approx(kg(19.5))


@pytest.mark.parametrize(
    ("quantity", "parts", "length", "per_bar"),
    [
        # (30 - 2) / 7.5 = 3.7 by a third of what stands out, which is 28 at most: 3 parts
        (100, 3, (3 * 7.5 + 12.0) / 3, 240),  # 3 x floor(3003 / 37.5)
        (2, 2, (2 * 7.5 + 12.0) / 2, 200),  # 2 x floor(3003 / 30)
    ],
)
def test_several_thin_parts_share_a_stub(quantity, parts, length, per_bar):
    one = stock_of((NARROW,), quantity).choice
    assert (one.parts, one.per_bar) == (parts, per_bar)
    assert one.length_mm == pytest.approx(length)
    assert one.sawn_mm == pytest.approx(parts * 7.5 + 12.0)
    assert one.mass_kg == pytest.approx(kg(length))


def test_the_named_lathe_decides():
    both = (NARROW, WIDE)
    assert stock_of(both).choice.fed
    assert stock_of(both, lathe=WIDE).choice.fed
    sawn = stock_of(both, lathe=NARROW).choice
    assert not sawn.fed
    # gripped as the plan grips it, by half its size
    assert (sawn.stub_mm, sawn.length_mm) == (16.0, 23.5)


def test_the_choice_counts_the_stub_of_what_is_sawn():
    """Bar 28 is fed, 7.5 mm a part at 2 a kilogram: 7.5 x 28^2 x 2 = 11 760. Bar 32 passes no
    spindle and is sawn, 19.5 mm a part at 0.8: 19.5 x 32^2 x 0.8 = 15 974, 36 % more; without its
    stub it would seem the cheaper by half."""
    fed = replace(BAR, price_per_kg=2.0)
    sawn = replace(BAR, name="bar 32", across_mm=32.0, price_per_kg=0.8)
    stock = stock_of((WIDE,), sizes=(fed, sawn))
    assert stock.choice.name == "bar 28"
    dearer = stock_of((WIDE,), sizes=(sawn,)).choice
    assert dearer.length_mm == 19.5
    assert dearer.cost / stock.choice.cost == pytest.approx(15974.4 / 11760.0)


def test_sheet_and_document_say_so():
    shop = starter_shop()
    part = drawn_part(WASHER)
    report = walk(part, shop, intent=Intent(quantity=100))
    one = report.stock.choice
    told = report.document()["stock"]["choice"]
    assert told["fed"] == one.fed
    assert told["length_mm"] == pytest.approx(one.length_mm, abs=1e-5)
    assert told["parts_per_sawn_piece"] == (None if one.fed else one.parts)
    sheet = route_text(report, shop)
    if one.fed:
        assert "of each bar stay in the chuck as its rest" in sheet
    else:
        assert f"for {one.parts} parts one after another" in sheet
    assert f"{one.per_bar} parts from a bar of 3000 mm" in sheet


@pytest.mark.parametrize(("bore", "fed"), [(27.0, False), (28.0, True)])
def test_a_hexagon_goes_through_a_spindle_by_its_corners(bore, fed):
    """24 across flats is 24 x 2 / sqrt(3) = 27.71 across corners."""
    lathe = replace(LATHE, spindle_bore_mm=bore, bar_capacity_mm=None)
    hexagon = StockSize("hex", "hex 24", 24.0)
    part = [(0, 5.0), (2.5, 5.0), (2.5, 11.0), (0, 11.0)]
    shop = replace(drawn_shop(holdings=(CHUCK,)), stock=(hexagon,), machines=(lathe,))
    one = choose_stock(drawn_profile(part), shop).choice
    assert one.fed is fed
    # held over half its size by a bar, over 10 mm as a sawn piece; 2 mm of stand-off
    assert one.stub_mm == (14.0 if fed else 12.0)


@pytest.mark.parametrize(("swing", "told"), [
    (250.0, "fed through the spindle: 16 mm of each bar"),
    (20.0, "of that 16 mm behind the part for the first chucking (14 mm of that gripped)"),
])  # fmt: skip
def test_what_no_lathe_makes_is_fed_through_no_spindle(swing, told):
    """The one lathe lets bar 28 through, and swings it or does not."""
    lathe = replace(WIDE, swing_mm=swing)
    shop = replace(drawn_shop(holdings=(CHUCK,)), stock=(BAR,), machines=(lathe,))
    report = walk(drawn_part(WASHER), shop)
    assert (report.plan.lathe is None) is (swing < 28.0)
    assert told in route_text(report, shop)
    (setup, *_) = report.setups
    assert report.stock.choice.stub_mm == setup.grip.length_mm + CHUCK.jaw_standoff_mm


@pytest.mark.parametrize("swing", [250.0, 20.0])
def test_summary_sheet_and_setup_tell_one_grip(swing):
    """14 mm in the jaws; the 2 mm that they keep clear of the cut are no grip."""
    lathe = replace(WIDE, swing_mm=swing)
    shop = replace(drawn_shop(holdings=(CHUCK,)), stock=(BAR,), machines=(lathe,))
    report = walk(drawn_part(WASHER), shop)
    said = " ".join(str(line) for line in summary_lines(report, width=300))
    assert "raw bar ⌀28 over 14 mm" in said
    gripped = "16 mm of each bar stay in the chuck" if swing > 28.0 else "14 mm of it gripped"
    assert gripped in said
    assert "(14 mm of that gripped)" in route_text(report, shop)
