"""A surface of which its tool leaves a ring is given to a second tool as well."""

import math
from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.half_plane.curves import Arc, line_ring
from turnability.outputs.route_sheet.route import route_of
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
HANDS = {tool.name: tool.hand for tool in STARTER.tools}


def drawn(curves):
    """A part of these curves, each a face of its own, closed along the axis."""
    faces = [(n,) if c.start[1] or c.end[1] else () for n, c in enumerate(curves, start=1)]
    return drawn_part(make_profile([list(zip(curves, faces, strict=True))]))


def ball(neck_mm: float, both: bool = False):
    """A ball of ⌀20 on a neck of 15, on a shank of ⌀16 or on another such ball."""
    r, deep = neck_mm / 2.0, math.sqrt(100.0 - neck_mm * neck_mm / 4.0)
    join = 40.0 if not both else 10.0 + deep
    centre = join + 15.0 + deep
    top = Arc((centre + 10.0, 0.0), (join + 15.0, r), (centre, 0.0), 10.0, False)
    if both:
        foot = Arc((join, r), (0.0, 0.0), (10.0, 0.0), 10.0, False)
        return drawn([*line_ring([(0, 0), (centre + 10.0, 0)])[:1], top,
                      line_ring([(join + 15.0, r), (join, r), (0, 0)])[0], foot])  # fmt: skip
    lines = line_ring([(0, 0), (centre + 10.0, 0), (join + 15.0, r), (join, r), (join, 8), (0, 8)])
    return drawn([lines[0], top, *lines[2:]])


def takers(part, surface):
    """Hands of the tools that turn a surface, in the plan's order."""
    plan = walk(part, STARTER).plan
    operations = [o for s in plan.setups for o in s.operations if surface in o.segments]
    return [HANDS[o.tool] for o in operations], plan


@pytest.mark.parametrize(
    ("neck_mm", "hands"),
    [
        # by hand: where the neck joins, the ball falls by acos(neck / 20) to the axis. A corner of
        # 35° led at 93° follows 52° at most: 60° are left to the other hand, 37° are not
        (10.0, ["right", "left"]),
        (16.0, ["right"]),
    ],
)
def test_the_back_of_a_ball_that_falls_too_steeply_is_cut_from_the_other_hand(neck_mm, hands):
    found, _ = takers(ball(neck_mm), "S2")
    assert found == hands


def test_the_second_tool_is_told_that_it_cuts_what_is_left():
    part = ball(10.0)
    report = walk(part, STARTER)
    steps = [s for sheet in route_of(report, STARTER).setups for s in sheet.steps]
    told = [s.where for s in steps if "S2 " in s.where]
    assert len(told) == 2
    assert ["what is left of it" in where for where in told] == [False, True]


def test_the_neck_behind_a_ball_is_roughed_by_the_only_corner_that_gets_there():
    """By hand: 5 mm a side behind a ball are too much for one pass of a pointed corner."""
    report = walk(ball(10.0), STARTER)
    (sheet,) = route_of(report, STARTER).setups
    copying = next(s for s in sheet.steps if s.tool.startswith("copy") and s.tool.endswith("right"))
    assert copying.rough.startswith("1 mm deep")


def test_a_ball_at_the_chuck_is_parted_off_and_not_sawn():
    """By hand: a dumbbell from bar; a blade cuts it off at the pole, nothing stays as sawn."""
    report = walk(ball(10.0, both=True), STARTER)
    (setup,) = report.setups
    assert setup.operations[-1].kind == "part off"
    assert all(left.segments for left in setup.left)
    (sheet,) = route_of(report, STARTER).setups
    assert sheet.then is not None
    assert sheet.then.startswith("the face at z 0 stays as the blade leaves it")
    assert sheet.steps[-1].where == "at z 0"


def test_without_a_blade_the_dome_at_the_chuck_is_named_as_sawn():
    blades = ("groov", "part")
    shop = replace(STARTER, tools=tuple(t for t in STARTER.tools if not t.kind.startswith(blades)))
    part = ball(10.0, both=True)
    setups = walk(part, shop).setups
    assert any("S4" in left.segments for left in setups[-1].left)
    assert all(left.segments for left in setups[-1].left)


def test_beside_jaws_a_sturdy_corner_is_not_passed_over_for_a_finer_nose():
    """By hand: a collar of 5 ends where the jaws begin. What a nose of 0.8 leaves there is nothing
    that a nose of 0.4 does better: one sturdy tool for all of the outside."""
    hub = [(0, 10), (45, 10), (45, 15), (25, 15), (25, 30), (20, 30), (20, 15), (0, 15)]
    report = walk(drawn_part(hub), STARTER)
    outside = {o.tool for s in report.setups for o in s.operations if o.kind in ("face", "turn")}
    assert outside == {"rough right"}


def test_a_long_neck_at_the_chuck_is_turned_and_not_plunged_all_along():
    """By hand: ⌀12 x 30 behind a collar of ⌀24: a pointed corner feeds down along it to the chuck,
    the left hand squares the shoulder and takes what is left. A neck of 8 is left to the blade."""

    def outside(neck_mm):
        end = neck_mm + 25.0  # the collar is the heavy end
        spindle = [(0, 0), (end + 20, 0), (end + 20, 6), (end, 6), (end, 12), (neck_mm, 12)]
        report = walk(drawn_part([*spindle, (neck_mm, 6), (0, 6)]), STARTER)
        (setup,) = report.setups
        neck = next(s.id for s in report.part.profile.segments if s.curve.end == (0.0, 6.0))
        return [o.kind for o in setup.operations if neck in o.segments]

    assert outside(30.0) == ["turn", "turn"]
    assert outside(8.0) == ["groove"]
