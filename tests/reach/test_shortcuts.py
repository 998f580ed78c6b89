"""Quick answers are those of the long way round: room told by area, places beside jaws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lattice_cases import profile_of, random_case

from turnability.half_plane.curves import line_ring
from turnability.half_plane.flatten import touching_points
from turnability.half_plane.places import open_places
from turnability.half_plane.regions import Region, box, inside, nothing, union
from turnability.part.profile import drawn_profile
from turnability.reach.all_asked import all_asked
from turnability.reach.asked import Asked
from turnability.reach.ground import ground_of
from turnability.reach.model import Toward
from turnability.reach.outline import mover_of
from turnability.reach.removal import removed_by
from turnability.reach.stock import GAINED_MM, Standing, is_room
from turnability.shop.load import starter_shop

sides = st.floats(0.002, 0.03)
strips = st.lists(st.tuples(sides, sides, sides, sides), min_size=1, max_size=6)


@given(strips)
def test_area_never_promises_room_that_there_is_not(drawn: list[tuple[float, ...]]) -> None:
    boxes = [box(z, r, z + wide, r + 10.0 * tall) for z, r, wide, tall in drawn]
    outside = union(boxes)
    for region in (outside, box(-0.01, -0.01, 0.07, 0.4) - outside):
        long_way = not region.grown(-GAINED_MM / 2.0, "round").empty
        assert is_room(region) is long_way


def test_room_begins_at_a_hundredth() -> None:
    assert is_room(box(0.0, 0.0, 0.0101, 50.0))
    assert not is_room(box(0.0, 0.0, 0.0099, 50.0))
    # a frame of thin walls has much area and no room, not in its corners either: 0.586 of the walls
    walls = box(0.0, 0.0, 50.0, 50.0) - box(0.008, 0.008, 49.992, 49.992)
    assert walls.area > 1.5
    assert not is_room(walls)


@given(st.lists(st.tuples(sides, sides, sides, sides), min_size=2, max_size=2))
def test_shared_area_is_that_of_the_common_region(drawn: list[tuple[float, ...]]) -> None:
    one, other = (box(z, r, z + wide, r + tall) for z, r, wide, tall in drawn)
    assert one.shared(other) == (one & other).area
    assert one.shared(nothing()) == nothing().shared(one) == 0.0


def far_outside(asked: Asked) -> tuple[float, float]:
    """Where a tool comes from: beyond the part's end in its free half, or above it."""
    low, _, high, top = asked.window
    if asked.mover.access == "outer":
        return 0.5 * asked.ground.length, top - 0.5
    return (high if asked.mover.from_high else low) + (-0.5 if asked.mover.from_high else 0.5), 0.0


def joined_to(free: Region, start: tuple[float, float]) -> Region:
    """The piece of a region that holds a point."""
    pieces = [piece for piece in free.components() if inside(piece, np.array([start]))[0]]
    assert len(pieces) == 1
    return pieces[0]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.integers(0, 10**6))
def test_open_places_are_those_joined_to_the_outside(seed: int) -> None:
    part, _, tools = random_case(seed)
    ground = ground_of(profile_of(part))
    for _, _, asked in all_asked(ground, tools, ("low", "high")):
        if asked.mover.on_axis:
            continue
        whole = box(*asked.window) - asked._by_part(shaved=True)
        useful = asked._useful(None)
        long_way = joined_to(whole, far_outside(asked)) & box(*useful)
        found = open_places(asked._by_part(shaved=True), useful)
        assert (found - long_way).area + (long_way - found).area < 1e-6


def test_what_is_enclosed_is_not_open() -> None:
    frame = box(0.0, 0.0, 10.0, 10.0) - box(2.0, 2.0, 8.0, 8.0) | box(4.0, 4.0, 6.0, 6.0)
    assert open_places(frame, (-1.0, -1.0, 11.0, 11.0)).area == pytest.approx(12.0**2 - 10.0**2)
    half = frame & box(0.0, 0.0, 5.0, 10.0)
    assert open_places(half, (1.0, 1.0, 5.0, 9.0)).area == pytest.approx(3.0 * 6.0 - 2.0)


def test_places_beside_jaws_are_those_worked_out_from_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    profile = drawn_profile(
        [(0, 0), (0, 15), (20, 15), (20, 9), (45, 9), (45, 4), (30, 4), (30, 0)]
    )
    jaws = [line_ring([(-60, 15), (8, 15), (8, 80), (-60, 80)])]
    ground = ground_of(profile, jaws)
    tools = starter_shop().tools
    quick = removed_by(profile, tools, ("low",), jaws)
    kept_away = 0
    for _, _, asked in all_asked(ground, tools, ("low",)):
        if asked.mover.on_axis:
            continue
        for shaved in (True, False):
            useful = asked._useful(None)
            whole = box(*asked.window) - asked._by_part(shaved)
            long_way = joined_to(whole, far_outside(asked)) & box(*useful)
            found = open_places(asked._by_part(shaved), useful)
            assert (found - long_way).area + (long_way - found).area < 1e-6
        alone = asked._bare()
        assert alone is not None
        kept_away += asked.limit() is not alone.limit()
    assert kept_away > 0  # jaws stop some tool, so that was not for nothing
    monkeypatch.setattr(Asked, "_bare", lambda self: None)
    slow = removed_by(profile, tools, ("low",), jaws)
    assert (quick.stock - slow.stock).area + (slow.stock - quick.stock).area < 1e-6
    swept = [
        (one.swept - other.swept, other.swept - one.swept)
        for one, other in zip(quick.works, slow.works, strict=True)
    ]
    assert all(more.area + less.area < 1e-5 for more, less in swept)


@settings(max_examples=10, deadline=None, derandomize=True)
@given(st.integers(0, 10**6))
def test_tools_named_first_leave_the_same(seed: int) -> None:
    part, _, tools = random_case(seed)
    profile = profile_of(part)
    plain = removed_by(profile, tools).stock
    first = removed_by(profile, tools, first=[tools[-1].name]).stock
    assert (plain - first).area + (first - plain).area < 1e-4


@pytest.mark.parametrize("toward", ["low", "high"])
@pytest.mark.parametrize("z", [(10.0, 24.0), (-5.0, 12.0), (20.0, 29.0)])
def test_tools_without_hope_beside_what_is_in_the_way_remove_no_less(
    z: tuple[float, float], toward: Toward, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None hopes for stock inside an obstacle: it is the same as where each is asked about it."""
    profile = drawn_profile(
        [(0.0, 0.0), (0.0, 12.0), (14.0, 12.0), (14.0, 9.0), (30.0, 9.0), (30.0, 14.0),
         (45.0, 14.0), (45.0, 6.0), (25.0, 6.0), (23.0, 0.0)]
    )  # fmt: skip
    ring = line_ring([(z[0], 11.0), (z[1], 11.0), (z[1], 40.0), (z[0], 40.0)])
    tools = [tool for tool in starter_shop().tools if not tool.on_axis or "drill 1" in tool.name]
    quick = removed_by(profile, tools, (toward,), (ring,))
    monkeypatch.setattr(Standing, "accessible", property(lambda standing: standing.stock))
    asked = removed_by(profile, tools, (toward,), (ring,))
    within = asked.stock & box(z[0], 11.0, z[1], 40.0)
    assert within.area > 10.0  # it does stand in the way of stock
    assert (quick.stock - asked.stock).area + (asked.stock - quick.stock).area < 1e-9
    assert [work.gained for work in quick.works] == [work.gained for work in asked.works]


@pytest.mark.parametrize("name", ["rough right", "copy 35 left", "bore 20", "groove 3"])
def test_arcs_are_left_out_where_the_body_is_anyway(name: str) -> None:
    tool = next(tool for tool in starter_shop().tools if tool.name == name)
    ground = ground_of(drawn_profile([(0.0, 0.0), (0.0, 10.0), (30.0, 10.0), (30.0, 0.0)]))
    mover = mover_of(tool.outlines, tool.access, tool.on_axis, "low", ground)
    whole = Region.of([touching_points(ring, ground.normals) for ring in tool.outlines.cutting])
    asked, body = Region.of(mover.rings), Region.of(mover.bodies)
    left_out = whole - asked
    assert (asked - whole).area < 1e-6
    assert (left_out - body).area < 1e-6
    # an insert's corner opposite the cutting one; a blade's corners stand out beside its shank
    assert (left_out.area > 0.005) is (name != "groove 3")
