"""Laws: where the nearest tool would stand, and how much of its body is in the part there."""

from __future__ import annotations

import math

import pytest
from drawn_tools import bar, blade, disc, drill
from shapely.geometry import Polygon

from turnability.half_plane.flatten import outline_points
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.reach.model import Reach
from turnability.reach.stand import with_stands
from turnability.shop.load import starter_shop
from turnability.shop.model import Tool

R, FLOOR, Z, WIDTH = 20.0, 10.0, 30.0, 6.0


def grooved() -> Profile:
    corners = [(0, 0), (0, R), (Z, R), (Z, FLOOR), (Z + WIDTH, FLOOR), (Z + WIDTH, R), (70, R)]
    return drawn_profile([*corners, (70, 0)])


def stood(profile: Profile, *tools: Tool) -> Reach:
    return with_stands(reach_of(profile, tools), profile, tools)


def hit_area(hits: tuple[tuple[tuple[float, float], ...], ...]) -> float:
    return float(sum(Polygon(hit).area for hit in hits))


@pytest.mark.parametrize("depth", [4.0, 8.0])
def test_a_short_blade_s_shank_meets_both_lips(depth: float) -> None:
    """The blade at the floor: its shank enters lips and standing stock, FLOOR + depth to R."""
    (left,) = stood(grooved(), blade(2.0, depth, 14.0)).left
    stand = left.stand
    assert stand is not None
    assert stand.tool == left.nearest_tool == "blade"
    z, r = stand.at
    assert r == pytest.approx(FLOOR, abs=0.01)
    assert Z - 0.01 <= z <= Z + WIDTH - 2.0 + 0.01
    # what the blade itself has cut above its depth is gone only as far as its shank lets it
    lips = 14.0 * (R - FLOOR - depth)
    assert 0.5 * lips < hit_area(stand.hits) <= lips + 0.01
    for hit in stand.hits:
        for _, height in hit:
            assert FLOOR + depth - 0.01 <= height <= R + 0.01


def test_a_bar_meets_the_lip_by_as_much_as_the_recess_is_too_deep() -> None:
    """A recess of depth t behind a lip: the bar enters the lip by t - (f - d/2) (its section)."""
    d, f, bore, deep = 8.0, 6.0, 15.0, 5.0
    corners = [(0, bore), (0, 30), (60, 30), (60, bore), (40, bore), (40, bore + deep)]
    profile = drawn_profile([*corners, (25, bore + deep), (25, bore)])
    regions = stood(profile, drill(28.0), bar(d, f)).left
    (left,) = [one for one in regions if one.stand and one.stand.hits]
    assert left.stand is not None
    top = max(r for hit in left.stand.hits for _, r in hit)
    low = min(r for hit in left.stand.hits for _, r in hit if r > 0.0)
    assert low == pytest.approx(bore, abs=0.01)
    assert top - low == pytest.approx(deep - (f - d / 2.0), abs=0.05)


@pytest.mark.parametrize("name", ["bore 12", "rough right"])
def test_no_corner_of_an_edge_stands_in_the_part_though_its_holder_does(name: str) -> None:
    tool = next(tool for tool in starter_shop().tools if tool.name == name)
    corners = [(0, 0), (0, 20), (30, 20), (36, 10), (70, 12), (70, 0)]
    if name == "rough right":
        corners = [(0, 0), (0, 30), (40, 30), (40, 12), (20, 18), (20, 0)]
    half = Polygon(corners)
    part = half.union(Polygon([(z, -r) for z, r in corners]))
    entered = 0
    for left in stood(drawn_profile(corners), tool).left:
        assert left.stand is not None
        sign = 1.0 if left.stand.toward_chuck == "low" else -1.0
        for ring in tool.outlines.cutting:
            edge = Polygon(outline_points(ring) * (sign, 1.0) + left.stand.at)
            assert edge.intersection(part).area < 1e-3
        entered += len(left.stand.hits)
    assert entered


def test_a_round_cutter_has_no_body_to_hit_and_stands_in_its_corner() -> None:
    radius = 1.6
    reach = stood(grooved(), disc(radius))
    assert len(reach.left) == 2
    corners = {Z, Z + WIDTH}
    for left in reach.left:
        assert left.stand is not None
        assert left.stand.hits == ()
        z, r = left.stand.at
        # as near the corner as its own radius lets it, seen from the middle
        nearest = min(abs(z - corner) for corner in corners)
        assert math.hypot(nearest, r - FLOOR) == pytest.approx(math.sqrt(2) * radius, abs=0.05)


def test_without_a_nearest_tool_there_is_no_stand() -> None:
    left = stood(grooved()).left
    assert left
    assert all(one.stand is None for one in left)
