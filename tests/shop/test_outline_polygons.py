"""Polygons of bare outlines: either sense, and shapely as the judge of what crosses itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rings_checks import check_ring
from shapely import Polygon

from turnability.half_plane.curves import Line, ring_area
from turnability.shop.load import load_shop
from turnability.shop.tools.outline import tool_from
from turnability.toml_file.keys import Faults

TABLE = {"name": "own", "access": "outer", "on_axis": False, "hand": "right", "body": ()}
grid = st.tuples(st.integers(0, 5), st.integers(0, 5))


@given(st.lists(grid, min_size=3, max_size=8))
@example([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)])  # a corner on another edge
@example([(0, 0), (4, 0), (2, 0), (2, 4)])  # folds back on itself
@example([(0, 0), (2, 2), (4, 0), (4, 4), (2, 2), (0, 4)])  # two corners in one place
def test_accepts_what_is_simple_and_nothing_else(points: list[tuple[int, int]]) -> None:
    cleaned = [p for i, p in enumerate(points) if p != points[i - 1]]
    good = len(cleaned) >= 3 and Polygon(cleaned).is_valid and Polygon(cleaned).area > 0.0
    for order in (points, points[::-1]):
        table = TABLE | {"cutting": [[list(p) for p in order]]}
        if not good:
            with pytest.raises(Faults):
                tool_from(table)
            continue
        (ring,) = tool_from(table).outlines.cutting
        check_ring(ring)
        assert ring_area(ring) == pytest.approx(Polygon(cleaned).area)


def test_the_contracts_own_example(tmp_path: Path) -> None:
    """The table printed in the report's contract, read word for word."""
    file = tmp_path / "own.toml"
    file.write_text(
        """
[[tool]]
name = "special-1"
kind = "outline"
access = "outer"                 # outer: comes from +r; inner: from +z into a bore; end: from +z
on_axis = false                  # true: its programmed point moves on the axis only (a drill)
hand = "right"                   # right: feeds toward the chuck; left; neutral.
cutting = [[[0.0, 0.0], [3.0, 0.0], [3.0, 6.0], [0.0, 6.0]]]   # may touch stock
body = [[[0.0, 6.0], [20.0, 6.0], [20.0, 100.0], [0.0, 100.0]]] # may touch nothing
"""
    )
    shop = load_shop(file)
    (tool,) = shop.tools
    assert (tool.name, tool.kind, tool.access, tool.on_axis, tool.hand) == (
        "special-1",
        "outline",
        "outer",
        False,
        "right",
    )
    assert tool.outlines.cutting == (
        (
            Line((0.0, 0.0), (3.0, 0.0)),
            Line((3.0, 0.0), (3.0, 6.0)),
            Line((3.0, 6.0), (0.0, 6.0)),
            Line((0.0, 6.0), (0.0, 0.0)),
        ),
    )
    assert ring_area(tool.outlines.body[0]) == pytest.approx(20.0 * 94.0)
    assert tool.relaxations == ()
    assert (shop.holdings, shop.machines, shop.stock, shop.stock_policy) == ((), (), (), None)
    assert not shop.inch
    assert shop.name == "own"
