"""Slices are a short cut: the least fixed point is the same without them."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_tools import FAR, bar, drill, rectangle
from hypothesis import given, settings
from hypothesis import strategies as st
from test_closed_forms import bored

from turnability.half_plane.curves import line_ring
from turnability.half_plane.places import reachable_on_axis, reachable_span
from turnability.half_plane.regions import Region, box
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach import removal as removal_room
from turnability.reach.removal import Asked, removed_by
from turnability.shop.model import Outlines, Tool


def corner(setback: float) -> Tool:
    """An 80 degree corner whose head follows a little behind its edges, so that it creeps."""
    cutting = line_ring([(0, 0), (9, 0.8), (10, 9), (1, 9)])
    head = line_ring(
        [(setback, setback), (20, 2.0 + setback), (20, 30), (3 + setback, 30), (1 + setback, 9)]
    )
    body = (head, rectangle(4, 30, 20, FAR))
    return Tool("corner", "outline", "outer", False, "right", Outlines((cutting,), body))


def stepped(*steps: tuple[float, float]) -> Profile:
    corners, z = [(0.0, 0.0)], 0.0
    for length, radius in steps:
        corners += [(z, radius), (z + length, radius)]
        z += length
    return drawn_profile([*corners, (z, 0.0)])


def both_ways(
    profile: Profile, tools: list[Tool], monkeypatch: pytest.MonkeyPatch
) -> tuple[removal_room.Removal, removal_room.Removal]:
    quick = removed_by(profile, tools)
    with monkeypatch.context() as patch:
        patch.setattr(Asked, "feeds", ())
        slow = removed_by(profile, tools)
    return quick, slow


def differ(one: Region, other: Region) -> float:
    return (one - other).area + (other - one).area


CASES = {
    "shoulders": (stepped((20, 10), (10, 15), (12, 22), (8, 15), (10, 10)), [corner(0.2)]),
    "groove": (stepped((15, 12), (25, 8), (10, 12)), [corner(0.8)]),
    "bore": (bored(16.0), [drill(13.0), bar(8.0, 6.0, 0.5, 0.5)]),
    # its back, 18.2 below its point, gets in as far as the point has opened the hole all round
    "back": (bored(19.0), [drill(16.0), bar(16.0, 10.2, 2.0, 0.2)]),
}


@pytest.mark.parametrize("case", CASES)
def test_slices_only_save_rounds(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    profile, tools = CASES[case]
    quick, slow = both_ways(profile, tools, monkeypatch)
    assert differ(quick.standing.kept, slow.standing.kept) < 1e-4
    assert quick.rounds <= slow.rounds


def test_a_shoulder_takes_few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    profile, tools = CASES["shoulders"]
    quick, slow = both_ways(profile, tools, monkeypatch)
    assert 2 * quick.rounds < slow.rounds


def test_a_bar_opens_the_way_for_its_own_back(monkeypatch: pytest.MonkeyPatch) -> None:
    profile, tools = CASES["back"]
    quick, slow = both_ways(profile, tools, monkeypatch)
    assert quick.stock.area < 0.5 * removed_by(profile, tools[:1]).stock.area
    assert 5 * quick.rounds < slow.rounds


def test_no_slice_counts_on_what_is_only_cut_after_it() -> None:
    """A foot 2 wide under a body 4 wide, above which a second edge is as wide as the body.

    From above a groove 4.2 wide the foot clears all of its first 1. Then it sinks once more, by 2.2
    wide and 1 deep, until the body stands on what is left beside it: the upper edge would cut that,
    had the body got past it. (Nothing lies deeper, so that nothing else would stop it.)
    """
    cutting = (rectangle(1, 0, 3, 1), rectangle(0, 3, 4, 4))
    body = (rectangle(0, 1, 4, 3), rectangle(1, 4, 3, FAR))
    foot = Tool("foot", "outline", "outer", False, "neutral", Outlines(cutting, body))
    deeper = box(20.0, 12.0, 24.2, 17.0)
    removal = removed_by(stepped((20, 20), (4.2, 12), (20, 20)), [foot], gone_before=deeper)
    assert removal.stock.area == pytest.approx(4.2 * 3.0 - 4.2 * 1.0 - 2.2 * 1.0, rel=1e-5)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(-20, 20), st.floats(-6, 6), st.floats(0.5, 9), st.floats(0.5, 9)),
        max_size=6,
    ),
    st.booleans(),
)
def test_windings_along_the_axis_say_what_the_plane_says(
    boxes: list[tuple[float, float, float, float]], from_high: bool
) -> None:
    window = np.array([[-40.0, -30.0], [40.0, -30.0], [40.0, 30.0], [-40.0, 30.0]])
    rings = [np.array([[z, r], [z + a, r], [z + a, r + b], [z, r + b]]) for z, r, a, b in boxes]
    _, plane = reachable_on_axis(rings, window, from_high)
    line = reachable_span(rings, window, from_high)
    assert (plane is None) == (line is None)
    if plane is not None and line is not None:
        assert np.allclose(plane, line, atol=1e-6)
