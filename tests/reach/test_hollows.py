"""A closed hollow is part of the envelope outside the part, and no tool removes it."""

import math

import pytest

from turnability.half_plane.curves import line_ring
from turnability.part.profile import drawn_profile, make_profile
from turnability.reach.compute import reach_of
from turnability.shop.model import Outlines, Tool

TURNER = Tool(
    "turner",
    "outline",
    "outer",
    False,
    "right",
    Outlines(
        (line_ring([(0, 0), (3, 0), (3, 6), (0, 6)]),),
        (line_ring([(0, 6), (20, 6), (20, 50), (0, 50)]),),
    ),
)


def test_beside_the_axis():
    solid = line_ring([(0, 0), (20, 0), (20, 10), (0, 10)])
    hollow = tuple(c.reversed() for c in line_ring([(5, 3), (10, 3), (10, 6), (5, 6)])[::-1])
    profile = make_profile([[(c, ()) for c in solid], [(c, ()) for c in hollow]])
    (left,) = reach_of(profile, [TURNER]).left
    assert left.area_mm2 == pytest.approx(15.0, rel=1e-9)
    assert left.volume_mm3 == pytest.approx(math.pi * (36 - 9) * 5, rel=1e-9)
    assert left.causes == ("no-tool",)
    assert set(left.segments) == {s.id for s in profile.loops[1].segments}


def test_on_the_axis():
    points = [(0, 0), (5, 0), (5, 3), (10, 3), (10, 0), (20, 0), (20, 10), (0, 10)]
    (left,) = reach_of(drawn_profile(points), [TURNER]).left
    assert left.area_mm2 == pytest.approx(15.0, rel=1e-9)
    assert left.volume_mm3 == pytest.approx(math.pi * 9 * 5, rel=1e-9)
