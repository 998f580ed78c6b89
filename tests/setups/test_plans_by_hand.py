"""Drawn parts with the plan that a machinist would write, by hand, beside each.

The plans were written from the drawings, with the starter shop's tools and chucks at hand.
"""

from dataclasses import dataclass, field, replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, NoGrip, Related, Tolerance
from turnability.intent.settle import settled
from turnability.part.model import Departure
from turnability.reach.compute import reach_of
from turnability.rules import short_grip
from turnability.rules.drawn import CHUCK, drawn_part, drawn_view
from turnability.setups.bending.bend import with_bending
from turnability.setups.document import plan_document
from turnability.setups.effort.lathes import lathes_of
from turnability.setups.holding.lands import find_lands
from turnability.setups.model import Datum, Grip, Setup
from turnability.setups.plan import plan_of
from turnability.shop.load import starter_shop
from turnability.shop.model import Holding
from turnability.stock.choose import choose_stock

STARTER = starter_shop()
# sharp corners would stay by the nose radius; that is no matter of holding
RIGHT = replace(STARTER, tools=tuple(t for t in STARTER.tools if t.name == "rough right"))
"""One tool of 80°, which follows no slope that falls toward the chuck."""
MANDREL = Holding("mandrel", "mandrel", None, (8.0, 60.0), 15.0, 0.5, 2.0)
CENTRES = Holding("centres", "between-centres", (5.0, 80.0), None, 8.0, 0.0, 2.0)


def plan(points, shop=STARTER, departures=(), intent=None):
    part = drawn_part(points, departures=departures)
    meant = None if intent is None else settled(intent, part, False)
    reach = reach_of(part.profile, shop.tools)
    stock = choose_stock(part.profile, shop)
    lands = find_lands(part, () if meant is None else meant.ungripped)
    return plan_of(part, reach, lands, stock, shop, meant).plan


@dataclass
class ByHand:
    """What the machinist wrote: setups, what holds each, what must be done in which."""

    points: list
    setups: int
    grips: tuple = ("raw bar",)
    toward: tuple | None = None
    support: tuple | None = None
    together: tuple = ()
    kinds: tuple = ()
    last: str | None = None
    departures: tuple = ()
    intent: Intent | None = None
    diameters: tuple = field(default_factory=tuple)
    steps: tuple = ()
    outside: tuple = ()


def related(*pairs, run_out=None):
    places = tuple(Named(diameter_mm=(d, d), z_mm=z) for d, z in pairs)
    return Intent(related=(Related("true", places, run_out),))


PARTS = {
    # 15 x 25 journals at both ends of a 20 x 200 shaft, true within 0.02: all from bar in one
    # chucking on the centre, the low journal by the left-hand tool; sawn off, as 10.7 diameters
    # would hang free of a parting blade, turned round, drawn in by the ⌀20 and faced
    "a long journal shaft": ByHand(
        [(0, 0), (200, 0), (200, 7.5), (175, 7.5), (175, 10), (25, 10), (25, 7.5), (0, 7.5)],
        2,
        grips=("raw bar", "collets ER32"),
        support=("tailstock", "none"),
        together=(("S3", "S7"),),
        last="face",
        intent=related((15.0, (176.0, 199.0)), (15.0, (1.0, 24.0)), run_out=0.02),
    ),
    # nothing to grip: turned from bar and parted off
    "a double cone without a land": ByHand(
        [(0, 0), (40, 0), (40, 6), (20, 10), (0, 6)], 1, together=(("S3", "S4"),), last="part off"
    ),
    # the neck is cut after the outside, while the bar is stiff
    "a head behind a thin neck": ByHand(
        [(0, 0), (50, 0), (50, 15), (40, 15), (40, 5), (32, 5), (32, 10), (0, 10)],
        1,
        kinds=("turn", "groove", "part off"),
    ),
    # flange to the chuck: outside, drilled, bored, parted behind the flange
    "a flanged tube": ByHand(
        [(0, 15), (58, 15), (58, 20), (8, 20), (8, 24), (0, 24)],
        1,
        toward=("low",),
        kinds=("face", "turn", "drill", "bore", "part off"),
        together=(("S1", "S3"),),
    ),
    # inside and outside true to one another: one chucking, before it is parted off
    "a thin bush": ByHand(
        [(0, 13), (20, 13), (20, 15), (0, 15)],
        1,
        # what runs true is finished when the core is out: drilling warms and shifts the work
        kinds=("face", "rough", "drill", "bore", "turn", "part off"),
        together=(("S1", "S3"),),
        intent=related((26.0, (1.0, 19.0)), (30.0, (1.0, 19.0)), run_out=0.02),
    ),
    # the bore off the axis is another job (four-jaw, set over); the outside is turned from bar
    "an eccentric bore": ByHand(
        [(0, 0), (25, 0), (25, 20), (0, 20)],
        1,
        kinds=("face", "turn", "part off"),
        departures=(
            Departure("D1", "eccentric", (9,), 1000.0, (0.0, 25.0), {"offset_mm": 4.0}),
        ),
    ),
    # bored from either end to a wall between: turned round once, held on the outside; 44 and its
    # 1.27 mm of allowance are more than bar 45 holds
    "counterbores in both ends": ByHand(
        [(0, 14), (15, 14), (15, 10), (45, 10), (45, 14), (60, 14), (60, 22), (0, 22)],
        2,
        grips=("raw bar", "three-jaw 160"),
        diameters=(50.0, 44.0),
    ),
    # thicker than any blade parts: sawn, turned round, held on what was turned, faced
    "a disc": ByHand(
        [(0, 0), (30, 0), (30, 60), (0, 60)],
        2,
        grips=("raw bar", "three-jaw 160"),
        last="face",
        diameters=(130.0, 120.0),
    ),
    # slender with a plane end: turned on the centre, sawn off as 7.5 diameters would hang free,
    # turned round and drawn in, faced
    "a slender pin": ByHand(
        [(0, 0), (90, 0), (90, 6), (0, 6)],
        2,
        grips=("raw bar", "collets ER32"),
        support=("tailstock", "none"),
        last="face",
    ),
    # the same where no centre hole may stay
    "a slender pin without centre holes": ByHand(
        [(0, 0), (90, 0), (90, 6), (0, 6)],
        2,
        grips=("raw bar", "collets ER32"),
        support=("none", "none"),
        intent=Intent(centre_holes=()),
    ),
    # slender and bored at its free end: faced and centre-drilled, turned on the centre, then that
    # is taken away and the end drilled and bored, with a steady on what was turned
    "a long spindle bored at its end": ByHand(
        [(0, 0), (190, 0), (190, 8.5), (220, 8.5), (220, 12), (120, 12), (120, 15), (0, 15)],
        2,
        grips=("raw bar", "three-jaw 160"),
        toward=("low", "high"),
        support=("tailstock", "none"),
        steps=(
            ("face", "none"),
            ("turn", "tailstock"),
            ("drill", "steady"),
            ("bore", "steady"),
        ),
        last="face",
    ),
    # closed at the low end, parted off there
    "a cap with a blind bore": ByHand(
        [(0, 0), (6, 0), (6, 12), (30, 12), (30, 17), (0, 17)],
        1,
        toward=("low",),
        kinds=("face", "turn", "drill", "bore", "part off"),
    ),
    # flange between two hubs: 25 mm behind a flange are not sunk into beside the bar. One hub and
    # the bore first, then turned round on that hub for the other; thick bar is sawn to length
    "a flange between hubs": ByHand(
        [(0, 8), (52, 8), (52, 15), (30, 15), (30, 40), (20, 40), (20, 15), (0, 15)],
        2,
        grips=("raw piece", "three-jaw 160"),
        toward=("low", "high"),
        kinds=("face", "turn", "drill", "bore"),
        together=(("S1", "S3"),),
        diameters=(90.0, 30.0),
        outside=("rough right",),
    ),
    # the same in small, from bar: 5 mm behind its collar are no matter, one chucking
    "a small flange between hubs": ByHand(
        [(0, 0), (26, 0), (26, 5), (15, 5), (15, 10), (10, 10), (10, 5), (0, 5)], 1, last="part off"
    ),
    # collar in the middle: the left-hand tool comes behind it, one chucking
    "a collar on a shaft": ByHand(
        [(0, 0), (60, 0), (60, 8), (34, 8), (34, 14), (26, 14), (26, 8), (0, 8)],
        1,
        together=(("S3", "S5", "S7"),),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PARTS)
def test_the_plan_is_the_machinists(name):
    by_hand = PARTS[name]
    made = plan(by_hand.points, departures=by_hand.departures, intent=by_hand.intent)
    setups = made.setups
    assert len(setups) == by_hand.setups
    assert tuple(s.grip.kind for s in setups) == by_hand.grips
    if by_hand.toward:
        assert tuple(s.toward_chuck for s in setups) == by_hand.toward
    if by_hand.support:
        assert tuple(s.support for s in setups) == by_hand.support
    if by_hand.steps:
        done = [(o.kind, o.support) for s in setups for o in s.operations]
        assert [step for step in dict.fromkeys(done) if step in by_hand.steps] == [*by_hand.steps]
    if by_hand.diameters:
        assert tuple(s.grip.diameter_mm for s in setups) == by_hand.diameters
    done = [{s for o in setup.operations for s in o.segments} for setup in setups]
    for group in by_hand.together:
        assert any(set(group) <= names for names in done)
    kinds = [o.kind for o in setups[0].operations]
    if by_hand.kinds:
        assert [k for k in dict.fromkeys(kinds) if k in by_hand.kinds] == list(by_hand.kinds)
    if by_hand.outside:
        kinds = ("face", "rough", "turn", "groove")
        used = {o.tool for s in setups for o in s.operations if o.kind in kinds}
        assert used == set(by_hand.outside)
    if by_hand.last:
        assert setups[-1].operations[-1].kind == by_hand.last
    assert made.in_the_way is None
    assert not any("jaws" in left.causes for left in setups[-1].left)
    assert all(one.holds for one in made.rechucked)
    if len(setups) > 1:
        assert made.runner_up is not None


@pytest.mark.parametrize(("mirrored", "toward"), [(False, "low"), (True, "high")])
def test_a_flank_that_one_direction_reaches(mirrored, toward):
    """A 40° flank looks to one end; with one right-hand tool of 80° that end must be free.

    By hand: whichever setup cuts it holds the other end. Nothing parts it off, so there are two.
    """
    rise = 8.0 / 1.1917535925942098  # 10 mm of r at 50° to the axis: tan 50°
    points = [(0, 0), (30, 0), (30, 4), (20, 4), (20 - rise, 12), (0, 12)]
    if mirrored:
        points = [(30 - z, r) for z, r in reversed(points)]
    flank = "S4" if mirrored else "S5"
    setups = plan(points, RIGHT).setups
    assert [s.toward_chuck for s in setups if flank in _cut(s)] == [toward]


def _cut(setup):
    return {s for o in setup.operations for s in o.segments}


BOTH = [(0, 14), (15, 14), (15, 10), (45, 10), (45, 14), (60, 14), (60, 22), (0, 22)]


def seats(limit):
    """The two seats of 28 mm true to one another."""
    return related((28.0, (1.0, 14.0)), (28.0, (46.0, 59.0)), run_out=limit)


def test_seats_at_both_ends_cost_a_chucking():
    """By hand: the far seat is bored after the part is turned round, so it is off by the jaws.

    Starter's three-jaw: 0.10 mm (common practice). Within 0.2 that is true enough.
    """
    fine, wide = (plan(BOTH, intent=seats(limit)).rechucked[0] for limit in (0.02, 0.2))
    assert fine.setups == (1, 2)
    assert fine.mismatch.value == pytest.approx(0.10)
    assert not fine.holds
    assert wide.holds
    assert not plan(BOTH, intent=seats(None)).rechucked[0].holds


def test_seats_are_held_by_what_is_true_enough_before_what_is_gentler():
    """By hand: soft jaws repeat within 0.03 mm, independent ones are set by a dial (0.01)."""
    soft = replace(CHUCK, name="soft", kind="soft-jaws", runout=None)
    four = replace(CHUCK, name="four-jaw", kind="four-jaw", runout=None)
    shop = replace(STARTER, holdings=(CHUCK, soft, four))
    true, near = (plan(BOTH, shop, intent=seats(limit)) for limit in (0.02, 0.03))
    assert true.setups[1].grip.kind == "four-jaw"
    assert true.rechucked[0].holds
    assert near.setups[1].grip.kind == "soft"


def test_a_close_seat_waits_for_the_end_from_which_a_bar_bores_it():
    """By hand: ⌀22 N7 at both ends of a ⌀18 roller, each bored to its shoulder from its own end.

    An inside blade gets at the far seat and its shoulder too: it finishes neither (practice).
    """
    roller = [(0, 11), (7, 11), (7, 9), (43, 9), (43, 11), (50, 11), (50, 30), (0, 30)]
    # IT7 of 22 mm is 0.021 (ISO 286-1)
    fits = Tolerance(
        "diameter", Named(diameter_mm=(22.0, 22.0)), "N7", width_mm=0.021, nominal_mm=22.0
    )
    true = related((22.0, (0.0, 7.0)), (22.0, (43.0, 50.0)), run_out=0.05)
    first, second = plan(roller, intent=replace(true, tolerances=(fits,))).setups
    ends = {"low": {"S1", "S2"}, "high": {"S4", "S5"}}
    for setup in (first, second):
        # what is done from here is the free end's
        done = {(o.kind, s) for o in setup.operations for s in o.segments if o.kind != "rough"}
        far = ends["high" if setup.toward_chuck == "low" else "low"]
        assert {s for kind, s in done if kind == "bore"} >= far
        assert not {s for _, s in done} & ends[setup.toward_chuck]


def test_a_mandrel_holds_the_bore_and_frees_the_outside():
    """By hand: a pulley bored first, then on a mandrel for rims that both face the chuck.

    Common practice, recalled: an expanding mandrel repeats within 0.01 mm.
    """
    points = [(0, 8), (30, 8), (30, 20), (0, 20)]
    shop = replace(
        STARTER,
        holdings=(*(h for h in STARTER.holdings if h.kind == "three-jaw"), MANDREL),
        tools=tuple(t for t in STARTER.tools if "part" not in t.kind and "groov" not in t.kind),
    )
    # nothing parts it off, and jaws may not touch its outside
    keep = Intent(no_grip=(NoGrip(Named(diameter_mm=(40.0, 40.0))),))
    _, second = plan(points, shop, intent=keep).setups
    assert (second.grip.kind, second.grip.surface) == ("mandrel", "inner")
    assert second.grip.diameter_mm == pytest.approx(16.0)
    assert "0.01 mm" in second.datum.why
    assert ("face", "S4") in {(o.kind, s) for o in second.operations for s in o.segments}


JOURNALS = related((25.0, (141.0, 239.0)), (25.0, (1.0, 99.0)), run_out=0.015)
SHAFT = [
    (0, 0), (240, 0), (240, 12.5), (140, 12.5), (140, 30), (100, 30), (100, 12.5), (0, 12.5)
]  # fmt: skip


@pytest.mark.parametrize("mirrored", [False, True])
def test_journals_on_either_side_of_a_collar_are_turned_end_for_end_between_centres(mirrored):
    """By hand: ⌀25 journals 100 long on both sides of a ⌀60 collar, true within 0.015 mm.

    Nobody sinks 17 mm deep behind a collar. Bar in the chuck: one end faced and centred, the collar
    turned; turned round on the collar, the other end faced and centred. Then between centres: the
    one journal finished with the dog on the other, and end for end, the dog on the finished one.
    Chucking between the same centres again repeats within 0.01 mm (common practice, recalled).
    """
    shop = replace(STARTER, holdings=(*STARTER.holdings, CENTRES))
    points, toward = SHAFT, ["low", "high", "low", "high"]
    made = plan(points, shop, intent=JOURNALS)
    if mirrored:  # the shaft is its own mirror: a longer journal makes it another part
        points = [(z if z <= 140 else z + 20, r) for z, r in SHAFT]
        points = [(260 - z, r) for z, r in reversed(points)]
        true = related((25.0, (1.0, 119.0)), (25.0, (161.0, 259.0)), run_out=0.015)
        made = plan(points, shop, intent=true)
    kinds = [s.grip.kind for s in made.setups]
    assert kinds == ["raw bar", "three-jaw 160", "centres", "centres"]
    assert [s.grip.diameter_mm for s in made.setups[1:]] == [60.0, 25.0, 25.0]
    ends = [s.toward_chuck for s in made.setups]
    assert ends in (toward, toward[::-1])
    (one,) = made.rechucked
    assert one.setups == (3, 4)
    assert one.mismatch.value == pytest.approx(0.01)
    assert one.holds
    journals = [_cut(s) for s in made.setups[2:]]
    assert sorted(map(sorted, journals)) == [["S3"], ["S7"]]
    assert "soft" not in made.setups[2].datum.why
    assert "something soft under it" in made.setups[3].datum.why
    assert not any("jaws" in left.causes for left in made.setups[-1].left)
    # without centres in the shop it is what one chucking makes, true but for the depth
    alone, *_ = plan(SHAFT, intent=JOURNALS).setups
    assert alone.support == "tailstock"


def test_a_shop_of_one_right_hand_tool_turns_journals_between_centres():
    """By hand: 15 mm journals at both ends of a ⌀20 shaft, and no tool that gets behind the middle:
    a collet repeats within 0.02, which is not enough for 0.015; the centres' 0.01 is."""
    shop = replace(RIGHT, holdings=(*STARTER.holdings, CENTRES))
    points = PARTS["a long journal shaft"].points
    ends = ((15.0, (176.0, 199.0)), (15.0, (1.0, 24.0)))
    fine = plan(points, shop, intent=related(*ends, run_out=0.015))
    assert [s.grip.kind for s in fine.setups[2:]] == ["centres", "centres"]
    assert fine.rechucked[0].holds
    coarse = plan(points, shop, intent=related(*ends, run_out=0.02))
    assert [s.grip.kind for s in coarse.setups] == ["raw bar", "collets ER32"]
    assert coarse.rechucked[0].holds


def test_what_stands_in_the_way_and_the_smallest_change():
    """A double cone that nothing parts off: by hand, it wants a land."""
    made = plan([(0, 0), (40, 0), (40, 6), (31, 6), (20, 14), (0, 6)], RIGHT)
    assert made.in_the_way is not None
    # 9 mm of 12 are there: 10 are asked for, and 2 that tools stay clear of jaws
    assert "add 3 mm of straight land to the ⌀12 mm" in made.in_the_way.change


@pytest.mark.parametrize(
    ("more", "kind", "reason"),
    [
        ((), "three-jaw 160", "copper or brass under them"),
        (
            (Holding("soft", "soft-jaws", (15.0, 150.0), None, 8.0, 0.25, 2.0),),
            "soft",
            "soft jaws bored to it leave what is finished unmarked",
        ),
    ],
)
def test_what_is_finished_is_held_in_soft_jaws_where_the_shop_has_them(more, kind, reason):
    """By hand: counterbored from both ends, turned round on the finished ⌀44."""
    made = plan(BOTH, replace(STARTER, holdings=(*STARTER.holdings, *more)))
    assert made.setups[1].grip.kind == kind
    assert reason in made.setups[1].datum.why


def test_four_jaws_do_where_a_shop_has_no_others():
    four = Holding("four-jaw", "four-jaw", (10.0, 200.0), None, 10.0, 0.5, 2.0)
    made = plan(BOTH, replace(STARTER, holdings=(four,)))
    assert [s.grip.kind for s in made.setups] == ["raw bar", "four-jaw"]


def test_the_runner_up_is_held_otherwise():
    made = plan(BOTH)
    assert made.runner_up is not None
    assert [s.grip for s in made.runner_up.setups] != [s.grip for s in made.setups]
    assert made.runner_up.why


SPINDLE = PARTS["a long spindle bored at its end"].points


def machines(tailstock=True, steady=True):
    return tuple(replace(m, tailstock=tailstock, steady=steady) for m in STARTER.machines)


def test_why_a_plan_lost_that_sinks_a_tool_deep():
    """By hand: the end cap is held by its flange; the other way 11 mm behind that are sunk into."""
    cap = [(0, 0), (30, 0), (30, 14), (10, 14), (10, 25), (0, 25)]
    made = plan(cap)
    assert [s.toward_chuck for s in made.setups] == ["low"]
    assert made.runner_up.why == (
        "it sinks a tool deeper than 10 mm into the full beside the chuck, where one comes in from "
        "the other end"
    )
    # 9 mm are sunk into where it must be, and only take longer
    lower = [(z, min(r, 23)) for z, r in cap]
    assert "min more a piece" in plan(lower).runner_up.why


def test_a_somewhat_short_grip_wins_over_a_deep_plunge():
    """By hand: a flange ⌀120 with a hub ⌀60 x 25, bored 20, is turned from the hub's side, sawn
    off, turned round and held by the 23 mm of hub that the jaws get at: nobody sinks a blade 30 mm
    beside the chuck because the jaws would like 30 mm of it."""
    flange = [(0, 10), (0, 60), (10, 60), (10, 30), (35, 30), (35, 10)]
    made = plan(flange)
    first, second = made.setups
    assert (first.toward_chuck, second.toward_chuck) == ("low", "high")
    assert not any(o.kind == "groove" for s in made.setups for o in s.operations)
    assert (second.grip.diameter_mm, second.grip.z_mm) == (60.0, pytest.approx((12.0, 35.0)))
    assert made.runner_up.why.startswith("it sinks a tool deeper than 10 mm")


def test_a_long_end_goes_into_the_spindle_and_is_held_near_the_work():
    """By hand: turned round, the ⌀24 x 80 is held just behind the flange, its rest in the spindle:
    then 72 mm of ⌀30 and more stand out. Held at its far end 126 mm would, on the centre."""
    shaft = [(0, 0), (0, 12), (80, 12), (80, 30), (90, 30), (90, 15), (150, 15), (150, 0)]
    _, second = plan(shaft[::-1]).setups
    assert (second.toward_chuck, second.support) == ("low", "none")
    assert second.grip.z_mm == pytest.approx((54.0, 78.0))
    assert "against a stop in the spindle by the end face cut before" in second.datum.why
    # where no spindle lets ⌀24 in, the hole through the chuck takes 54 mm all the same, and not 124
    narrow = tuple(replace(m, spindle_bore_mm=20.0, bar_capacity_mm=None) for m in STARTER.machines)
    _, second = plan(shaft[::-1], replace(STARTER, machines=narrow)).setups
    assert second.grip.z_mm == pytest.approx((54.0, 78.0))
    # what is longer is held at its far end, on the tailstock
    longer = [(z + 70 if z else 0, r) for z, r in shaft]
    _, second = plan(longer[::-1], replace(STARTER, machines=narrow)).setups
    assert (second.grip.z_mm, second.support) == (pytest.approx((0.0, 24.0)), "tailstock")


def test_jaws_end_short_of_a_face_that_is_turned_beside_them():
    """By hand: of a flange 15 wide 13 are held, so that tools keep their 2 mm off."""
    hub = [(0, 10), (0, 30), (25, 30), (25, 60), (40, 60), (40, 25), (60, 25), (60, 10)]
    _, second = plan(hub[::-1]).setups
    assert second.grip.z_mm == pytest.approx((25.0, 38.0))
    turned = {s for o in second.operations if o.kind == "turn" for s in o.segments}
    assert {
        s.id for s in drawn_part(hub[::-1]).profile.segments if s.curve.start[0] == 40.0
    } & turned


def test_the_rest_of_a_long_bore_is_told_however_little_it_is():
    """By hand: ⌀60 x 100; 80 mm of the bar stand out (4 diameters of 20), so 20 mm are left to the
    other end: they are bored there, with no jaws in that bore, and what must run true to it is
    split over both setups."""
    meant = related((60.0, (1.0, 99.0)), (90.0, (1.0, 99.0)), run_out=0.02)
    made = plan([(0, 30), (100, 30), (100, 45), (0, 45)], intent=meant)
    for setup in made.setups:
        assert [o.tool for o in setup.operations if "S1" in o.segments] == ["bore 20"]
    assert made.setups[1].grip.surface == "outer"
    assert [(one.setups, one.holds) for one in made.rechucked] == [((1, 2), False)]


NIPPLE = [(0, 6.35), (50, 6.35), (50, 11), (34, 13), (32, 11), (16, 13), (14, 11), (0, 13)]
"""Barbs all along: nothing is held of it; no drill has ⌀12.7, a bar of 8 stands out by 32."""


def test_a_bore_too_long_for_its_bar_is_not_laid_to_the_jaws():
    """By hand: the bar of 8 stands out by 32 (4 of its diameters), the bore is 50 deep, and nothing
    of the barbs is held to bore the rest from the other end: a longer bar does it from one."""
    left = plan(NIPPLE).setups[-1].left
    assert ("bar-length", "jaws") in {one.causes for one in left if "S1" in one.segments}
    # a bore that the bar does reach through is not told so
    short = [(z * 0.6, r) for z, r in NIPPLE]
    left = plan(short).setups[-1].left
    assert not any("bar-length" in one.causes for one in left)


def test_a_groove_is_cut_in_one_chucking():
    """By hand: a pulley's V is cut while its bar is held, both flanks and the floor, and the back
    is faced when it is turned round. Half of it from either end would save a little of the bar."""
    pulley = [(0, 10), (0, 18), (4, 18), (4, 40), (8, 40), (13, 28), (19, 28), (24, 40), (28, 40),
              (28, 18), (32, 18), (32, 10)]  # fmt: skip
    made = plan(pulley[::-1])
    done = [{s for o in t.operations for s in o.segments} for t in made.setups]
    profile = drawn_part(pulley[::-1]).profile
    outer = [s for s in profile.segments if s.surface == "outer"]
    flanks = {s.id for s in outer if all(8.0 <= p[0] <= 24.0 for p in (s.curve.start, s.curve.end))}
    assert len(flanks) == 3
    assert flanks <= done[0]
    assert not flanks & done[1]
    assert not any(o.kind == "groove" for o in made.setups[1].operations)


def test_a_bore_too_long_for_the_bars_is_bored_from_both_ends_as_far_as_they_go():
    """By hand: 80 mm of the thickest bar stand out: of ⌀40 x 178 it bores 80 from either end, and
    18 in the middle stay, which is said."""
    made = plan([(0, 20), (178, 20), (178, 30), (0, 30)])
    for setup in made.setups:
        assert [o.tool for o in setup.operations if "S1" in o.segments] == ["bore 20"]
    assert ("S1",) in [left.segments for left in made.setups[-1].left]


def test_the_plan_is_made_for_a_lathe_that_lets_the_part_into_its_spindle():
    """By hand: a venturi of ⌀34 between flanges of ⌀50 is turned round and goes into the spindle
    with ⌀50, which the bench's 25 does not take: the other lathe it is."""
    venturi = [(0, 12), (15, 12), (35, 6), (45, 6), (95, 12), (110, 12), (110, 25), (100, 25),
               (100, 17), (10, 17), (10, 25), (0, 25)]  # fmt: skip
    made = plan(venturi)
    assert made.setups[1].grip.diameter_mm == 50.0
    assert made.lathe == "turning centre"
    judged = lathes_of(drawn_part(venturi).profile, None, made.setups, STARTER)
    assert ["into it with ⌀50" in " ".join(one.stops) for one in judged] == [True, False]


def test_a_steady_carries_what_takes_no_centre():
    """By hand: without a tailstock the seat for the steady is turned first, light, by the chuck
    alone; the rest is turned, and the end drilled and bored, with the steady on it."""
    only, _ = plan(SPINDLE, replace(STARTER, machines=machines(tailstock=False))).setups
    assert only.support == "steady"
    # the ⌀24 that carries it ends at the free end
    assert only.steady_z_mm == (210.0, 220.0)
    turned = [(o.support, o.segments) for o in only.operations if o.kind == "turn"]
    assert turned[0][0] == "none"
    assert {o.support for o in only.operations if o.kind in ("drill", "bore")} == {"steady"}
    assert [support for support, _ in turned] == ["none", "steady"]
    # the cylinder of the pads alone is cut on both sides of them
    assert len(set(turned[0][1]) & set(turned[1][1])) == 1


def test_the_bulk_is_roughed_before_a_steady_is_set():
    """By hand: a plumb bob comes to a point, which takes no centre. Its outside is roughed by the
    sturdy corner first; the pointed one finishes, the steady set on the cylinder it has turned."""
    bob = [(0, 0), (85, 0), (85, 4), (75, 4), (75, 6), (70, 6), (60, 14), (40, 14)]
    (only,) = plan(bob).setups
    assert only.support == "steady"
    first = only.operations[0]
    assert (first.kind, first.tool, first.support) == ("rough", "rough right", "none")


def test_without_a_steady_the_end_is_bored_from_the_chuck_alone():
    only, _ = plan(SPINDLE, replace(STARTER, machines=machines(steady=False))).setups
    assert only.support == "tailstock"
    assert only.steady_z_mm is None
    assert {o.support for o in only.operations if o.kind in ("drill", "bore")} == {"none"}


def test_a_centre_goes_into_an_end_that_is_bored_wider_afterwards():
    """⌀80 bored out at the end is no seat for a 60° centre (60 mm at most, from memory), but the
    end is solid while it is turned."""
    wide = [(0, 0), (450, 0), (450, 40), (470, 40), (470, 45), (0, 45)]
    (first, *_) = plan(wide).setups
    assert first.support == "tailstock"


# ⌀110 flange 40 long on a ⌀80 hub, counterbored from both ends: nothing finishes it in one chucking
BOTH_ENDS = [
    (0, 30), (10, 30), (10, 20), (60, 20), (60, 30), (80, 30), (80, 40), (40, 40), (40, 55), (0, 55)
]  # fmt: skip


def test_a_sawn_piece_is_held_on_its_own_end():
    """By hand: ⌀120 goes through no spindle here, so it is sawn to 82 mm, the part and 1 mm an end.

    The flange's end is chucked raw, up to 2 mm of its shoulder: hub, bore and the hub's end are
    finished. Turned round on the hub, the flange is turned, faced and counterbored.
    """
    made = plan(BOTH_ENDS)
    first, second = made.setups
    assert made.own_end
    assert (first.grip.kind, first.toward_chuck) == ("raw piece", "low")
    assert first.grip.z_mm == (-1.0, 38.0)
    assert second.grip.diameter_mm == 80.0
    flange, hub = ({"S9", "S10"}, {"S6", "S7", "S8"})
    assert hub <= _cut(first)
    assert flange <= _cut(second)
    assert "sawn piece" in first.datum.why
    assert made.runner_up.setups[0].grip.kind == "raw bar"
    assert made.runner_up.why == "it takes more of a bar"
    part = drawn_part(BOTH_ENDS)
    bar, sawn = (choose_stock(part.profile, STARTER, own_end=own).choice for own in (False, True))
    # behind the bar's part 3 mm of parting, 2 of stand-off, and a third of 82 + 3 + 2 mm gripped
    assert (bar.length_mm, bar.stub_mm) == (82.0 + 3.0 + 2.0 + 29.0, 31.0)
    assert (sawn.length_mm, sawn.stub_mm) == (82.0, 0.0)


def test_a_bar_that_goes_through_the_spindle_is_not_sawn():
    """At a third of the size it is fed through the spindle: its stub is lost once."""
    small = [(z / 3.0, r / 3.0) for z, r in BOTH_ENDS]
    assert plan(small).setups[0].grip.kind == "raw bar"


def test_no_outside_surface_is_left_with_a_line_to_save_stock():
    """A plain cylinder has no step at which jaws could end: it keeps its stub, and its outside."""
    plain = [(0, 25), (20, 25), (20, 20), (60, 20), (60, 25), (80, 25), (80, 45), (0, 45)]
    made = plan(plain)
    assert len(made.setups) == 2
    assert made.setups[0].grip.kind == "raw bar"


def only(*names, holdings=()):
    """The starter shop with these tools and its drills alone, and more holdings."""
    tools = tuple(t for t in STARTER.tools if t.name in names or t.kind == "drill")
    return replace(STARTER, tools=tools, holdings=(*STARTER.holdings, *holdings))


def test_a_neck_between_collars_is_not_left_by_the_jaws():
    """By hand: a right-hand tool of 80° cuts either wall from its own end, and leaves its slope on
    the floor between; what it leaves from one end stops it from the other. The jaws do nothing."""
    neck = [(0, 0), (90, 0), (90, 25), (60, 25), (60, 18), (30, 18), (30, 25), (0, 25)]
    made = plan(neck, only("rough right"))
    causes = {c for left in made.setups[-1].left for c in left.causes}
    assert "jaws" not in causes
    assert "hand" in causes
    assert "tools of either hand" in made.in_the_way.change
    # what a single chucking leaves is left because nothing holds it for another
    (alone,) = plan([(0, 0), (40, 0), (40, 6), (20, 14), (0, 6)], only("rough right")).setups
    assert {c for left in alone.left for c in left.causes} >= {"jaws"}
    # with the other hand in the same chucking nothing of it stays
    assert plan(neck, only("rough right", "rough left")).in_the_way is None


def test_a_seat_and_a_bore_from_the_other_end_are_true_on_a_mandrel():
    """By hand: no parting blade and no left-hand tool, so the rim behind the flange is turned after
    the part is turned round; where it must run true to the bore within 0.015 mm, on a mandrel in
    that bore, which repeats within 0.01 (common practice, recalled)."""
    hub = [(0, 8), (70, 8), (70, 15), (40, 15), (40, 25), (25, 25), (25, 15), (0, 15)]
    shop = only("rough right", "bore 12", "bore 8", holdings=(MANDREL,))
    true = related((16.0, (1.0, 69.0)), (30.0, (1.0, 24.0)), run_out=0.015)
    made = plan(hub, shop, intent=true)
    assert made.setups[-1].grip.kind == "mandrel"
    (one,) = made.rechucked
    assert one.holds
    assert one.mismatch is None or one.mismatch.value <= 0.015


@pytest.mark.parametrize("mirrored", [False, True])
def test_jaws_hold_the_stout_end_and_not_the_thin_wall(mirrored):
    """By hand: bored from both ends, it is chucked again on the ⌀50 with 15 mm of wall, though
    that is the smaller; on the ⌀60 with 3 mm three jaws would leave the bore lobed."""
    points = [
        (0, 14), (10, 14), (10, 10), (40, 10), (40, 27), (75, 27), (75, 30), (35, 30), (35, 25),
        (0, 25),
    ]  # fmt: skip
    if mirrored:
        points = [(75 - z, r) for z, r in reversed(points)]
    made = plan(points, only("rough right", "rough left", "bore 12", "bore 8", "bore 20"))
    assert made.setups[-1].grip.diameter_mm == 50.0
    assert made.in_the_way is None


def test_plain_shoulders_are_no_work_for_a_ring_groove_blade():
    """A sharp shoulder is faced by the tool that turns beside it; no nose makes its corner.

    Shoulders 2.5 high: a nose of 0.8 leaves 32 % of their height, the blade's 0.1 only 4 %.
    """
    stepped = [(0, 0), (60, 0), (60, 7.5), (45, 7.5), (45, 10), (30, 10), (30, 12.5), (0, 12.5)]
    (only,) = plan(stepped).setups
    done = [(o.kind, o.tool, o.segments) for o in only.operations]
    assert done == [
        ("face", "rough right", ("S2",)),
        ("turn", "rough right", ("S3", "S4", "S5", "S6", "S7")),
        ("part off", "part 3", ("S8",)),
    ]


def test_behind_a_steady_its_own_cylinder_is_turned_once_it_carries():
    """By hand: the free 10 mm of the ⌀24 by the chuck alone, the rest of it on the steady.

    Carried so it gives less than all of it would without.
    """
    setup = plan(SPINDLE, replace(STARTER, machines=machines(tailstock=False))).setups[0]
    turned = [o for o in setup.operations if o.kind == "turn"]
    (name,) = set(turned[0].segments) & set(turned[1].segments)
    part = drawn_part(SPINDLE)
    stock = choose_stock(part.profile, STARTER)
    (bent,) = with_bending(part, [setup], stock, STARTER)
    free, carried = (land for land in bent.bending.lands if name in land.segments)
    low, high = setup.steady_z_mm
    assert low <= free.worst[0] <= high
    assert carried.worst[0] <= low
    alone = replace(
        setup,
        support="none",
        steady_z_mm=None,
        operations=tuple(
            replace(o, support="none") for o in setup.operations if o is not turned[1]
        ),
    )
    (plain,) = with_bending(part, [alone], stock, STARTER)
    (whole,) = (land for land in plain.bending.lands if name in land.segments)
    assert carried.error_mm < whole.error_mm


@pytest.mark.parametrize(
    ("bore", "run_out", "level"),
    [(8.0, 0.05, "warning"), (8.0, None, "note"), (8.0, 0.3, None), (12.0, 0.05, None)],
)
def test_a_drilled_bore_is_not_true_for_being_done_in_one_chucking(bore, run_out, level):
    """By hand: the starter shop's slimmest bar bores from ⌀10; what is narrower is drilled, and a
    drill wanders some 0.1 mm off the axis (common practice, no source). A bar bores ⌀12 true."""
    intent = related((bore, (1.0, 19.0)), (30.0, (1.0, 19.0)), run_out=run_out)
    part = drawn_part([(0, bore / 2), (20, bore / 2), (20, 15), (0, 15)])
    report = walk(part, STARTER, intent=intent)
    (one,) = report.plan.rechucked
    assert one.setups == (1,)
    assert one.drilled == (("S1",) if bore == 8.0 else ())
    assert plan_document(report.plan)["related"][0]["drilled"] == one.drilled
    found = [f for f in report.findings if f.rule == "related-surfaces-split"]
    assert [f.level for f in found] == ([] if level is None else [level])
    for finding in found:
        assert "Draw it at least ⌀10 mm, which bore 8 bores" in finding.message
        assert finding.where.segments == ("S1",)


RIM = [(0, 10), (24, 10), (24, 60), (20, 60), (14, 50), (10, 50), (4, 60), (0, 60)]
"""A pulley of ⌀120 x 24 with rims of 4 mm beside its groove."""


def short_grips(points, shop=STARTER):
    report = walk(drawn_part(points), shop)
    return report, [f for f in report.findings if f.rule == "short-grip"]


def test_a_pulley_held_by_its_rim_is_told_of_a_hub_and_of_a_mandrel():
    """By hand: 4 mm of ⌀120 are no grip. Through a hub the bore of 20 would be longer to be bored:
    it is 2 mm wider there. A hub of 1.5 times that, no slimmer than the 24 that stand out of it, is
    ⌀33 and wants half of that and the 2 mm that jaws stay off: 18.5 mm. A mandrel wants 15 mm of
    the bore, which is 24 long. Either does away with the finding."""
    report, (found,) = short_grips(RIM)
    assert found.level == "warning"
    assert report.setups[1].toward_chuck == "high"
    assert (found.change.parameter, found.change.to) == ("hub_length_mm", 18.5)
    assert (
        "Draw a hub of at least ⌀33 mm that may stand 18.5 mm past the high end, to be held by, "
        "its bore 2 mm wider than the one drawn" in found.message
    )
    assert "mandrel in the bore of ⌀20 mm (z 0 to 24 mm)" in found.message
    bored = [(0, 10), (24, 10), (24, 11), (42.5, 11), (42.5, 16.5), (24, 16.5), *RIM[2:]]
    made, none = short_grips(bored)
    assert none == []
    assert made.setups[1].grip.diameter_mm == 33.0
    shop = replace(STARTER, holdings=(*STARTER.holdings, MANDREL))
    on_mandrel, none = short_grips(RIM, shop)
    assert none == []
    assert on_mandrel.setups[1].grip.kind == "mandrel"


def test_a_short_land_is_told_by_how_much():
    """By hand: ⌀22 held over 6 mm of 30, where the chuck wants half of 22: 5 mm more."""
    grip = Grip(CHUCK.name, "outer", (0.0, 6.0), 22.0, 6.0)
    held = Setup(1, "low", grip, Datum("S6", "drawn"), "none", (), ())
    (found,) = short_grip.check(drawn_view(setups=(held,)))
    assert found.change.text == "Draw that land 5 mm longer."
    assert (found.change.from_, found.change.to) == (6.0, 11.0)


def test_no_land_is_asked_to_grow_by_more_than_a_quarter_of_the_part():
    """By hand: ⌀60 held over 16 mm of 40, where the chuck wants 30, 14 more."""
    grip = Grip(CHUCK.name, "outer", (0.0, 16.0), 60.0, 16.0)
    held = Setup(1, "low", grip, Datum("S4", "drawn"), "none", (), ())
    drum = [(0, 0), (40, 0), (40, 30), (0, 30)]
    (found,) = short_grip.check(drawn_view(drum, setups=(held,)))
    assert (found.level, found.change) == ("warning", None)
    assert "longer" not in found.message
