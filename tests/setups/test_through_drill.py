"""A bore that narrows within is drilled through its throat first, then opened from both ends."""

import pytest

from turnability.analysis.stages import walk
from turnability.outputs.route_sheet.route import route_of
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop
from turnability.shop.material import with_material

STARTER = starter_shop()
# an edge of ⌀6 between two cones: no bar of the shop passes it
EDGE = [(0, 14), (30, 3), (60, 9), (60, 20), (0, 20)]
# a cylinder of ⌀15 between them, which a bar of 8 enters and finishes
WIDE = [(0, 14), (22, 7.5), (26, 7.5), (60, 11), (60, 20), (0, 20)]


def inside(points):
    """What is done inside, setup by setup, and the sheet's words for it."""
    report = walk(drawn_part(points), STARTER)
    sheets = route_of(report, STARTER).setups
    done = [[s for s in sheet.steps if s.kind in ("drill", "bore")] for sheet in sheets]
    return report, done


@pytest.mark.parametrize(
    ("points", "first"),
    [
        # by hand: the throat has a drill's size, and no bar comes to it: drill 6, whose flutes are
        # short for 60 mm, from the floor of a wide one
        (EDGE, "drill 6"),
        # by hand: the bar finishes the throat, 0.4 on its diameter are left to it: drill 14
        (WIDE, "drill 14"),
    ],
)
def test_the_throat_is_drilled_through_before_its_cones_are_bored(points, first):
    _, (one, other) = inside(points)
    through = next(step for step in one if step.tool == first)
    assert through.where.startswith("through")
    assert one[-1].kind == other[-1].kind == "bore"
    assert [step.kind for step in one] == sorted((step.kind for step in one), reverse=True)
    # nothing is drilled through again, and no staircase of drills stands for a cone
    assert not any("through" in step.where for step in (*one, *other) if step is not through)
    assert sum(step.kind == "drill" for step in (*one, *other)) <= 3
    assert all("S" not in step.where for step in (*one, *other) if step.kind == "drill")


def test_what_stays_beside_each_cone_is_one_finding_that_says_what_it_rests_on():
    """Reach lets every drill of the shop touch the cone: steps that hang together are one place."""
    report, _ = inside(EDGE)
    assert sorted(left.segments for left in report.reach.left) == [("S1",), ("S2",)]
    found = [f for f in report.findings if f.rule == "unreached-surface"]
    assert [f.where.segments for f in found] == [("S1",), ("S2",)]
    for finding, name in zip(found, ("S1", "S2"), strict=True):
        steps = [left for left in report.reach.left if left.segments == (name,)]
        assert finding.measured == max(left.deepest_mm for left in steps)
        assert "with every drill that goes in run as deep as it may" in finding.message
        # more stays of the plan's own drills: not within what general tolerances leave to a shop
        assert finding.level == "error"


def test_each_cone_is_bored_from_the_end_that_it_opens_to():
    """By hand: a pointed bar gets behind the throat, but the part is turned round."""
    report, _ = inside(WIDE)
    bored = [
        [s for o in t.operations if o.kind == "bore" for s in o.segments] for t in report.setups
    ]
    chucks = [setup.toward_chuck for setup in report.setups]
    # S1 opens to the low end, S3 to the high one
    assert ["S1" in names for names in bored] == [chuck == "high" for chuck in chucks]
    assert ["S3" in names for names in bored] == [chuck == "low" for chuck in chucks]


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_drill_too_short_for_the_bore_ends_where_its_flutes_do_and_its_cone_leads_the_next(
    mirrored,
):
    """⌀84 through 200: drill 30 has flutes of 175 (DIN 345), less 1.5 diameters for its chips 130.

    From there drill 15 goes on, led by the cone: by hand 30 / 2 / tan 59° = 9.01 behind its point.
    """
    tube = [(0, 42), (0, 47), (200, 47), (200, 42)]
    if mirrored:
        tube = [(0, 42), (0, 47), (190, 47), (190, 50), (200, 50), (200, 42)]
    shop = with_material(STARTER, "6082-T6", None)
    report = walk(drawn_part(tube), shop)
    first = route_of(report, shop).setups[0]
    deep = [200 - d if first.setup.toward_chuck == "low" else d for d in (130.0, 120.99)]
    wide, narrow = [s for s in first.steps if s.kind == "drill"]
    assert wide.tool == "drill 30"
    assert wide.where == (
        f"for what follows, its point no deeper than z {deep[0]:g}, full diameter to z {deep[1]:g}"
    )
    assert narrow.where.startswith("through, for what follows")
    assert "Centre-drill, then drill about ⌀15 mm" in wide.first
    assert "entre-drill" not in narrow.first
    assert "then drill" not in narrow.first
    for later in route_of(report, shop).setups[1:]:
        assert not any("entre-drill" in step.first for step in later.steps)


@pytest.mark.parametrize(
    ("length", "points"),
    [
        # by hand: flutes of 81 (DIN 338) less 1.5 diameters for the chips let the point of ⌀9 go
        # 67.5 deep, its full width 4.5 / tan 59° = 2.7 less. Pushed on by 3.2, more than a
        # diameter of flutes still lets the chips out, and the full width is out by 1
        (67.0, [-3.7]),
        # by hand: as far as the flutes go, 0.3 short of it, and the rest from the other end
        (71.0, [3.8, 67.2]),
        (80.0, [12.8, 67.2]),
    ],
)
def test_a_hole_about_as_deep_as_its_drill_goes_is_drilled_through(length, points):
    """However little stands in it after the first chucking: nothing else would open it."""
    bush = [(0, 4.5), (length, 4.5), (length, 12.5), (0, 12.5)]
    report, done = inside(bush)
    drills = [o for s in report.setups for o in s.operations if o.kind == "drill"]
    assert [(o.tool, o.segments) for o in drills] == [("drill 9", ("S1",))] * len(points)
    assert [o.ends_at[0] for o in drills] == pytest.approx(points, abs=0.01)
    told = [step.where for steps in done for step in steps]
    assert ["through" in where for where in told] == [len(points) == 1] * len(points)
