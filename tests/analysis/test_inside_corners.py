"""Radii and relief grooves for inside corners: each as small as its tool, and borne out.

Expected sizes are the tools' own: a nose leaves its own radius (a disc in a corner), a blade cuts a
groove of its width, and a square edge seats beside a groove as deep as the blade's corners. What is
proposed is drawn here by hand, apart from the program, and analysed as a part of its own.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from turnability.analysis import inside_corners, walk
from turnability.analysis.corner_drawn import (
    Corner,
    loops_of,
    profile_of,
    with_radius,
    with_relief,
)
from turnability.half_plane.curves import Arc, Curve, Line, Point, ring_area
from turnability.intent.model import Intent, Named, Tolerance
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile, make_profile
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.rules.model import Finding, View
from turnability.shop.load import starter_shop
from turnability.shop.model import Shop

NAME = "sharp-inside-corner"
PIN: list[Point] = [(0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10)]
CUP: list[Point] = [(0, 0), (10, 0), (10, 15), (30, 15), (30, 22), (0, 22)]


def shop(*names: str) -> Shop:
    own = starter_shop()
    return replace(own, tools=tuple(t for t in own.tools if t.name in names))


LATHE = shop("rough right", "finish 80 right", "groove 2", "part 3")
"""Noses of 0.8 and 0.4; blades 2 and 3 wide with corners of 0.2."""
NO_BLADE = shop("rough right", "rough left", "finish 80 right")
BORER = shop("rough right", "drill 20", "slot drill 20", "bore 12", "groove inside 3")


def analysed(profile: Profile, of: Shop) -> Report:
    return walk(drawn_part(profile), of)


@cache
def pin(blades: bool) -> Report:
    return analysed(drawn_profile(PIN), LATHE if blades else NO_BLADE)


def corners(report: Report) -> list[Finding]:
    assert all(one.status != "crashed" for one in report.rules)
    return [f for f in report.findings if f.rule == NAME]


def changes(finding: Finding) -> list[tuple[str, float | None]]:
    assert finding.change is not None
    return [(one.parameter, one.to) for one in (finding.change, *finding.other_changes)]


def ring(*curves: Curve) -> Profile:
    return make_profile([[(curve, ()) for curve in curves]])


def rounded_pin(r: float) -> Profile:
    """The pin with its inside radius, drawn by hand."""
    return ring(
        Line((0, 0), (40, 0)), Line((40, 0), (40, 6)), Line((40, 6), (12 + r, 6)),
        Arc((12 + r, 6), (12, 6 + r), (12 + r, 6 + r), r, clockwise=True),
        Line((12, 6 + r), (12, 10)), Line((12, 10), (0, 10)), Line((0, 10), (0, 0)),
    )  # fmt: skip


def relieved_pin(width: float, deep: float, r: float) -> Profile:
    """The pin with a groove beside its shoulder, its floor's corners round, drawn by hand."""
    floor, end = 6.0 - deep, 12.0 + width
    wall = (Line((12, floor + r), (12, 10)),)
    foot = (Line((end, 6), (end, floor + r)),) if deep > r + 1e-9 else ()
    return ring(
        Line((0, 0), (40, 0)), Line((40, 0), (40, 6)), Line((40, 6), (end, 6)), *foot,
        Arc((end, floor + r), (end - r, floor), (end - r, floor + r), r, clockwise=True),
        Line((end - r, floor), (12 + r, floor)),
        Arc((12 + r, floor), (12, floor + r), (12 + r, floor + r), r, clockwise=True),
        *wall, Line((12, 10), (0, 10)), Line((0, 10), (0, 0)),
    )  # fmt: skip


def test_the_radius_is_the_smallest_nose_and_no_smaller_one_does() -> None:
    (found,) = corners(pin(blades=False))
    assert found.change is not None
    assert changes(found)[0] == ("fillet_radius_mm", 0.4)
    assert all(one.proven for one in (found.change, *found.other_changes))
    assert corners(analysed(rounded_pin(0.4), NO_BLADE)) == []
    # what a tenth less leaves: (0.4 - 0.36)(sqrt 2 - 1) = 17 µm
    (still,) = corners(analysed(rounded_pin(0.36), NO_BLADE))
    assert still.measured == pytest.approx(0.36, abs=1e-6)


def test_the_larger_radius_is_the_blunt_tools_own() -> None:
    """Proven where something seats; a note says it and no more."""
    (note,) = corners(pin(blades=False))
    assert "(0.8 mm, and rough right does it alone)" in note.message
    assert changes(note) == [("fillet_radius_mm", 0.4)]
    seat = Tolerance("diameter", Named(diameter_mm=(12.0, 12.0)), "k6", width_mm=0.011)
    part = drawn_part(drawn_profile(PIN))
    (found,) = corners(walk(part, NO_BLADE, intent=Intent(tolerances=(seat,))))
    assert found.level == "warning"
    assert changes(found) == [("fillet_radius_mm", 0.4), ("fillet_radius_mm", 0.8)]
    assert "(0.8 mm, and rough right does it alone)" in found.message
    assert corners(analysed(rounded_pin(0.8), shop("rough right", "rough left"))) == []


def test_what_stays_in_a_corner_is_the_fillet_of_its_nose() -> None:
    """The shortcut and the tools themselves agree, with the corner drawn sharp and with 0.2."""
    for profile in (drawn_profile(PIN), rounded_pin(0.2)):
        report = analysed(profile, NO_BLADE)
        view = View(report.part, NO_BLADE, report.features, report.reach, None, None, None)
        (one,) = inside_corners._asked(view, report.findings)
        loops = loops_of(profile)
        assert inside_corners._as_it_stays(loops, one) == 0.4
        asked = inside_corners._smallest(view, loops, [one], {}, [])
        assert asked == {one.finding.id: 0.4}
        smaller = replace(one, corner=replace(one.corner, nose_mm=0.3), radii=(0.3, 0.4))
        larger = replace(one, corner=replace(one.corner, nose_mm=0.5), radii=(0.5,))
        assert inside_corners._as_it_stays(loops, smaller) is None, "more stays than that"
        assert inside_corners._as_it_stays(loops, larger) is None, "tools have been in there"


def test_a_relief_is_as_wide_as_the_narrowest_blade_and_as_deep_as_its_corners() -> None:
    (found,) = corners(pin(blades=True))
    relief = found.other_changes[-1]
    assert (relief.parameter, relief.to, relief.proven) == ("relief_width_mm", 2.0, True)
    assert relief.also == ("relief_depth_mm", 0.0, 0.2)
    assert relief.text.rstrip(".").removeprefix("Cut ") in found.message
    assert "2 mm wide and 0.2 mm deep (radius 0.2 mm at its floor) in ⌀12 mm" in relief.text
    after = analysed(relieved_pin(2.0, 0.2, 0.2), LATHE)
    assert after.reach is not None
    assert after.reach.left == ()
    # a twentieth narrower, and no blade of the shop enters it
    narrow = analysed(relieved_pin(1.9, 0.2, 0.2), LATHE)
    assert narrow.reach is not None
    assert narrow.reach.left != ()


def test_without_a_blade_no_relief_is_offered() -> None:
    (found,) = corners(pin(blades=False))
    assert "relief" not in found.message


def test_a_bores_floor_is_relieved_by_an_inside_blade() -> None:
    report = analysed(drawn_profile(CUP), BORER)
    (found,) = corners(report)
    assert found.other_changes[-1].parameter == "relief_width_mm"
    assert found.other_changes[-1].to == 3.0


def test_a_thin_wall_is_not_cut_into() -> None:
    # half a millimetre of wall and a tenth: a groove of 0.2 would leave 0.4
    thin: list[Point] = [(0, 5.4), (40, 5.4), (40, 6), (12, 6), (12, 10), (0, 10)]
    drawn = loops_of(drawn_profile(thin))
    assert with_relief(drawn, Corner((12.0, 6.0), 0.0), 2.0, 0.2, 0.2) is None
    assert with_relief(drawn, Corner((12.0, 6.0), 0.0), 2.0, 0.05, 0.05) is not None
    assert with_relief(drawn, Corner((12.0, 6.0), 0.0), 27.6, 0.05, 0.05) is None, "no land stays"


def test_two_corners_of_a_groove_take_one_radius_each() -> None:
    groove: list[Point] = [(0, 0), (60, 0), (60, 10), (33, 10), (33, 7), (25, 7), (25, 10), (0, 10)]
    report = analysed(drawn_profile(groove), LATHE)
    found = corners(report)
    assert [changes(one) for one in found] == [[("fillet_radius_mm", 0.2)]] * 2
    drawn = loops_of(drawn_profile(groove))
    for at in ((25.0, 7.0), (33.0, 7.0)):
        made = with_radius(drawn, Corner(at, 0.0), 0.2)
        assert made is not None
        drawn = made[0]
    profile = profile_of(drawn)
    assert profile is not None
    assert corners(analysed(profile, LATHE)) == []


def test_a_wall_shorter_than_the_radius_takes_none() -> None:
    drawn = loops_of(drawn_profile(PIN))
    assert with_radius(drawn, Corner((12.0, 6.0), 0.0), 4.1) is None
    assert with_radius(drawn, Corner((12.0, 6.0), 0.0), 3.9) is not None
    assert with_radius(drawn, Corner((13.0, 6.0), 0.0), 0.4) is None, "no corner there"


@given(opening=st.floats(35.0, 150.0), radius=st.floats(0.05, 2.0), turned=st.floats(-40.0, 40.0))
def test_a_radius_between_straight_walls_adds_what_geometry_says(
    opening: float, radius: float, turned: float
) -> None:
    """A disc of radius r between walls at the angle t lies r²(cot(t/2) - (π - t)/2) off the tip."""
    t, tip = math.radians(opening), (30.0, 20.0)
    assume(radius / math.tan(0.5 * t) < 9.0)
    ways = [math.radians(90.0 + turned + s * 0.5 * opening) for s in (-1.0, 1.0)]
    ends = [(tip[0] + 10.0 * math.cos(a), tip[1] + 10.0 * math.sin(a)) for a in ways]
    assume(all(z1 < z0 for (z1, _), (z0, _) in ((ends[1], tip), (tip, ends[0]))))
    points = [(0.0, 1.0), (60.0, 1.0), (60.0, 40.0), ends[0], tip, ends[1], (0.0, 40.0)]
    drawn = loops_of(drawn_profile(points))
    made = with_radius(drawn, Corner(tip, 0.0), radius)
    assert made is not None
    before, after = (ring_area(tuple(c for c, _ in loops[0])) for loops in (drawn, made[0]))
    adds = radius**2 * (1.0 / math.tan(0.5 * t) - 0.5 * (math.pi - t))
    assert after - before == pytest.approx(adds, rel=1e-6, abs=1e-9)
    assert made[1] == pytest.approx(radius / math.tan(0.5 * t), rel=1e-6)
    profile = profile_of(made[0])
    assert profile is not None


@given(ball=st.floats(5.0, 15.0), radius=st.floats(0.1, 2.0), drop=st.floats(0.2, 0.95))
def test_a_radius_between_a_ball_and_its_neck_touches_both(
    ball: float, radius: float, drop: float
) -> None:
    neck = drop * ball
    along = math.sqrt(ball**2 - neck**2)
    profile = ring(
        Line((-ball, 0.0), (40.0, 0.0)), Line((40.0, 0.0), (40.0, neck)),
        Line((40.0, neck), (along, neck)),
        Arc((along, neck), (-ball, 0.0), (0.0, 0.0), ball, False),
    )  # fmt: skip
    made = with_radius(loops_of(profile), Corner((along, neck), 0.0), radius)
    assert made is not None
    (arc,) = [c for c, _ in made[0][0] if isinstance(c, Arc) and c.clockwise]
    # on the neck's side a nose's middle stands r above it, on the ball's side r off it
    assert arc.centre[1] == pytest.approx(neck + radius, abs=1e-9)
    assert math.hypot(*arc.centre) == pytest.approx(ball + radius, abs=1e-9)
    assert math.hypot(*arc.end) == pytest.approx(ball, abs=1e-9)


def test_a_drawn_radius_grows() -> None:
    drawn = loops_of(rounded_pin(0.2))
    made = with_radius(drawn, Corner((12.0, 6.0), 0.2), 0.4)
    assert made is not None
    profile = profile_of(made[0])
    assert profile is not None
    assert profile.volume_mm3 == pytest.approx(rounded_pin(0.4).volume_mm3, rel=1e-9)
    (found,) = corners(analysed(rounded_pin(0.2), NO_BLADE))
    assert changes(found)[0] == ("fillet_radius_mm", 0.4)
    assert found.measured == pytest.approx(0.2, abs=1e-6)


def test_the_relief_drawn_from_its_words_asks_for_no_other_radius() -> None:
    """The blade's own corners at its floor are said: square there it would have sharp ones."""
    (found,) = corners(pin(blades=True))
    every = (found.change, *found.other_changes)
    (relief,) = (one for one in every if one is not None and one.parameter == "relief_width_mm")
    assert "2 mm wide and 0.2 mm deep (radius 0.2 mm at its floor) in ⌀12 mm" in relief.text
    assert corners(analysed(relieved_pin(2.0, 0.2, 0.2), LATHE)) == []


def test_what_stays_proves_nothing_where_an_edge_may_lie_across_the_axis() -> None:
    """In a bore narrower than its insert is tall; there the tools are asked."""
    report = analysed(drawn_profile(CUP), BORER)
    view = View(report.part, BORER, report.features, report.reach, None, None, None)
    (one,) = inside_corners._asked(view, report.findings)
    z, r = one.corner.at
    assert r == 15.0
    assert not inside_corners._may_be_crossed(view, one)
    narrow = replace(one, corner=replace(one.corner, at=(z, 2.0)))
    assert inside_corners._may_be_crossed(view, narrow)
