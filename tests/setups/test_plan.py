"""Plans against what a machinist would write by hand for drawn parts, with drawn tools."""

import pytest

from turnability.half_plane.curves import line_ring
from turnability.half_plane.regions import box
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.rules.drawn import CHUCK, PIN, drawn_part, drawn_shop
from turnability.setups.holding.jaws import fits_behind, held_by_bar, held_by_land
from turnability.setups.holding.lands import find_lands
from turnability.setups.holding.slender import mean_outside_mm, slenderness
from turnability.setups.plan import plan_of
from turnability.setups.surfaces.cuts import covers, samples_of, volume_mm3
from turnability.shop.model import Outlines, StockSize, Tool
from turnability.stock.choose import choose_stock


def outline_tool(name, kind, access, cutting, body, *, on_axis=False):
    outlines = Outlines((line_ring(cutting),), (line_ring(body),))
    return Tool(name, kind, access, on_axis, "neutral", outlines)


# sharp-nosed, so that square corners come out and only access decides
TURN = outline_tool(
    "turn",
    "turning",
    "outer",
    [(0, 0), (6, 1), (6, 6), (0.3, 6)],
    [(6, 1), (20, 6), (20, 60), (0.3, 60), (0.3, 6), (6, 6)],
)
PART_OFF = outline_tool(
    "part 3",
    "parting",
    "outer",
    [(0, 0), (3, 0), (3, 2), (0, 2)],
    [(0, 2), (3, 2), (3, 40), (0, 40)],
)
DRILL = outline_tool(
    "drill 10",
    "drill",
    "end",
    [(0, 0), (2.5, -5), (30, -5), (30, 5), (2.5, 5)],
    [(30, -5), (100, -5), (100, 5), (30, 5)],
    on_axis=True,
)
BAR = outline_tool(
    "bar 8",
    "boring",
    "inner",
    [(0, 0), (0, -2), (2, -2), (2, 0)],
    [(0, -10), (60, -10), (60, -2), (0, -2)],
)


def plan(points, *tools, departures=(), **shop):
    kept = drawn_shop(tools=tools, **shop)
    part = drawn_part(points, departures=departures)
    reach = reach_of(part.profile, kept.tools)
    stock = choose_stock(part.profile, kept)
    planned = plan_of(part, reach, find_lands(part), stock, kept)
    return None if planned is None else planned.plan.setups


def work(setup):
    return {(o.kind, s) for o in setup.operations for s in o.segments}


def hidden(setups):
    return {s for left in setups[-1].left if "jaws" in left.causes for s in left.segments}


def test_a_pin_is_turned_from_bar_and_parted_off():
    (only,) = plan(PIN, TURN, PART_OFF)
    assert (only.toward_chuck, only.grip.kind, only.datum.segment) == ("low", "raw bar", None)
    assert only.grip.z_mm[1] <= -3.0  # behind the parting cut, outside the part
    assert only.grip.diameter_mm == 25.0
    assert only.grip.length_mm == pytest.approx(12.5)
    assert work(only) == {
        ("face", "S2"), ("turn", "S3"), ("turn", "S4"), ("turn", "S5"), ("part off", "S6"),
    }  # fmt: skip
    assert [o.kind for o in only.operations] == ["face", "turn", "part off"]
    assert only.left == ()
    assert only.support == "none"


def test_without_a_parting_blade_the_pin_is_turned_round():
    first, second = plan(PIN, TURN)
    assert (first.toward_chuck, second.toward_chuck) == ("low", "high")
    assert second.grip.kind == "three-jaw chuck"
    assert second.grip.diameter_mm in (16.0, 22.0)
    assert second.datum.segment == "S2"
    assert work(second) == {("face", "S6")}
    assert second.left == ()
    # the gripped land is not cut in that setup, and the jaws keep off the face that is
    low, _ = second.grip.z_mm
    assert low >= CHUCK.jaw_standoff_mm


def test_shoulders_that_face_both_ways_take_two_setups():
    points = [(0, 0), (40, 0), (40, 8), (28, 8), (28, 14), (15, 14), (15, 9), (0, 9)]
    first, second = plan(points, TURN)
    assert {first.toward_chuck, second.toward_chuck} == {"low", "high"}
    done = {s for setup in (first, second) for _, s in work(setup)}
    assert done == {"S2", "S3", "S4", "S5", "S6", "S7", "S8"}
    assert hidden((first, second)) == set()


def test_a_bush_bored_through_in_one_chucking():
    (only,) = plan([(0, 9), (30, 9), (30, 14), (0, 14)], TURN, PART_OFF, DRILL, BAR)
    kinds = [o.kind for o in only.operations]
    assert kinds == ["face", "turn", "drill", "bore", "part off"]
    assert only.left == ()


def test_counterbores_in_both_ends_take_two_setups():
    points = [(0, 12), (8, 12), (8, 7), (32, 7), (32, 12), (40, 12), (40, 20), (0, 20)]
    first, second = plan(points, TURN, PART_OFF, DRILL, BAR)
    assert second.grip.diameter_mm in (40.0, 14.0, 24.0)
    assert hidden((first, second)) == set()
    # parted off in the first, faced in the second
    assert first.operations[-1].kind == "part off"
    assert first.operations[-1].segments == ()
    assert any(kind == "face" for kind, _ in work(second))


def test_a_double_cone_without_a_parting_blade_cannot_be_held_again():
    setups = plan([(0, 0), (40, 0), (40, 6), (20, 14), (0, 6)], TURN)
    assert len(setups) == 1
    assert hidden(setups)


def test_a_short_land_does_not_carry_a_second_setup():
    """9 mm of land where 10 mm are asked for (common practice)."""
    cone = [(0, 0), (40, 0), (40, 6), (31, 6), (20, 14), (0, 6)]
    setups = plan(cone, TURN)
    assert len(setups) == 1
    longer = [(0, 0), (40, 0), (40, 6), (28, 6), (20, 14), (0, 6)]
    assert len(plan(longer, TURN)) == 2


def test_no_holding_takes_the_bar():
    assert plan([(0, 0), (20, 0), (20, 90), (0, 90)], TURN, bars_mm=(200,)) == ()


def test_without_holdings_nothing_is_said():
    assert plan(PIN, TURN, holdings=()) is None


def test_a_tube_is_bored_already():
    points = [(0, 10), (30, 10), (30, 14), (0, 14)]
    shop = drawn_shop(tools=(TURN, PART_OFF, BAR))
    tube = StockSize("tube", "tube 30 x 18", 30.0, 18.0)
    shop = type(shop)(
        shop.name, shop.sha256, shop.inch, shop.tools, shop.holdings, shop.machines, (tube,),
        shop.stock_policy,
    )  # fmt: skip
    part = drawn_part(points)
    reach = reach_of(part.profile, (*shop.tools, DRILL))
    stock = choose_stock(part.profile, shop)
    assert stock.choice.form == "tube"
    setups = plan_of(part, reach, find_lands(part), stock, shop).plan.setups
    # no drill in the shop: from solid bar the bar could not begin
    assert ("bore", "S1") in work(setups[0])


def test_a_slender_shaft_asks_for_the_tailstock():
    """More than 4 diameters out of the chuck (common practice, no source)."""
    rod = [(0, 0), (60, 0), (60, 5), (0, 5)]
    assert plan(rod, TURN, PART_OFF)[0].support == "tailstock"
    assert plan(rod, TURN, PART_OFF, machines=())[0].support == "none"
    assert plan([(0, 0), (39, 0), (39, 5), (0, 5)], TURN, PART_OFF)[0].support == "none"


def test_obstacles_lie_beside_the_part_at_the_held_end():
    profile = drawn_profile(PIN)
    low = held_by_bar(profile, "low", CHUCK, 25.0, 3.0)
    high = held_by_bar(profile, "high", CHUCK, 25.0, 3.0)
    for ring, image in zip(low.obstacles, high.obstacles, strict=True):
        z = sorted(c.start[0] for c in ring)
        assert max(z) <= -3.0
        assert sorted(30.0 - c.start[0] for c in image) == pytest.approx(z)
    thick = find_lands(drawn_part(PIN))[0]
    jaws = held_by_land(profile, "low", CHUCK, thick, 11.0)
    assert jaws.grip.z_mm == (0, 11)
    assert max(c.start[0] for ring in jaws.obstacles for c in ring) == pytest.approx(13.0)
    assert min(c.start[1] for ring in jaws.obstacles for c in ring) == pytest.approx(11.0)


def test_volume_of_a_ring_and_places_in_a_region():
    """Pappus: a box from r 5 to 8 over 10 mm turns into pi (64 - 25) 10."""
    ring = box(0.0, 5.0, 10.0, 8.0)
    assert volume_mm3(ring) == pytest.approx(3.141592653589793 * 39.0 * 10.0, rel=1e-9)
    samples = samples_of(drawn_profile([(0, 0), (10, 0), (10, 5), (0, 5)]))
    assert samples.ids == ("S2", "S3", "S4")
    assert list(samples.share_in(ring)) == [0.0, 1.0, 0.0]
    assert list(covers(ring, samples.points[:1])) == [False]


def test_mean_outside_and_slenderness():
    """Closed form: half at 22, half at 16 gives 19; a cone its middle."""
    half = drawn_profile([(0, 0), (20, 0), (20, 8), (10, 8), (10, 11), (0, 11)])
    assert mean_outside_mm(half, (0.0, 20.0)) == pytest.approx(19.0)
    cone = drawn_profile([(0, 0), (20, 0), (20, 4), (0, 8)])
    assert mean_outside_mm(cone, (0.0, 20.0)) == pytest.approx(12.0)
    rod = drawn_profile([(0, 0), (60, 0), (60, 5), (0, 5)])
    assert slenderness(rod, "low", (-20.0, -5.0)) == pytest.approx(6.0)
    assert slenderness(rod, "high", (50.0, 60.0)) == pytest.approx(5.0)


# ⌀80 x 12, too large to be parted off by a blade 40 mm long that reaches 30: sawn, then faced
DISC = [(0, 0), (12, 0), (12, 40), (0, 40)]


def test_a_disc_shorter_than_half_its_diameter_is_still_turned_round():
    first, second = plan(DISC, TURN, bars_mm=(90,))
    assert (first.grip.kind, second.grip.kind) == ("raw bar", "three-jaw chuck")
    # common practice asks for 40 mm; there are 12, less the stand-off from the face to be cut
    assert second.grip.length_mm == pytest.approx(10.0)
    assert work(second) == {("face", "S4")}
    assert second.left == ()


def test_a_full_grip_goes_before_a_short_one():
    points = [(0, 0), (30, 0), (30, 10), (12, 10), (12, 40), (0, 40)]
    _, second = plan(points, TURN, bars_mm=(90,))
    assert second.grip.diameter_mm == 20.0
    assert second.grip.length_mm >= 10.0


def test_a_short_grip_does_not_carry_what_stands_far_out():
    # only ⌀20 x 5 at one end is straight; a cone would stand out of it by three diameters
    points = [(0, 0), (65, 0), (65, 20), (5, 12), (5, 10), (0, 10)]
    (only,) = plan(points, TURN, bars_mm=(45,))
    assert hidden((only,))
    # and by less than one it is held
    stub = [(0, 0), (20, 0), (20, 20), (5, 12), (5, 10), (0, 10)]
    _, second = plan(stub, TURN, bars_mm=(45,))
    assert second.grip.length_mm < 10.0


@pytest.mark.parametrize(
    ("length", "shank", "fits"),
    [(160, 10, True), (160, 15, False), (105, 15, True), (107, 15, False), (105, 19.9, True),
     (60, 20.1, False), (40, 20.1, True)],
)  # fmt: skip
def test_what_lies_behind_the_jaws_must_pass_the_spindle(length, shank, fits):
    """By hand: a flange that only plain jaws from the shank's side reach, held to z 12.

    Behind it 30 mm of jaws and 0.4 of 160 mm of chuck, whose hole is a quarter of 160: to z 106
    a shank of up to ⌀40 goes in. The spindle's bore is 26 mm.
    """
    points = [(0, 0), (length, 0), (length, shank), (12, shank), (12, 20.2), (0, 20.2)]
    (flange,) = [x for x in find_lands(drawn_part(points)) if x.diameter_mm == 40.4]
    held = held_by_land(drawn_profile(points), "high", CHUCK, flange, 10.0)
    assert fits_behind(drawn_profile(points), held, drawn_shop()) is fits
