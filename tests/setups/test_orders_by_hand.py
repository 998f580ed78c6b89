"""In what order a machinist does the work of one chucking: centres, close outsides, fine bores."""

from dataclasses import replace

import pytest
from test_plans_by_hand import PARTS, SPINDLE, STARTER, machines, plan

from turnability.intent.model import Intent, Named, NoGrip, Related, Tolerance
from turnability.outputs.route_sheet.first import first_texts
from turnability.outputs.route_sheet.where import Surfaces, where_text
from turnability.rules.drawn import drawn_part
from turnability.setups.bending.bend import with_bending
from turnability.setups.holding.free import free_diameters
from turnability.setups.holding.support import support_of
from turnability.setups.holding.supported import ToCarry
from turnability.setups.model import Grip, Operation
from turnability.shop.load import starter_shop
from turnability.stock.choose import choose_stock


def close(diameter, width, side):
    place = Named(diameter_mm=(diameter, diameter), side=side)
    return Tolerance("diameter", place, "close", width_mm=width, nominal_mm=diameter)


def test_a_close_outside_is_finished_on_the_centre_in_the_bored_mouth():
    """By hand: ⌀24 h6 and a bore ⌀17 H7 in the free end, 200 mm out of the jaws. Faced and centre-
    drilled; roughed on the centre; a steady set, drilled and bored; the centre brought up again
    in the mouth, and the outside finished on it; sawn off and turned round."""
    meant = Intent(tolerances=(close(24.0, 0.013, "outer"), close(17.0, 0.018, "inner")))
    setup, _ = plan(SPINDLE, intent=meant).setups
    done = [(o.kind, o.support) for o in setup.operations]
    kept = [one for one in dict.fromkeys(done) if one[0] != "drill"]
    assert kept == [
        ("face", "none"),
        ("rough", "tailstock"),
        ("bore", "steady"),
        ("turn", "tailstock"),
    ]


@pytest.mark.parametrize(
    ("mouth_mm", "order"),
    [
        (58.0, ["face", "rough", "drill", "bore", "turn", "part off"]),
        (62.0, ["face", "rough", "turn", "drill", "bore", "part off"]),
    ],
)
def test_a_mouth_over_60_mm_carries_no_centre_again(mouth_mm, order):
    """By hand: a blunt 60° centre fills mouths of up to 60 mm (from memory); beyond that the close
    outside has to be finished on the centre before the end is bored."""
    r = mouth_mm / 2.0
    profile = drawn_part([(0, 0), (280, 0), (280, r), (300, r), (300, 34), (0, 34)]).profile
    kinds = ["face", "rough", "drill", "bore", "turn", "part off"]
    segments = {"face": ("S4",), "bore": ("S2", "S3"), "turn": ("S5",)}
    operations = tuple(
        Operation(f"tool {kind}", segments.get(kind, ()), kind, after_bore=kind == "turn")
        for kind in kinds
    )
    grip = Grip("raw bar", "outer", (-40.0, -5.0), 70.0, 35.0)
    way = support_of(ToCarry(profile, "low", grip, operations, machines(steady=False)[0]))
    assert [o.kind for o in way.operations] == order
    assert {o.kind for o in way.operations if o.support == "tailstock"} == {"rough", "turn"}


@pytest.mark.parametrize("name", [n for n, by in PARTS.items() if by.support])
def test_nothing_is_done_to_an_end_while_a_centre_stands_in_it(name):
    """By hand: faced and centre-drilled before, drilled, bored and parted off without it."""
    made = plan(PARTS[name].points, intent=PARTS[name].intent)
    profile = drawn_part(PARTS[name].points).profile
    for setup in made.setups:
        end = profile.length_mm if setup.toward_chuck == "low" else 0.0
        faces = {
            s.id
            for s in profile.segments
            if s.surface == "end" and s.curve.start[0] == s.curve.end[0] == end
        }
        carried = [n for n, o in enumerate(setup.operations) if o.support == "tailstock"]
        for n in carried:
            assert setup.operations[n].kind in ("rough", "turn", "groove")
            assert not faces & set(setup.operations[n].segments)
        faced = [n for n, o in enumerate(setup.operations) if o.kind == "face"]
        assert not carried or not faced or max(faced) < min(carried)
        kinds = [o.kind for o in setup.operations]
        assert "part off" not in kinds[:-1]


def test_a_groove_in_a_fine_bore_is_cut_before_that_is_finished():
    """By hand: a bush of ⌀22 H7 in ⌀30 r6 with an oil groove: the blade leaves burrs in the bore,
    which its finishing cut takes away (common practice)."""
    bush = [(0, 11), (16, 11), (16, 12.5), (20, 12.5), (20, 11), (30, 11), (30, 15), (0, 15)]
    meant = Intent(tolerances=(close(30.0, 0.013, "outer"), close(22.0, 0.021, "inner")))
    (setup,) = plan(bush, intent=meant).setups
    done = [(o.kind, o.segments) for o in setup.operations if o.kind in ("bore", "groove")]
    assert done == [("bore", ()), ("groove", ("S2", "S3", "S4")), ("bore", ("S1", "S5"))]


def test_a_slot_drill_leaves_a_fine_bore_something():
    """By hand: the flat floor of ⌀16 H7 is squared by a slot drill no wider than 15.6, for the
    bar that bores the wall; one of 16 would leave it nothing and hold no H7."""
    cap = [(0, 0), (30, 0), (30, 8), (60, 8), (60, 12), (0, 12)]
    fine = plan(cap, intent=Intent(tolerances=(close(16.0, 0.018, "inner"),)))
    flat = [o.tool for s in fine.setups for o in s.operations if o.tool.startswith("slot drill")]
    assert flat
    assert all(float(tool.split()[-1]) <= 15.6 for tool in flat)
    (bored,) = [o for s in fine.setups for o in s.operations if o.kind == "bore" and o.segments]
    assert "S3" in bored.segments


def test_a_fine_bore_that_nothing_finishes_has_its_floor_squared_whole():
    """By hand: ⌀10 H7 to a floor round ⌀7, no reamer listed, no bar of the shop's enters 9.6: an
    8 mm slot drill would leave the floor's rim to nobody; that of 10 squares it."""
    stepped = [(0, 3.5), (25, 3.5), (25, 5), (50, 5), (50, 15), (0, 15)]
    fine = plan(stepped, intent=Intent(tolerances=(close(10.0, 0.015, "inner"),)))
    (flat,) = [o for s in fine.setups for o in s.operations if o.tool.startswith("slot drill")]
    assert flat.tool == "slot drill 10"
    assert "S2" in flat.segments


def test_what_a_chucking_before_could_have_bored_is_roughed_and_finished_in_this_one():
    """By hand: a flange ⌀120 h7 with a bore ⌀25 H7, true to one another: sawn, its hub turned;
    turned round on that it is faced, the rim roughed, drilled 22, bored rough and fine, and the
    rim finished."""
    places = (Named(diameter_mm=(25.0, 25.0)), Named(diameter_mm=(120.0, 120.0)))
    meant = Intent(
        tolerances=(close(25.0, 0.021, "inner"), close(120.0, 0.035, "outer")),
        related=(Related("true", places, 0.02),),
    )
    flange = [(0, 12.5), (41, 12.5), (41, 21), (40, 22), (12, 22), (12, 60), (0, 60)]
    first, second = plan(flange, intent=meant).setups
    assert [o.kind for o in first.operations] == ["face", "turn"]
    kinds = [(o.kind, o.only_roughs) for o in second.operations]
    assert kinds == [
        ("face", False),
        ("rough", True),
        ("drill", False),
        ("bore", True),
        ("bore", False),
        ("turn", False),
    ]


def test_a_seat_that_another_hand_finishes_is_roughed_before_the_bore():
    """By hand: seats ⌀28 h6 on both sides of a collar, an end drilled ⌀4, too small for a centre
    to carry ⌀22 in its mouth: the left hand roughs the seat behind the collar before the hole is
    drilled, and finishes it alone after that."""
    ends = [(110, 11), (110, 14), (70, 14), (70, 20), (60, 20), (60, 14), (20, 14), (20, 11)]
    spindle = [(0, 0), (105, 0), (105, 2), (130, 2), (130, 11), *ends, (0, 11)]
    meant = Intent(tolerances=(close(28.0, 0.013, "outer"),))
    (setup,) = plan(spindle, intent=meant).setups
    hands = {tool.name: tool.hand for tool in starter_shop().tools}
    drilled = [o.kind for o in setup.operations].index("drill")
    early, late = setup.operations[:drilled], setup.operations[drilled:]
    assert setup.toward_chuck == "low"
    behind = next(
        s.id
        for s in drawn_part(spindle).profile.segments
        if {s.curve.start, s.curve.end} == {(60.0, 14.0), (20.0, 14.0)}
    )
    assert "left" in {hands[o.tool] for o in early if behind in o.leaves}
    assert not [o for o in early if behind in o.segments]
    assert [hands[o.tool] for o in late if behind in o.segments] == ["left"]
    assert not any(o.leaves for o in late if o.kind == "turn")


def test_a_long_hollow_end_is_bored_drawn_in_and_the_outside_turned_on_a_centre_in_its_mouth():
    """By hand: a tube ⌀40 h8, bored ⌀30, 200 long, of ⌀45: drawn in until 4 · 45 = 180 mm stand out
    it is faced and drilled as fast as short work; drawn out, the centre in the mouth, its outside
    is roughed and finished. Where bore and outside must run true it is not gripped anew between."""
    tube = [(0, 15), (200, 15), (200, 20), (0, 20)]
    meant = Intent(tolerances=(close(40.0, 0.039, "outer"), close(30.0, 0.021, "inner")))
    setup, _ = plan(tube, intent=meant).setups
    assert [(o.kind, o.support, o.out_mm) for o in setup.operations] == [
        ("face", "none", 180.0),
        ("drill", "none", 180.0),
        ("rough", "tailstock", None),
        ("turn", "tailstock", None),
    ]
    profile = drawn_part(tube).profile
    assert free_diameters(profile, setup, 1, 45.0, 1.0) == pytest.approx(4.0)
    assert first_texts(setup, [4.0, 4.0, 0.0, 0.0], [0, 1], False) == (
        "Let no more than 4 diameters stand out to face and drill it",
        "",
        "Draw it out to length, bring the centre up in the bored mouth, or on a plug in it",
        "Let the work cool: what follows is finished without a pause",
    )
    places = (Named(diameter_mm=(40.0, 40.0)), Named(diameter_mm=(30.0, 30.0)))
    true = replace(meant, related=(Related("true", places, 0.2),))
    setup, _ = plan(tube, intent=true).setups
    assert [o.kind for o in setup.operations] == ["face", "rough", "drill", "turn"]
    assert {o.out_mm for o in setup.operations} == {None}


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_steady_stays_for_all_that_it_does_not_stand_on(mirrored):
    """By hand: a seat on the ⌀16 is turned by the chuck alone and the steady set 5 mm from its
    edge; from then on the ends, shoulders and the relief behind the thread are cut beside it."""
    points = [(0, 0), (0, 6), (18, 6), (18, 4.9), (22, 4.9), (22, 8), (60, 8), (60, 10), (90, 10),
              (90, 16), (98, 16), (98, 9), (150, 9), (150, 0)]  # fmt: skip
    if not mirrored:
        points = [(150 - z, r) for z, r in reversed(points)]
    meant = Intent(
        tolerances=(close(20.0, 0.013, "outer"), close(18.0, 0.011, "outer")),
        centre_holes=(),
        no_grip=(NoGrip(Named(diameter_mm=(12.0, 12.0))),),  # a thread is cut there
    )
    profile = drawn_part(points).profile
    setup = plan(points, intent=meant).setups[0]
    assert setup.toward_chuck == ("high" if mirrored else "low")
    assert setup.steady_z_mm == ((27.0, 37.0) if mirrored else (113.0, 123.0))
    sized = {s.id: 2.0 * s.curve.start[1] for s in profile.segments if s.surface == "outer"}
    alone = [o for o in setup.operations if o.support == "none"]
    assert [o.kind for o in alone] == ["face", "rough", "turn"]
    assert [sized[s] for s in alone[-1].segments] == [16.0]
    carried = setup.operations[len(alone) :]
    assert {o.support for o in carried} == {"steady"}
    assert carried[-1].kind == "groove"
    # all of the thread's cylinder bends on the steady, the ⌀16 on both sides of it
    part = drawn_part(points)
    stock = choose_stock(part.profile, STARTER)
    (bent,) = with_bending(part, [setup], stock, STARTER, meant)
    lands = [land.segments for land in bent.bending.lands]
    thread = next(s for s, d in sized.items() if d == 12.0)
    seat = next(s for s, d in sized.items() if d == 16.0)
    assert [sum(s in one for one in lands) for s in (thread, seat)] == [1, 2]


@pytest.mark.parametrize("mirrored", [False, True])
def test_only_what_a_steady_runs_on_is_roughed_before_it_stands(mirrored):
    """By hand: a spindle of ⌀12 with a collar, 260 long, journals ⌀10: drawn into the spindle, so
    that 15 mm stand out, its free end is roughed as far as the pads and turned there; drawn out,
    the steady set, the rest is roughed, then finished. Nobody takes ⌀22 down to ⌀12 over 12
    diameters that nothing carries, nor turns the place of the steady there."""
    points = [(0, 0), (260, 0), (260, 5), (230, 5), (230, 6), (126, 6), (126, 10), (120, 10),
              (120, 6), (30, 6), (30, 5), (0, 5)]  # fmt: skip
    if mirrored:
        points = [(260 - z, r) for z, r in reversed(points)]
    part = drawn_part(points)
    meant = Intent(centre_holes=())
    setup = plan(points, intent=meant).setups[0]
    assert setup.toward_chuck == ("high" if mirrored else "low")
    assert setup.steady_z_mm == ((0.0, 10.0) if mirrored else (250.0, 260.0))
    kinds = [(o.kind, o.support) for o in setup.operations if o.kind in ("rough", "turn")]
    _, then = [n for n, (kind, _) in enumerate(kinds) if kind == "rough"]
    assert {support for _, support in kinds[:then]} == {"none"}
    assert {support for _, support in kinds[then:]} == {"steady"}
    early, late = [o for o in setup.operations if o.kind == "rough"]
    sized = {s.id: 2.0 * s.curve.start[1] for s in part.profile.segments if s.surface == "outer"}
    # the journal of the pads is roughed on both sides of them, all else once
    assert [sized[s] for s in early.leaves] == [10.0]
    assert set(early.leaves) < set(late.leaves)
    turned = {s for o in setup.operations if o.kind == "turn" for s in o.segments}
    assert set(late.leaves) == turned
    known = {s.id: s for s in part.profile.segments}
    told = [where_text(setup, o, Surfaces(known), False) for o in (early, late)]
    assert told == [
        f"the outside from the free end to z {10 if mirrored else 250}, as far as it gets",
        "the rest of the outside, to the chuck, as far as it gets",
    ]
    journal, middle = early.leaves[0], [s for s, d in sized.items() if d == 12.0]
    told = {
        (s, part)
        for o in setup.operations
        for s in (journal, *middle)
        for one in where_text(setup, o, Surfaces(known), False).split("; ")
        if o.kind == "turn" and one.startswith(f"{s} ") and one.endswith(")")
        for part in [one[one.index("(") :]]
    }
    # hands that share a cylinder on one side of the steady part it between them as ever
    beside = {"(in part)", "(what is left of it)"}
    assert {part for s, part in told if s in middle} <= beside
    assert {(journal, "(the free end first)"), (journal, "(from the steady to the chuck)")} <= told
    # the roughing that bends it most is taken as the steady carries it, or at its pads
    stock = choose_stock(part.profile, STARTER)
    (bent,) = with_bending(part, [setup], stock, STARTER, meant)
    (alone,) = with_bending(part, [uncarried(setup)], stock, STARTER, meant)
    assert bent.bending.roughing.depth_mm == alone.bending.roughing.depth_mm
    assert bent.bending.roughing.worst_mm < alone.bending.roughing.worst_mm
    size, allowance = stock.choice.across_mm, STARTER.stock_policy.end_allowance_mm
    free = [
        free_diameters(part.profile, setup, setup.operations.index(o), size, allowance)
        for o in (early, late)
    ]
    assert free == [pytest.approx(15.0 / 22.0), 0.0]
    drawn = [n for n, o in enumerate(setup.operations) if o.support == "none"]
    first, *_ = first_texts(setup, free, drawn, False)
    assert first == "Let no more than 15 mm stand out to face and turn the place of the steady"
    # at its pads it bends by less so than where all of it stands out
    out = replace(setup, operations=tuple(replace(o, out_mm=None) for o in setup.operations))
    (far,) = with_bending(part, [out], stock, STARTER, meant)
    assert bent.bending.lands[0].worst[1] < 0.02 * far.bending.lands[0].worst[1]
    # where it goes through no spindle all of it stands out from the start
    thick = replace(STARTER, machines=tuple(_narrow(m) for m in STARTER.machines))
    setup = plan(points, thick, intent=meant).setups[0]
    assert {o.out_mm for o in setup.operations} == {None}
    assert setup.steady_z_mm is not None
    assert free_diameters(part.profile, setup, 1, size, allowance) > 10.0


def _narrow(machine):
    return replace(machine, spindle_bore_mm=20.0, bar_capacity_mm=20.0)


def uncarried(setup):
    """The same with nothing that carries the end."""
    operations = tuple(replace(o, support="none") for o in setup.operations)
    return replace(setup, support="none", steady_z_mm=None, operations=operations)
