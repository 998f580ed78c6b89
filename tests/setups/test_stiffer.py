"""Smallest changes against bending: what is proposed holds, one step less does not."""

from dataclasses import replace

import pytest

from turnability.half_plane.curves import Arc, Line
from turnability.part.profile import drawn_profile, make_profile
from turnability.rules import bends_too_much
from turnability.rules.drawn import drawn_part
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.carry import share_of
from turnability.setups.bending.stiffer import STEP_MM, shortened, stiffer, thickened
from turnability.stock.choose import choose_stock

SLENDER = next(e for e in bends_too_much.EXAMPLES if e.text == "a rod of 30 diameters on a centre")


def share(view, profile):
    part = drawn_part(profile)
    stock = choose_stock(profile, view.shop)
    (bent,) = with_bending(part, view.setups, stock, view.shop)
    return share_of(bent)


def test_what_is_proposed_holds_and_a_step_less_does_not():
    view = SLENDER.view()
    profile = view.part.profile
    found = stiffer(view.part, view.setups, 0, view.shop)
    assert found.diameter_mm == pytest.approx(10.0)
    assert found.z_mm == (0.0, 300.0)
    assert share(view, profile) > 1.0
    assert share(view, thickened(profile, 10.0, found.thicker_mm)) <= 1.0
    assert share(view, thickened(profile, 10.0, found.thicker_mm - STEP_MM)) > 1.0
    assert share(view, shortened(profile, 300.0, found.shorter_by_mm)) <= 1.0
    # lengths in steps of 2 %
    assert share(view, shortened(profile, 300.0, found.shorter_by_mm - 6.0)) > 1.0


def test_the_rule_proposes_what_was_found_within_what_leaves_the_part_what_it_is():
    """README: nothing over 15 % of an outside is proposed; 11 for 10 is less, 12 is more."""
    for length, thicker, proposed in ((200.0, 11.0, True), (220.0, 12.0, False)):
        view = bends_too_much._rod(length, "tailstock")
        assert stiffer(view.part, view.setups, 0, view.shop).thicker_mm == thicker
        (finding,) = bends_too_much.check(view)
        if proposed:
            assert finding.change.parameter == "outer_diameter_mm"
            assert finding.change.to == thicker
            assert "makes another part" not in finding.message
        else:
            assert finding.change is None
            assert (
                "By the same calculation 49.5 mm less of the ⌀10 mm at z 0 to 220 mm would be "
                "enough. So would ⌀12 mm for it, but over 15% thicker makes another part of it."
            ) in finding.message


def test_no_more_is_said_to_be_tried_than_was():
    """A rod of 10 may grow to its own head of 12; one that a curve runs into cannot be tried."""
    view = bends_too_much._rod(600.0)
    found = stiffer(view.part, view.setups, 0, view.shop)
    assert (found.most_mm, found.cut_mm) == (16.0, 360.0)  # 1.6 times 10, 0.6 times 600
    headed = [(0, 0), (620, 0), (620, 5), (20, 5), (20, 6), (0, 6)]
    found = stiffer(drawn_part(headed), view.setups, 0, view.shop)
    assert found.most_mm == 12.0
    line = [Line((0, 0), (600, 0)), Arc((600, 0), (595, 5), (595, 0), 5.0, clockwise=False)]
    line += [Line((595, 5), (0, 5)), Line((0, 5), (0, 0))]
    domed = make_profile([[(curve, ()) for curve in line]])
    found = stiffer(drawn_part(domed), view.setups, 0, view.shop)
    assert found.most_mm is None


def test_held_at_the_high_end_it_is_the_same():
    """The mirrored part held at its other end asks for the same."""
    view = SLENDER.view()
    (setup,) = view.setups
    grip = replace(setup.grip, z_mm=(305.0, 315.0))
    high = replace(setup, toward_chuck="high", grip=grip)
    found = stiffer(view.part, view.setups, 0, view.shop)
    mirrored = stiffer(view.part, (high,), 0, view.shop)
    assert mirrored.thicker_mm == found.thicker_mm
    assert mirrored.shorter_by_mm == pytest.approx(found.shorter_by_mm, abs=STEP_MM)


def test_corners_move_and_roundings_go_along():
    stepped = drawn_profile([(0, 0), (60, 0), (60, 5), (20, 5), (20, 8), (0, 8)])
    thick = thickened(stepped, 10.0, 12.0)
    assert (thick.length_mm, thick.max_diameter_mm) == (60.0, 16.0)
    assert [s.curve.start[1] for s in thick.segments if s.id == "S3"] == [6.0]
    short = shortened(stepped, 60.0, 15.0)
    assert short.length_mm == 45.0
    # not beyond the step
    assert shortened(stepped, 60.0, 45.0) is None
    rounded = make_profile(
        [
            [
                (Line((0.0, 0.0), (40.0, 0.0)), ()),
                (Line((40.0, 0.0), (40.0, 4.0)), (1,)),
                (Arc((40.0, 4.0), (39.0, 5.0), (39.0, 4.0), 1.0, False), (2,)),
                (Line((39.0, 5.0), (0.0, 5.0)), (3,)),
                (Line((0.0, 5.0), (0.0, 0.0)), (4,)),
            ]
        ]
    )
    short = shortened(rounded, 39.0, 10.0)
    arc = next(s.curve for s in short.segments if isinstance(s.curve, Arc))
    assert arc.centre == (29.0, 4.0)
    assert thickened(rounded, 10.0, 12.0) is None
