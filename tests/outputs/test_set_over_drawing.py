"""The cut through work set over, in the plane of both axes: numbers by hand, and by geometry."""

from __future__ import annotations

import math

import pytest

from turnability.outputs.drawing.set_over_section import Cylinder, material_at, slabs_of, walls_of

SHAFT = [[(0.0, 0.0), (75.0, 0.0), (75.0, 15.0), (50.0, 15.0), (50.0, 20.0), (0.0, 20.0)]]
"""40 by 50 and what a journal of 24 by 25, 3 off, sweeps: 2 (12 + 3)."""
JOURNAL = Cylinder((50.0, 75.0), 12.0, 3.0, 0.0, False, True)
CONED = [[(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (0.0, 20.0)]]


def test_the_part_lies_below_the_axis_that_is_turned_about() -> None:
    # 20 to either side of an axis 3 below; the journal stands about the other one
    assert material_at(SHAFT, [JOURNAL], 3.0, 20.0) == [pytest.approx((-23.0, 17.0))]
    assert material_at(SHAFT, [JOURNAL], 3.0, 60.0) == [pytest.approx((-12.0, 12.0))]
    # not cut yet it is as it was turned about the part's own axis
    assert material_at(SHAFT, [], 3.0, 60.0) == [pytest.approx((-18.0, 12.0))]


@pytest.mark.parametrize("turned", [0.0, 60.0, 90.0, 180.0, 250.0])
def test_another_eccentric_is_cut_where_the_plane_meets_it(turned: float) -> None:
    """A circle of 12 round a point 5 off the part's axis, so far round from the plane."""
    other = Cylinder((50.0, 75.0), 12.0, 5.0, turned, False, False)
    rings = [[(z, 17.0 if r == 15.0 else r) for z, r in SHAFT[0]]]
    ((low, high),) = material_at(rings, [other], 3.0, 60.0)
    x = 5.0 * math.sin(math.radians(turned))
    for y in (low, high):
        from_centre = (y + 3.0) - 5.0 * math.cos(math.radians(turned))
        assert math.hypot(from_centre, x) == pytest.approx(12.0)


def test_a_bore_on_the_own_axis_goes_through_what_is_turned_about_the_other() -> None:
    bored = [[(z, 4.0 if r == 0.0 else r) for z, r in SHAFT[0]]]
    assert material_at(bored, [JOURNAL], 3.0, 60.0) == [
        pytest.approx((-12.0, -7.0)),
        pytest.approx((1.0, 12.0)),
    ]


def test_a_pin_beside_the_axis_stands_on_one_side_alone() -> None:
    ring = [[(0.0, 0.0), (20.0, 0.0), (20.0, 6.0), (35.0, 6.0), (35.0, 14.0), (20.0, 14.0)]]
    ring[0] += [(20.0, 25.0), (0.0, 25.0)]
    pin = Cylinder((20.0, 35.0), 4.0, 10.0, 0.0, False, True)
    assert material_at(ring, [pin], 10.0, 30.0) == [pytest.approx((-4.0, 4.0))]
    assert material_at(ring, [pin], 10.0, 10.0) == [pytest.approx((-35.0, 15.0))]
    bore = Cylinder((0.0, 20.0), 4.0, 10.0, 0.0, True, True)
    assert material_at(ring, [bore], 10.0, 10.0) == [
        pytest.approx((-35.0, -4.0)),
        pytest.approx((4.0, 15.0)),
    ]


def test_cones_keep_their_slope_and_walls_stand_where_material_ends() -> None:
    (slab,) = slabs_of(CONED, [], 2.0)
    assert slab.begin[0] == pytest.approx((-22.0, 18.0), abs=1e-4)
    assert slab.end[0] == pytest.approx((-12.0, 8.0), abs=1e-4)
    walls = sorted(walls_of(slabs_of(SHAFT, [JOURNAL], 3.0)))
    assert [(z, round(low, 3), round(high, 3)) for (z, low), (_, high) in walls] == [
        (0.0, -23.0, 17.0),
        (50.0, -23.0, -12.0),
        (50.0, 12.0, 17.0),
        (75.0, -12.0, 12.0),
    ]
