"""What stands beside the steps is true of the plan that is shown, not of the shop's best tool."""

import math
from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related, Tolerance
from turnability.outputs._making import setup_text
from turnability.outputs.route_sheet import route_text
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import route_of
from turnability.part.model import Departure
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
SHOULDER = [(0, 0), (60, 0), (60, 12), (30, 12), (30, 20), (0, 20)]


def made(points, departures=(), shop=STARTER):
    return walk(drawn_part(points, departures=departures), shop)


def test_a_corner_is_told_with_the_nose_that_the_plan_has_there():
    """A nose r leaves (sqrt(2) - 1) r in a square corner: 0.33 mm of the planned 0.8, and less only
    of another tool after it."""
    report = made(SHOULDER)
    assert route_of(report, STARTER).left == (
        "S3, S4: rough right leaves its nose of 0.8 mm in the corner",
    )
    (finding,) = [f for f in report.findings if f.rule == "sharp-inside-corner"]
    planned = (math.sqrt(2.0) - 1.0) * 0.8
    assert f"As planned, rough right leaves {planned:.2f} mm there" in finding.message
    assert "run ring groove in after it for less" in finding.message


def test_a_close_diameter_that_two_tools_share_is_told_of_its_line():
    """By hand: a neck between two collars is cut by a tool of either hand, a plain step by one."""
    neck = [(0, 0), (90, 0), (90, 12), (70, 12), (70, 8), (30, 8), (30, 12), (0, 12)]
    step = [(0, 0), (90, 0), (90, 8), (30, 8), (30, 12), (0, 12)]
    told = {}
    for name, ring in (("neck", neck), ("step", step)):
        close = Tolerance("diameter", Named(diameter_mm=(16.0, 16.0)), "h6", fit="h6")
        report = walk(drawn_part(ring), STARTER, intent=Intent(tolerances=(close,)))
        lines = [line for one in route_of(report, STARTER).setups for line in one.measure]
        (told[name],) = [line for line in lines if "h6" in line]
    assert " meet: measure on either side of it" in told["neck"]
    assert "left" in told["neck"]
    assert "a line stays" not in told["step"]


@pytest.mark.parametrize("neck", [True, False])
def test_what_must_run_true_is_told_of_its_line_too(neck):
    """The neck between two collars and the plain step, of which a run-out alone is stated."""
    rest = [(70, 12), (70, 8), (30, 8)] if neck else [(90, 8), (30, 8)]
    ring = [(0, 0), (90, 0), *([(90, 12)] if neck else []), *rest, (30, 12), (0, 12)]
    true = Related("true", (Named(diameter_mm=(16.0, 16.0)), Named(diameter_mm=(24.0, 24.0))), 0.02)
    report = walk(drawn_part(ring), STARTER, intent=Intent(related=(true,)))
    lines = [line for one in route_of(report, STARTER).setups for line in one.measure]
    (line,) = [line for line in lines if line.startswith("run-out")]
    assert (" meet: measure on either side of it" in line) is neck
    found = [f for f in report.findings if f.rule == "line-between-tools"]
    assert [f.where.diameter_mm for f in found] == [(16.0, 16.0)] * neck
    assert all("must run true" in f.message for f in found)


@pytest.mark.parametrize(("radius_mm", "told"), [(18.0, True), (17.7, False)])
def test_a_groove_as_deep_as_its_blade_sinks_has_nothing_to_spare(radius_mm, told):
    """The starter shop's bar sinks 3 mm: from ⌀30 all of it to ⌀36, and 0.3 less to ⌀35.4."""
    inside = [(0, 15), (30, 15), (30, radius_mm), (50, radius_mm), (50, 15), (80, 15)]
    report = made([*inside, (80, 30), (0, 30)])
    cautions = [c for one in route_of(report, STARTER).setups for c in one.cautions]
    spent = [c for c in cautions if "nothing to spare" in c]
    assert len(spent) == told
    assert all(c.startswith("groove inside 3 sinks 3 mm and the groove asks for 3") for c in spent)


def test_no_tool_is_sent_after_another_to_where_its_holder_meets_the_collar():
    """By hand: held at its high end, for the taper lies open then. Seen from the free end the
    corner at z 80 lies behind ⌀25, 3.5 mm deep, where the ring groove's blade sinks 2 mm; that at
    z 70 lies open."""
    ring = [
        (0, 0),
        (110, 0),
        (110, 9),
        (80, 9),
        (80, 12.5),
        (70, 12.5),
        (70, 9.5),
        (64, 9.5),
        (0, 8),
    ]
    found = [f for f in made(ring).findings if f.rule == "sharp-inside-corner"]
    told = {f.where.z_mm[0]: f.message for f in found}
    assert "As planned, rough left leaves 0.33 mm there." in told[80.0]
    assert "As planned, rough right leaves 0.33 mm there: run ring groove in after" in told[70.0]


def test_a_corner_that_the_plan_cuts_with_the_smallest_nose_needs_no_more_words():
    shop = replace(STARTER, tools=tuple(t for t in STARTER.tools if t.name == "rough right"))
    (finding,) = [f for f in made(SHOULDER, shop=shop).findings if f.rule == "sharp-inside-corner"]
    assert "As planned" not in finding.message


def test_what_stays_for_another_reason_is_told_with_the_tool_that_comes_nearest():
    # a recess of ⌀30 behind an entry of ⌀12 asks for more than the bars' f
    hollow = [(60, 6), (40, 6), (40, 15), (20, 15), (20, 6), (10, 6), (10, 0)]
    report = made([*hollow[::-1], (60, 25), (0, 25), (0, 0)][1:])
    assert report.reach is not None
    deep = [left for left in report.reach.left if left.causes != ("nose-radius",)]
    assert deep
    told = " ".join(route_of(report, STARTER).left)
    # but for the cone of its floor, 62° where a drill has 118°: no tool is wanted there
    (cone,) = [f for f in report.findings if f.rule == "drill-point"]
    assert f"S1: the point of its drill is not the drawn one ({cone.id})" in told
    recess = [left for left in deep if not set(left.segments) <= set(cone.where.segments)]
    assert recess
    for left in recess:
        assert f"{left.nearest_tool} comes nearest, but" in told


@pytest.mark.parametrize(
    ("way", "told"),
    [
        ({"direction": "other", "angle_deg": 90.0}, "across, beside the axis"),  # a clamp screw's
        ({"direction": "other", "angle_deg": 30.0}, "at 30° to the axis"),
        ({"direction": "other"}, "beside the axis"),
        ({"direction": "radial", "angle_deg": 90.0}, "radial"),
    ],
)
def test_how_a_hole_runs_is_told_in_words(way, told):
    hole = Departure("D1", "hole", (), None, (5.0, 9.0), {"diameter_mm": 4.0, **way})
    part = replace(drawn_part(SHOULDER), departures=(hole,))
    (line,) = route_of(walk(part, STARTER), STARTER).not_turned
    assert f"D1 hole ⌀4 {told}, z 5 to 9 mm" in line


def test_what_is_not_turned_is_left_to_others_in_one_line():
    holes = Departure(
        "D1", "bolt-circle", (7, 8, 9, 10), 1.0, (0.0, 30.0),
        {"count": 4, "hole_diameter_mm": 4.0, "circle_diameter_mm": 30.0},
    )  # fmt: skip
    across = Departure("D2", "hole", (11,), 1.0, (43.0, 47.0),
                       {"diameter_mm": 4.0, "direction": "radial"})  # fmt: skip
    knurl = Departure("D3", "other", (12,), 1.0, (5.0, 15.0), {"form": "knurl", "count": 40})
    report = made(SHOULDER, (holes, across, knurl))
    told = route_of(report, STARTER).not_turned
    assert told == (
        "D1 bolt circle 4 × ⌀4 on ⌀30, z 0 to 30 mm; D2 hole ⌀4 radial, z 43 to 47 mm: left to "
        "mill, drill or broach after turning",
        "D3 knurl 40 ×, z 5 to 15 mm: pressed in with a knurling tool while it is held",
    )
    text = route_text(report, STARTER)
    assert "Not turned here\n  D1 bolt circle" in text
    assert "<h2>Not turned here</h2><p>D1 bolt circle" in page(
        route_of(report, STARTER), report, STARTER
    )
    assert route_of(made(SHOULDER), STARTER).not_turned == ()


@pytest.mark.parametrize(
    ("length_mm", "rest", "told"),
    # by the calculation 25 diameters on a centre bend by 0.22 mm, where 0.07 may be; 8 do not
    [(300.0, True, True), (300.0, False, False), (96.0, True, False)],
)
def test_a_follow_rest_stands_on_the_sheet_where_the_shaft_bends_without_it(length_mm, rest, told):
    machines = tuple(replace(m, follow_rest=rest) for m in STARTER.machines)
    shop = replace(STARTER, machines=machines)
    report = made([(0, 0), (length_mm, 0), (length_mm, 6), (0, 6)], shop=shop)
    sheet, _ = route_of(report, shop).setups
    assert sheet.setup.support == "tailstock"
    assert ("follow rest behind the tool along S3" in sheet.hold) is told
    # the rule and the summary say the same of it
    assert ("tailstock and follow rest: " in setup_text(sheet.setup, report)) is told
    bent = [f.message for f in report.findings if f.rule == "bends-too-much"]
    assert any("with the follow rest planned behind the tool" in m for m in bent) is told
    assert any("A steady rest, a follow rest" in m for m in bent) is False


def test_a_ring_in_an_end_without_its_blade_is_told_as_the_finding_tells_it():
    """Not that some drill came nearest, which is no tool for a groove round the axis."""
    ring = [(0, 4), (12, 4), (12, 7), (19, 7), (19, 8.2), (16.5, 8.2), (16.5, 8.8), (19, 8.8),
            (19, 9.5), (14, 9.5), (14, 12.5), (0, 12.5)]  # fmt: skip
    report = made(ring)
    (line,) = [one for one in route_of(report, STARTER).left if "end-grooving" in one]
    (finding,) = [f for f in report.findings if f.rule == "unreached-surface"]
    assert line.endswith(f"fits ⌀16.4 to 17.6 mm ({finding.id})")
    assert "no end-grooving blade is listed" in line
    assert not any("drill" in one for one in route_of(report, STARTER).left)


def test_a_wall_that_jaws_bend_for_good_is_told_on_the_sheet_as_in_the_findings():
    """A cup of ⌀70 with a wall of 1.2 mm, turned round to be faced: C45 yields at about 340 N/mm²
    (from memory)."""
    cup = [(0, 0), (2.5, 0), (2.5, 33.8), (60, 33.8), (60, 35), (0.5, 35), (0, 34.5)]
    told = {}
    for name, bore in (("thin", 33.8), ("stout", 27.0)):
        report = made([(z, bore if r == 33.8 else r) for z, r in cup])
        setups = route_of(report, STARTER).setups
        told[name] = [[c for c in one.cautions if "for good" in c] for one in setups]
    (finding,) = [f for f in made(cup).findings if f.rule == "thin-wall"]
    assert finding.measured > 340.0
    assert [len(lines) for lines in told["thin"]] == [0, 1]
    assert f"about {finding.measured:.0f} N/mm²" in told["thin"][1][0]
    assert not any(told["stout"])


def test_a_short_grip_is_run_at_half_the_usual_speed():
    """Common practice, no source: a disc of ⌀80 held by 20 mm of the 40 wanted (half its diameter)
    is faced at 60 m/min where 120 are usual."""
    disc = [(0, 6), (0, 14), (4, 14), (4, 40), (26, 40), (26, 6)]
    setup = route_of(made(disc), STARTER).setups[-1]
    assert "⌀80 mm over 20 mm" in setup.hold
    assert any("A short grip" in caution for caution in setup.cautions)
    (face,) = [step for step in setup.steps if step.kind == "face"]
    assert "60 m/min, held down by the short grip" in face.finish


def test_no_lathe_is_told_to_make_a_part_that_the_plan_does_not_make():
    """A recess of ⌀30 behind an entry of ⌀12 that no bar gets into, and the bush without it."""
    bush = [(60, 25), (0, 25), (0, 6), (60, 6)]
    hollow = [(60, 25), (0, 25), (0, 6), (20, 6), (20, 15), (40, 15), (40, 6), (60, 6)]
    assert "bench: makes it" in route_of(made(bush), STARTER).lathes
    deep = made(hollow)
    (error,) = [f.id for f in deep.findings if f.level == "error"]
    told = f"takes the work as planned, which is not all as drawn ({error})"
    assert route_of(deep, STARTER).lathes == (f"bench: {told}", f"turning centre: {told}")
