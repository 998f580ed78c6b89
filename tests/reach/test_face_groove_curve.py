"""End-grooving blades are curved round the axis: where they sink first, and how near to it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from turnability.half_plane.at_height import section_at
from turnability.half_plane.regions import Region, box
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.reach.model import Reach
from turnability.shop.load import tools_of
from turnability.shop.model import Tool


def blade(**table: Any) -> Tool:
    given = {"width_mm": 3.0, "depth_mm": 10.0, "corner_radius_mm": 0.0, "side_clearance_mm": 0.0}
    (made,) = tools_of({"kind": "end-grooving", **given, **table})
    return made


def grooved(inner: float, outer: float, depth: float = 8.0) -> Profile:
    """A disc of 30 x ⌀140 with a groove between two diameters in its high face."""
    a, b, floor = inner / 2.0, outer / 2.0, 30.0 - depth
    boss = [(30.0, 0.0), (30.0, 70.0), (30.0, b), (floor, b), (floor, a), (30.0, a), (30.0, 0.0)]
    if inner == 0.0:
        boss = [(30.0, 70.0), (30.0, b), (floor, b), (floor, 0.0)]
        return drawn_profile([(0.0, 0.0), *reversed(boss), (0.0, 70.0)])
    return drawn_profile([(0.0, 0.0), (30.0, 0.0), *reversed(boss[2:6]), (30.0, 70.0), (0.0, 70.0)])


def left(profile: Profile, tool: Tool) -> Reach:
    return reach_of(profile, (tool,))


def causes(reach: Reach) -> set[str]:
    return {cause for one in reach.left for cause in one.causes}


@pytest.mark.parametrize(
    ("outer", "fits"),
    [(40.0, True), (60.0, True), (50.0, True), (39.0, False), (61.0, False), (30.0, False),
     (80.0, False)],
)  # fmt: skip
def test_a_first_groove_lies_in_the_engraved_range(outer: float, fits: bool) -> None:
    """Geometry: outer face curved for 40, inner face for 60 less the blade's width."""
    found = left(grooved(outer - 6.0, outer), blade(first_cut_mm=[40.0, 60.0], height_mm=12.0))
    assert causes(found) == (set() if fits else {"face-groove-curve"})
    if not fits:
        (one,) = found.left
        assert one.needed is not None
        assert (one.needed.parameter, one.needed.value) == ("first_cut_mm", outer)
        # no blade sinks, so nearly all of the groove stays
        assert one.area_mm2 > 0.6 * 3.0 * 8.0


@pytest.mark.parametrize("depth", [0.4, 0.7, 1.0, 1.5])
@pytest.mark.parametrize(
    ("outer", "fits"),
    [(40.0, True), (60.0, True), (39.0, False), (61.0, False), (30.0, False), (80.0, False)],
)
def test_a_shallow_groove_lets_no_other_blade_in(outer: float, fits: bool, depth: float) -> None:
    """At a height y below the edge it stands back by y tan 7°, so it meets the wall from y > 0 on.

    A groove of outer radius R leaves no room there for a face curved to ρ: the two part by about
    y² / 2 · (1/R - 1/ρ), 7 µm at a depth of 0.4 where R = 19.5 and ρ = 20. An eighth of the
    height, 12 · tan 7° / 8 = 0.18, is as near as the program tells.
    """
    found = left(
        grooved(outer - 6.0, outer, depth), blade(first_cut_mm=[40.0, 60.0], height_mm=12.0)
    )
    assert causes(found) == (set() if fits else {"face-groove-curve"})
    if not fits:
        assert found.left[0].area_mm2 > 0.98 * 3.0 * (depth - 12.0 * math.tan(math.radians(7)) / 8)


@pytest.mark.parametrize(("first", "boss"), [(25.0, 4.0), (26.0, 2.0), (27.0, 0.0)])
def test_the_boss_that_remains_is_the_catalogues(first: float, boss: float) -> None:
    """A first cut of 25, 26, 27 mm with a 3 mm blade leaves bosses of 4, 2 and 0 mm.

    Source: face grooving page of a tool catalogue (publisher withheld); the first stands there in
    words, the others in a table whose columns are inferred. Neither height nor range is printed:
    the default height, 0.9 of the curve's radius, was fitted to these bosses (rounded up to whole
    mm), so what this shows is that one height of a blade 3 mm throughout gives all three.
    """
    tool = blade(first_cut_mm=[25.0, 31.0])
    assert tool.limits["height_mm"] == pytest.approx(0.9 * 12.5)
    assert causes(left(grooved(boss, first), tool)) == set()
    if boss > 0.0:
        smaller = left(grooved(boss - 1.0, first), tool)
        assert causes(smaller) == {"face-groove-curve"}


@pytest.mark.parametrize("h", [11.0, 11.3, 11.6])
def test_how_near_the_axis_by_hand(h: float) -> None:
    """Both faces curved to ρ = 12.5, first cut 25: the lower inner corner meets the far wall.

    It stands at x = r - (ρ - c), c = √(ρ² - h²), and x² + h² = ρ² where r = ρ - 2 c.
    """
    nearest = 2.0 * (12.5 - 2.0 * math.sqrt(12.5**2 - h**2))
    tool = blade(first_cut_mm=[25.0, 31.0], height_mm=h)
    assert causes(left(grooved(nearest + 0.04, 25.0), tool)) == set()
    assert causes(left(grooved(nearest - 0.08, 25.0), tool)) == {"face-groove-curve"}


def test_a_groove_opened_by_another_blade_lets_it_in() -> None:
    """What a blade for 25 to 31 opens, one for 60 up may pass; alone it may not."""
    wide = grooved(30.0, 70.0)
    larger = blade(first_cut_mm=[60.0, 90.0], height_mm=14.0)
    assert causes(left(wide, larger)) == set()  # sinks at 70, widened inward
    small = blade(first_cut_mm=[25.0, 31.0], height_mm=11.5)
    ring = grooved(24.0, 30.0)
    assert causes(left(ring, larger)) == {"face-groove-curve"}
    assert not reach_of(ring, (larger, small)).left


def test_both_ends_are_the_same() -> None:
    profile = grooved(34.0, 40.0)
    turned = drawn_profile([(30.0 - z, r) for z, r in (s.curve.start for s in
                            reversed(profile.outline.segments))])  # fmt: skip
    for least in (40.0, 44.0):
        tool = blade(first_cut_mm=[least, 70.0], height_mm=10.0)
        a, b = left(profile, tool), left(turned, tool)
        assert [one.area_mm2 for one in a.left] == pytest.approx([one.area_mm2 for one in b.left])


def test_sections_by_hand() -> None:
    """A cylinder of radius 5 at height 3 is 8 wide; a cone's section is a hyperbola."""
    assert section_at(box(0.0, 0.0, 10.0, 5.0), 3.0).area == pytest.approx(80.0)
    assert section_at(box(0.0, 4.0, 10.0, 5.0), 3.0).area == pytest.approx(
        20.0 * (4.0 - math.sqrt(7.0))
    )
    assert section_at(box(0.0, 0.0, 10.0, 5.0), 5.0).empty
    cone = Region.of([np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 10.0]])])
    # ∫ 2 √(r² - 9) dr from 3 to 10, z being 10 - r
    u = math.sqrt(91.0)
    exact = 10.0 * u - 9.0 * math.log((10.0 + u) / 3.0)
    assert section_at(cone, 3.0).area == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("width", [2.0, 3.3])
def test_how_narrow_a_blade_would_have_to_be(width: float) -> None:
    """No wider than the groove; with that number it is cut, with one 2 % larger it is not."""
    profile = grooved(44.0, 44.0 + 2.0 * width, 5.0)
    given = {"first_cut_mm": [40.0, 70.0], "height_mm": 5.0, "side_clearance_mm": 0.1}
    (one,) = left(profile, blade(width_mm=1.2 * width, **given)).left
    assert one.causes == ("blade-width",)
    assert one.needed is not None
    assert (one.needed.parameter, one.needed.value) == ("width_mm", pytest.approx(width, abs=0.011))
    assert not left(profile, blade(width_mm=one.needed.value, **given)).left
    assert left(profile, blade(width_mm=1.02 * one.needed.value, **given)).left
