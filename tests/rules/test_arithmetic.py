"""Numbers that rules put into their messages, against closed forms."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.features.model import Feature, StandardMatch
from turnability.half_plane.curves import Arc, Line
from turnability.intent.model import Intent
from turnability.part.profile import make_profile
from turnability.reach.model import Needed
from turnability.rules import (
    hole_between_drills,
    outside_near_stock_size,
    recess_behind_small_entry,
    sharp_inside_corner,
    unreached_surface,
)
from turnability.rules.bar_arithmetic import Bar, bar_wanted, bars_of
from turnability.rules.corners import only_a_corner
from turnability.rules.drawn import (
    BORING_BAR,
    PIN,
    TURNING_TOOL,
    drawn_left,
    drawn_shop,
    drawn_view,
)
from turnability.rules.sharp_inside_corner import nose_fillet
from turnability.shop.load import starter_shop, tools_of
from turnability.shop.model import Relaxation


def corner_view(opening_deg, nose, at=(20.0, 10.0), size=30.0):
    """A wall at `opening_deg` to a cylinder, and what a disc of radius `nose` leaves there."""
    (z, r), t = at, math.radians(opening_deg)
    top = (z + size * math.cos(t), r + size * math.sin(t))
    low = min(0.0, top[0]) - 5.0
    points = [(z + 40.0, 0), (z + 40.0, r), (z, r), top, (low, top[1]), (low, 0)]
    points = [(a - low, b) for a, b in points]
    tip = (z - low, r)
    reach = nose / math.tan(t / 2.0)
    centre = (tip[0] + reach, r + nose)
    start, end = -math.pi / 2.0, -math.pi / 2.0 - (math.pi - t)
    arc = [
        (
            centre[0] + nose * math.cos(start + (end - start) * k / 40),
            centre[1] + nose * math.sin(start + (end - start) * k / 40),
        )
        for k in range(41)
    ]
    deepest = nose * (1.0 / math.sin(t / 2.0) - 1.0)
    segments = ("S3", "S4")
    view = drawn_view(points, left=())
    ring = view.part.profile.outline.segments
    here = next(i for i, s in enumerate(ring) if math.dist(s.curve.end, tip) < 1e-9)
    segments = (ring[here].id, ring[(here + 1) % len(ring)].id)
    left = drawn_left(segments, [tip, *arc], ("nose-radius",), deepest)
    return replace(view, reach=replace(view.reach, left=(left,)))


@given(opening=st.floats(40.0, 150.0), nose=st.floats(0.1, 2.4))
def test_the_nose_is_read_off_the_depth_of_what_it_leaves(opening, nose):
    """A disc of radius r in a corner of angle t leaves r (1/sin(t/2) - 1) (closed form)."""
    view = corner_view(opening, nose)
    corner = only_a_corner(view.reach.left[0], view)
    assert corner is not None
    assert corner.nose_mm == pytest.approx(nose, rel=1e-6)
    assert math.degrees(corner.opening_rad) == pytest.approx(opening, rel=1e-6)
    assert unreached_surface.check(view) == []
    found = sharp_inside_corner.check(view)
    if view.reach.left[0].deepest_mm < sharp_inside_corner.TRIFLE_MM:
        assert found == [], "a hair in a corner that is nearly none"
    else:
        (finding,) = found
        assert finding.change.to == pytest.approx(nose, rel=1e-6)


def test_a_fillet_smaller_than_the_nose():
    """Drawn radius 0.2, nose 0.8: the depth left is (0.8 - 0.2)(sqrt 2 - 1)."""
    drawn, nose = 0.2, 0.8
    loop = [
        Line((0, 0), (30, 0)),
        Line((30, 0), (30, 8)),
        Line((30, 8), (18 + drawn, 8)),
        Arc((18 + drawn, 8), (18, 8 + drawn), (18 + drawn, 8 + drawn), drawn, clockwise=True),
        Line((18, 8 + drawn), (18, 11)),
        Line((18, 11), (0, 11)),
        Line((0, 11), (0, 0)),
    ]
    profile = make_profile([[(curve, ()) for curve in loop]])
    whole = nose_fillet((18, 8), (1, 1), nose, ("S3", "S4", "S5"), None)
    left = replace(whole, deepest_mm=(nose - drawn) * (math.sqrt(2.0) - 1.0))
    view = drawn_view(profile, left=(left,))
    (finding,) = sharp_inside_corner.check(view)
    assert finding.measured == drawn
    assert finding.limit == pytest.approx(nose)
    assert "drawn with radius 0.2 mm" in finding.message


def test_a_whole_groove_is_no_corner_although_the_nose_is_the_cause():
    points = [(0, 0), (30, 0), (30, 11), (16, 11), (16, 10.7), (15.5, 10.7), (15.5, 11), (0, 11)]
    region = [(15.5, 10.7), (16, 10.7), (16, 11), (15.5, 11)]
    left = drawn_left(("S4", "S5", "S6"), region, ("nose-radius",), 0.2)
    view = drawn_view(points, left=(left,))
    assert only_a_corner(left, view) is None
    assert [f.level for f in unreached_surface.check(view)] == ["error"]


def test_a_corner_is_a_corner_whatever_else_stood_in_the_way():
    left = nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), None)
    view = drawn_view(PIN, left=(replace(left, causes=("nose-radius", "opposite-wall")),))
    assert len(sharp_inside_corner.check(view)) == 1
    assert unreached_surface.check(view) == []
    assert recess_behind_small_entry.check(view) == []


@given(d=st.floats(2.0, 40.0), over=st.floats(0.0, 10.0), room=st.floats(0.0, 30.0))
def test_a_round_bar_in_a_round_bore(d, over, room):
    """Exact in the plane through the axis: the bar passes when its back and nose fit the bore.

    The bar's axis stands c off the bore's; nose at c + f, back at c - d/2 on the far side.
    """
    bar = Bar("bar", d, d / 2.0 + over)
    bore = bar.least_bore_mm + room
    r = bore / 2.0
    # nose at the wall: c = r - f; its back must not pass the opposite wall
    assert r - bar.f_mm - d / 2.0 >= -r - 1e-9
    # a hair less and it does
    tight = bar.least_bore_mm - 1e-6
    assert tight / 2.0 - bar.f_mm - d / 2.0 < -tight / 2.0
    # nose at the recess's floor: the front of the shank just clears the lip
    assert (r + bar.deepest_recess_mm) - bar.f_mm + d / 2.0 == pytest.approx(r)
    # while it opens the bore, its back runs in the hole: 2 f + d - bore across
    hole = bar.least_hole_mm(bore)
    assert hole >= d
    assert bore / 2.0 - bar.f_mm - d / 2.0 >= -hole / 2.0 - 1e-9


def recess_view(bore, depth, walls=(45.0, 45.0), shop=None, matches=()):
    floor = bore / 2.0 + depth
    r = bore / 2.0
    points = [(0, r), (10, r), (10, floor), (20, floor), (20, r), (30, r), (30, 30), (0, 30)]
    feature = Feature(
        "F1", "recess", "inner", (10, 20), (bore, 2 * floor), ("S2", "S3", "S4"), (),
        {"depth_mm": depth, "entry_diameter_mm": bore, "width_mm": 10.0, "wall_angles_deg": walls},
        matches,
    )  # fmt: skip
    left = drawn_left(
        ("S2", "S3", "S4"), [(10, r), (20, r), (20, floor), (10, floor)], ("entry-bore",), 1.0
    )
    return drawn_view(points, shop=shop, features=(feature,), left=(left,))


def groover(width, d, f):
    return replace(
        BORING_BAR,
        name=f"groove {width:g} on {d:g}",
        limits={"bar_diameter_mm": d, "f_mm": f, "width_mm": width},
    )


def test_the_entry_is_enlarged_to_what_the_bar_passes():
    """Bar d 8, f 6: bore at least f + d/2 = 10, recess at most f - d/2 = 2."""
    assert [b.name for b in bars_of(drawn_shop())] == ["bar 8"]
    (finding,) = recess_behind_small_entry.check(recess_view(8.0, 1.5))
    change = finding.change
    assert (change.parameter, change.from_, change.to) == ("entry_diameter_mm", 8.0, 10.0)
    (finding,) = recess_behind_small_entry.check(recess_view(14.0, 4.0))
    change = finding.change
    assert (change.parameter, change.from_, change.to) == ("depth_mm", 4.0, 2.0)
    # floor 16: at an entry of 12 the recess is 2 deep, as the bar cuts it
    (finding,) = recess_behind_small_entry.check(recess_view(8.0, 4.0))
    change = finding.change
    assert (change.parameter, change.to) == ("entry_diameter_mm", 12.0)


SQUARE = (0.0, 0.0)
GROOVERS = drawn_shop(
    tools=(TURNING_TOOL, BORING_BAR, groover(3.0, 12.0, 8.0), groover(3.0, 16.0, 11.0))
)
"""d 12 and f 8: 2 deep, bores from 14; d 16 and f 11: 3 deep, bores from 19. Bar 8 grooves not."""


@pytest.mark.parametrize(
    ("bore", "depth", "change"),
    [
        # 2 of 2.2 is nearly all of it
        (14.0, 2.2, ("depth_mm", 2.0)),
        # floor 17.2: at 14 it keeps 1.6 of 2.1
        (13.0, 2.1, ("entry_diameter_mm", 14.0)),
        # at 14 nothing of it would stay: it must grow with its bore
        (10.0, 2.0, ("bore_and_recess_mm", 14.0)),
    ],
)
def test_square_walls_ask_for_a_grooving_bar_and_the_least_change_for_one(bore, depth, change):
    (finding,) = recess_behind_small_entry.check(recess_view(bore, depth, SQUARE, GROOVERS))
    assert (finding.change.parameter, finding.change.to) == change
    assert "bar 8" not in finding.message
    # by hand: entry at least d/2 + f, f at least d/2 + depth
    assert f"d {bore - depth:g} mm at most" in finding.message


def test_no_bar_that_does_it_is_told_in_the_same_breath_as_that_none_does():
    """A boring bar enters and is deep enough, and cuts no square walls: it is not named."""
    shop = drawn_shop()
    (finding,) = recess_behind_small_entry.check(recess_view(14.0, 1.5, SQUARE, shop))
    assert "bar 8" not in finding.message
    assert "ask for a grooving bar" in finding.message
    assert finding.change is None


def test_a_ring_s_groove_keeps_its_depth():
    ring = (StandardMatch("DIN 472", "for bore 14", 0.0),)
    for bore, depth in ((14.0, 2.2), (13.0, 2.1)):
        view = recess_view(bore, depth, SQUARE, GROOVERS, ring)
        (finding,) = recess_behind_small_entry.check(view)
        assert (finding.change.parameter, finding.change.to) == ("bore_and_recess_mm", 19.0)
        assert f"⌀{bore + 2 * depth + 19.0 - bore:g} mm" in finding.message


def test_a_blade_wider_than_its_groove_says_how_wide():
    points = [(0, 0), (30, 0), (30, 11), (16, 11), (16, 8), (14, 8), (14, 11), (0, 11)]
    shop = drawn_shop()
    blade = replace(
        shop.tools[0],
        name="groove 3",
        kind="grooving",
        relaxations=(Relaxation("blade-width", shop.tools[0].outlines, "width_mm", 3.0, "mm"),),
    )
    feature = Feature(
        "F1", "groove", "outer", (14, 16), (16, 22), ("S4", "S5", "S6"), (),
        {"width_mm": 2.0, "depth_mm": 3.0},
    )  # fmt: skip
    left = drawn_left(
        ("S4", "S5", "S6"),
        [(14, 8), (16, 8), (16, 11), (14, 11)],
        ("blade-width",),
        3.0,
        nearest_tool="groove 3",
    )
    view = drawn_view(points, shop=replace(shop, tools=(blade,)), features=(feature,), left=(left,))
    (finding,) = unreached_surface.check(view)
    assert (finding.change.from_, finding.change.to) == (2.0, 3.0)
    assert "z 14 to 16 mm" in finding.message


@given(diameter=st.floats(20.0, 98.0), length=st.floats(5.0, 400.0))
def test_a_smaller_bar_is_told_where_it_saves_much(diameter, length):
    """At most 5 % off, and 1 kg of 10 % or 100 g of 25 %: reckoned here from the bars alone.

    A bar leaves 1.27 mm. The piece: length, 1 mm an end, 3 mm parted, and the grip: half of the
    diameter, 10 mm at least, with 2 mm before the jaws. What does not pass the spindle of 26 mm is
    sawn, and gripped over no more than a third of what stands out, in whole mm.
    """
    bars = (16, 20, 25, 30, 40, 50, 60, 80, 100)
    shop = drawn_shop(bars_mm=bars)

    def view(d):
        return drawn_view([(0, 0), (length, 0), (length, d / 2), (0, d / 2)], shop=shop)

    before = view(diameter)
    found = outside_near_stock_size.check(before)
    taken = min(b for b in bars if b - 1.27 >= diameter - 1e-9)
    out = length + 5.0 + 2.0
    grip = max(10.0, min(taken / 2.0, math.ceil(out / 3.0))) if taken > 26 else max(10, taken / 2)
    piece = out + grip
    told = []
    for bar in bars:
        to = bar - 1.27
        if bar < taken and 0.95 * diameter <= to < diameter:
            share = 1.0 - bar**2 / taken**2
            kg = 7.85e-6 * piece * math.pi / 4.0 * (taken**2 - bar**2)
            if share >= 0.1 and (kg >= 1.0 or (share >= 0.25 and kg >= 0.1)):
                told.append(("warning" if kg >= 1.0 else "note", to))
    assert [(f.level, f.change.to) for f in found] == [
        (level, pytest.approx(to)) for level, to in told[-1:]
    ]
    if found:
        after = view(found[0].change.to)
        assert outside_near_stock_size.check(after) == ()
        assert after.stock.choice.mass_kg < before.stock.choice.mass_kg


def test_the_order_decides_where_a_quantity_is_stated():
    """⌀40 × 60 from 45, not 40: 89.5 mm of it, 235 g a piece, 9.4 kg for 40, 11.7 kg for 50."""
    ring = [(0, 0), (60, 0), (60, 20), (0, 20)]
    shop = drawn_shop(bars_mm=(40, 45))
    base = drawn_view(ring, shop=shop)
    kg = 7.85e-6 * 89.5 * math.pi / 4.0 * (45**2 - 40**2)
    assert kg == pytest.approx(0.2345, abs=1e-4)

    def found(quantity):
        intent = Intent(what="drawn", sha256=None, quantity=quantity)
        return outside_near_stock_size.check(replace(base, intent=intent))

    assert found(None) == found(40) == ()
    (finding,) = found(50)
    assert (finding.level, finding.limit, finding.unit) == ("warning", 10.0, "kg")
    assert finding.measured == pytest.approx(50 * kg)
    assert "saves 235 g of stock (21%) a piece" in finding.message


def test_a_balls_diameter_is_not_asked_to_change():
    """A ball of 100 beside a bar of 100, which as a cylinder would be told of."""
    shop = drawn_shop(bars_mm=(100, 110))
    ball = make_profile(
        [
            [
                (Line((0, 0), (100, 0)), ()),
                (Arc((100, 0), (0, 0), (50, 0), 50.0, clockwise=False), ()),
            ]
        ]
    )
    assert outside_near_stock_size.check(drawn_view(ball, shop=shop)) == ()
    rod = [(0, 0), (100, 0), (100, 50), (0, 50)]
    assert outside_near_stock_size.check(drawn_view(rod, shop=shop))


def test_a_corner_with_a_spike_along_the_wall_is_still_a_corner():
    # outlines of sliver regions may run out along a wall without any width
    left = nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), "turning tool")
    spiked = replace(left, polygon=(left.polygon[0], (25.0, 8.0), *left.polygon[1:]))
    corner = only_a_corner(spiked, drawn_view(PIN))
    assert corner is not None
    assert corner.nose_mm == pytest.approx(0.4)
    tip, *others = left.polygon
    wide = replace(left, polygon=(tip, (25.0, 8.0), (25.0, 8.1), *others))
    assert only_a_corner(wide, drawn_view(PIN)) is None


def test_two_tools_leave_less_in_a_corner_than_the_nearest_alone():
    # of a fillet of 0.4 (0.166 deep) only 0.1 is left, over the whole of its length
    left = nose_fillet((18, 8), (1, 1), 0.4, ("S3", "S4"), "turning tool")
    corner = only_a_corner(replace(left, deepest_mm=0.1), drawn_view(PIN))
    assert corner is not None
    assert corner.nose_mm == 0.4


@pytest.mark.parametrize(("drills", "to"), [((4.5, 5.2), 5.2), ((4.9, 5.5), 4.9), ((6.0,), 6.0)])
def test_a_hole_between_drills_takes_the_nearer(drills, to):
    (finding,) = hole_between_drills.check(hole_between_drills._drilled(5.0, drills))
    assert (finding.change.from_, finding.change.to) == (5.0, to)


def test_a_hole_that_a_bar_enters_needs_no_drill_of_its_size():
    # bar 8 of the drawn shop (f 6) enters from f + d/2 = 10 mm
    assert hole_between_drills.check(hole_between_drills._drilled(9.9, (9.5,)))
    assert not hole_between_drills.check(hole_between_drills._drilled(10.0, (9.5,)))


def test_a_narrow_groove_with_both_its_corners_is_no_corner():
    # 0.75 wide, 0.5 deep, and a blade of 2: all of it stays, nearest a nose of 0.4
    points = [(0, 0), (30, 0), (30, 5), (15.75, 5), (15.75, 4.5), (15, 4.5), (15, 5), (0, 5)]
    left = drawn_left(
        ("S4", "S5", "S6"),
        [(15, 4.5), (15.75, 4.5), (15.75, 5), (15, 5)],
        ("nose-radius",),
        0.357,
        nearest_tool="turning tool",
    )
    assert only_a_corner(left, drawn_view(points)) is None
    # nor is half of it, too deep for any nose of the shop
    half = replace(left, polygon=((15.3, 4.5), (15.75, 4.5), (15.75, 5), (15.3, 5)))
    assert only_a_corner(half, drawn_view(points)) is None


def test_a_groove_narrower_than_every_blade_is_widened_to_the_narrowest():
    blades = tuple(
        replace(TURNING_TOOL, name=f"blade {w:g}", kind="grooving", limits={"width_mm": w})
        for w in (3.0, 2.0)
    )
    groove = Feature(
        id="F1", kind="groove", surface="outer", z_mm=(15, 15.75), diameter_mm=(9, 10),
        segments=("S4", "S5", "S6"), faces=(), parameters={"width_mm": 0.75, "depth_mm": 0.5},
    )  # fmt: skip
    left = drawn_left(
        groove.segments,
        [(15, 4.5), (15.75, 4.5), (15.75, 5), (15, 5)],
        ("nose-radius",),
        0.357,
    )
    points = [(0, 0), (30, 0), (30, 5), (15.75, 5), (15.75, 4.5), (15, 4.5), (15, 5), (0, 5)]
    view = drawn_view(points, shop=drawn_shop(tools=blades), features=(groove,), left=(left,))
    (finding,) = unreached_surface.check(view)
    assert (finding.change.parameter, finding.change.from_, finding.change.to) == (
        "width_mm",
        0.75,
        2.0,
    )


def test_a_flat_drill_is_asked_for_with_the_drill_before_it():
    """Ø10 and 139.43 deep: 140 of flutes, and 1.5 diameters more for the chips of the first."""
    left = drawn_left(("S1",), [(20, 0), (21, 0), (21, 5), (20, 5)], ("drill-length",), 3.0,
                      nearest_tool="slot drill 10")  # fmt: skip
    needed = Needed("flute_length_mm", 139.43, "mm")
    view = drawn_view(left=(replace(left, needed=needed),))
    view = replace(view, shop=replace(view.shop, tools=starter_shop().tools))
    told = unreached_surface._needed_text(view, left, needed)
    assert told.startswith("flute length 140 mm, after a drill with flutes of 155 mm")
    narrow = Needed("width_mm", 1.98765, "mm")
    assert unreached_surface._needed_text(view, left, narrow) == "width 1.98 mm"


@pytest.mark.parametrize(
    ("drills", "to", "level"),
    [
        # No. 7 is 0.201 in = 5.105 mm; the nut's minor diameter is 0.196 in = 4.976 mm at least
        ((4.9, 5.0, 5.3), 5.0, "warning"),
        ((4.9, 5.2, 5.5), 5.2, "warning"),
        ((4.9, 5.3), None, "error"),
    ],
)
def test_the_tapping_hole_of_a_quarter_inch_takes_a_drill_within_its_limits(drills, to, level):
    (finding,) = hole_between_drills.check(hole_between_drills._drilled(5.105, drills))
    assert finding.level == level
    assert (finding.change.to if finding.change else None) == to
    assert "tapping hole of 1/4-20 UNC by its size (drill No.7)" in finding.message


@pytest.mark.parametrize(
    ("drills", "to", "level"), [((4.9, 5.0, 5.3), 5.0, "note"), ((4.9, 5.3), None, "error")]
)
def test_a_stated_thread_s_hole_may_lie_anywhere_in_its_limits(drills, to, level):
    """1/4-20 UNC: 6.35 mm and 1.27 mm a turn; its hole is 4.976 mm at least (ASME B1.1)."""
    view = hole_between_drills._drilled(5.105, drills)
    (bore,) = view.features
    thread = replace(
        bore, kind="thread", parameters={"major_mm": 6.35, "pitch_mm": 1.27, "form": "unified"}
    )
    view = replace(view, features=(thread,))
    (finding,) = hole_between_drills.check(view)
    assert (finding.level, finding.change.to if finding.change else None) == (level, to)
    assert "It is tapped 1/4-20 UNC, usually from drill No.7" in finding.message
    assert unreached_surface.check(view) == []


@pytest.mark.parametrize(
    ("bore_mm", "deep_mm", "says"),
    [
        # by hand: the bar of 20 with f 13 enters 13 + 10 = 23 mm and stands out 80
        (6.0, 24.0, "List a boring bar that goes into ⌀6 mm, 24 mm deep"),
        (18.3, 24.0, "List a boring bar that goes into ⌀18.3 mm, 24 mm deep"),
        (18.4, 24.0, "Draw it at least ⌀23 mm, which bar bores"),
        (24.0, 24.0, "Let a boring bar into it"),
        (24.0, 90.0, "Relieve it but for what must be fine (bar bores 80 mm deep)"),
        (6.0, 90.0, "List a boring bar that goes into ⌀6 mm, 90 mm deep"),
        # 2 mm of 82 are little to give up, 10 of 90 are more than a tenth
        (
            24.0,
            82.0,
            "Shorten it by 2 mm, to the 80 mm that bar bores, or relieve it but for what must be "
            "fine (bar bores 80 mm deep)",
        ),
    ],
)
def test_a_bore_is_drawn_wider_for_a_bar_by_no_more_than_a_little(bore_mm, deep_mm, says):
    """No more than 4 mm or a quarter of it (our choice): else a slimmer bar is asked for."""
    table = {"kind": "boring", "name": "bar", "bar": "S20R-SDUCR 11", "insert": "DCMT 11T304"}
    (bar,) = tools_of(table)
    assert bar.limits["min_bore_mm"] == 23.0
    assert bar_wanted(drawn_shop(tools=(bar,)), bore_mm, deep_mm, "fine") == says
