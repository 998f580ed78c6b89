"""Eccentrics: the chucking that a machinist sets over, by hand-derived numbers.

How it is done (four independent jaws, a dial that reads twice the offset, a drilled bore never
opened on the part's own axis first) is common practice, no source; the numbers are geometry.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace

import cadquery as cq
import jsonschema
import pytest
from eccentric_parts import CENTRES, DRAWN, FOUR_JAW, at, blind, made, over, shaft, shop_of

from turnability.analysis import analyze
from turnability.intent.model import Intent, Named, Tolerance
from turnability.outputs.drawing.set_over import Drawn
from turnability.outputs.json_document import schema_text
from turnability.outputs.report_page.making import setups_block
from turnability.outputs.route_sheet import route_text
from turnability.outputs.summary import summary_lines
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Packing
from turnability.setups.set_over.eccentrics import PACKING
from turnability.setups.set_over.offset_cuts import balanced_rpm
from turnability.setups.set_over.offset_room import rooms_of
from turnability.shop.load import starter_shop


def test_a_journal_is_set_over_in_four_jaws() -> None:
    (one,) = over("shaft", FOUR_JAW)
    assert one.holding is FOUR_JAW
    assert one.grip is not None
    assert one.toward_chuck == "low"
    # on the 40: 2 mm of jaw stand-off and 5 mm for the dial, of which the larger counts: 50 - 5
    assert one.grip.z_mm == pytest.approx((5.0, 45.0))
    assert one.grip.diameter_mm == pytest.approx(40.0)
    assert (one.offset_mm, one.dial_mm) == pytest.approx((3.0, 6.0))
    # the far side of the 40 is 20 + 3 from the axis it turns about
    assert one.swung_mm == pytest.approx(46.0)
    (cut,) = one.cuts
    assert (cut.kind, cut.diameter_mm, cut.z_mm) == ("turn", pytest.approx(24.0), (50.0, 75.0))
    # the journal sweeps 30 round the part's axis, whose far side is 15 + 3 from its own: 18 - 12
    assert cut.over_mm == pytest.approx(6.0)
    assert cut.tools == ("rough right",)


def test_a_bore_is_drilled_and_bored_set_over_and_never_on_the_axis() -> None:
    report = made("bush", FOUR_JAW)
    assert {o.kind for s in report.setups for o in s.operations} == {"face", "turn", "part off"}
    (one,) = over("bush", FOUR_JAW)
    # the counterbore is at z 0, so that end is free
    assert one.toward_chuck == "high"
    assert [(c.kind, c.diameter_mm) for c in one.cuts] == [
        ("drill", pytest.approx(22.0)),  # the largest listed that leaves 1 mm of 24
        ("bore", pytest.approx(24.0)),
        ("bore", pytest.approx(30.0)),
    ]
    assert [c.over_mm for c in one.cuts] == pytest.approx([0.0, 1.0, 3.0])
    assert [c.solid for c in one.cuts] == [True, False, False]
    assert one.cuts[2].z_mm == pytest.approx((0.0, 8.0))


def test_a_waist_is_bored_from_either_end() -> None:
    """By hand: the 14 between is narrower than both, and goes with the first of them.

    The outside is turned and parted off before that: for bores off the axis nobody turns it round.
    """
    assert len(made("waist", FOUR_JAW).setups) == 1
    first, second = over("waist", FOUR_JAW)
    assert (first.toward_chuck, second.toward_chuck) == ("low", "high")
    # from z 50: the bar 8 goes 32 deep and z 15 is 35, so the 14 is drilled to its size
    assert [(c.kind, round(c.diameter_mm, 3), c.solid) for c in first.cuts] == [
        ("drill", 14.0, True), ("drill", 25.0, False), ("bore", 26.0, False),
    ]  # fmt: skip
    assert all(cut.tools for cut in (*first.cuts, *second.cuts))
    assert [(c.kind, round(c.diameter_mm, 3)) for c in second.cuts] == [
        ("drill", 22.0),
        ("bore", 24.0),
    ]
    assert second.cuts[1].z_mm == pytest.approx((0.0, 15.0))


def test_a_pin_between_cheeks_takes_a_blade_that_reaches_past_them_as_they_swing() -> None:
    """By hand: cheeks of 30, 5 off, swing to 20 round a pin of 14: 13 deep, 20 wide."""
    for one in over("crank", FOUR_JAW):
        (cut,) = one.cuts
        assert cut.tools == ("groove 3",)  # it reaches 15 deep
        assert cut.needs_mm is None
    assert not [f for f in made("crank", FOUR_JAW).findings if f.rule == "eccentric-not-reached"]
    tall = at(0.0, 40.0, 0.0, 30.0).union(at(0.0, 40.0, 50.0, 30.0)).union(at(5.0, 7.0, 30.0, 20.0))
    report = analyze(tall, shop_of(FOUR_JAW))
    assert report.plan is not None
    (cut,) = report.plan.set_over[0].cuts
    # cheeks of 80 swing to 45: 38 deep, which is more than any blade listed reaches
    assert (cut.tools, cut.needs_mm) == ((), pytest.approx((38.0, 20.0)))
    (finding,) = [f for f in report.findings if f.rule == "eccentric-not-reached"]
    assert finding.level == "error"
    assert "20 mm apart, 38 mm deep" in finding.message
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(report.document())


def test_a_bore_that_no_bar_enters_is_drilled_to_its_size() -> None:
    """A hole of 8 by 20, 3 off: the least bar listed asks for more, a drill of 8 is there."""
    drilled = at(0.0, 20.0, 0.0, 30.0).cut(at(3.0, 4.0, 10.0, 20.0))
    report = analyze(drilled, shop_of(FOUR_JAW))
    assert report.plan is not None
    (cut,) = report.plan.set_over[0].cuts
    assert (cut.kind, cut.diameter_mm, cut.solid) == ("drill", pytest.approx(8.0), True)
    text = route_text(report, shop_of(FOUR_JAW))
    assert "to its size, D1 ⌀8 z 10 to 30 mm, centre-drilled first" in text
    assert "[ ] bore ⌀8 mm (D1), 20 mm long" in text
    assert not [f for f in report.findings if f.rule == "eccentric-not-reached"]
    slabs = Drawn(report.document(), 0).slabs
    assert [slab.begin[1] for slab in slabs if slab.z_mm[0] > 9.0] == [pytest.approx((4.0, 17.0))]


@pytest.mark.parametrize("name", ["pin", "blind", "throw"])
def test_what_lies_round_the_axis_inside_an_eccentric_is_cut_with_it(name: str) -> None:
    """No bore and no cavity of the part, and nothing that stays uncut: in the blind bore its floor,
    beside the pins the room that they leave round the part's own axis."""
    report = made(name, FOUR_JAW)
    assert not {o.kind for s in report.setups for o in s.operations} & {"drill", "bore"}
    assert not [f for f in report.features if f.surface == "inner"]
    assert [f.id for f in report.features] == [f"F{n + 1}" for n in range(len(report.features))]
    rules = {f.rule for f in report.findings}
    assert rules.isdisjoint({"unreached-surface", "closed-cavity", "flat-bottom"})
    summary = "\n".join(str(line) for line in summary_lines(report, width=200))
    assert "mm³" not in summary.partition("Uncut")[2]
    assert report.verdict == "turnable"


def test_what_no_tool_of_the_shop_does_set_over_is_told() -> None:
    # by hand: cheeks of 50, 12 off, swing to 37 round a pin of 16: 29 deep; it may be milled
    shop = shop_of(FOUR_JAW)
    shop = replace(shop, tools=tuple(t for t in shop.tools if t.kind != "parting"))
    report = analyze(DRAWN["throw"](), shop)
    (finding,) = [f for f in report.findings if f.rule == "eccentric-not-reached"]
    assert finding.level == "warning"
    assert "24 mm apart, 29 mm deep" in finding.message
    holed = blind().cut(at(0.0, 4.0, 0.0, 40.0))
    report = analyze(holed, shop_of(FOUR_JAW))
    # the hole of 8 on the part's axis lies within 4 of the bore's: no drill, and no bar enters
    (finding,) = [f for f in report.findings if f.rule == "eccentric-not-reached"]
    assert (finding.level, "hole that stands there" in finding.message) == ("warning", True)
    bored = {o.tool for s in report.setups for o in s.operations if o.kind == "bore"}
    assert not bored  # its floor is no shoulder for a bar on the part's own axis


@pytest.mark.parametrize(
    ("turned", "words"),
    [
        (0.0, "in line with D2"),
        (90.0, "90° round from D2, anticlockwise seen from the high end"),
        (200.0, "160° round from D2, clockwise seen from the high end"),
        (180.0, "180° round from D2: mill it so"),
    ],
)
def test_how_far_round_a_keyway_stands_is_told(turned: float, words: str) -> None:
    key = cq.Workplane().box(10.0, 6.0, 20.0).translate((21.0, 0.0, 25.0))
    keyed = shaft().cut(key.rotate((0, 0, 0), (0, 0, 1), turned))
    report = analyze(keyed, shop_of(FOUR_JAW))
    (keyway,) = [d for d in report.part.departures if d.kind == "keyway"]
    assert keyway.parameters["phase_deg"] == pytest.approx(turned)
    assert f"D1 (keyway) {words}" in route_text(report, shop_of(FOUR_JAW))


def test_a_hole_right_across_has_the_lesser_of_its_angles_and_a_plain_shaft_none() -> None:
    across = cq.Workplane("YZ").center(0.0, 12.0).circle(2.5).extrude(60.0, both=True)
    drilled = shaft().cut(across.rotate((0, 0, 0), (0, 0, 1), 210.0))
    (hole,) = [d for d in analyze(drilled).part.departures if d.kind == "hole"]
    assert hole.parameters["phase_deg"] == pytest.approx(30.0)
    plain = analyze(at(0.0, 20.0, 0.0, 50.0).cut(across))
    assert "phase_deg" not in plain.part.departures[0].parameters


def test_a_pin_beside_the_axis_sweeps_a_ring() -> None:
    (one,) = over("pin", FOUR_JAW)
    (cut,) = one.cuts
    # the ring's sides at 14 and 6 from the axis tell the same 8
    assert cut.diameter_mm == pytest.approx(8.0)
    assert (cut.over_mm, one.dial_mm) == pytest.approx((20.0, 20.0))


def test_work_set_over_pulls_no_more_than_its_weight() -> None:
    # e ω² = g: 3 mm at 57.2 rad/s is 546 turns a minute
    assert balanced_rpm(3.0) == pytest.approx(546.0, abs=0.5)
    omega = balanced_rpm(4.0) * math.tau / 60.0
    assert 4.0e-3 * omega**2 == pytest.approx(9.80665)
    (one,) = over("shaft", FOUR_JAW)
    assert one.cuts[0].rpm == pytest.approx(balanced_rpm(3.0))
    slow = replace(FOUR_JAW, max_rpm=400.0)
    (one,) = over("shaft", slow)
    assert (one.cuts[0].rpm, one.cuts[0].limit) == (400.0, "chuck")


def test_pins_opposite_one_another_are_two_chuckings_half_a_turn_apart() -> None:
    first, second = over("crank", FOUR_JAW)
    assert {first.departures, second.departures} == {("D1",), ("D2",)}
    text = route_text(made("crank", FOUR_JAW), shop_of(FOUR_JAW))
    assert "180° round from D1" in text
    # each as near to the jaws as it can be: the pin at z 60 to 80 with the other end in them
    ends = {round(one.cuts[0].z_mm[0]): one.toward_chuck for one in (first, second)}
    assert ends == {30: "low", 60: "high"}


def test_a_long_shaft_runs_between_offset_centres() -> None:
    (one,) = over("slender", FOUR_JAW, CENTRES)
    assert one.holding is CENTRES
    # in jaws alone more than 4 diameters stand out: taken where there are no centres, and told
    (one,) = over("slender", FOUR_JAW)
    assert one.holding is FOUR_JAW
    assert one.free > 4.0
    assert "diameters stand out of the jaws" in route_text(
        made("slender", FOUR_JAW), shop_of(FOUR_JAW)
    )


def test_without_independent_jaws_it_says_what_is_missing() -> None:
    report = made("shaft")
    (one,) = over("shaft")
    assert one.grip is None
    # the centre of work in three jaws moves by e from the packed one, by e / 2 toward the others
    assert one.packed == Packing("three-jaw 160", pytest.approx(4.5), pytest.approx(40.0))
    (finding,) = [f for f in report.findings if f.rule == "eccentric-not-held"]
    assert "four independent jaws, of which the shop lists none" in finding.message
    # a journal that nothing there turns: packing is named as the makeshift that it is
    assert finding.level == "error"
    assert report.verdict == "not-turnable"
    assert "packing of about 4.5 mm" in finding.message
    assert [f.rule for f in made("shaft", FOUR_JAW).findings if "eccentric" in f.rule] == []


def test_packing_of_flat_jaws_by_geometry() -> None:
    # three flat jaws square to 0°, 120° and 240° touch a circle round (-e, 0) of radius R
    e, r = 4.0, 25.0
    reach = [r + (-e) * math.cos(math.radians(a)) for a in (0.0, 120.0, 240.0)]
    assert reach[1] == pytest.approx(reach[2])
    assert reach[1] - reach[0] == pytest.approx(PACKING.value * e)


def test_the_sheet_tells_grip_dial_cut_speed_and_measures() -> None:
    text = route_text(made("shaft", FOUR_JAW), shop_of(FOUR_JAW))
    sheet = text[text.index("Setup 2") : text.index("Lathes of the shop")]
    assert "Setup 2: low end to the chuck, set over by 3 mm for D1" in sheet
    assert "four-jaw 200, on S5 ⌀40 mm over 40 mm, z 5 to 45 mm" in sheet
    assert "a dial on ⌀40 swings by 6 mm in a turn (twice the offset)" in sheet
    assert "D1 ⌀24 z 50 to 75 mm, at most 6 mm a side to take" in sheet
    assert "no faster than 540 rpm (out of balance)" in sheet
    assert "[ ] ⌀24 mm (D1), 25 mm long" in sheet
    assert "largest less least step down to D1: 6 mm (twice the offset)" in sheet
    assert "Caution: Work set over is out of balance" in sheet
    # what the journal sweeps is stock for it, and no size to measure
    assert "S3 ⌀30 z 50–75 (stock for D1)" in text
    assert "⌀30 mm (S3)" not in text
    assert "left to mill" not in text
    summary = "\n".join(str(line) for line in summary_lines(made("shaft", FOUR_JAW), width=200))
    assert "Setup 2 low end to the chuck, four-jaw 200 ⌀40 set over by 3 mm for D1 ⌀24" in summary


def test_the_report_page_tells_it_beside_the_setups() -> None:
    told = re.sub("<[^>]+>", "", setups_block(made("shaft", FOUR_JAW).document(), inch=False))
    assert "Setup 2 D1 set over by 3 mm" in told
    assert "a dial on it swings by 6 mm in a turn" in told
    assert "no faster than 540 rpm" in told
    assert "not held in this shop" in setups_block(made("shaft").document(), inch=False)


def test_a_stated_size_is_measured_where_it_is_cut_with_its_own_limits() -> None:
    """ISO 286: g6 over 18 to 24 and to 30 is -7 to -20 µm; over 30 it would be -9 to -25."""
    shop = shop_of(FOUR_JAW)
    journal = at(0.0, 20.0, 0.0, 50.0).union(at(5.0, 12.0, 50.0, 25.0))  # it sweeps 34
    report = analyze(journal, shop)
    face = next(d for d in report.part.departures if d.kind == "eccentric").faces[0]
    fit = Intent(tolerances=(Tolerance("diameter", Named(face_index=face), "g6", fit="g6"),))
    text = route_text(analyze(journal, shop, intent=fit), shop)
    assert "[ ] ⌀24 mm g6 (23.98 to 23.993 mm) (D1), 25 mm long" in text
    assert text.count("g6") == 1


def test_in_inches_no_millimetre_is_left() -> None:
    shop = shop_of(inch=True)
    text = route_text(analyze(shaft(), shop), shop)
    sheet = text[text.index("Setup 2") : text.index("Lathes of the shop")]
    assert "0.1181 in" in sheet
    assert " mm" not in sheet


def test_it_counts_in_the_effort() -> None:
    report = made("shaft", FOUR_JAW)
    assert report.effort is not None
    parts = {p.what: p.minutes for p in report.effort.parts}
    assert parts["setups"] == 30.0  # two to make ready, 15 min each
    assert parts["loading"] == 4.0  # 2 min each
    assert parts["setting over"] == 8.0
    plain = analyze(at(0.0, 20.0, 0.0, 50.0).union(at(0.0, 15.0, 50.0, 25.0)), shop_of(FOUR_JAW))
    assert plain.effort is not None
    before = {p.what: p.minutes for p in plain.effort.parts}
    # 7 passes (6 of 1 mm, one to size) of 25 mm at 0.1 mm a turn and 546 turns, twice for the air
    cut = 2.0 * 7 * 25.0 / (0.1 * balanced_rpm(3.0))
    assert parts["cutting"] - before["cutting"] == pytest.approx(cut, rel=1e-3)


def test_what_an_eccentric_sweeps_must_be_known_for_its_room() -> None:
    """One that no segment shows, beside a plain outside of 48: nothing is made up of it."""
    plain = drawn_part([(0, 0), (25, 0), (25, 24), (0, 24)]).profile
    assert plain is not None
    for d in (0.0, 12.0):
        assert rooms_of(plain, (), [(d, (0.0, 25.0))], 2.0, "low", starter_shop().tools, ()) is None


def test_a_tool_reaches_down_to_a_pin_from_the_lower_of_its_cheeks():
    """By hand: cheeks of ⌀30 and ⌀40 swing by 4 mm as circles of 19 and 24 round a pin of ⌀12."""
    profile = drawn_part(
        [(0, 0), (60, 0), (60, 15), (40, 15), (40, 10), (20, 10), (20, 20), (0, 20)]
    ).profile
    (between,) = [s.id for s in profile.segments if {s.curve.start[1], s.curve.end[1]} == {10.0}]
    (room,) = rooms_of(profile, [between], [(12.0, (20.0, 40.0))], 4.0, "low", (), ())
    assert room.deep_mm == pytest.approx(19.0 - 6.0)
