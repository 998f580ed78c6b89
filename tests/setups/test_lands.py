"""Lands by hand, and the law of mirrors."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Departure, Face
from turnability.part.profile import make_profile
from turnability.rules.drawn import PIN, drawn_part
from turnability.setups.holding.lands import find_lands

FLANGE = [(0, 6), (40, 6), (40, 12), (10, 12), (10, 25), (0, 25)]
"""A bush with a flange: bore 12, outside 24 from z 10 to 40, flange 50 from z 0 to 10."""


def spans(part):
    return {(land.surface, *land.z_mm, land.diameter_mm) for land in find_lands(part)}


def departure(kind, z, faces=(), **numbers):
    return Departure("D1", kind, faces, None, z, numbers)


def test_a_stepped_pin():
    assert spans(drawn_part(PIN)) == {("outer", 0, 18, 22), ("outer", 18, 30, 16)}


def test_outside_and_inside_of_a_flanged_bush():
    assert spans(drawn_part(FLANGE)) == {
        ("outer", 0, 10, 50),
        ("outer", 10, 40, 24),
        ("inner", 0, 40, 12),
    }


def test_tapers_and_curves_are_no_lands():
    assert spans(drawn_part([(0, 0), (30, 0), (30, 5), (0, 5.5)])) == set()
    dome = [
        (Line((0, 0), (10, 0)), ()),
        (Arc((10, 0), (0, 10), (0, 0), 10, clockwise=False), ()),
        (Line((0, 10), (0, 0)), ()),
    ]
    assert spans(drawn_part(make_profile([dome]))) == set()


def test_neighbours_on_one_line_are_one_land():
    part = drawn_part([(0, 0), (30, 0), (30, 8), (18, 8), (9, 8), (0, 8)])
    (land,) = find_lands(part)
    assert land.z_mm == (0, 30)
    assert len(land.segments) == 3


def test_a_thread_is_no_land():
    loop = [
        (Line((0, 0), (20, 0)), ()),
        (Line((20, 0), (20, 5)), (1,)),
        (Line((20, 5), (0, 5)), (2,)),
        (Line((0, 5), (0, 0)), (3,)),
    ]
    part = drawn_part(make_profile([loop]), faces=(Face(2, None, "thread", ("S3",)),))
    assert find_lands(part) == ()


@pytest.mark.parametrize(
    ("gone", "expected"),
    [
        (
            departure("hole", (5.0, 8.0), diameter_mm=3.0, direction="radial"),
            {("outer", 0, 5, 22), ("outer", 8, 18, 22), ("outer", 18, 30, 16)},
        ),
        (
            departure("slot", (0.0, 4.0)),
            {("outer", 4, 18, 22), ("outer", 18, 30, 16)},
        ),
        (departure("other", (0.0, 30.0)), set()),
        (
            departure("flat", (20.0, 30.0), across_flats_mm=14.0),
            {("outer", 0, 18, 22), ("outer", 18, 20, 16)},
        ),
        # a flat wider than the land stays outside it
        (
            departure("flat", (0.0, 30.0), across_flats_mm=18.0),
            {("outer", 18, 30, 16)},
        ),
        # its own radial range says that this pocket stays within the end
        (
            departure("pocket", (10.0, 30.0), r_mm=(0.0, 6.0)),
            {("outer", 0, 18, 22), ("outer", 18, 30, 16)},
        ),
    ],
)
def test_departures_break_lands(gone, expected):
    assert spans(drawn_part(PIN, departures=(gone,))) == expected


def test_a_bolt_circle_breaks_only_what_its_holes_cross():
    inside = departure("bolt-circle", (0.0, 10.0), circle_diameter_mm=38.0, hole_diameter_mm=6.0)
    assert ("outer", 0, 10, 50) in spans(drawn_part(FLANGE, departures=(inside,)))
    across = departure("bolt-circle", (0.0, 10.0), circle_diameter_mm=50.0, hole_diameter_mm=6.0)
    assert ("outer", 0, 10, 50) not in spans(drawn_part(FLANGE, departures=(across,)))


def test_an_axial_hole_leaves_the_outside_whole():
    hole = departure("hole", (0.0, 10.0), diameter_mm=4.0, direction="axial")
    assert ("outer", 0, 10, 50) in spans(drawn_part(FLANGE, departures=(hole,)))


def test_corners_of_a_hexagon_are_no_cylinder():
    loop = [
        (Line((0, 0), (20, 0)), ()),
        (Line((20, 0), (20, 5)), (1,)),
        (Line((20, 5), (0, 5)), (2, 3, 4)),
        (Line((0, 5), (0, 0)), (5,)),
    ]
    six = departure("hex", (0.0, 20.0), faces=(2, 3, 4))
    assert find_lands(drawn_part(make_profile([loop]), departures=(six,))) == ()


@given(
    steps=st.lists(st.tuples(st.integers(1, 40), st.integers(1, 30)), min_size=1, max_size=6),
    hole=st.none() | st.tuples(st.floats(0.0, 0.8), st.floats(0.05, 0.2)),
)
def test_a_mirrored_part_has_mirrored_lands(steps, hole):
    z, points = 0, [(0, 0)]
    for length, radius in steps:
        points += [(z, radius), (z + length, radius)]
        z += length
    points.append((z, 0))
    gone, turned = (), ()
    if hole:
        low, high = hole[0] * z, (hole[0] + hole[1]) * z
        gone = (departure("hole", (low, high), direction="radial", diameter_mm=high - low),)
        turned = (departure("hole", (z - high, z - low), direction="radial", diameter_mm=1.0),)
    there = find_lands(drawn_part(points, departures=gone))
    back = find_lands(drawn_part([(z - a, r) for a, r in points], departures=turned))

    def seen(lands, flip):
        return Counter(
            (
                land.surface,
                *(round(v, 6) for v in sorted(z - x if flip else x for x in land.z_mm)),
                round(land.diameter_mm, 6),
            )
            for land in lands
        )

    assert seen(there, flip=True) == seen(back, flip=False)
