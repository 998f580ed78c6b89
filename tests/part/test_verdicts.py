"""Laws: what nobody would turn has no profile and says why; what is turned and then milled has one.

What counts as turned is the project's own stated measures (DEVELOPERS.md); the solids here lie
well on either side of them. Also which voids are cavities.
"""

import math
import random

import cadquery as cq
import pytest

from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)


def read(shape):
    (solid,) = shape.solids().vals() if isinstance(shape, cq.Workplane) else [shape]
    return part_of(solid.wrapped, SOURCE, ())


def box(pick):
    return cq.Workplane().box(*(pick.uniform(5, 60) for _ in range(3)))


def plate(pick):
    x, y = pick.uniform(60, 120), pick.uniform(15, 40)
    made = cq.Workplane().box(x, y, pick.uniform(3, 10)).edges("|Z").fillet(3)
    holes = [(pick.uniform(-0.4, 0.4) * x, pick.uniform(-0.2, 0.2) * y) for _ in range(4)]
    return made.faces(">Z").workplane().pushPoints(holes).hole(pick.uniform(2, 6))


def bracket(pick):
    long, thick, wide = pick.uniform(40, 80), pick.uniform(4, 8), pick.uniform(20, 40)
    made = cq.Workplane().box(long, wide, thick, centered=False)
    made = made.union(cq.Workplane().box(thick, wide, long, centered=False))
    return made.faces("<Z").workplane().center(long / 2, -wide / 2).hole(wide / 3)


def half_round(pick):
    r, length = pick.uniform(5, 30), pick.uniform(10, 60)
    half = cq.Workplane().box(4 * r, 4 * r, 4 * length).translate((2 * r, 0, 0))
    return cq.Workplane().circle(r).circle(0.4 * r).extrude(length).cut(half)


def two_shafts(pick):
    r, length = pick.uniform(4, 8), pick.uniform(30, 60)
    web = cq.Workplane().box(4 * r, r, length / 3).translate((0, 0, length / 2))
    return cq.Workplane().pushPoints([(-2 * r, 0), (2 * r, 0)]).circle(r).extrude(length).union(web)


def sector(pick):
    """A ring that turns only over part of a turn."""
    x, y = pick.uniform(3, 8), pick.uniform(3, 20)
    wire = cq.Wire.makePolygon(
        [cq.Vector(30 + a * x, b * y, 0) for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))], close=True
    )
    axis = cq.Vector(0, 0, 0), cq.Vector(0, 1, 0)
    return cq.Workplane(cq.Solid.revolve(wire, [], pick.uniform(60, 180), *axis))


NOT_TURNED = [box, plate, bracket, half_round, two_shafts, sector]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("make", NOT_TURNED)
def test_what_nobody_turns_is_refused_in_words(make, seed):
    shape = make(random.Random(seed))
    way = cq.Vector(1, 2, 3 + seed)
    part = read(shape.val().rotate(cq.Vector(0, 0, 0), way, 25 * seed))
    assert part.profile is None
    assert part.axis is None
    reason = part.symmetry.reason
    assert reason
    assert "axis" in reason or "round" in reason


def test_the_reason_says_how_much_and_where_the_nearest_axis_is():
    shape = cq.Workplane().box(100, 20, 5).faces(">Z").workplane().center(30, 0).hole(8)
    reason = read(shape).symmetry.reason
    # end faces left out, the sides (2 (100 + 20) 5 = 1200) turn not, the hole (8 pi 5 = 126) does
    assert f"{1200 / (1200 + 40 * math.pi):.0%} of the surface" in reason
    assert "along z through (30, 0, 0) mm" in reason
    fills = (100 * 20 - 16 * math.pi) / (math.pi * (80**2 + 10**2 - 4**2))
    assert f"fills only {fills:.0%}" in reason


def test_a_block_has_no_round_surface():
    assert read(cq.Workplane().box(10, 20, 30)).symmetry.reason == "no surface of the part is round"


def test_pins_on_a_flange_do_not_take_its_axis():
    flange = cq.Workplane().circle(50).extrude(12).faces(">Z").workplane()
    part = read(flange.polarArray(35, 0, 360, 6).circle(8).extrude(30))
    assert part.profile is not None
    assert part.axis.direction == pytest.approx((0, 0, 1))
    assert part.axis.origin_mm[:2] == pytest.approx((0, 0))
    # turned to a ring that the pins are milled from
    assert part.profile.length_mm == pytest.approx(42)


def square_bar(length, chamfer_deg=None):
    """A bar of 20 square with a bore; its corners turned off to the flats at the low end."""
    bar = cq.Workplane().rect(20, 20).extrude(length).faces(">Z").workplane().hole(6)
    if chamfer_deg is None:
        return bar
    rise = length / math.tan(math.radians(chamfer_deg))
    cone = [(0, 0), (10, 0), (10 + rise, length), (0, length)]
    return bar.intersect(cq.Workplane("XZ").polyline(cone).close().revolve(360, (0, 0), (0, 1)))


def test_a_square_bar_is_turned_where_its_corners_are_turned_off():
    """It fills 64 % of its round (2 / pi), and no flange turned of bar looks like that."""
    assert read(square_bar(60)).profile is None
    for angle in (30, 45, 60):
        part = read(square_bar(60, angle))
        assert part.symmetry.reason is None
        assert [departure.kind for departure in part.departures] == ["square"]
        assert part.profile.max_diameter_mm == pytest.approx(20 * math.sqrt(2))
        rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
        assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


def milled(pick):
    r, length = pick.uniform(10, 25), pick.uniform(30, 60)
    made = cq.Workplane().circle(r).extrude(length).faces(">Z").workplane()
    made = made.circle(0.6 * r).extrude(length / 2)
    for k in range(pick.randint(1, 3)):
        cutter = cq.Workplane().box(r, 4 * r, length / 3).translate((1.2 * r, 0, length / 3))
        made = made.cut(cutter.rotate((0, 0, 0), (0, 0, 1), 120 * k))
    return made


@pytest.mark.parametrize("seed", range(4))
def test_turned_and_then_milled_parts_keep_their_profile(seed):
    shape = milled(random.Random(seed))
    part = read(shape)
    assert part.symmetry.reason is None
    assert part.departures
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(shape.val().Volume(), rel=1e-6)


def hollow_pin():
    """A pin of 20 by 40 with a closed void of 5 by 10 inside."""
    return cq.Workplane().circle(20).extrude(40).cut(
        cq.Workplane(origin=(0, 0, 15)).circle(10).circle(5).extrude(10)
    )  # fmt: skip


def test_a_closed_void_is_a_cavity():
    part = read(hollow_pin())
    assert [loop.role for loop in part.profile.loops] == ["outline", "cavity"]
    assert part.departures == ()
    hollow = math.pi * (10**2 - 5**2) * 10
    assert part.profile.volume_mm3 == pytest.approx(math.pi * 400 * 40 - hollow, rel=1e-9)


def test_a_void_that_opens_through_a_milled_window_stays_one_with_its_window_beside():
    window = cq.Workplane("XZ", origin=(0, 7, 0)).center(0, 20).rect(4, 6).extrude(-30)
    part = read(hollow_pin().cut(window))
    assert [loop.role for loop in part.profile.loops] == ["outline", "cavity"]
    (opening,) = part.departures
    low, high = opening.parameters["r_mm"]
    assert high == pytest.approx(20, abs=0.05)
    assert low <= 10 + 1e-6


def test_what_only_the_union_closes_is_no_void_of_the_solid():
    """A ring-shaped pocket with half a roof: every circle under it is closed on that half."""
    body = cq.Workplane().circle(20).extrude(40)
    pocket = cq.Workplane(origin=(0, 0, 20)).circle(15).circle(8).extrude(20)
    under = cq.Workplane(origin=(0, 0, 20)).circle(15).circle(8).extrude(12)
    half = cq.Workplane().box(60, 30, 100).translate((0, 15, 0))
    # the open half goes right up, the other stays below the roof at 32
    made = body.cut(pocket.cut(half)).cut(under.intersect(half))
    part = read(made)
    assert [loop.role for loop in part.profile.loops] == ["outline", "cavity"]
    (opening,) = part.departures
    assert opening.z_mm == pytest.approx((32, 40))
    assert opening.volume_mm3 == pytest.approx(math.pi * (15**2 - 8**2) * 8 / 2, rel=1e-9)


@pytest.mark.parametrize("aside", [0.0, 11.0])
def test_a_void_that_no_turning_gives_is_sealed_where_it_has_no_opening(aside):
    void = cq.Workplane().box(6, 6, 10).translate((aside, 0, 20))
    sealed = read(cq.Workplane().circle(20).extrude(40).cut(void))
    assert [d.parameters.get("sealed") for d in sealed.departures] == [True]
    opened = read(cq.Workplane().circle(20).extrude(40).cut(void.union(
        cq.Workplane("YZ").center(0, 20).circle(2).extrude(40)
    )))  # fmt: skip
    assert not any(d.parameters.get("sealed") for d in opened.departures)
