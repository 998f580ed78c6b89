"""Blades that groove an end face against closed-form geometry, and in reach."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.half_plane.curves import flatten_ring, ring_area
from turnability.reach.compute import reach_of
from turnability.rules.drawn import drawn_part
from turnability.shop.books import rows
from turnability.shop.load import _shop_of, tools_of
from turnability.shop.model import Tool


def blade(**table: Any) -> Tool:
    given = {"width_mm": 3.0, "depth_mm": 12.0, "first_cut_mm": [40.0, 60.0]} | table
    (made,) = tools_of({"kind": "end-grooving", **given})
    return made


@given(st.floats(1.0, 8.0), st.floats(0.0, 0.5), st.floats(1.0, 40.0))
def test_it_is_an_outside_blade_turned_to_the_axis(
    width: float, share: float, depth: float
) -> None:
    """The edge runs from r = 0 to its width, the head less (4 - pi) r² goes toward +z."""
    radius = min(share * width, depth / 4.0)
    radius = radius if radius >= 0.001 else 0.0
    made = blade(width_mm=width, corner_radius_mm=radius, depth_mm=depth, first_cut_mm=[40, 60])
    (ring,) = made.outlines.cutting
    points = flatten_ring(ring, 1e-5)
    assert points.min(axis=0) == pytest.approx([0.0, 0.0], abs=1e-4)
    assert points[:, 1].max() == pytest.approx(width, abs=1e-4)
    head = points[:, 0].max()
    assert ring_area(ring) == pytest.approx(width * head - (4.0 - math.pi) * radius**2, abs=1e-9)
    block = flatten_ring(made.outlines.body[-1], 1e-5)
    assert block[:, 0].min() == pytest.approx(depth)


@pytest.mark.parametrize(
    ("side", "low", "high"),
    [("inside", 2.9 - 20.0, 2.9), ("outside", 0.1, 20.1), ("both", -8.5, 11.5)],
)
def test_the_holder_stands_on_its_side(side: str, low: float, high: float) -> None:
    block = flatten_ring(blade(holder_side=side).outlines.body[-1], 1e-5)
    assert (block[:, 1].min(), block[:, 1].max()) == pytest.approx((low, high))


def test_the_range_of_first_cuts_stands_in_the_limits() -> None:
    limits = blade(first_cut_mm=[24, 34]).limits
    assert (limits["first_cut_least_mm"], limits["first_cut_most_mm"]) == (24.0, 34.0)


def test_usual_ranges_are_offered_where_none_is_given() -> None:
    """All rows of the table (common practice, recalled: it says so)."""
    from turnability.errors import ShopUnusable

    with pytest.raises(ShopUnusable) as caught:
        _shop_of(b'[[tool]]\nkind = "end-grooving"\nwidth_mm = 3\ndepth_mm = 9\n', "my.toml", "my")
    assert "from memory" in str(caught.value)
    for entry in rows("face_grooving_first_cut"):
        assert f"{entry['first_cut_dia_min_mm']} mm to " in str(caught.value)


@pytest.mark.parametrize(
    ("width", "depth", "causes"),
    [
        (3.0, 8.0, set()),  # exactly as wide: touching is allowed
        (5.0, 8.0, set()),
        (3.0, 12.0, set()),
        (2.9, 8.0, {"blade-width"}),
        (3.0, 12.5, {"nose-radius", "blade-depth"}),
    ],
)
def test_it_cuts_end_grooves_that_it_fits(width: float, depth: float, causes: set[str]) -> None:
    """A disc of 30 × ⌀80 with a groove from r = 20 in its face; sharp corners of the blade."""
    radius = 0.2 if "nose-radius" in causes else 0.0
    mouth, floor = 20 + width, 30 - depth
    outline = [(0, 0), (30, 0), (30, 20), (floor, 20), (floor, mouth), (30, mouth), (30, 40)]
    part = drawn_part([*outline, (0, 40)])
    assert part.profile is not None
    reach = reach_of(part.profile, (blade(corner_radius_mm=radius),))
    assert {cause for left in reach.left for cause in left.causes} == causes
