"""A thin wall's bore is finished while stock stands outside, its outside last of all."""

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Tolerance
from turnability.outputs.route_sheet.first import COOL, PLUG
from turnability.outputs.route_sheet.route import route_of
from turnability.rules import wall_under_tool
from turnability.rules.drawn import drawn_part
from turnability.setups.surfaces.thin_walls import (
    LEAST_MM,
    STIFFENED,
    THIN,
    springy_outsides,
    thin_outsides,
)
from turnability.shop.load import starter_shop

STARTER = starter_shop()


def sleeve(bore_mm, outside_mm=50.0):
    return [(0, bore_mm / 2), (50, bore_mm / 2), (50, outside_mm / 2), (0, outside_mm / 2)]


def sheet_of(points):
    report = walk(drawn_part(points), STARTER)
    (sheet,) = route_of(report, STARTER).setups
    return report, sheet


def test_a_thin_sleeve_is_bored_before_its_outside_is_finished():
    """By hand: rough, drill, bore, then the outside over a plug or on a mandrel, light cuts."""
    report, sheet = sheet_of(sleeve(48.0))
    kinds = [step.kind for step in sheet.steps]
    assert kinds == ["face", "rough", "drill", "bore", "bore", "turn", "part off"]
    by_kind = {step.kind: step for step in sheet.steps}
    assert "leaving stock" in by_kind["rough"].where
    assert by_kind["turn"].first == PLUG
    assert by_kind["turn"].rough == ""
    assert by_kind["turn"].finish != ""
    # what the finding advises is what the sheet does
    (advice,) = [f for f in report.findings if f.rule == "wall-under-tool"]
    assert "Finish its inside while stock stands outside" in advice.message


CUP = [(0, 0), (4, 0), (4, 22.5), (60, 22.5), (60, 25), (0, 25)]
"""⌀50 with a wall of 2.5: its middle radius 23.75 is 9.5 times that."""


@pytest.mark.parametrize("points", [CUP, sleeve(45.4)], ids=["cup", "sleeve"])
def test_a_wall_that_springs_is_roughed_on_both_sides_before_either_is_finished(points):
    """By hand, nothing stated: rough outside, drill, rough bore; let it cool; finish the bore, that
    the stock outside backs up, then the outside. No plug: 2.3 mm are over 1/30 of ⌀50."""
    report, sheet = sheet_of(points)
    kinds = [step.kind for step in sheet.steps]
    assert kinds == ["face", "rough", "drill", "bore", "bore", "turn", "part off"]
    rough, bored, finished, turned = (sheet.steps[n] for n in (1, 3, 4, 5))
    assert rough.where == "the outside, leaving stock to finish when the bore is done"
    assert bored.where == "roughs " + finished.where
    assert bored.rough.startswith("1 mm deep")
    assert bored.finish == ""
    assert (finished.rough, turned.rough) == ("", "")
    assert finished.finish.startswith("0.5 mm deep")
    assert finished.first == COOL
    assert turned.first == ""
    assert [f for f in report.findings if f.rule == "wall-under-tool"] == []


@pytest.mark.parametrize(
    ("bore_mm", "springy"),
    # by hand: middle radius 5 walls is R = 5.5 walls: of ⌀50 a wall of 4.545
    [(41.0, True), (40.8, False)],
)
def test_a_wall_springs_under_a_fifth_of_its_middle_radius(bore_mm, springy):
    profile = drawn_part(sleeve(bore_mm)).profile
    found = frozenset({"S3"}) if springy else frozenset()
    assert springy_outsides(profile, {"S3"}, {"S1"}) == found


def test_a_boss_within_a_bore_is_no_wall():
    """By hand: a boss of ⌀10 stands in a cup bored ⌀30: that bore lies round it, not in it."""
    cup = [(0, 0), (20, 0), (20, 5), (5, 5), (5, 15), (20, 15), (20, 18), (0, 18)]
    profile = drawn_part(cup).profile
    every = {s.id for s in profile.segments if s.surface != "axis"}
    boss = next(s for s in profile.segments if s.curve.start == (20.0, 5.0))
    assert boss.surface == "outer"
    for found in (thin_outsides(profile, every, every), springy_outsides(profile, every, every)):
        assert boss.id not in found


def test_what_a_drill_left_for_one_cut_is_not_roughed_apart():
    """By hand: ⌀16 H7 after drill 15: half a millimetre a side is the finishing cut."""
    place = Named(diameter_mm=(16.0, 16.0), side="inner", segments=("S1",))
    out = Named(diameter_mm=(22.0, 22.0), side="outer", segments=("S3",))
    close = (
        Tolerance("diameter", place, "H7", width_mm=0.018, nominal_mm=16.0),
        Tolerance("diameter", out, "k6", width_mm=0.013, nominal_mm=22.0),
    )
    bush = [(0, 8), (30, 8), (30, 11), (5, 11), (5, 15), (0, 15)]
    report = walk(drawn_part(bush), STARTER, intent=Intent(tolerances=close))
    (sheet,) = route_of(report, STARTER).setups
    assert [s.kind for s in sheet.steps] == ["face", "rough", "drill", "bore", "turn", "part off"]


def test_what_no_right_hand_roughs_is_roughed_before_the_bore_too():
    """By hand: a sleeve waisted between collars: pointed corner and left hand rough the waist
    before the bore is finished, and finish it after."""
    waist = [(0, 12), (60, 12), (60, 20), (50, 20), (50, 14), (10, 14), (10, 20), (0, 20)]
    _, sheet = sheet_of(waist)
    done = [(o.kind, o.only_roughs) for o in sheet.setup.operations]
    bored = done.index(("bore", False))
    assert done[:bored].count(("turn", True)) == 2
    assert ("turn", False) not in done[:bored]
    assert not any(step.rough for step in sheet.steps[bored:])


def test_a_stout_bush_is_turned_first():
    _, sheet = sheet_of(sleeve(40.0))
    kinds = [step.kind for step in sheet.steps]
    assert kinds.index("turn") < kinds.index("bore")
    assert PLUG not in [step.first for step in sheet.steps]


@pytest.mark.parametrize(
    ("bore_mm", "thin"),
    # by hand: 1/30 of ⌀50 is 1.667: a wall of 1.6 is thin, one of 1.7 is not
    [(46.8, True), (46.6, False)],
)
def test_thin_is_a_thirtieth_of_the_diameter(bore_mm, thin):
    profile = drawn_part(sleeve(bore_mm)).profile
    assert thin_outsides(profile, {"S3"}, {"S1"}) == (frozenset({"S3"}) if thin else frozenset())
    assert thin_outsides(profile, {"S3"}, set()) == frozenset()


def test_the_rule_and_the_plan_mean_the_same_by_thin():
    assert THIN.value * wall_under_tool.THIN == pytest.approx(1.0)
    assert LEAST_MM == wall_under_tool.LEAST_MM
    assert STIFFENED == wall_under_tool.EDGE


@pytest.mark.parametrize(("length_mm", "springy"), [(20.0, True), (18.0, False)])
def test_a_ring_no_longer_than_the_bar_behind_it_stiffens_springs_not(length_mm, springy):
    """By hand: ⌀50 with a wall of 2.5: 2.44 · √(23.75 · 2.5) is 18.8 mm."""
    ring = [(0, 22.5), (length_mm, 22.5), (length_mm, 25), (0, 25)]
    found = springy_outsides(drawn_part(ring).profile, {"S3"}, {"S1"})
    assert found == (frozenset({"S3"}) if springy else frozenset())


@pytest.mark.parametrize(
    ("width_mm", "late"),
    # ISO 286-1, over 30 to 50 mm: IT9 is 0.062
    [(0.062, True), (0.07, False)],
)
def test_a_closely_toleranced_outside_is_finished_after_the_bore(width_mm, late):
    """Common practice, no source: rough outside, drill and bore, then the close outside."""
    place = Named(diameter_mm=(50.0, 50.0), side="outer", segments=("S3",))
    close = Tolerance("diameter", place, "close", width_mm=width_mm, nominal_mm=50.0)
    report = walk(drawn_part(sleeve(40.0)), STARTER, intent=Intent(tolerances=(close,)))
    (sheet,) = route_of(report, STARTER).setups
    kinds = [step.kind for step in sheet.steps]
    if not late:
        assert kinds == ["face", "turn", "drill", "bore", "part off"]
        return
    assert kinds == ["face", "rough", "drill", "bore", "bore", "turn", "part off"]
    rough, turn = sheet.steps[1], sheet.steps[5]
    assert rough.where == "the outside, leaving stock to finish when the bore is done"
    assert (turn.rough, turn.first) == ("", "")  # no thin wall, no plug
    assert turn.finish != ""
