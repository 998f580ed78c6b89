"""An outside that may stay as the bar comes: taken from that bar, never turned, held near the cut.

EN 10278 delivers drawn rounds to h10 where nothing is agreed, drawn hexagons to h11, each below
the nominal (a mill's table of the standard: over 18 to 30 mm h9 0.052, h10 0.084, h11 0.13 mm;
over 6 to 10 mm h10 0.058).
"""

from dataclasses import replace

import pytest

from turnability.analysis import walk
from turnability.intent.model import Intent, Named, Related, Tolerance
from turnability.outputs.route_sheet import route_text
from turnability.part.model import Departure
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop
from turnability.shop.model import StockSize
from turnability.stock.own_outside import delivered, own_segments, why_turned

STARTER = starter_shop()
STAYS = Intent(bar_outside=True)
ROD = [(0, 0), (1000, 0), (1000, 10), (0, 10)]
"""⌀20 × 1000: bright bar 20 of the starter's list, too slender to turn, longer than its lathes."""


def rod(length=1000.0, shape=ROD):
    return drawn_part([(z * length / 1000.0, r) for z, r in shape])


def within(*deviations):
    outside = Named(diameter_mm=(20.0, 20.0))
    stated = Tolerance("diameter", outside, "as drawn", deviations_mm=deviations)
    return replace(STAYS, tolerances=(stated,))


def outside_of(report):
    return own_segments(report.part.profile)


def turned(report):
    return {s for setup in report.setups for o in setup.operations for s in o.segments}


def test_without_a_word_the_rod_is_an_error_that_offers_the_key_and_proves_it():
    report = walk(rod(), STARTER)
    errors = [f for f in report.findings if f.level == "error"]
    assert {f.rule for f in errors} == {"bends-too-much", "beyond-machine"}
    for error in errors:
        assert error.change.parameter == "bar_outside_may_stay"
        assert error.change.proven
        assert "bright bar 20 comes (h10 of EN 10278, 0 to −0.084 mm)" in error.message


def test_with_it_both_ends_are_faced_near_the_jaws_and_the_outside_is_let_be():
    report = walk(rod(), STARTER, intent=STAYS)
    assert [f for f in report.findings if f.level == "error"] == []
    piece = report.stock.choice
    # sawn to the part's length and 1 mm at either end: nothing is parted off, no grip is lost
    assert (piece.name, piece.own_outside, piece.length_mm) == ("bright bar 20", True, 1002.0)
    first, second = report.setups
    ends = {s.id for s in report.part.profile.segments if s.surface == "end"}
    assert turned(report) == ends
    stand_out = (1000.0 - first.grip.z_mm[1], second.grip.z_mm[0])
    assert stand_out == (first.holding.jaw_standoff_mm, second.holding.jaw_standoff_mm)
    # 971 mm of it run in the spindle and behind it: no word of that would be a danger
    (whip,) = [f for f in report.findings if f.rule == "whip"]
    assert "stand out behind the spindle" in whip.message


def test_a_short_one_is_still_fed_and_parted_off():
    report = walk(rod(30.0), STARTER, intent=STAYS)
    (setup,) = report.setups
    assert setup.grip.kind == "raw bar"
    assert "part off" in [o.kind for o in setup.operations]
    assert not turned(report) & outside_of(report)


def test_a_spigot_is_turned_and_its_own_outside_is_not():
    spigot = [(0, 0), (1000, 0), (1000, 7), (800, 7), (800, 10), (0, 10)]
    report = walk(rod(150.0, spigot), STARTER, intent=STAYS)
    (own,) = outside_of(report)
    assert own not in turned(report)
    everything = {s.id for s in report.part.profile.segments if s.surface != "axis"}
    assert turned(report) == everything - {own}


def test_what_lies_between_two_ends_that_stay_is_turned_from_the_far_one():
    """Near either cut the jaws would stand over or behind it; a centre carries the free end."""
    waist = [(0, 0), (1000, 0), (1000, 10), (800, 10), (800, 7), (200, 7), (200, 10), (0, 10)]
    report = walk(rod(150.0, waist), STARTER, intent=STAYS)
    assert [f.rule for f in report.findings if f.level == "error"] == []
    everything = {s.id for s in report.part.profile.segments if s.surface != "axis"}
    assert turned(report) == everything - outside_of(report)
    # nearer the cut it takes three chuckings, two of them on what the others leave between
    first, second = report.setups
    assert (first.grip.z_mm, first.support) == ((0.0, 20.0), "tailstock")
    assert second.grip.z_mm[0] == second.holding.jaw_standoff_mm


@pytest.mark.parametrize(
    ("deviations", "fit", "agreed"),
    [
        ((-0.2, 0.0), "h10", False),
        ((-0.084, 0.0), "h10", False),
        ((-0.083, 0.0), "h9", True),  # drawn, if it is asked for
        ((-0.0131, 0.01), "h6", True),  # ground: IT6 is 0.013 mm over 18 to 30
    ],
)
def test_the_class_to_order_is_the_widest_within_what_is_stated(deviations, fit, agreed):
    report = walk(rod(150.0), STARTER, intent=within(*deviations))
    assert report.stock.choice.own_outside
    comes = delivered(report.part, report.intent, StockSize("bar", "bar 20", 20.0))
    assert (str(comes.fit), comes.agreed) == (fit, agreed)
    notes = [f for f in report.findings if f.rule == "bar-outside"]
    assert [f.level for f in notes] == (["note"] if agreed else [])


@pytest.mark.parametrize(
    "intent",
    [
        within(-0.012, 0.0),  # tighter than any ground bar
        within(-0.1, -0.02),  # a bar may be as large as its nominal
        replace(
            STAYS,
            related=(Related("seat", (Named(end="high"), Named(diameter_mm=(20.0, 20.0))), 0.02),),
        ),
    ],
)
def test_what_no_bar_is_delivered_to_is_turned_and_told(intent):
    report = walk(rod(40.0), STARTER, intent=intent)
    assert report.stock.choice.across_mm > 20.0
    assert outside_of(report) <= turned(report)
    assert why_turned(report.part, report.intent) is not None
    (told,) = [f for f in report.findings if f.rule == "bar-outside"]
    assert told.level == "warning"


def test_hexagons_keep_their_flats_and_come_to_h11():
    corner = 17.0 / 3.0**0.5
    bolt = [(0, 0), (60, 0), (60, 5), (7, 5), (7, corner), (0, corner)]
    flats = Departure("D1", "hex", (), None, (0.0, 7.0), {"across_flats_mm": 17.0})
    part = replace(drawn_part(bolt), departures=(flats,))
    hexagon = StockSize("hex", "hex 17", 17.0, finish="bright")
    shop = replace(STARTER, stock=(*STARTER.stock, hexagon))
    plain = walk(part, shop)
    assert plain.stock.choice.form == "bar"
    assert any(a.name == "hex 17" and "may stay" in a.why for a in plain.stock.alternatives)
    report = walk(part, shop, intent=STAYS)
    assert report.stock.choice.name == "hex 17"
    # the bar brings it, so that nothing of it is left to mill; what is held is a hexagon
    sheet = route_text(report, shop)
    assert "hex across flats 17" not in sheet
    assert "raw bar, hex 17 mm over 10 mm" in sheet
    from_round = route_text(plain, shop)
    assert "D1 hex across flats 17, z 0 to 7 mm: left to mill" in from_round
    assert "hex 17" not in from_round.split("Next best")[0].split("Not turned")[0]
    assert not turned(report) & outside_of(report)
    comes = delivered(part, STAYS, hexagon)
    assert comes.deviations_mm == (-0.11, 0.0)  # h11 over 10 to 18 mm


def test_a_rolled_skin_never_stays():
    rolled = replace(STARTER, stock=(StockSize("bar", "hot rolled bar 20", 20.0),
                                     StockSize("bar", "bar 25", 25.0)))  # fmt: skip
    report = walk(rod(40.0), rolled, intent=STAYS)
    assert report.stock.choice.name == "bar 25"
    (told,) = [f for f in report.findings if f.rule == "bar-outside"]
    assert "no bright bar" in told.message


@pytest.mark.parametrize(("material", "known"), [("C45", True), ("1.4301", True), ("ABS", False)])
def test_the_standard_of_steel_bars_is_named_for_steel_alone(material: str, known: bool) -> None:
    """EN 10278 is of bright steel products, by its title."""
    offered = walk(rod(), STARTER, intent=Intent(material=material))
    kept = walk(rod(150.0), STARTER, intent=replace(within(-0.053, 0.0), material=material))
    assert kept.stock.choice.own_outside
    (note,) = [f.message for f in kept.findings if f.rule == "bar-outside"]
    (comes,) = [a.assumed for a in kept.assumptions if a.what == "outside of the bar"]
    change, *_ = [f.message for f in offered.findings if "bar_outside_may_stay" in f.message]
    for told in (note, comes, change):
        assert ("of EN 10278" in told) == known
        assert ("is not known here" in told) != known
    assert "h9" in note
