"""The contract's "a bar follows a drill": an inner tool enters no stock that stands on the axis.

Stock stands on the axis where there is nothing but stock from the axis out to it.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.half_plane.curves import line_ring
from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.shop.model import Outlines, Tool

CUP = drawn_profile([(0, 0), (4, 0), (4, 8), (30, 8), (30, 10), (0, 10)])
"""A blind bore of radius 8, 26 deep: 208 mm2 of its half section to remove."""


def box(z0, r0, z1, r1):
    return line_ring([(z0, r0), (z1, r0), (z1, r1), (z0, r1)])


def tool(name, access, cutting, body, on_axis=False):
    return Tool(name, "outline", access, on_axis, "right", Outlines((cutting,), (body,)))


SLIM = tool("slim bar", "inner", box(0, 0, 2, 2), box(2, 0, 40, 1))
LOW = tool("bar over the axis", "inner", box(0, 0, 2, 2), box(2, -2, 40, 1))
DRILL = tool("drill", "end", box(0, -4, 40, 4), box(40, -6, 60, 6), on_axis=True)


def left_area(*tools):
    return sum(region.area_mm2 for region in reach_of(CUP, tools).left)


@pytest.mark.parametrize("bar", [SLIM, LOW])
def test_a_bar_alone_removes_nothing(bar):
    assert left_area(bar) == pytest.approx(208.0, rel=1e-9)


@pytest.mark.parametrize("bar", [SLIM, LOW])
def test_after_a_drill_it_bores_all(bar):
    assert left_area(DRILL, bar) == pytest.approx(0.0, abs=1e-9)


@given(st.integers(4, 20))
def test_it_bores_no_deeper_than_the_drill_went(depth):
    """The drill's chuck stops at the end face: it is wider than the bore."""
    stub = tool("stub", "end", box(0, -4, depth, 4), box(depth, -9, 60, 9), on_axis=True)
    assert left_area(stub, LOW) == pytest.approx(8.0 * (26 - depth), rel=1e-9)
