"""Collets, mandrels, centres and arbors: ranges of standards, practice, obstacles by hand."""

from dataclasses import replace
from itertools import pairwise

import pytest

from turnability.analysis.stages import walk
from turnability.cited import Cited
from turnability.errors import ShopUnusable
from turnability.half_plane.regions import Region
from turnability.intent.model import Intent
from turnability.outputs.route_sheet import route_text
from turnability.part.model import Departure
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.rules.drawn import CHUCK, LATHE, PIN, drawn_part, drawn_shop
from turnability.setups.holding.centres import centre_hole_mm, no_centre
from turnability.setups.holding.grips import grips_for, holdings_for_bar, shortest_grip_mm
from turnability.setups.holding.jaws import fits_behind, held_between, held_by_land
from turnability.setups.holding.lands import find_lands
from turnability.setups.holding.on_face import Screwed, held_on_face, held_on_faces, ways_to_screw
from turnability.setups.holding.support import support_of
from turnability.setups.holding.supported import ToCarry
from turnability.setups.model import Grip, Land, Operation
from turnability.setups.plan import plan_of
from turnability.setups.surfaces.relations import Group, rechucked, shared_out
from turnability.shop.collets import COLLET_SETS, collets_of
from turnability.shop.holding import mismatch_of, takes, way_through
from turnability.shop.load import load_shop, starter_shop, starter_shop_text
from turnability.shop.model import Holding
from turnability.stock.choose import choose_stock

ER32 = Holding("ER32", "collet", (1.0, 20.0), None, 27.0, 0.0, 2.0, collets_mm=collets_of("ER32"))
MANDREL = Holding("mandrel", "mandrel", None, (8.0, 60.0), 15.0, 0.5, 2.0)
CENTRES = Holding("centres", "between-centres", (5.0, 80.0), None, 8.0, 0.0, 2.0)
BOLTS = Holding("plate", "bolt-arbor", None, None, 0.0, 0.0, 2.0)
GLUE = Holding("glue", "glued-arbor", None, None, 0.0, 0.0, 2.0)


def test_an_er_set_closes_without_gaps():
    """DIN 6499: ER32 takes 1 to 20 mm, each collet 1 mm down from its label."""
    spans = collets_of("ER32")
    assert spans[-1] == (19.0, 20.0)
    assert spans[0][0] == 1.0
    assert all(a[1] == pytest.approx(b[0]) for a, b in pairwise(spans))
    assert all(takes(ER32, d / 10.0) for d in range(10, 201))
    assert not takes(ER32, 20.1)
    for name in COLLET_SETS:
        assert all(low < high for low, high in collets_of(name))


def test_single_collets_leave_gaps():
    """A collet for 12 mm that closes by 0.1 mm does not hold 11.5."""
    few = replace(ER32, collets_mm=((9.9, 10.0), (11.9, 12.0)))
    assert takes(few, 11.95)
    assert not takes(few, 11.5)
    shop = drawn_shop(holdings=(few,))
    assert holdings_for_bar(12.0, shop) == (few,)
    assert holdings_for_bar(11.5, shop) == ()
    # a hexagon in a round collet bears on its corners alone
    assert holdings_for_bar(12.0, shop, round_stock=False) == ()


def test_what_holdings_repeat_within():
    """Recalled practice (table workholding), the upper end of its range; a shop's word before."""
    assert mismatch_of(CHUCK).value == pytest.approx(0.10)
    assert mismatch_of(replace(CHUCK, kind="soft-jaws")).value == pytest.approx(0.03)
    assert mismatch_of(ER32).value == pytest.approx(0.02)
    assert mismatch_of(MANDREL).value == pytest.approx(0.01)
    assert not mismatch_of(CHUCK).verified
    assert mismatch_of(BOLTS) is None
    word = Cited(0.003, "mm", "the shop file", "runout_mm", verified=True)
    assert mismatch_of(replace(CHUCK, runout=word)) == word


def test_a_shop_file_names_collets_and_arbors(tmp_path):
    file = tmp_path / "shop.toml"
    text = (
        '[[tool]]\nkind = "drill"\ndiameter_mm = 10\n'
        '[[holding]]\nname = "ER25"\nkind = "collet"\nusual = "ER25"\n'
        '[[holding]]\nname = "5C"\nkind = "collet"\ncollets_mm = [[9.9, 10.0], [11.9, 12.0]]\n'
        '[[holding]]\nname = "expanding"\nkind = "mandrel"\ninside_mm = [10, 40]\n'
        '[[holding]]\nname = "plate"\nkind = "bolt-arbor"\n'
    )
    file.write_text(text)
    er, single, mandrel, plate = load_shop(file).holdings
    assert er.outside_mm == (0.5, 16.0)
    assert single.outside_mm == (9.9, 12.0)
    assert mandrel.inside_mm == (10.0, 40.0)
    assert plate.kind == "bolt-arbor"
    file.write_text(text.replace("inside_mm", "outside_mm"))
    with pytest.raises(ShopUnusable, match="mandrel without bores"):
        load_shop(file)


def test_neither_collet_nor_mandrel_holds_by_its_mouth():
    assert shortest_grip_mm(ER32, 10.0) is None
    assert shortest_grip_mm(MANDREL, 20.0) is None
    grips = grips_for([Land(("S1",), "inner", (0.0, 30.0), 20.0)], drawn_shop(holdings=(MANDREL,)))
    assert [g.obstacle for g in grips] == [None]


def covered(held, z, r):
    """Whether an obstacle stands at this place."""
    import numpy as np

    from turnability.setups.surfaces.cuts import covers

    rings = [np.array([c.start for c in ring]) for ring in held.obstacles]
    return any(bool(covers(Region.of([ring]), np.array([[z, r]]))[0]) for ring in rings)


def test_a_mandrel_leaves_outside_and_both_faces_free():
    points = [(0, 10), (30, 10), (30, 20), (0, 20)]
    land = next(x for x in find_lands(drawn_part(points)) if x.surface == "inner")
    held = held_by_land(drawn_profile(points), "low", MANDREL, land, 30.0)
    assert covered(held, 15.0, 9.0)
    for z in (-10.0, -1.0, 31.0):
        assert not covered(held, z, 15.0)
    # it stands out of the part by what tools keep clear of it
    assert covered(held, 31.9, 9.0)
    assert not covered(held, 32.1, 9.0)


@pytest.mark.parametrize("toward", ["low", "high"])
def test_jaws_in_a_bore_leave_what_lies_beyond_them_free_and_hide_the_face_behind(toward):
    """12 mm of jaws and 2 to stay clear; the chuck's face 2 mm behind the part."""
    points = [(0, 25), (30, 25), (30, 35), (0, 35)]
    land = next(x for x in find_lands(drawn_part(points)) if x.surface == "inner")
    held = held_by_land(drawn_profile(points), toward, CHUCK, land, 12.0)

    def there(z, r):
        return covered(held, z if toward == "low" else 30.0 - z, r)

    assert there(-1.0, 24.0)
    assert there(13.9, 24.0)
    assert not there(14.1, 24.0)
    assert there(-2.1, 30.0)
    assert not there(-1.9, 30.0)
    assert not there(15.0, 36.0)


def test_between_centres_all_but_the_dog_is_free():
    shaft = [(0, 0), (80, 0), (80, 10), (0, 10)]
    land = find_lands(drawn_part(shaft))[0]
    held = held_between(drawn_profile(shaft), "low", CENTRES, land, 8.0)
    assert covered(held, 9.0, 11.0)  # 8 mm of dog and 2 to stay clear
    assert not covered(held, 11.0, 11.0)
    assert covered(held, 81.0, 1.0)
    assert not covered(held, 81.0, 9.0)


@pytest.mark.parametrize(("capacity", "fits"), [(None, True), (25.0, True), (20.0, False)])
def test_what_lies_behind_the_jaws_goes_by_the_bar_capacity(capacity, fits):
    """A shank of ⌀24 far behind the jaws: bore 26, of which the bar feed may leave less."""
    points = [(0, 0), (160, 0), (160, 12), (12, 12), (12, 20), (0, 20)]
    flange = next(x for x in find_lands(drawn_part(points)) if x.diameter_mm == 40.0)
    lathe = replace(LATHE, spindle_bore_mm=26.0, bar_capacity_mm=capacity)
    held = held_by_land(drawn_profile(points), "high", CHUCK, flange, 10.0)
    assert fits_behind(drawn_profile(points), held, drawn_shop(machines=(lathe,))) is fits
    assert way_through(lathe)[1] == (capacity or 26.0)


@pytest.mark.parametrize(
    ("points", "reason"),
    [
        ([(0, 0), (60, 0), (60, 6), (0, 6)], None),
        ([(0, 0), (60, 0), (50, 6), (0, 6)], "no room for a centre hole"),
        ([(0, 0), (60, 0), (60, 0.4), (50, 6), (0, 6)], "no room for a centre hole"),
        ([(0, 3), (60, 3), (60, 6), (0, 6)], None),
        ([(0, 40), (60, 40), (60, 50), (0, 50)], "too wide for a centre"),
    ],
)
def test_room_for_a_centre(points, reason):
    said = no_centre(drawn_profile(points), "high")
    assert (said is None) is (reason is None)
    assert reason is None or reason in said


def test_usual_centre_holes():
    """Form A of ISO 6411 as recalled: 2.5 x 5.30 for work of 25 to 40 mm."""
    assert centre_hole_mm(30.0).value == pytest.approx(5.30)
    assert centre_hole_mm(3.0).value == pytest.approx(1.06)


def test_a_centre_that_may_not_stay_gives_no_support():
    rod = drawn_profile([(0, 0), (60, 0), (60, 5), (0, 5)])
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 12.0, 15.0)
    turning = (Operation("turn", ("S3",), "turn"),)

    def support(lathe, intent=None):
        return support_of(ToCarry(rod, "low", grip, turning, lathe, intent)).support

    assert support(LATHE) == "tailstock"
    assert support(replace(LATHE, tailstock=False)) == "none"
    assert support(None) == "none"
    assert support(LATHE, Intent(centre_holes=())) == "none"
    assert support(LATHE, Intent(centre_holes=("high",))) == "tailstock"


def test_related_surfaces_wait_for_the_chucking_that_cuts_them_all():
    groups = [Group("seats", frozenset({"A", "B"}), 0.02)]
    cut = [frozenset({"A", "C"}), frozenset({"A", "B", "C"})]
    assert shared_out(cut, groups, [(), ("D",)]) == [{"C"}, {"A", "B"}]
    # unless the later one holds one of them
    assert shared_out(cut, groups, [(), ("A",)]) == [{"A", "C"}, {"B"}]
    (split,) = rechucked(groups, [{"A", "C"}, {"B"}], [CHUCK, CHUCK])
    assert split.setups == (1, 2)
    assert split.mismatch.value == pytest.approx(0.10)
    (whole,) = rechucked(groups, [{"C"}, {"A", "B"}], [CHUCK, CHUCK])
    assert whole.mismatch is None
    assert whole.holds


def test_each_further_chucking_adds_its_own_run_out():
    groups = [Group("seats", frozenset({"A", "B"}), 0.25)]
    (one,) = rechucked(groups, [{"A"}, {"C"}, {"B"}], [CHUCK, CHUCK, CHUCK])
    assert one.setups == (1, 3)
    assert one.mismatch.value == pytest.approx(0.20)


def test_a_pin_in_a_collet_when_there_is_one():
    """Bar 20 fits ER32: gentler than jaws, and its stub is the 27 mm that the collet holds."""
    slim = [(z, min(r, 9)) for z, r in PIN]
    shop = replace(starter_shop(), holdings=(ER32, CHUCK))
    part = drawn_part(slim)
    stock = choose_stock(part.profile, shop)
    reach = reach_of(part.profile, shop.tools)
    made = plan_of(part, reach, find_lands(part), stock, shop).plan
    assert stock.choice.stub_mm == pytest.approx(29.0)
    assert made.setups[0].grip.length_mm == pytest.approx(27.0)


def tapped_circle(z_mm, through=False, count=4):
    numbers = {"circle_diameter_mm": 40.0, "hole_diameter_mm": 6.0, "count": count}
    numbers |= {"direction": "axial", "through": through}
    return Departure("D1", "bolt-circle", (9,), 100.0, z_mm, numbers)


@pytest.mark.parametrize(("kind", "holes"), [("bolt-arbor", (5.0, 12.0)), ("glued-arbor", None)])
def test_an_arbor_is_the_last_resort(kind, holes):
    """A dished disc without a land: nothing parts it off, no jaw holds it; its end face does."""
    points = [(0, 0), (12, 0), (12, 30), (6, 36), (2, 30), (2, 25), (0, 25)]
    arbor = BOLTS if kind == "bolt-arbor" else GLUE
    tools = tuple(t for t in starter_shop().tools if t.kind == "turning")
    shop = replace(starter_shop(), tools=tools, holdings=(*starter_shop().holdings, arbor))
    part = drawn_part(points, (tapped_circle(holes),) if holes else ())
    report = walk(part, shop)
    assert [one.grip.kind for one in report.setups] == ["raw bar", arbor.name]
    assert report.setups[-1].toward_chuck == "high" or holes is None
    assert "indicator" in report.setups[-1].datum.why
    # it bends as a beam that is clamped at that face
    assert report.setups[-1].bending is not None or kind == "glued-arbor"  # it cuts no cylinder
    assert ("held-by-glue" in {f.rule for f in report.findings}) == (kind == "glued-arbor")
    assert "short-grip" not in {f.rule for f in report.findings}
    made = "drilled and tapped before setup 2, which is screwed to its arbor by it"
    assert (made in route_text(report, shop)) == (kind == "bolt-arbor")
    without = replace(shop, holdings=starter_shop().holdings)
    (told,) = [f for f in walk(part, without).findings if f.rule == "no-land-to-grip"]
    assert f"list a {kind}" in told.message


def test_what_screws_hold_and_what_their_heads_cover():
    """Heads as high as the hole is wide (ISO 4762: the head of M6 is 6 high), 2 mm clear."""
    points = [(0, 0), (20, 0), (20, 10), (6, 10), (6, 30), (0, 30)]
    profile = drawn_profile(points)
    (way,) = ways_to_screw(profile, (tapped_circle((0.0, 6.0), through=True),), "low")
    assert way == Screwed(40.0, 6.0, 6.0)
    held = held_on_face(profile, "low", BOLTS, 30.0, way)
    assert covered(held, 13.9, 20.0)
    assert covered(held, 7.0, 12.1)
    assert covered(held, 7.0, 27.9)
    assert not covered(held, 14.1, 20.0)
    assert not covered(held, 7.0, 11.9)
    assert covered(held, -1.0, 29.9)
    # from the other end the holes open on the flange, not in the end face
    assert not list(ways_to_screw(profile, (tapped_circle((0.0, 6.0), through=True),), "high"))
    # heads on the free end's face would cover what is still to be faced
    plate = drawn_profile([(0, 0), (6, 0), (6, 30), (0, 30)])
    assert not list(ways_to_screw(plate, (tapped_circle((0.0, 6.0), through=True),), "low"))
    # a blind hole holds by a thread of its diameter's depth, no less
    assert list(ways_to_screw(plate, (tapped_circle((0.0, 6.0)),), "low"))
    assert not list(ways_to_screw(plate, (tapped_circle((0.0, 5.9)),), "low"))
    # nor do two screws, or a circle of less than half the part's diameter or length (practice)
    assert not list(ways_to_screw(plate, (tapped_circle((0.0, 6.0), count=2),), "low"))
    wide = drawn_profile([(0, 0), (10, 0), (10, 40.1), (0, 40.1)])
    long = drawn_profile([(0, 0), (80.1, 0), (80.1, 30), (0, 30)])
    for other in (wide, long):
        assert not list(ways_to_screw(other, (tapped_circle((0.0, 8.0)),), "low"))
    # and a hole that breaks out of the face's rim seats nowhere
    slim = drawn_profile([(0, 0), (20, 0), (20, 22), (0, 22)])
    assert not list(ways_to_screw(slim, (tapped_circle((0.0, 6.0)),), "low"))


def test_glue_wants_a_broad_face():
    """Half the largest diameter at least (common practice, no source)."""

    def dish(r):
        return drawn_profile([(0, 0), (12, 0), (12, 30), (6, 36), (0, r)])

    shop = drawn_shop(holdings=(CHUCK, GLUE))
    (held,) = held_on_faces(dish(18.0), (), shop, "low")
    assert held.grip == Grip("glue", "inner", (0.0, 0.0), 36.0, 0.0)
    assert not list(held_on_faces(dish(17.9), (), shop, "low"))


def test_the_starter_shops_further_holdings_are_sound_and_go_before_hard_jaws(tmp_path):
    """Uncommented: finished ⌀44 of a part bored from both ends is held in soft jaws (practice)."""
    text = starter_shop_text()
    begin = text.index("# More holdings")
    end = text.index("# ------", begin)
    shown = [line[2:] for line in text[begin:end].splitlines() if line.startswith("# ")]
    tables = [line for line in shown if line.startswith("[[") or " = " in line.split("#")[0]]
    file = tmp_path / "shop.toml"
    file.write_text(text[:begin] + "\n".join(tables) + "\n" + text[end:])
    shop = load_shop(file)
    kinds = [holding.kind for holding in shop.holdings]
    assert kinds[-6:] == [
        "soft-jaws",
        "mandrel",
        "four-jaw",
        "between-centres",
        "bolt-arbor",
        "glued-arbor",
    ]
    both = [(0, 14), (15, 14), (15, 10), (45, 10), (45, 14), (60, 14), (60, 22), (0, 22)]
    part = drawn_part(both)
    reach = reach_of(part.profile, shop.tools)
    made = plan_of(part, reach, find_lands(part), choose_stock(part.profile, shop), shop).plan
    assert made.setups[-1].grip.kind == "soft jaws 160"
    assert "within 0.03 mm" in made.setups[-1].datum.why
