"""Advice is given only where the part, the plan and the shop leave room for it.

Which advice a machinist would follow is common practice, no source; each case says the geometry
that rules it out.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnability.features.model import Feature
from turnability.intent.model import Intent
from turnability.outputs.route_sheet.beside import SHORT, SHORT_SOFT, caution_lines
from turnability.reach.model import Reach
from turnability.report import Report
from turnability.rules import (
    left_between_chuckings,
    long_slender,
    no_land_to_grip,
    parting_pip,
    sharp_inside_corner,
    short_grip,
    thin_wall,
)
from turnability.rules.drawn import BORING_BAR, CHUCK, TURNING_TOOL, drawn_shop, drawn_view
from turnability.rules.model import Finding, NotJudged, View
from turnability.rules.sharp_inside_corner import nose_fillet
from turnability.setups.bending.bend import with_bending
from turnability.setups.model import Datum, Grip, Operation, Setup, SetupLeft

DATUM = Datum(None, "drawn")


def only(judged: object) -> Finding:
    assert not isinstance(judged, NotJudged)
    (finding,) = judged  # type: ignore[misc]
    assert isinstance(finding, Finding)
    return finding


def bush(outside: float, bore: float, length: float, grip: float) -> View:
    """Turned in the first setup, bored in the second by the hold on its outside."""
    r, out = bore / 2.0, outside / 2.0
    view = drawn_view([(0, r), (length, r), (length, out), (0, out)])
    assert view.part.profile is not None
    by = {s.surface: s.id for s in view.part.profile.segments if s.surface in ("outer", "inner")}
    raw = Grip("raw bar", "outer", (length + 5.0, length + 25.0), outside + 5.0, 20.0)
    land = Grip(CHUCK.name, "outer", (0.0, grip), outside, grip)
    setups = (
        Setup(1, "high", raw, DATUM, "none", (Operation("t", (by["outer"],), "turn"),), ()),
        Setup(2, "low", land, DATUM, "none", (Operation("bar 8", (by["inner"],), "bore"),), ()),
    )
    return replace(view, setups=with_bending(view.part, setups, view.stock, view.shop))


@pytest.mark.parametrize(
    ("outside", "bore", "length", "grip", "collet"),
    [
        (40.0, 37.0, 60.0, 45.0, False),
        (30.0, 28.0, 40.0, 32.0, True),
        (30.0, 28.0, 40.0, 12.0, False),
    ],
)  # fmt: skip
def test_a_thin_wall_is_offered_what_holds_it_and_no_more(outside, bore, length, grip, collet):
    """No collet of DIN 6499 closes on more than ⌀34; none holds less than its diameter; the bore
    is cut in this very setup, so that no mandrel has it; no wall of it is thick."""
    message = only(thin_wall.check(bush(outside, bore, length, grip))).message
    assert "ore soft jaws to the diameter" in message
    assert ("use a collet" in message) is collet
    assert "mandrel" not in message
    assert "wall is thick" not in message
    # through bored, so that it could be bored from bar in the first setup
    assert "cut the other side in setup 1" in message


def test_a_thin_wall_beside_a_solid_hub_is_gripped_by_the_hub():
    """A hub of ⌀30 with a hole of ⌀10 beside a shell of 1 mm: the hub stands in no tool's way."""
    view = drawn_view([(0, 5), (20, 5), (20, 19), (60, 19), (60, 20), (20, 20), (20, 15), (0, 15)])
    assert view.part.profile is not None
    segments = view.part.profile.segments
    z = {s.id: sorted((s.curve.start[0], s.curve.end[0])) for s in segments}
    outer = [s.id for s in segments if s.surface == "outer"]
    shell = [s.id for s in segments if s.surface == "inner" and z[s.id] == [20, 60]]
    raw = Grip("raw bar", "outer", (65.0, 85.0), 45.0, 20.0)
    land = Grip(CHUCK.name, "outer", (22.0, 50.0), 40.0, 28.0)
    setups = (
        Setup(1, "high", raw, DATUM, "none", (Operation("t", tuple(outer), "turn"),), ()),
        Setup(2, "low", land, DATUM, "none", (Operation("bar 8", tuple(shell), "bore"),), ()),
    )
    view = replace(view, setups=with_bending(view.part, setups, view.stock, view.shop))
    message = only(thin_wall.check(view)).message
    assert "grip where the wall is thick" in message
    # the shell is closed toward the low end, that setup 1 has free
    assert "cut the other side" not in message


def parted(bored: bool, chamfered: bool, land: bool = True) -> View:
    """A pin, or a bush, of ⌀20 or a double cone, whose low end is parted off; no pip may stay."""
    r, tip = 5.0 if bored else 0.0, 9.0 if chamfered else 10.0
    ring = [(0, r), (30, r), (30, 10), (1, 10), (0, tip)]
    if not land:
        ring = [(0, r), (30, r), (30, 8), (15, 12), (0, 8)]
    chamfer = Feature("F1", "chamfer", "outer", (0.0, 1.0), (18.0, 20.0), (), ())
    view = drawn_view(ring, features=(chamfer,) * chamfered, intent=Intent(parting_pip=()))
    assert view.part.profile is not None
    face = next(s.id for s in view.part.profile.segments if s.curve.start[0] == s.curve.end[0] == 0)
    off = Operation("part 3", (face,), "part off")
    grip = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    return replace(view, setups=(Setup(1, "low", grip, DATUM, "none", (off,), ()),))


@pytest.mark.parametrize("bored", [False, True])
@pytest.mark.parametrize("chamfered", [False, True])
def test_a_parted_face_is_told_of_a_pip_or_a_chamfer_only_where_there_may_be_one(bored, chamfered):
    message = only(parting_pip.check(parted(bored, chamfered))).message
    assert ("pip stay within a recess" in message) is not bored
    assert ("leaves a pip" in message) is not bored
    assert ("chamfer the edge" in message) is not chamfered
    assert "Face it in a second chucking" in message


def test_a_face_that_no_second_chucking_can_hold_wants_a_land_first():
    message = only(parting_pip.check(parted(False, False, land=False))).message
    assert "Draw a straight land that jaws can hold from the high end" in message


@pytest.mark.parametrize("followed", [False, True])
def test_a_follow_rest_that_is_planned_is_not_advised_again(followed):
    view = drawn_view([(0, 0), (150, 0), (150, 5), (0, 5)])
    grip = Grip("raw bar", "outer", (-25.0, -5.0), 12.0, 20.0)
    work = Operation("turning tool", ("S3",), "turn", support="tailstock")
    off = Operation("part 3", ("S4",), "part off")
    (setup,) = with_bending(
        view.part,
        (Setup(1, "low", grip, DATUM, "tailstock", (work, off), ()),),
        view.stock,
        view.shop,
    )
    assert setup.bending is not None
    along = setup.bending.lands if followed else ()
    setup = replace(setup, bending=replace(setup.bending, followed=along))
    message = only(long_slender.check(replace(view, setups=(setup,)))).message
    assert "ithdraw the centre before parting off" in message
    assert ("a steady or a follow rest" in message) is not followed
    assert ("without the follow rest that is planned" in message) is followed


def test_a_centre_is_not_withdrawn_before_a_parting_off_that_is_not_planned():
    view = drawn_view([(0, 0), (150, 0), (150, 5), (0, 5)])
    grip = Grip("raw bar", "outer", (-25.0, -5.0), 12.0, 20.0)
    work = Operation("turning tool", ("S3",), "turn", support="tailstock")
    setup = Setup(1, "low", grip, DATUM, "tailstock", (work,), ())
    message = only(long_slender.check(replace(view, setups=(setup,)))).message
    assert "ithdraw the centre" not in message


@pytest.mark.parametrize(("inside", "ring"), [
    (True, [(0, 5.5), (0.5, 5), (8, 5), (8, 10.5), (0, 10.5)]),
    (False, [(0, 5), (8, 5), (8, 10.5), (0.5, 10.5), (0, 10)]),
])  # fmt: skip
def test_a_countersink_breaks_edges_of_holes_alone(inside, ring):
    view = drawn_view(ring)
    assert view.part.profile is not None
    (edge,) = [
        s.id
        for s in view.part.profile.segments
        if sorted((s.curve.start[0], s.curve.end[0])) == [0.0, 0.5]
    ]
    chamfer = Feature("F1", "chamfer", "inner", (0.0, 0.5), (10.0, 11.0), (edge,), ())
    left = SetupLeft((edge,), ("jaws",))
    view = drawn_view(ring, features=(chamfer,), setup_left=(left,))
    message = only(no_land_to_grip.check(view)).message
    assert ("countersink" in message) is inside


GROOVED = [(0, 0), (30, 0), (30, 11), (20, 11), (20, 8), (15, 8), (15, 11), (0, 11)]


def blade(access: str, **limits: float):
    return replace(TURNING_TOOL, name=f"blade {access}", access=access, limits=limits)


@pytest.mark.parametrize(("blades", "in_groove", "offered"), [
    ((blade("outer", width_mm=2.0),), False, True),
    ((blade("outer", width_mm=2.0),), True, False),
    ((), False, False),
    ((blade("inner", width_mm=1.1, min_bore_mm=14.0),), False, False),
])  # fmt: skip
def test_a_relief_is_offered_where_a_blade_can_cut_it(blades, in_groove, offered):
    """Within a groove a relief is no way out, and a shop without a blade from there cuts none."""
    corner = nose_fillet((15, 8), (1, 1), 0.4, ("S5", "S6"), "turning tool")
    groove = Feature(
        "F1", "groove", "outer", (15.0, 20.0), (16.0, 22.0), ("S4", "S5", "S6"), (),
        {"width_mm": 5.0, "depth_mm": 3.0},
    )  # fmt: skip
    shop = drawn_shop(tools=(TURNING_TOOL, BORING_BAR, *blades))
    view = drawn_view(GROOVED, shop=shop, left=(corner,), features=(groove,) * in_groove)
    message = only(sharp_inside_corner.check(view)).message
    assert ("relief groove" in message) is offered


@pytest.mark.parametrize("inside", [False, True])
def test_a_tool_of_the_other_hand_is_no_help_in_a_bore(inside):
    ring = [(0, 5), (10, 5), (10, 8), (20, 8), (20, 5), (30, 5), (30, 12), (0, 12)]
    view = drawn_view(ring)
    assert view.part.profile is not None
    z = {s.id: sorted((s.curve.start[0], s.curve.end[0])) for s in view.part.profile.segments}
    side = "inner" if inside else "outer"
    names = tuple(
        s.id for s in view.part.profile.segments if s.surface == side and z[s.id] != [0, 10]
    )
    view = drawn_view(ring, setup_left=(SetupLeft(names[:1], ("no-tool",)),))
    message = only(left_between_chuckings.check(view)).message
    assert ("either hand" in message) is not inside
    assert ("let a bar in" in message) is inside


@pytest.mark.parametrize(("kind", "says", "caution"), [
    ("three-jaw", "Bore soft jaws to the diameter with a shoulder", SHORT),
    ("soft-jaws", "Bore its jaws with a shoulder", SHORT_SOFT),
])  # fmt: skip
def test_soft_jaws_are_not_advised_to_soft_jaws(kind, says, caution):
    holding = replace(CHUCK, kind=kind)
    grip = Grip(holding.name, "outer", (0.0, 6.0), 22.0, 6.0)
    setup = Setup(1, "low", grip, DATUM, "none", (), (), holding=holding)
    shop = drawn_shop(holdings=(holding,))
    view = drawn_view(setups=(setup,), shop=shop)
    assert says in only(short_grip.check(view)).message
    report = Report(
        "0", view.part, shop.name, shop.sha256, {}, "turnable", (), Reach((), (), (), ()),
        (setup,), None, (), (), (),
    )  # fmt: skip
    assert caution in list(caution_lines(report, shop, setup))
