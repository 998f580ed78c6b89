"""What findings advise: nothing that would take away what the part is for."""

import math
from dataclasses import replace

import pytest

from turnability.analysis import walk
from turnability.features.model import Feature
from turnability.half_plane.curves import Arc, Line
from turnability.half_plane.regions import box
from turnability.intent.model import Intent, Named, NoGrip, Tolerance
from turnability.intent.settle import settled
from turnability.outputs._making import told_by
from turnability.part.model import Departure
from turnability.part.profile import make_profile
from turnability.rules import (
    no_room_for_centre,
    short_grip,
    stock_for_one_flange,
    unreached_surface,
)
from turnability.rules.drawn import (
    CHUCK,
    TURNING_TOOL,
    drawn_left,
    drawn_part,
    drawn_shop,
    drawn_view,
)
from turnability.rules.speak import set_true_text
from turnability.setups.model import Datum, Grip, Setup
from turnability.setups.surfaces.cuts import thickness_mm
from turnability.shop.load import starter_shop

STARTER = starter_shop()


@pytest.mark.parametrize(
    ("tip", "intent", "says"),
    [
        (0.0, None, "thicker"),
        (0.4, None, "thicker"),
        (4.9, Intent(centre_holes=()), "Let a centre hole stay there (⌀2.65 mm at its mouth)"),
    ],
)
def test_a_point_is_not_told_to_have_a_centre_hole(tip, intent, says):
    """Work of 10 mm has a centre hole of ⌀2.65 at its mouth (ISO 6411, A; 8 to 10 mm)."""
    end = [(80, tip)] if tip else []
    view = drawn_view([(0, 0), (80, 0), *end, (70, 5), (0, 5)], intent=intent)
    (finding,) = no_room_for_centre.check(view)
    assert says in finding.message
    assert ("hole stay" in finding.message) is (tip > 1.0)
    assert "cut off last" in finding.message


@pytest.mark.parametrize(
    ("points", "across", "hub"),
    [
        # ⌀120 over 10 mm, a bore of 88 open at that end: a hub of 62 would be bored away again
        ([(0, 44), (50, 44), (50, 0), (62, 0), (62, 50), (10, 50), (10, 60), (0, 60)], 120.0, None),
        # the same without the bore: as thick as the part is long, half of it and the stand-off
        ([(0, 0), (62, 0), (62, 50), (10, 50), (10, 60), (0, 60)], 120.0, 33.0),
        # a hub of 12, and 10 to grip it by, would be longer than a disc of 11
        ([(0, 0), (11, 0), (11, 30), (0, 30)], 60.0, None),
    ],
)
def test_nobody_is_told_of_a_hub_longer_than_the_part_or_in_the_mouth_of_a_bore(
    points, across, hub
):
    grip = Grip(CHUCK.name, "outer", (0.0, 8.0), across, 8.0)
    setup = Setup(2, "low", grip, Datum(None, "drawn"), "none", (), ())
    (finding,) = short_grip.check(drawn_view(points, setups=(setup,)))
    assert ("hub" in finding.message) is (hub is not None)
    assert (finding.change and finding.change.to) == hub


def test_a_thin_disc_is_cut_from_sheet_and_a_ring_that_could_be_held_is_not():
    disc = drawn_part([(0, 0), (1.5, 0), (1.5, 40), (0, 40)])
    (finding,) = [f for f in walk(disc, STARTER).findings if f.rule == "no-land-to-grip"]
    assert "sheet or plate of 1.5 mm" in finding.message
    thick = drawn_part([(0, 0), (20, 0), (20, 40), (0, 40)])
    assert not any("sheet" in f.message for f in walk(thick, STARTER).findings)


def test_a_bolt_is_not_told_to_have_its_head_made_apart():
    corner = 17.0 / 3.0**0.5
    points = [(0, 0), (200, 0), (200, 5), (7, 5), (7, corner), (0, corner)]
    flats = Departure("D1", "hex", (), None, (0.0, 7.0), {"across_flats_mm": 17.0})
    shop = drawn_shop((12, 16, 22))
    plain = drawn_view(points, shop=shop)
    assert plain.stock.split.saved_mass_kg > stock_for_one_flange.LEAST_KG
    assert [f.level for f in stock_for_one_flange.check(plain)] == ["note"]
    part = drawn_part(plain.part.profile, (flats,))
    assert stock_for_one_flange.check(drawn_view(part=part, shop=shop)) == ()


def test_a_region_is_told_by_the_finding_that_knows_better():
    """An end groove without a blade of its own: that a boring bar came nearest helps nobody."""
    said = [
        ("N1", ("S3", "S4"), "no end-grooving blade is listed"),
        ("N2", ("S9",), "bar 8 comes nearest, but the bar is too short"),
    ]
    assert told_by(("entry-bore",), ("S4",), said) == "N1"
    assert told_by(("bar-length",), ("S9",), said) is None
    assert told_by(("bar-length",), ("S1",), said) is None


@pytest.mark.parametrize(("wide", "says"), [(0.06, 0.06), (0.4, 0.4), (1.2, None)])
def test_a_strip_is_as_thick_as_it_is_wide(wide, says):
    thick = thickness_mm(box(0.0, 5.0, 3.0, 5.0 + wide))
    assert thick == (None if says is None else pytest.approx(says, rel=0.11))


def test_crumbs_in_a_pulley_s_groove_are_no_reason_against_it():
    """A half-round groove of r 1.5 for a round belt: a blade of 1.1 leaves scallops in it."""
    outline = [
        Line((0, 4), (8, 4)), Line((8, 4), (8, 20)), Line((8, 20), (5.5, 20)),
        Arc((5.5, 20), (2.5, 20), (4, 20), 1.5, clockwise=True),
        Line((2.5, 20), (0, 20)), Line((0, 20), (0, 4)),
    ]  # fmt: skip
    profile = make_profile([[(curve, (i,)) for i, curve in enumerate(outline, 1)]])
    report = walk(drawn_part(profile), STARTER)
    assert [f.message for f in report.findings if f.level == "error"] == []


@pytest.mark.parametrize(("by", "told"), [(0.005, True), (0.01, False)])
def test_a_length_finer_than_faces_are_turned_to_is_told(by, told):
    """0.02 mm in all, ±0.01, is what care keeps (common practice, no source)."""
    part = drawn_part([(0, 0), (60, 0), (60, 10), (30, 10), (30, 15), (0, 15)])
    length = Tolerance(
        "length", Named(z_mm=(0.0, 30.0)), "drawn", deviations_mm=(-by, by), width_mm=2.0 * by
    )
    found = walk(part, STARTER, intent=Intent(tolerances=(length,))).findings
    messages = [f.message for f in found if f.rule == "tighter-than-turning"]
    assert any("length of 30 mm" in message for message in messages) is told


@pytest.mark.parametrize(("collar", "offered"), [(False, True), (True, False)])
def test_the_bar_s_own_outside_is_offered_where_it_is_what_stands_out(collar, offered):
    """A rod of ⌀20 × 200, and a shaft of ⌀14 with a collar of ⌀20: leaving that spares nothing."""
    rod = [(0, 0), (200, 0), (200, 10), (0, 10)]
    shaft = [(0, 0), (200, 0), (200, 7), (20, 7), (20, 10), (0, 10)]
    report = walk(drawn_part(shaft if collar else rod), STARTER)
    (finding,) = [f for f in report.findings if f.rule == "long-slender"]
    assert ("bar_outside_may_stay" in finding.message) is offered


def test_a_surface_kept_from_jaws_may_be_let_to_soft_ones():
    """The widest collet of DIN 6499 closes on ⌀34 (ER50): none on ⌀90."""
    part = drawn_part([(0, 0), (60, 0), (60, 45), (0, 45)])
    kept = Intent(no_grip=(NoGrip(Named(diameter_mm=(90.0, 90.0))),))
    (finding,) = [
        f for f in walk(part, STARTER, intent=kept).findings if f.rule == "no-land-to-grip"
    ]
    assert "Let soft jaws bored to it hold" in finding.message


@pytest.mark.parametrize(("width", "depth", "to"), [(0.8, 3.0, 2.0), (2.0, 15.0, 3.0)])
def test_a_groove_is_widened_to_a_blade_that_sinks_so_deep(width, depth, to):
    """The starter's blades: 1.1 wide sinks 2 mm, 2 wide 12 mm, 3 wide 20 mm.

    Of a deep groove it takes away less to fill 3 mm of 2 at its floor, ⌀10 to 16 (245 mm³), than
    to widen all of it by 1 mm (1178 mm³): that is told first.
    """
    floor = 20.0 - depth
    points = [(0, 0), (50, 0), (50, 20), (20 + width, 20), (20 + width, floor), (20, floor),
              (20, 20), (0, 20)]  # fmt: skip
    (finding,) = [
        f for f in walk(drawn_part(points), STARTER).findings if f.rule == "unreached-surface"
    ]
    told = [(c.parameter, c.to, c.proven) for c in (finding.change, *finding.other_changes)]
    assert ("width_mm", to, True) in told
    assert told[0] == (("depth_mm", 12.0, True) if depth == 15.0 else ("width_mm", to, True))


def test_no_crumb_of_some_micrometres_is_told_and_no_bar_for_an_outside():
    """A flank of 40 degrees behind a spigot: noses together leave 7 µm in its wide corner."""
    top = 10.0 + 15.0 * math.tan(math.radians(40.0))
    points = [(0, 0), (60, 0), (60, 10), (45, 10), (45, top), (35, top), (20, 10), (0, 10)]
    report = walk(drawn_part(points), STARTER)
    assert any(0.005 < left.deepest_mm < 0.01 for left in report.reach.left)
    assert [f for f in report.findings if f.rule == "unreached-surface"] == []
    fine = walk(drawn_part(points), STARTER, intent=Intent(ra_um=1.6))
    told = [f.message for f in fine.findings if f.rule == "unreached-surface"]
    assert not any("bore" in message for message in told)


def test_an_end_blade_that_is_too_shallow_is_listed_all_the_same():
    groove = Feature(
        "F1", "end-groove", "end", (15.0, 30.0), (32.0, 36.0), ("S3", "S4", "S5"), (),
        {"width_mm": 2.0, "depth_mm": 15.0},
    )  # fmt: skip
    points = [(0, 0), (30, 0), (30, 16), (15, 16), (15, 18), (30, 18), (30, 30), (0, 30)]
    left = drawn_left(
        ("S3", "S4", "S5"), [(15, 16), (30, 16), (30, 18), (15, 18)], ("blade-depth",), 15.0
    )
    shallow = replace(
        TURNING_TOOL, name="face 2", access="end", limits={"width_mm": 2.0, "depth_mm": 8.0}
    )
    for tools, none in (((shallow,), False), ((), True)):
        shop = drawn_shop(tools=(TURNING_TOOL, *tools))
        view = drawn_view(points, shop=shop, features=(groove,), left=(left,))
        (finding,) = unreached_surface.check(view)
        assert ("no end-grooving blade is listed" in finding.message) is none


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        # a scroll moves its jaws together and a collet has none: neither is set by an indicator
        ("three-jaw", "in independent jaws, of which the shop lists none"),
        ("collet", "in independent jaws, of which the shop lists none"),
        ("four-jaw", "in chuck"),
    ],
)
def test_only_independent_jaws_set_work_true_by_an_indicator(kind, said):
    shop = drawn_shop(holdings=(replace(CHUCK, name="chuck", kind=kind),))
    assert set_true_text(shop, "on S1") == f"set the part true by an indicator on S1 {said}"


@pytest.mark.parametrize(("wide", "deep", "level"), [(4.8, 3.5, "note"), (1.3, 0.5, "warning")])
def test_no_square_edge_seats_in_a_corner_of_an_o_rings_groove(wide, deep, level):
    """⌀20 with a floor that is stated: an O-ring lies in 4.8, a ring of DIN 471 seats in 1.3."""
    floor = 10.0 - deep
    pin = [(0, 0), (30, 0), (30, 10), (15 + wide, 10), (15 + wide, floor), (15, floor), (15, 10)]
    size = 2.0 * floor
    place = Named(diameter_mm=(size, size))
    intent = Intent(tolerances=(Tolerance("diameter", place, "0/-0.05", width_mm=0.05),))
    part = drawn_part([*pin, (0, 10)])
    report = walk(part, STARTER, intent=settled(intent, part))
    found = [f for f in report.findings if f.rule == "sharp-inside-corner"]
    assert [f.level for f in found] == [level, level]
    assert all(("an O-ring wants a radius" in f.message) == (level == "note") for f in found)
    assert all(("a part may seat there" in f.message) == (level == "warning") for f in found)


def test_no_o_ring_is_told_of_in_a_belts_groove():
    """A pulley's V of 34° whose flanks run true to its bore: a belt lies there, and no ring."""
    deep = 11.0 * math.tan(math.radians(17.0))
    pulley = [(0, 7.5), (28, 7.5), (28, 40), (26, 40), (26 - deep, 29), (10 + deep, 29), (10, 40)]
    part = drawn_part([*pulley, (0, 40)])
    floor = Named(diameter_mm=(58.0, 58.0))
    size = Tolerance("diameter", floor, "0/-0.05", width_mm=0.05)
    report = walk(part, STARTER, intent=settled(Intent(tolerances=(size,)), part))
    found = [f for f in report.findings if f.rule == "sharp-inside-corner"]
    assert [f.level for f in found] == ["note", "note"]
    assert all("which what lies in the groove must clear. " in f.message for f in found)
