"""Laws: what is left where school geometry gives the answer, to 1e-6 of it.

The relations for a bar in a bore follow from its section: bar diameter d, f from its middle to the
point; the bar must clear the near wall and, across the axis, the opposite one.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from drawn_tools import bar, blade, disc, drill, wedge

from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile, make_profile
from turnability.reach.compute import reach_of
from turnability.shop.model import Tool

R, FLOOR = 20.0, 14.0


def grooved(width: float) -> Profile:
    return drawn_profile(
        [
            (0, 0),
            (0, R),
            (30, R),
            (30, FLOOR),
            (30 + width, FLOOR),
            (30 + width, R),
            (70, R),
            (70, 0),
        ]
    )


def areas(profile: Profile, *tools: Tool) -> list[float]:
    return [left.area_mm2 for left in reach_of(profile, tools).left]


@pytest.mark.parametrize("radius", [0.05, 0.2, 0.8, 1.6, 4.0])
def test_a_disc_leaves_a_square_corner(radius: float) -> None:
    reach = reach_of(grooved(10.0), [disc(radius)])
    assert [left.segments for left in reach.left] == [("S5", "S6"), ("S4", "S5")]
    for left in reach.left:
        assert left.area_mm2 == pytest.approx((1 - math.pi / 4) * radius**2, rel=1e-6)
        # Pappus: the square less the quarter disc, each by its centroid
        quarter = math.pi / 4 * radius**2 * (FLOOR + radius - 4 * radius / (3 * math.pi))
        volume = 2 * math.pi * (radius**2 * (FLOOR + radius / 2) - quarter)
        assert left.volume_mm3 == pytest.approx(volume, rel=1e-6)
        assert left.deepest_mm == pytest.approx((math.sqrt(2) - 1) * radius, abs=1e-3)
        assert left.causes == ("nose-radius",)
        assert left.needed is not None
        assert left.needed.value == 0.0


@pytest.mark.parametrize("corner_deg", [60.0, 100.0, 123.4, 140.0])
def test_a_disc_leaves_any_corner(corner_deg: float) -> None:
    a, r = math.radians(corner_deg), 0.8
    top = (30 + (R - FLOOR) / math.tan(a), R)
    profile = drawn_profile(
        [(0, 0), (0, R), top, (30, FLOOR), (45, FLOOR), (45, R), (60, R), (60, 0)]
    )
    left = next(x for x in reach_of(profile, [disc(r)]).left if min(p[0] for p in x.polygon) < 40)
    want = r * r * (1 / math.tan(a / 2) - (math.pi - a) / 2)
    assert left.area_mm2 == pytest.approx(want, rel=5e-6)
    assert left.deepest_mm == pytest.approx(r / math.sin(a / 2) - r, abs=1e-3)


@pytest.mark.parametrize(("width", "radius"), [(4.0, 3.0), (1.3, 0.8), (3.0, 1.6), (2.0, 4.0)])
def test_a_disc_rests_on_both_edges_of_a_narrow_groove(width: float, radius: float) -> None:
    (left,) = reach_of(grooved(width), [disc(radius)]).left
    half = math.asin(width / 2.0 / radius)
    dips = radius**2 * (half - math.sin(half) * math.cos(half))
    assert left.area_mm2 == pytest.approx(width * (R - FLOOR) - dips, rel=1e-6)
    # Pappus: the segment that dips in has its centroid (2 r sin a)^3 / 12 A below the centre
    centre = R + radius * math.cos(half)
    low = centre - (2.0 * radius * math.sin(half)) ** 3 / 12.0 / dips
    volume = math.pi * (R**2 - FLOOR**2) * width - math.tau * low * dips
    assert left.volume_mm3 == pytest.approx(volume, rel=1e-6)


@pytest.mark.parametrize(("ball", "radius"), [(10.0, 2.0), (10.0, 0.8), (15.0, 0.4)])
def test_a_disc_rests_on_a_ball_and_its_neck(ball: float, radius: float) -> None:
    neck, middle = 4.0, 50.0
    root = (middle - math.sqrt(ball**2 - neck**2), neck)
    top, end = (middle, 0.0), (middle + ball, 0.0)
    round_ = Arc(root, end, top, ball, True)
    curves = [Line((0.0, 0.0), (0.0, neck)), Line((0.0, neck), root), round_, Line(end, (0.0, 0.0))]
    profile = make_profile([[(curve.reversed(), ()) for curve in curves[::-1]]])
    (left,) = reach_of(profile, [disc(radius)]).left
    # the disc's centre is a radius above the neck and touches the ball; a triangle without segments
    centre = (middle - math.sqrt((ball + radius) ** 2 - (neck + radius) ** 2), neck + radius)
    share = ball / (ball + radius)
    touch = (middle + share * (centre[0] - middle), share * centre[1])
    (z0, r0), (z1, r1), (z2, r2) = (centre[0], neck), root, touch
    triangle = 0.5 * ((z1 - z0) * (r2 - r0) - (z2 - z0) * (r1 - r0))
    segments = 0.0
    for a, b, of in ((root, touch, ball), (touch, (centre[0], neck), radius)):
        angle = 2.0 * math.asin(math.dist(a, b) / 2.0 / of)
        segments += of**2 / 2.0 * (angle - math.sin(angle))
    assert left.area_mm2 == pytest.approx(triangle - segments, rel=3e-5)


def half_round(groove: float) -> Profile:
    """A shaft with a groove whose floor is half a circle round its outside."""
    mouth = [(40.0 - groove, R), (40.0 + groove, R)]
    curves = [Line((0.0, 0.0), (0.0, R)), Line((0.0, R), mouth[0])]
    curves += [Arc(*mouth, (40.0, R), groove, False), Line(mouth[1], (80.0, R))]
    curves += [Line((80.0, R), (80.0, 0.0)), Line((80.0, 0.0), (0.0, 0.0))]
    return make_profile([[(curve.reversed(), ()) for curve in curves[::-1]]])


@pytest.mark.parametrize("groove", [0.37, 0.8, 2.0, 5.0])
@pytest.mark.parametrize("share", [0.6, 1.0])
def test_a_disc_as_round_as_its_groove_cleans_it(groove: float, share: float) -> None:
    reach = reach_of(half_round(groove), [disc(share * groove)])
    assert reach.left == ()
    assert "S4" in reach.tools[0].reached_segments


@pytest.mark.parametrize(("groove", "radius"), [(2.0, 2.1), (2.0, 8.0), (0.8, 1.0)])
def test_a_disc_rests_on_the_edges_of_a_rounder_groove(groove: float, radius: float) -> None:
    (left,) = reach_of(half_round(groove), [disc(radius)]).left
    half = math.asin(groove / radius)
    dips = radius**2 * (half - math.sin(half) * math.cos(half))
    assert left.area_mm2 == pytest.approx(math.pi / 2.0 * groove**2 - dips, rel=1e-6)


@pytest.mark.parametrize(("fillet", "nose"), [(0.8, 0.8), (1.2, 0.8), (4.0, 0.4)])
def test_a_nose_no_larger_than_the_fillet_cleans_it(fillet: float, nose: float) -> None:
    corner = (30.0 + fillet, FLOOR + fillet)
    points = [(0.0, 0.0), (0.0, R), (30.0, R), (30.0, corner[1])]
    lines = [Line(a, b) for a, b in pairwise(points)]
    arc = Arc(points[-1], (corner[0], FLOOR), corner, fillet, False)
    rest = [(corner[0], FLOOR), (60.0, FLOOR), (60.0, 0.0), (0.0, 0.0)]
    curves = [*lines, arc, *(Line(a, b) for a, b in pairwise(rest))]
    loop = [(c.reversed(), ()) for c in curves[::-1]]
    profile = make_profile([loop])
    reach = reach_of(profile, [disc(nose)])
    assert reach.left == ()
    # and every segment but the axis is touched from either end
    touched = {s for tool in reach.tools for s in tool.reached_segments}
    assert touched == {s.id for s in profile.segments if s.surface != "axis"}


@pytest.mark.parametrize("width", [3.0, 3.02, 3.7])
def test_a_blade_cleans_a_groove_as_wide_or_wider(width: float) -> None:
    reach = reach_of(grooved(width), [blade(3.0, 8.0, 20.0)])
    assert reach.left == ()
    assert {"S4", "S5", "S6"} <= set(reach.tools[0].reached_segments)


def test_a_blade_stays_out_of_a_narrower_groove() -> None:
    reach = reach_of(grooved(2.98), [blade(3.0, 8.0, 20.0)])
    (left,) = reach.left
    assert left.area_mm2 == pytest.approx(2.98 * (R - FLOOR), rel=1e-6)
    assert left.volume_mm3 == pytest.approx(math.pi * (R**2 - FLOOR**2) * 2.98, rel=1e-6)
    assert left.deepest_mm == pytest.approx(R - FLOOR, abs=1e-3)
    assert left.segments == ("S4", "S5", "S6")
    assert left.causes == ("blade-width",)
    assert left.needed is not None
    assert left.needed.value == pytest.approx(2.98, abs=0.02)
    assert left.needed.value <= 2.98 + 0.002


@pytest.mark.parametrize("width", [3.0, 3.5])
def test_a_shank_wider_than_its_blade_stops_at_the_lip(width: float) -> None:
    (area,) = areas(grooved(width), blade(3.0, 4.0, 20.0))
    assert area == pytest.approx(width * (R - FLOOR - 4.0), rel=1e-6)


def test_a_shank_no_wider_than_its_blade_follows_it_down() -> None:
    assert areas(grooved(3.0), blade(3.0, 0.7, 3.0)) == []
    assert areas(grooved(5.0), blade(3.0, 0.7, 3.0)) == []


@pytest.mark.parametrize("flank_deg", [20.0, 30.0, 44.0])
def test_a_wedge_leaves_a_triangle_on_a_steeper_slope(flank_deg: float) -> None:
    h = R - FLOOR
    profile = drawn_profile(
        [(0, 0), (0, R), (30, R), (30 + h, FLOOR), (90, FLOOR), (90 + h, R), (130, R), (130, 0)]
    )
    # the flank rests on the lip, so the point stays off the corner by this much
    off = h / math.tan(math.radians(flank_deg)) - h / math.tan(math.radians(45.0))
    assert areas(profile, wedge(flank_deg)) == [pytest.approx(off * h / 2.0, rel=1e-6)] * 2


@pytest.mark.parametrize("flank_deg", [20.0, 30.0, 44.0])
def test_a_wedge_too_wide_for_a_groove_rests_on_both_lips(flank_deg: float) -> None:
    h = R - FLOOR
    profile = drawn_profile([(0, 0), (0, R), (30, R), (36, FLOOR), (42, R), (70, R), (70, 0)])
    (area,) = areas(profile, wedge(flank_deg))
    deep = h * math.tan(math.radians(flank_deg))
    assert area == pytest.approx(h * h - h * deep, rel=1e-6)


def test_a_steeper_wedge_cleans_the_slope() -> None:
    profile = drawn_profile([(0, 0), (0, R), (30, R), (36, 14), (42, R), (70, R), (70, 0)])
    assert areas(profile, wedge(45.0)) == []
    assert areas(profile, wedge(60.0)) == []


def bored(bore: float, recess: float = 0.0, depth: float = 40.0, point: bool = True) -> Profile:
    """A blind bore from the high end, with a recess 5 wide behind an entry 10 long."""
    radius, end = bore / 2.0, 60.0
    corners = [(0, 0), (0, 30.0), (end, 30.0), (end, radius)]
    if recess:
        deep = radius + recess
        corners += [(end - 10, radius), (end - 10, deep), (end - 15, deep), (end - 15, radius)]
    corners += [(end - depth, radius), (end - depth, 0)]
    return drawn_profile(corners)


D, F = 8.0, 6.0


def flat(diameter: float) -> Tool:
    return drill(diameter, 180.0)


@pytest.mark.parametrize(("recess", "cleaned"), [(F - D / 2, True), (F - D / 2 + 0.5, False)])
def test_a_recess_goes_no_deeper_than_f_less_half_the_bar(recess: float, cleaned: bool) -> None:
    profile = bored(20.0, recess)
    left = areas(profile, flat(20.0), bar(D, F))
    assert left == ([] if cleaned else [pytest.approx(5.0 * 0.5, rel=1e-6)])


@pytest.mark.parametrize(("over", "cleaned"), [(0.0, True), (0.02, True), (-0.02, False)])
def test_the_smallest_bore_is_f_and_half_the_bar(over: float, cleaned: bool) -> None:
    # a hole as large as the bore would do the work itself: the bar finishes a recess behind it
    bore = F + D / 2 + over
    left = areas(bored(bore, 0.5), flat(bore), bar(D, F))
    assert left == ([] if cleaned else [pytest.approx(5.0 * 0.5, rel=1e-6)])


EDGE = 0.5


@pytest.mark.parametrize("bore", [13.0, 15.0])
@pytest.mark.parametrize("over", [0.0, 0.1, -0.1])
def test_the_drilled_hole_that_a_bar_needs(bore: float, over: float) -> None:
    # 2 f + d - bore for the point itself; its edge reaches lower by its height
    hole = 2 * F + D - bore - 2 * EDGE + over
    left = areas(bored(bore), flat(hole), bar(D, F, EDGE, ahead=0.2))
    if over >= 0.0:
        assert left == []
        return
    # a thin tube of stock stays between hole and cut, and the bar's far side meets it: after the
    # first 0.2 mm, with the bar outside, and 0.2 mm less the tube, the edge stands still
    wall = (bore - hole) / 2.0
    assert left == [pytest.approx(wall * 39.8 - 0.2 * (wall - 0.05), rel=1e-6)]


@pytest.mark.parametrize("bore", [2 * F + D - 2 * EDGE, 2 * F + D - 4.0])
def test_a_flat_floor_to_the_centre_needs_2f_and_the_bar(bore: float) -> None:
    point = 118.0
    left = areas(bored(bore), drill(12.0, point), bar(D, F, EDGE, ahead=1.0))
    # the edge comes no nearer to the axis than this; the drill's cone is left inside it
    nearest = (2 * F + D - bore) / 2.0 - EDGE
    cone = nearest**2 / 2.0 / math.tan(math.radians(point / 2.0))
    assert left == ([] if nearest == 0.0 else [pytest.approx(cone, rel=1e-6)])
