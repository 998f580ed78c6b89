"""A thin wall's bore is finished while stock stands outside, its outside last of all."""

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Tolerance
from turnability.outputs.route_sheet.first import PLUG
from turnability.outputs.route_sheet.route import route_of
from turnability.rules import wall_under_tool
from turnability.rules.drawn import drawn_part
from turnability.setups.thin_walls import LEAST_MM, THIN, thin_outsides
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
    assert kinds == ["face", "rough", "drill", "bore", "turn", "part off"]
    by_kind = {step.kind: step for step in sheet.steps}
    assert "leaving stock" in by_kind["rough"].where
    assert by_kind["turn"].first == PLUG
    assert by_kind["turn"].rough == ""
    assert by_kind["turn"].finish != ""
    # what the finding advises is what the sheet does
    (advice,) = [f for f in report.findings if f.rule == "wall-under-tool"]
    assert "Finish its inside while stock stands outside" in advice.message


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
    assert kinds == ["face", "rough", "drill", "bore", "turn", "part off"]
    rough, turn = sheet.steps[1], sheet.steps[4]
    assert rough.where == "the outside, leaving stock to finish when the bore is done"
    assert (turn.rough, turn.first) == ("", "")  # no thin wall, no plug
    assert turn.finish != ""
