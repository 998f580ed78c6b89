"""Close surfaces are finished by one tool, and no tool is put up for what others reach."""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related, Tolerance
from turnability.intent.settle import settled
from turnability.outputs.route_sheet.route import route_of
from turnability.reach.removal import removed_by
from turnability.rules.drawn import drawn_part
from turnability.setups.operations.one_tool import by_one_tool
from turnability.setups.surfaces.cuts import samples_of
from turnability.setups.surfaces.shares import Shares
from turnability.shop.load import starter_shop
from turnability.shop.told_apart import SIDEWAYS

STARTER = starter_shop()
SEATS = [
    *[(0, 0), (130, 0), (130, 7), (110, 7), (110, 10), (70, 10), (70, 15), (60, 15)],
    *[(60, 10), (20, 10), (20, 7), (0, 7)],
]
"""Seats of ⌀20 x 40 on both sides of a collar of ⌀30, ends of ⌀14 x 20."""


def made(points, intent=None, shop=STARTER):
    part = drawn_part(points)
    meant = None if intent is None else settled(intent, part, False)
    report = walk(part, shop, intent=meant)
    return report, route_of(report, shop)


def size(diameter, width, z=None):
    place = Named(diameter_mm=(diameter, diameter), z_mm=z, side="outer")
    one = Tolerance("diameter", place, "close", width_mm=width, nominal_mm=diameter)
    return Intent(tolerances=(one,))


def id_at(report, z, r):
    return next(
        s.id
        for s in report.part.profile.segments
        if s.curve.start[1] == s.curve.end[1] == r
        and min(s.curve.start[0], s.curve.end[0]) < z < max(s.curve.start[0], s.curve.end[0])
    )


def who(report, segment):
    return [o.tool for s in report.setups for o in s.operations if segment in o.segments]


TRUE = Intent(
    related=(
        Related("true", (Named(diameter_mm=(20.0, 20.0)), Named(diameter_mm=(30.0, 30.0))), 0.02),
    )
)


@pytest.mark.parametrize(
    ("intent", "one"),
    # ISO 286-1: IT6 of ⌀20 is 0.013; ISO 2768-1 m leaves ±0.2 to it
    [(size(20.0, 0.013), True), (TRUE, True), (size(20.0, 0.4), False), (None, False)],
    ids=["h6", "run-out", "general", "nothing stated"],
)
def test_a_close_seat_behind_a_collar_is_finished_by_the_left_hand_alone(intent, one):
    """By hand: behind the collar, 5 high, a right-hand corner of 35° leaves 5 / tan 50° = 4.2 mm
    of the seat; the left hand comes in over the neck, 3 lower, and gets at all of it. Common
    practice: no line on a fit, so the right hand only roughs."""
    report, route = made(SEATS, intent)
    setup, *_ = report.setups
    behind, before = (40.0, 90.0) if setup.toward_chuck == "low" else (90.0, 40.0)
    seat, easy = id_at(report, behind, 10.0), id_at(report, before, 10.0)
    hands = {t.name: t.hand for t in STARTER.tools}
    assert [hands[tool] for tool in who(report, easy)] == ["right"]
    tools = who(report, seat)
    assert ([hands[tool] for tool in tools] == ["left"]) == one
    told = " ".join(route.setups[0].measure)
    assert "a line stays" not in told or not one
    if one:
        (rougher,) = [o for o in setup.operations if seat in o.leaves]
        assert hands[rougher.tool] == "right"
        steps = " ".join(step.where for step in route.setups[0].steps)
        z = "20–60" if setup.toward_chuck == "low" else "70–110"
        assert f"roughs {seat} ⌀20 z {z}, which {tools[0]} finishes whole" in steps


def bobbin(floor_mm):
    high = floor_mm + 10
    return [
        (0, 6),
        (high, 6),
        (high, 20),
        (high - 5, 20),
        (high - 5, 10),
        (5, 10),
        (5, 20),
        (0, 20),
    ]


def test_a_close_floor_between_cheeks_is_finished_by_a_blade_that_is_not_too_slim():
    """By hand: either hand leaves its triangle at one cheek; the blade of 3 finishes 30 mm of the
    floor sideways, ten widths (common practice, from memory). Of 40 mm the line stays, and is
    told of."""
    assert SIDEWAYS.value == 10.0
    short, sheet = made(bobbin(30), size(20.0, 0.033))
    assert who(short, id_at(short, 20.0, 10.0)) == ["groove 3"]
    (step,) = [step for step in sheet.setups[0].steps if step.kind == "groove"]
    assert step.where.endswith("(sideways in light cuts)")
    long, sheet = made(bobbin(40), size(20.0, 0.033))
    assert who(long, id_at(long, 20.0, 10.0)) == ["copy 55 right", "rough left"]
    assert any("a line stays" in line for line in sheet.setups[0].measure)


def test_no_blade_finishes_a_seat_of_it7():
    """By hand: ISO 286-1, IT7 of ⌀20 is 0.021, IT8 0.033. A blade fed sideways bends away, so the
    floor of 30 mm is turned from either hand, and the line told, where no corner gets at all of it;
    one before a shoulder is one corner's alone, though a blade cuts it in passing."""
    fine, sheet = made(bobbin(30), size(20.0, 0.021))
    hands = {t.name: t.hand for t in STARTER.tools}
    kinds = {t.name: t.kind for t in STARTER.tools}
    takers = who(fine, id_at(fine, 20.0, 10.0))
    assert [(kinds[n], hands[n]) for n in takers] == [("turning", "right"), ("turning", "left")]
    assert any("a line stays" in line for line in sheet.setups[0].measure)
    report, _ = made(SEATS, size(20.0, 0.013))
    profile = report.part.profile
    seat = id_at(report, 90.0, 10.0)
    removal = removed_by(profile, STARTER.tools, ("low",))
    works = {w.tool.name: w for w in removal.works}
    shares = Shares(samples_of(profile), removal)
    for seats, taker in ((set(), "groove 3"), ({seat}, "rough right")):
        given = {"groove 3": {seat}}
        by_one_tool(profile, given, dict(works), shares, {seat}, seats)
        assert [name for name, takes in given.items() if takes] == [taker]


def test_what_a_second_tool_takes_of_a_close_surface_in_passing_is_told():
    """By hand: ⌀8 h7 x 120 behind a collar 2 high: the 55° corner leaves 2 / tan 30° = 3.5 mm,
    a thirtieth of its length, and the left hand that faces the collar takes it along. Of 3° that
    hand comes no nearer to the bar, 3 higher, than 3 / tan 3° = 57 mm: neither gets at all of it.
    Those 3 are more than a pointed corner takes: the 80° corner roughs it, and where
    nothing is stated finishes it as well, with the left hand, which faces the collar anyhow.
    """
    names = ("rough right", "copy 55 right", "rough left", "part 3")
    shop = replace(STARTER, tools=tuple(t for t in STARTER.tools if t.name in names))
    pin = [(0, 0), (244, 0), (244, 4), (124, 4), (124, 6), (120, 6), (120, 4), (0, 4)]
    report, sheet = made(pin, size(8.0, 0.015), shop)
    setup, *_ = report.setups
    z = 60.0 if setup.toward_chuck == "low" else 184.0
    assert who(report, id_at(report, z, 4.0)) == ["copy 55 right", "rough left"]
    assert len([line for line in sheet.setups[0].measure if "a line stays" in line]) == 1
    plain, _ = made(pin, None, shop)
    assert who(plain, id_at(plain, z, 4.0)) == ["rough left", "rough right"]


def outside(report):
    kinds = ("face", "rough", "turn", "groove")
    return {o.tool for s in report.setups for o in s.operations if o.kind in kinds}


def test_a_bobbin_takes_one_tool_of_either_hand_beside_the_rougher():
    """By hand: the right hand comes down the near cheek and faces the far one, the left hand faces
    the near one and takes the rest of the floor: an 80° corner of its own for that cheek is one
    tool change for nothing."""
    report, _ = made(bobbin(30))
    assert outside(report) == {"rough right", "copy 55 right", "copy 55 left"}
    assert not any(o.sinks for s in report.setups for o in s.operations)


def test_a_shoulder_behind_a_thread_relief_needs_no_tool_of_its_own():
    """By hand: ⌀24 with a relief ⌀20.4 x 4 before a shoulder of ⌀36: the 95° corner faces the
    shoulder down to ⌀24, and the blade that is sunk for the relief has the rest of it."""
    gland = [(0, 0), (35, 0), (35, 12), (16, 12), (16, 10.2), (12, 10.2), (12, 18), (0, 18)]
    report, _ = made(gland)
    assert outside(report) == {"rough right", "groove 3"}
    shoulder = next(
        s.id
        for s in report.part.profile.segments
        if s.curve.start == (12.0, 10.2)
        or (s.curve.end == (12.0, 10.2) and s.curve.start[0] == 12.0)
    )
    assert set(who(report, shoulder)) == {"rough right", "groove 3"}


def test_a_bar_that_is_barely_let_in_bores_and_no_blade():
    """By hand: ⌀24 x 60: the bar of 12 ends 48 mm deep; the bar of 20 follows drill 22, for at
    ⌀24 its back stands 13 + 10 - 12 = 11 mm beyond the axis. An internal grooving blade bores
    nothing 60 mm long."""
    report, _ = made([(0, 12), (60, 12), (60, 20), (0, 20)])
    assert who(report, id_at(report, 30.0, 12.0)) == ["bore 20"]
    drills = [o.tool for s in report.setups for o in s.operations if o.kind == "drill"]
    assert drills == ["drill 22"]


def test_a_blade_on_a_bar_is_told_to_cut_no_more_than_the_boring_bar_leaves():
    """By hand: ⌀14.5 behind ⌀26, 40 mm deep: bore 8 stands out 32 mm and leaves the last 8."""
    stepped = [(0, 7.25), (30, 7.25), (30, 13), (40, 13), (40, 25), (0, 25)]
    places = (Named(diameter_mm=(14.5, 14.5)), Named(diameter_mm=(50.0, 50.0)))
    _, sheet = made(stepped, Intent(related=(Related("true", places, 0.03),)))
    steps = [step.where for step in sheet.setups[0].steps if "⌀14.5" in step.where]
    assert "S1 ⌀14.5 z 0–30 (in part)" in steps[-2]
    assert steps[-1] == "S1 ⌀14.5 z 0–30 (what is left of it, sideways in light cuts)"


def test_tools_that_meet_on_a_surface_with_a_zone_of_its_form_are_told_of():
    """By hand: of 40 mm between cheeks neither hand gets at all, and a blade of 3 is too slim."""
    place = Named(diameter_mm=(20.0, 20.0), side="outer")
    zone = Intent(tolerances=(Tolerance("surface", place, "0.03", width_mm=0.03),))
    report, sheet = made(bobbin(40), zone)
    (told,) = [f for f in report.findings if f.rule == "line-between-tools"]
    assert "has a zone, and no tool gets at all of it" in told.message
    (line,) = [line for line in sheet.setups[0].measure if "surface" in line]
    assert line.endswith("a line stays where copy 55 right and rough left meet: measure on either "
                         "side of it")  # fmt: skip
