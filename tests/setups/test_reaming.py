"""Which bores are reamed, after what, as a machinist would; what the sheet then says.

Fits by ISO 286: IT7 of ⌀6 to 10 is 0.015, over 10 to 18 0.018, over 18 to 30 0.021. Allowances,
speeds and feeds of reamers are common practice, from memory.
"""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.outputs.route_sheet.route import route_of
from turnability.reach.ground import ground_of
from turnability.rules.drawn import drawn_part
from turnability.setups.bores.deepest import reamed_to_mm
from turnability.setups.bores.reaming import best_before, fits, least_end, to_finish_of
from turnability.setups.model import Operation
from turnability.setups.surfaces.finer import FineBore
from turnability.shop.books import reaming_allowance
from turnability.shop.load import starter_shop, tools_of

STARTER = starter_shop()
DRILLS = tools_of({"kind": "drill", "diameters_mm": [5.8, 7.8, 9.8, 11.8, 19.8]})
NO_BARS = {"bore 8", "bore 12", "ring groove inside"}
IT7 = {8.0: 0.015, 10.0: 0.015, 12.0: 0.018, 14.0: 0.018, 16.0: 0.018, 20.0: 0.021}


def reamers(*sizes, flutes=60.0):
    return tools_of({"kind": "reamer", "diameters_mm": list(sizes), "cutting_length_mm": flutes})


SHOP = replace(STARTER, tools=(*STARTER.tools, *DRILLS, *reamers(6.0, 8.0, 10.0, 12.0, 20.0)))


def h7(d, *others, run_out_mm=None):
    """Its fit, and that it runs true to others of these diameters."""
    at = Named(diameter_mm=(d, d))
    places = (at, *(Named(diameter_mm=(o, o)) for o in others))
    return Intent(
        tolerances=(Tolerance("diameter", at, "H7", "H7", None, (0.0, IT7[d]), IT7[d], d),),
        related=(Related("true", places, run_out_mm),) if others else (),
    )


def tube(d, long, out=None):
    r = (out or 2.0 * d) / 2.0
    return [(0, d / 2), (long, d / 2), (long, r), (0, r)]


def made(points, intent, shop=SHOP):
    return walk(drawn_part(points), shop, intent=intent)


def inside(report):
    """Kind, tool and what it finishes or roughs, of what is done inside, setup by setup."""
    return [
        [
            (o.kind, o.tool, o.segments or o.leaves)
            for o in s.operations
            if o.kind in ("drill", "bore", "ream")
        ]
        for s in report.setups
    ]


def steps(report, shop=SHOP):
    return [step for one in route_of(report, shop).setups for step in one.steps]


def test_a_small_bore_of_a_reamers_size_is_drilled_two_tenths_smaller_and_reamed():
    """By hand: ⌀8 H7 × 30: drill 7.8 out of the far end for the reamer's lead, then reamer 8."""
    report = made(tube(8.0, 30.0), h7(8.0))
    assert inside(report) == [[("drill", "drill 7.8", ()), ("ream", "reamer 8", ("S1",))]]
    assert not [f for f in report.findings if f.level == "error"]
    drill, ream = (s for s in steps(report) if s.kind in ("drill", "ream"))
    # 1 mm out at full diameter; before that 1.5 mm of lead, and 1 mm of room beyond it
    assert ream.where == (
        "S1 ⌀8 z 0–30, through, full diameter to z -1, its end to z -2.5 (in the bar)"
    )
    assert "full diameter to z -3.5" in drill.where
    # half a drill's 20 m/min, twice its 0.01 d a turn: 1000 * 10 / (8 pi) = 398, told as 390
    assert ream.finish == "0.16 mm a turn, 390 rpm (10 m/min)"


def test_the_sheet_says_what_a_reamer_wants_and_how_its_bore_is_measured():
    (sheet,) = route_of(made(tube(8.0, 30.0), h7(8.0)), SHOP).setups
    assert any("never turned backwards" in caution for caution in sheet.cautions)
    assert "diameter 8 mm H7 (8 to 8.015 mm) on S1, by plug gauge" in sheet.measure
    (sheet,) = route_of(made(tube(8.0, 30.0), Intent()), SHOP).setups
    assert not any("reamer" in caution for caution in sheet.cautions)
    assert not any("plug gauge" in line for line in sheet.measure)


def test_a_bore_of_which_nothing_fine_is_stated_is_drilled():
    assert inside(made(tube(8.0, 30.0), Intent())) == [[("drill", "drill 8", ("S1",))]]


def test_a_smooth_bore_is_reamed_too():
    at = Named(diameter_mm=(8.0, 8.0))
    (found,) = inside(made(tube(8.0, 30.0), Intent(roughness=(Roughness(at, 1.6),))))
    assert [kind for kind, _, _ in found] == ["drill", "ream"]


def test_what_is_smooth_as_the_whole_part_is_reamed_where_no_bar_bores_it():
    """Ra 3.2 everywhere, which a drill does not leave (common practice, from memory): ⌀10 × 35 is
    beyond bar 8, that sticks out 32 mm; ⌀12 × 20 it bores as well as a reamer would."""
    assert inside(made(tube(10, 35), Intent(ra_um=3.2))) == [
        [("drill", "drill 9.8", ()), ("ream", "reamer 10", ("S1",))]
    ]
    (found,) = inside(made(tube(12, 20), Intent(ra_um=3.2)))
    assert [name for _, name, _ in found] == ["drill 11.5", "bore 8"]


def test_a_blind_seat_is_reamed_as_near_to_its_floor_as_the_lead_lets_it():
    """By hand: the drill of 9.8 makes the cone, drill 15 and a bar the wide bore, reamer 10 last.

    Of a lead of 1.5 mm at 45° the end has 3.5 mm radius; on a cone of 118° it goes 1.5/tan 59°
    below where the full bore ends, 0.9 mm, and its full diameter stays 0.6 mm above that.
    """
    cone = 5.0 / 1.6642794823505178
    seat = [(0, 0), (14 - cone, 0), (14, 5), (30, 5), (30, 8), (40, 8), (40, 20), (0, 20)]
    report = made(seat, h7(10.0))
    (found,) = inside(report)
    assert found[0] == ("drill", "drill 9.8", ("S2",))
    assert found[-1] == ("ream", "reamer 10", ("S3",))
    # none of the drills between them spoils the seat
    assert not {"drill 10", "slot drill 10"} & {tool for _, tool, _ in found}
    (reamer,) = (t for t in SHOP.tools if t.name == "reamer 10")
    to = reamed_to_mm(reamer, "low", ground_of(report.part.profile))
    assert to == pytest.approx(14.6, abs=0.005)
    (told,) = (f for f in report.findings if f.rule == "reamed-short-of-floor")
    assert told.measured == pytest.approx(0.6, abs=0.005)
    assert "State what is fine of z 14.6 to 30 mm alone" in told.message
    turned = made([(40 - z, r) for z, r in reversed(seat)], h7(10.0))
    (told,) = (f for f in turned.findings if f.rule == "reamed-short-of-floor")
    assert told.measured == pytest.approx(0.6, abs=0.005)
    assert "State what is fine of z 10 to 25.4 mm alone" in told.message


def test_of_a_flat_floor_under_a_reamed_bore_the_rim_is_told():
    """By hand: drill 9.8, slot drill 8 for the floor, as the one of 10 would spoil the bore.

    The drill's point stops 0.3 mm above that; the reamer's end, of 3.5 mm radius, meets its cone
    3.5/tan 59° = 2.103 mm higher, and its full diameter stays its lead of 1.5 mm above: 3.90 mm.
    Further down it would take 1 mm a side beside slot drill 8, and break.
    """
    flat = [(0, 0), (14, 0), (14, 5), (34, 5), (34, 12), (0, 12)]
    report = made(flat, h7(10.0))
    assert inside(report) == [
        [
            ("drill", "drill 9.8", ()),
            ("drill", "slot drill 8", ("S2",)),
            ("ream", "reamer 10", ("S3",)),
        ]
    ]
    (told,) = [f for f in report.findings if f.rule == "reamed-short-of-floor"]
    assert told.measured == pytest.approx(0.3 + 3.5 / 1.66428 + 1.5, abs=0.005)
    assert "must stop where it meets the cone of drill 9.8" in told.message
    ream = report.setups[0].operations[[o.kind for o in report.setups[0].operations].index("ream")]
    assert ream.ends_at[0] == pytest.approx(14.3 + 3.5 / 1.66428, abs=0.005)
    assert "Slot drill 8 squares its floor no wider than ⌀8 mm" in told.message
    assert "List a slot drill of ⌀9.8 mm" in told.message
    assert told.where.segments == ("S3", "S2")
    assert route_of(report, SHOP).left[-1] == (
        "S3: as drilled from 3.9 mm off its floor on, and the rim of its floor S2 as its point "
        f"leaves it ({told.id})"
    )
    (own,) = tools_of({"kind": "drill", "diameter_mm": 9.8, "point_angle_deg": 180.0})
    shop = replace(SHOP, tools=(*SHOP.tools, replace(own, name="slot drill 9.8")))
    report = made(flat, h7(10.0), shop)
    (told,) = [f for f in report.findings if f.rule == "reamed-short-of-floor"]
    assert "squares its floor" not in told.message
    assert route_of(report, shop).left[-1] == (
        f"S3: as drilled from 1.5 mm off its floor on ({told.id})"
    )


def test_no_drill_that_makes_a_floors_cone_spoils_the_fine_bore_above_it():
    """By hand: ⌀20 H7 × 30, blind with a drill's point: drill 18 leaves the bar 1 mm a side; one of
    20 would leave it nothing."""
    cone = 10.0 / 1.6642794823505178
    blind = [(0, 0), (20 - cone, 0), (20, 10), (50, 10), (50, 18), (0, 18)]
    (found,) = inside(made(blind, h7(20.0)))
    assert found == [("drill", "drill 18", ("S2",)), ("bore", "bore 12", ("S3",))]


def test_no_reamer_goes_through_a_bore_that_its_own_drill_makes():
    """⌀6 H7 through 65 mm, of which a reamer of 60 mm does not come out: it is drilled from either
    end and told of, and none is sent after that."""
    long = [(0, 3), (65, 3), (65, 9), (0, 9)]
    fine = Tolerance(
        "diameter", Named(diameter_mm=(6.0, 6.0)), "H7", "H7", None, (0.0, 0.012), 0.012, 6.0
    )
    report = made(long, Intent(tolerances=(fine,)))
    assert not [o for s in report.setups for o in s.operations if o.kind == "ream"]
    assert [f.level for f in report.findings if f.rule == "drilled-where-finer"] == ["error"]


def test_a_reamer_that_does_not_come_out_of_a_through_bore_does_not_finish_it():
    """Flutes of 31 mm, less 1.5 of lead, end before the far end of 30."""
    short = replace(STARTER, tools=(*STARTER.tools, *DRILLS, *reamers(8.0, flutes=31.0)))
    report = made(tube(8.0, 30.0), h7(8.0), short)
    assert inside(report) == [[("drill", "drill 8", ("S1",))]]
    assert [f.level for f in report.findings if f.rule == "drilled-where-finer"] == ["error"]


def test_a_large_and_short_bore_is_bored_though_a_reamer_is_listed():
    """By hand: ⌀20 H7 × 20: a bar of 12 mm stands out no more than two of its diameters."""
    (found,) = inside(made(tube(20.0, 20.0), h7(20.0)))
    assert found == [("drill", "drill 18", ()), ("bore", "bore 12", ("S1",))]


def test_a_small_bore_is_reamed_though_a_bar_gets_in():
    """By hand: ⌀12 H7 × 20: the reamer of the rack; without one drill 11.5 and bar 8."""
    (found,) = inside(made(tube(12.0, 20.0), h7(12.0)))
    assert found == [("drill", "drill 11.8", ()), ("ream", "reamer 12", ("S1",))]
    (found,) = inside(made(tube(12.0, 20.0), h7(12.0), STARTER))
    assert found == [("drill", "drill 11.5", ()), ("bore", "bore 8", ("S1",))]


def test_a_large_bore_too_deep_for_bars_is_reamed():
    (found,) = inside(made(tube(20.0, 55.0, 30.0), h7(20.0)))
    assert found == [("drill", "drill 19.8", ()), ("ream", "reamer 20", ("S1",))]


def test_a_bore_that_must_run_true_is_bored_before_it_is_reamed():
    """By hand: drill 11, bar 8 to 11.8, ream 12; so nothing of it is only drilled."""
    report = made(tube(12.0, 20.0, 18.0), h7(12.0, 18.0, run_out_mm=0.05))
    (found,) = inside(report)
    assert found == [
        ("drill", "drill 11", ()),
        ("bore", "bore 8", ("S1",)),
        ("ream", "reamer 12", ("S1",)),
    ]
    (one,) = report.plan.rechucked
    assert one.drilled == ()
    bore = next(s for s in steps(report) if s.kind == "bore")
    assert bore.where == "bores S1 ⌀12 z 0–20 to ⌀11.8 for reamer 12"
    assert bore.rough.startswith("0.4 mm deep")  # from 11 to 11.8
    assert not any(f.rule == "related-surfaces-split" for f in report.findings)


def test_a_bore_that_must_run_true_and_no_bar_enters_is_reamed_and_told_to_wander():
    report = made(tube(8.0, 30.0, 18.0), h7(8.0, 18.0, run_out_mm=0.05))
    assert inside(report)[0][-1] == ("ream", "reamer 8", ("S1",))
    (one,) = report.plan.rechucked
    assert one.drilled == ("S1",)


@pytest.mark.parametrize(
    ("d", "least", "usual", "most"),
    [(3.0, 0.05, 0.1, 0.2), (8.0, 0.1, 0.2, 0.3), (25.0, 0.2, 0.3, 0.4), (150.0, 0.2, 0.4, 0.5)],
)
def test_what_is_left_to_a_reamer(d, least, usual, most):
    """Handbooks' tables, from memory: a tenth up to 5, two up to 20, three up to 32."""
    found = reaming_allowance(d)
    assert [c.value for c in (found.least, found.usual, found.most)] == [least, usual, most]
    assert not found.usual.verified


@pytest.mark.parametrize(
    ("limits", "width", "fit", "holds"),
    [
        # ISO 286: a reamer of 10 H7 makes 10 to 10.015
        ((10.0, 10.015), 0.015, None, True),
        ((10.002, 10.02), 0.018, None, False),
        ((9.99, 10.01), 0.02, None, False),
        # a general tolerance lies evenly about the size
        (None, 0.03, None, True),
        (None, 0.02, None, False),
        # of a class that no table holds, the reamer's own alone
        (None, 0.015, "H7", True),
        (None, 0.015, "XY7", False),
        (None, None, None, True),
    ],
)
def test_which_bores_of_ten_a_reamer_of_h7_makes(limits, width, fit, holds):
    (reamer,) = reamers(10.0)
    bore = FineBore("S1", 10.0, width, 1.6, False, False, fit, limits)
    assert fits(reamer, bore) is holds
    assert to_finish_of([bore], SHOP.tools) == ((bore,) if holds else ())
    everywhere = replace(bore, everywhere_width=True, everywhere_ra=True)
    assert to_finish_of([everywhere], SHOP.tools) == ()


def test_which_drills_go_before_a_reamer_of_ten():
    """They leave it 0.1 to 0.3 mm, 0.2 rather than the others."""
    (reamer,) = reamers(10.0)
    drills = (
        *tools_of({"kind": "drill", "diameters_mm": [9.6, 9.75, 9.8, 9.9, 9.95, 10.0]}),
        *tools_of({"kind": "drill", "diameter_mm": 9.85, "point_angle_deg": 180.0}),
    )
    assert [t.name for t in best_before(reamer, drills)] == ["drill 9.8", "drill 9.75", "drill 9.9"]


@pytest.mark.parametrize(("toward", "sign"), [("low", 1.0), ("high", -1.0)])
def test_how_far_a_reamer_goes_into_the_hole_drilled_for_it(toward, sign):
    """Its end of 5 - 1.5 mm radius meets the cone 3.5/tan 59° before its tip. None where a bar
    bores between, and a drill too narrow for it drills nothing for it."""
    (reamer,) = reamers(10.0)
    ream = Operation(reamer.name, ("S1",), "ream")
    before = [
        Operation(name, (), "drill", ends_at=(sign * z, 0.0))
        for name, z in (("drill 9.8", 20.0), ("drill 9.5", 10.0))
    ]
    found, drill = least_end(reamer, ream, toward, before, SHOP.tools)
    assert (found, drill.name) == (pytest.approx(sign * (20.0 + 3.5 / 1.66428)), "drill 9.8")
    bar = Operation("bore 8", (), "bore", leaves=("S1",))
    assert least_end(reamer, ream, toward, [*before, bar], SHOP.tools) is None


def test_a_bar_that_does_not_get_along_all_of_a_bore_goes_before_no_reamer():
    """By hand: bore 8 stands out 32 mm, the bore that must run true is 35 deep: what the bar left
    would be more than a reamer takes. Drilled 11.8 and reamed, and told to wander."""
    flanged = [(0, 6), (35, 6), (35, 10), (8, 10), (8, 16), (0, 16)]
    report = made(flanged, h7(12.0, 20.0, run_out_mm=0.03))
    (found,) = inside(report)
    assert found == [("drill", "drill 11.8", ()), ("ream", "reamer 12", ("S1",))]
    (told,) = [f for f in report.findings if f.rule == "related-surfaces-split"]
    assert "its bore of ⌀12 mm: it is drilled and reamed." in told.message
    # the end is faced by what turns, whoever is at hand inside
    (face,) = [o for o in report.setups[0].operations if o.kind == "face"]
    assert face.tool == "rough right"


def test_a_bore_that_a_bar_leaves_in_part_is_left_to_a_drill_of_its_size_and_told():
    """The same without a reamer: bore 8 gets into 32 of 35 mm, and after drill 12, which must run
    through for the rest, it has nothing to cut. So in a blind bore 40 deep, to the flat floor of
    which slot drill 12 goes: no bar, and no ring is left that a narrower slot drill would leave."""
    flanged = [(0, 6), (35, 6), (35, 10), (8, 10), (8, 16), (0, 16)]
    report = made(flanged, h7(12.0), STARTER)
    assert inside(report) == [[("drill", "drill 12", ("S1",))]]
    (told,) = [f for f in report.findings if f.rule == "drilled-where-finer"]
    assert told.level == "error"
    assert "drill 12 alone makes it" in told.message
    assert "shorten it by 3 mm, to the 32 mm that bore 8 bores" in told.message
    assert told.change.proven
    blind = [(0, 0), (10, 0), (10, 6), (50, 6), (50, 15), (0, 15)]
    report = made(blind, h7(12.0), STARTER)
    assert inside(report) == [[("drill", "drill 12", ()), ("drill", "slot drill 12", ("S2", "S3"))]]
    assert report.setups[0].left == ()


def test_a_fine_bore_is_bored_from_the_end_that_a_bar_gets_along_it_from():
    """By hand: bore 8 stands out 32 mm. Past its mouth of 8 mm it gets along 24 of the 30 mm of ⌀14
    H7, from the other end along all: the mouth first, drilled 13 through, then turned round."""
    mouth = [(0, 7), (30, 7), (38, 11), (38, 18), (0, 18)]
    report = made(mouth, h7(14.0), STARTER)
    assert inside(report) == [
        [("drill", "drill 13", ()), ("bore", "bore 8", ("S2",))],
        [("bore", "bore 8", ("S1",))],
    ]
    assert not [f for f in report.findings if f.level != "note"]


def test_two_fine_bores_in_line_are_each_bored_from_their_own_end():
    """By hand: ⌀16 H7 at both ends, ⌀19 between. Bore 12 gets along 48 mm: not along the far one. A
    drill of 16 through it would leave nothing of the near one: drilled 15, either bored."""
    bush = [(0, 8), (20, 8), (20, 9.5), (60, 9.5), (60, 8), (80, 8), (80, 20), (0, 20)]
    report = made(bush, h7(16.0), STARTER)
    first, then = inside(report)
    assert first[0] == ("drill", "drill 15", ())
    near, far = ({s for k, _, names in one if k == "bore" for s in names} for one in (first, then))
    assert ("S5" in near, "S1" in near) == (True, False)
    assert ("S5" in far, "S1" in far) == (False, True)
    assert not any(f.rule == "drilled-where-finer" for f in report.findings)


def test_a_drill_that_goes_through_a_fine_bore_of_its_size_is_told_as_what_makes_it():
    """By hand: ⌀12 × 40 of which nothing is stated is drilled 12; bore 8 stands out 32 mm. In line
    with it, ⌀12 H7 × 20 is no bar's any more. 20 mm of the first a bar gets along: drilled 11.5."""
    at = Named(diameter_mm=(12.0, 12.0), z_mm=(50.0, 70.0))
    fine = Tolerance("diameter", at, "H7", "H7", None, (0.0, 0.018), 0.018, 12.0)
    line = [(0, 6), (40, 6), (40, 6.5), (50, 6.5), (50, 6), (70, 6), (70, 15), (0, 15)]
    report = made(line, Intent(tolerances=(fine,)), STARTER)
    assert ("drill", "drill 12", ("S1", "S5")) in inside(report)[0]
    (told,) = [f for f in report.findings if f.rule == "drilled-where-finer"]
    assert "z 50 to 70 mm" in told.message
    at = replace(at, z_mm=(40.0, 60.0))
    near = [(0, 6), (20, 6), (20, 8), (40, 8), (40, 6), (60, 6), (60, 15), (0, 15)]
    report = made(near, Intent(tolerances=(replace(fine, place=at),)), STARTER)
    first, then = inside(report)
    assert first[0] == ("drill", "drill 11.5", ())
    assert not [tool for kind, tool, _ in then if kind == "drill"]
    assert not any(f.rule == "drilled-where-finer" for f in report.findings)


def test_no_slot_drill_of_a_fine_bores_size_squares_its_floor():
    """By hand: ⌀16 H7 × 35. Bore 12 comes to 7 mm from the centre, its nose to 6.6, slot drill 12
    to 6: the ring is the blade's. Slot drill 16 would leave the bar nothing. Where nothing fine is
    stated it makes the wall as well, and no bar goes in after it."""
    flat = [(0, 0), (15, 0), (15, 8), (50, 8), (50, 20), (0, 20)]
    report = made(flat, h7(16.0), STARTER)
    assert inside(report) == [
        [
            ("drill", "drill 15", ()),
            ("drill", "slot drill 12", ("S2",)),
            ("bore", "bore 12", ("S3",)),
        ]
    ]
    assert [o.tool for o in report.setups[0].operations if "S2" in o.segments] == [
        "slot drill 12",
        "ring groove inside",
    ]
    assert inside(made(flat, Intent(), STARTER)) == [
        [("drill", "drill 16", ()), ("drill", "slot drill 16", ("S2", "S3"))]
    ]


def test_the_sheet_says_how_a_blade_alone_cuts_a_wide_recess():
    """By hand: 40 mm of ⌀25 behind ⌀20, 13 widths of groove inside 3, and no other bar gets in."""
    shop = replace(STARTER, tools=tuple(t for t in STARTER.tools if t.name not in NO_BARS))
    wide = [(0, 10), (20, 10), (20, 12.5), (60, 12.5), (60, 10), (80, 10), (80, 20), (0, 20)]
    (groove,) = [s for s in steps(made(wide, Intent(), shop), shop) if s.kind == "groove"]
    assert groove.tool == "groove inside 3"
    assert "S3 ⌀25 z 20–60; S4 face z 60; more than 10 widths of the blade" in groove.where


def test_a_blind_reamer_is_drawn_with_its_lead_and_enters_nothing():
    blind = [(0, 0), (14, 0), (14, 5), (40, 5), (40, 12), (0, 12)]
    document = made(blind, h7(10.0)).document()
    (operation,) = [o for s in document["setups"] for o in s["operations"] if o["kind"] == "ream"]
    (drawn,) = [t for t in document["tools"] if t["name"] == operation["tool"]]
    end = operation["ends_at"][0]
    # 3.5 mm from the axis it meets the cone of drill 9.8, whose point stops at z 14.3
    assert end == pytest.approx(14.3 + 3.5 / 1.66428, abs=0.005)
    (cutting,) = drawn["cutting"]
    assert min(z for z, _ in cutting) == 0.0
    assert max(abs(r) for z, r in cutting if z == 0.0) == pytest.approx(3.5)  # 5 less 1.5
    assert min(z for z, r in cutting if abs(r) == 5.0) == pytest.approx(1.5)


FLUTES_33 = replace(
    STARTER,
    tools=(
        *STARTER.tools,
        *tools_of({"kind": "drill", "diameter_mm": 7.8, "flute_length_mm": 120.0}),
        *reamers(8.0, flutes=33.0),
    ),
)


def test_a_bore_is_reamed_in_a_chucking_from_the_end_that_the_reamer_reaches_it_from():
    """By hand: ⌀8 H7 × 30 at the low end, ⌀16 for 40 mm at the other: flutes of 33 do not come
    through from there, nor does the chuck of ⌀30 follow into ⌀16. Drill 8 would, and no more. With
    a flange of ⌀40 at the low end the wide bore goes first, 7.8 drilled through, and the part is
    turned round and reamed; with the flange at the high end that is held first, and reamed."""
    low = [(0, 4), (30, 4), (30, 8), (70, 8), (70, 12), (10, 12), (10, 20), (0, 20)]
    report = made(low, h7(8.0), FLUTES_33)
    assert inside(report) == [
        [
            ("drill", "drill 7.8", ()),
            ("drill", "drill 16", ()),
            ("drill", "slot drill 16", ("S2", "S3")),
        ],
        [("ream", "reamer 8", ("S1",))],
    ]
    high = [(0, 4), (30, 4), (30, 8), (70, 8), (70, 20), (60, 20), (60, 12), (0, 12)]
    report = made(high, h7(8.0), FLUTES_33)
    first, then = inside(report)
    assert first == [("drill", "drill 7.8", ()), ("ream", "reamer 8", ("S1",))]
    assert then[-1] == ("drill", "slot drill 16", ("S2", "S3"))
    assert not any(f.rule == "drilled-where-finer" for f in report.findings)


def test_a_tube_whose_outside_is_done_at_once_is_turned_round_to_be_reamed_alone():
    plain = [(0, 4), (30, 4), (30, 8), (70, 8), (70, 12), (0, 12)]
    report = made(plain, h7(8.0), FLUTES_33)
    assert not report.crashed
    assert inside(report)[-1] == [("ream", "reamer 8", ("S1",))]
