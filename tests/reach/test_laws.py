"""Laws that hold for any part and any tools, on random ones made of squares."""

from __future__ import annotations

import pickle
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lattice_cases import profile_of, random_case, rings_of

from turnability.half_plane.curves import line_ring
from turnability.half_plane.regions import Region
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.reach.removal import removed_by
from turnability.shop.model import Outlines, Tool

cases = st.integers(0, 10**6)
few = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


def left_by(profile: Profile, tools: list[Tool]) -> Region:
    return removed_by(profile, tools).stock


def same(one: Region, other: Region) -> bool:
    return (one - other).area < 1e-4 and (other - one).area < 1e-4


@few
@given(cases)
def test_the_order_of_tools_does_not_matter(seed: int) -> None:
    part, _, tools = random_case(seed)
    profile = profile_of(part)
    assert same(left_by(profile, tools), left_by(profile, tools[::-1]))


@few
@given(cases)
def test_a_smaller_body_leaves_no_more(seed: int) -> None:
    part, _, tools = random_case(seed)
    profile = profile_of(part)
    bare = [replace(tool, outlines=Outlines(tool.outlines.cutting, ())) for tool in tools]
    assert (left_by(profile, bare) - left_by(profile, tools)).area < 1e-4


@few
@given(cases)
def test_fewer_tools_leave_no_less(seed: int) -> None:
    part, _, tools = random_case(seed)
    profile = profile_of(part)
    assert (left_by(profile, tools) - left_by(profile, tools[1:])).area < 1e-4


@few
@given(cases)
def test_a_mirrored_part_is_left_mirrored(seed: int) -> None:
    part, _, tools = random_case(seed)
    there = left_by(profile_of(part), tools)
    back = left_by(profile_of(part[::-1]), tools)
    assert same(there, back.mirrored_z(part.shape[0] / 2.0))


@few
@given(cases)
def test_a_mirrored_hand_does_the_like_from_the_other_end(seed: int) -> None:
    part, squares, tools = random_case(seed)
    if any(tool.access != "outer" for tool in tools):
        return
    mirrored = [
        replace(
            tool,
            outlines=Outlines(
                rings_of({(-1 - z, r) for z, r in s.cutting}),
                rings_of({(-1 - z, r) for z, r in s.body}) if s.body else (),
            ),
        )
        for s, tool in zip(squares, tools, strict=True)
    ]
    low = removed_by(profile_of(part), tools, ("low",)).stock
    high = removed_by(profile_of(part), mirrored, ("high",)).stock
    assert same(low, high)


@few
@given(cases)
def test_the_answer_is_whole(seed: int) -> None:
    part, _, tools = random_case(seed)
    profile = profile_of(part)
    reach = reach_of(profile, tools)
    removal = removed_by(profile, tools)
    assert [(t.tool, t.toward_chuck) for t in reach.tools] == [
        (tool.name, end) for tool in tools for end in ("low", "high")
    ]
    assert abs(sum(left.area_mm2 for left in reach.left) - removal.stock.area) < 1e-4
    ids = {s.id for s in profile.segments if s.surface != "axis"}
    for left in reach.left:
        assert left.causes
        assert left.deepest_mm > 0.005
        assert set(left.segments) <= ids
        assert len(left.polygon) > 2
    touched = {s for tool in reach.tools for s in tool.reached_segments}
    assert touched <= ids
    # what is left borders nothing that was touched over its whole length
    assert not touched & {s for left in reach.left for s in left.segments}
    assert set(reach.chosen_tools) <= {tool.name for tool in tools}
    chosen = [tool for tool in tools if tool.name in reach.chosen_tools]
    assert (left_by(profile, chosen) - removal.stock).area < 1e-2
    assert pickle.loads(pickle.dumps(reach)) == reach
    assert same(pickle.loads(pickle.dumps(removal)).stock, removal.stock)


def test_without_tools_everything_is_left() -> None:
    profile = drawn_profile([(0, 0), (0, 5), (10, 5), (10, 3), (20, 3), (20, 1), (15, 1), (15, 0)])
    reach = reach_of(profile, [])
    assert [left.causes for left in reach.left] == [("no-tool",), ("no-tool",)]
    assert [left.nearest_tool for left in reach.left] == [None, None]
    assert sorted(round(left.area_mm2, 9) for left in reach.left) == [5.0, 20.0]
    assert reach.tools == ()
    assert reach.chosen_tools == ()


def test_jaws_stop_both_outlines_and_earlier_cuts_stay() -> None:
    profile = drawn_profile([(0, 0), (0, 5), (20, 5), (20, 8), (30, 8), (30, 0)])
    edge = line_ring([(0, 0), (2, 0), (2, 4), (0, 4)])
    tool = Tool("t", "outline", "outer", False, "right", Outlines((edge,), ()))
    jaws = line_ring([(-5, 8), (10, 8), (10, 20), (-5, 20)])
    # 4 high: under the jaws only from the side, with nothing above it
    free = removed_by(profile, [tool], ("low",))
    held = removed_by(profile, [tool], ("low",), [jaws])
    assert free.stock.area < 1e-6
    assert abs(held.stock.area - 30.0) < 1e-4  # the tool is 4 high, the gap 3
    after = removed_by(profile, [tool], ("low",), [jaws], free.standing.gone)
    assert after.stock.area < 1e-6
