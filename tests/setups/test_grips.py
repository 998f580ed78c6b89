"""Which land is held: common practice (10 mm and half the diameter; no source) and ranges."""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import CHUCK, PIN, drawn_part, drawn_shop
from turnability.setups.holding.grips import grips_for, holdings_for_bar, least_grip_mm, passable
from turnability.setups.holding.lands import find_lands
from turnability.setups.model import Land
from turnability.shop.holding import most_grip_mm
from turnability.shop.load import starter_shop
from turnability.shop.model import Holding

COLLETS = Holding("collets", "collet", (1.0, 20.0), None, 27.0, 0.0, 2.0)


def land(z, d, surface="outer"):
    return Land(("S1",), surface, z, d)


@pytest.mark.parametrize(
    ("length", "diameter", "held"),
    [(10.0, 20.0, True), (9.9, 8.0, False), (14.9, 30.0, False), (15.0, 30.0, True)],
)
def test_ten_millimetres_and_half_the_diameter(length, diameter, held):
    (grip,) = grips_for([land((0.0, length), diameter)], drawn_shop())
    assert (grip.obstacle is None) is held


def test_ranges_outside_and_inside():
    shop = drawn_shop(holdings=(CHUCK, COLLETS))
    found = {
        (g.holding.name, g.land.surface): g.obstacle
        for g in grips_for([land((0.0, 40.0), 18.0), land((0.0, 40.0), 18.0, "inner")], shop)
    }
    assert found["three-jaw chuck", "outer"] is None
    assert found["collets", "outer"] is None
    assert "40 to 150 mm inside" in found["three-jaw chuck", "inner"]
    assert "does not grip inside" in found["collets", "inner"]
    assert [h.name for h in holdings_for_bar(20.0, shop)] == ["collets", "three-jaw chuck"]
    assert [h.name for h in holdings_for_bar(25.0, shop)] == ["three-jaw chuck"]
    assert holdings_for_bar(200.0, shop) == ()
    assert least_grip_mm(COLLETS, 10.0) == 27.0


def test_jaws_do_not_pass_what_is_larger():
    profile = drawn_profile(PIN)
    thick, thin = find_lands(drawn_part(PIN))
    assert (thick.diameter_mm, thin.diameter_mm) == (22, 16)
    assert passable(profile, thin, "high")
    assert not passable(profile, thin, "low")
    assert passable(profile, thick, "low")
    assert passable(profile, thick, "high")


def test_a_bore_is_held_from_its_mouth_only():
    points = [(0, 0), (5, 0), (5, 25), (40, 25), (40, 30), (0, 30)]
    inner = next(x for x in find_lands(drawn_part(points)) if x.surface == "inner")
    assert passable(drawn_profile(points), inner, "high")
    assert not passable(drawn_profile(points), inner, "low")


def test_jaws_hold_a_short_land_and_a_collet_does_not():
    shop = drawn_shop(holdings=(CHUCK, COLLETS))
    found = {g.holding.name: g for g in grips_for([land((0.0, 8.0), 18.0)], shop)}
    jaws, collet = found["three-jaw chuck"], found["collets"]
    assert jaws.obstacle == "three-jaw chuck wants 10 mm"
    assert jaws.shortest_mm == 3.0  # common practice, no source
    assert jaws.fits
    assert collet.obstacle is not None
    assert collet.shortest_mm is None
    thin = next(
        g for g in grips_for([land((0.0, 2.5), 18.0)], shop) if g.holding.name == "three-jaw chuck"
    )
    assert thin.obstacle is not None
    assert thin.shortest_mm is None


@pytest.mark.parametrize(
    ("holding", "diameter", "most"),
    [
        # a quarter of what it takes (common practice, no source)
        (CHUCK, 60.0, 40.0),
        # the half of 120 that the shop file asks for is its own word
        (CHUCK, 120.0, 60.0),
        (replace(CHUCK, jaw_length_mm=35.0), 60.0, 35.0),
        # two thirds of a collet's 40.5 are the 27 that it asks for
        (COLLETS, 10.0, 40.5),
        (Holding("mandrels", "mandrel", None, (10.0, 50.0), 15.0, 0.5, 2.0), 20.0, float("inf")),
    ],
)
def test_jaws_grip_no_deeper_than_they_are(holding, diameter, most):
    assert most_grip_mm(holding, diameter) == pytest.approx(most)


@pytest.mark.parametrize(("jaws", "grip"), [(None, 40.0), (32.0, 32.0)])
def test_a_long_land_is_gripped_as_deep_as_the_jaws_are(jaws, grip):
    """⌀80 × 100 behind a flange, in a chuck for 160: 40 mm of it, or what the shop file says."""
    points = [(0, 0), (120, 0), (120, 40), (20, 40), (20, 60), (0, 60)]
    part = drawn_part(points)
    shop = starter_shop()
    shop = replace(
        shop, holdings=(replace(shop.holdings[0], jaw_length_mm=jaws, least_grip_per_diameter=0.4),)
    )
    report = walk(part, shop)
    (land,) = {s.grip.length_mm for s in report.setups if s.grip.diameter_mm == 80.0}
    assert land == pytest.approx(grip)
