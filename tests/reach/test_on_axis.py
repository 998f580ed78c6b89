"""What is told of all tools on the axis at once is what each one's own outline says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnability.half_plane.distances import distances
from turnability.half_plane.regions import inside
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach.all_asked import all_asked
from turnability.reach.asked import Asked
from turnability.reach.ground import ground_of
from turnability.reach.left import touched_by
from turnability.reach.stock import at_first
from turnability.shop.load import starter_shop

radii = st.sampled_from([0.0, 1.5, 2.0, 4.0, 4.25, 6.0, 7.5, 9.0, 15.0, 20.0])


@st.composite
def bored(draw: st.DrawFn) -> Profile:
    """A disc or a sleeve with steps inside, tapered or square, from either end."""
    outer, length = draw(st.sampled_from([8.0, 12.0, 25.0])), draw(st.floats(4.0, 60.0))
    steps = draw(st.lists(st.tuples(radii, radii), min_size=1, max_size=4))
    inner = []
    for k, (a, b) in enumerate(steps):
        low, high = length * k / len(steps), length * (k + 1) / len(steps)
        inner += [(low, min(a, outer - 1.0)), (high, min(b, outer - 1.0))]
    corners = [(0.0, outer), (length, outer), *inner[::-1]]
    distinct = [p for p, q in zip(corners, corners[1:] + corners[:1], strict=True) if p != q]
    return drawn_profile(distinct[::-1])


def drills(profile: Profile) -> list[Asked]:
    ends = all_asked(ground_of(profile), starter_shop().tools, ("low", "high"))
    return [asked for _, _, asked in ends if asked.mover.on_axis]


@settings(max_examples=25, deadline=None, derandomize=True)
@given(bored())
def test_one_without_a_bite_has_nothing_to_take(profile: Profile) -> None:
    ground = ground_of(profile)
    standing = at_first(ground)
    bites = 0
    for asked in drills(profile):
        taken = (asked.limit() & standing.stock).area
        bite = asked.bite(standing.stock)
        assert (bite > 0.0) >= (taken > 1e-6)
        assert taken <= max(bite, 0.0) * asked.mover.cutting_box[3] + 1e-6
        assert taken <= asked.hope(standing) + 1e-6 or bite < 2.1e-3
        bites += bite > 0.0
    assert bites or profile.through_bore_mm or standing.stock.empty


@settings(max_examples=25, deadline=None, derandomize=True)
@given(bored())
def test_none_that_touches_a_segment_is_ruled_out(profile: Profile) -> None:
    mine = drills(profile)
    found = touched_by([asked.limit() for asked in mine], ground_of(profile))
    for asked, segments in zip(mine, found, strict=True):
        assert asked.touches_some() or not segments


def test_most_drills_are_ruled_out_and_the_one_of_the_bore_is_not() -> None:
    profile = drawn_profile([(0, 4.25), (30, 4.25), (30, 12), (0, 12)])
    told = {a.tool.name for a in drills(profile) if a.touches_some()}
    assert "drill 8.5" in told
    assert len(told) < 5


@settings(max_examples=15, deadline=None, derandomize=True)
@given(bored())
def test_edges_tell_the_distance_of_what_lies_outside(profile: Profile) -> None:
    ground = ground_of(profile)
    standing = at_first(ground)
    corners = np.array([s.curve.start for s in profile.segments])
    for asked in drills(profile)[::7]:
        swept = asked.swept_at_last(standing)
        starts, ends = asked.edges_at_last(standing)
        if swept.empty:
            continue
        outside = corners[~inside(swept, corners)]
        if len(outside):
            own = distances(outside, *swept.edges())
            assert distances(outside, starts, ends) == pytest.approx(own, abs=1e-6)


def test_a_drill_stops_where_its_flank_meets_an_edge() -> None:
    """118 degrees: at a bore's edge of radius 3 a drill of radius 4.25 leaves 1.25 / tan 59."""
    profile = drawn_profile([(0, 4.25), (3, 4.25), (3, 3), (12, 3), (12, 8), (0, 8)])
    asked = next(a for a in drills(profile) if a.tool.name == "drill 8.5" and not a.mover.from_high)
    standing = at_first(ground_of(profile))
    swept = asked.swept(asked.quick(standing))
    corners = np.concatenate(swept.rings())
    flank = corners[np.abs(corners[:, 1] - 4.25) < 1e-6, 0].max()
    assert flank == pytest.approx(3.0 - 1.25 / np.tan(np.radians(59.0)), abs=1e-6)
