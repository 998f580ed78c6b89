"""Laws: cells of an arrangement against shapely's planar booleans, and exact arcs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString
from shapely.ops import polygonize, unary_union

from turnability.half_plane.arrangement import _cells, arrange
from turnability.half_plane.curves import Arc, Line, Spline, line_ring, ring_area

places = st.tuples(st.integers(0, 40), st.integers(1, 40))


def drawn(curves):
    return [(curve, frozenset((i,))) for i, curve in enumerate(curves)]


def cell_areas(plane):
    areas = (
        ring_area(cell.outer) + sum(ring_area(hole) for hole in cell.holes)
        for cell in plane.cells
        if cell.outer is not None
    )
    return sorted(area for area in areas if area > 1e-9)


@given(
    st.lists(st.tuples(places, places).filter(lambda ab: ab[0] != ab[1]), min_size=3, max_size=9)
)
def test_cells_of_random_lines_are_shapelys_polygons(pairs):
    lines = [Line(tuple(map(float, a)), tuple(map(float, b))) for a, b in pairs]
    expected = sorted(
        p.area for p in polygonize(unary_union([LineString([c.start, c.end]) for c in lines]))
    )
    # shapely leaves a cell inside another as a hole of it: same areas either way
    plane = arrange(drawn(lines), 1e-7)
    assert cell_areas(plane) == pytest.approx(expected, abs=1e-6)
    assert plane.planar


def test_pieces_that_cross_without_a_node_are_known_by_eulers_formula():
    """A square's diagonals as pieces that do not meet: 4 nodes, 6 pieces, and cells run together.

    Made past `arrange`, which parts such curves unless they are one but for a hair.
    """
    nodes = [(0.0, 1.0), (4.0, 1.0), (4.0, 5.0), (0.0, 5.0)]
    pieces = [
        (a, b, Line(nodes[a], nodes[b]), frozenset((a,)))
        for a, b in ((0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3))
    ]
    assert not _cells(pieces).planar
    assert _cells(pieces[:-1]).planar


def test_a_circle_cut_by_a_chord_has_two_exact_cells():
    circle = [Arc((0, 5), (10, 5), (5, 5), 5, False), Arc((10, 5), (0, 5), (5, 5), 5, False)]
    plane = arrange(drawn([*circle, Line((-1, 8), (11, 8))]), 1e-7)
    half = math.acos(3 / 5)
    cap = 25 * half - 3 * 4
    assert cell_areas(plane) == pytest.approx(sorted([cap, 25 * math.pi - cap]), rel=1e-12)


def test_origins_of_curves_on_one_another_are_joined():
    plane = arrange(
        drawn([Line((0, 1), (10, 1)), Line((4, 1), (6, 1)), Line((6, 1), (14, 1))]), 1e-7
    )
    by_place = {(c.start[0], c.end[0]): o for c, o in plane.pieces}
    assert by_place == {(0, 4): {0}, (4, 6): {0, 1}, (6, 10): {0, 2}, (10, 14): {2}}


def test_two_halves_of_a_spline_that_differ_by_rounding_are_one():
    z = np.linspace(0, 10, 40)
    first = Spline(tuple(zip(z.tolist(), (3 + np.sin(z)).tolist(), strict=True)))
    second = Spline(tuple((a + 1e-9, b - 1e-9) for a, b in first.points[::-1]))
    assert len(arrange(drawn([first, second]), 1e-6).pieces) == 1


def test_a_ring_inside_a_ring_is_a_hole_of_the_outer_cell():
    outer, inner = (
        line_ring([(0, 1), (9, 1), (9, 9), (0, 9)]),
        line_ring([(3, 3), (5, 3), (5, 5), (3, 5)]),
    )
    plane = arrange(drawn([*outer, *inner]), 1e-7)
    assert cell_areas(plane) == pytest.approx([4, 68])
    inside = [cell.number for cell in plane.cells if cell.outer and not cell.holes]
    loops = plane.boundary([cell.number not in (0, *inside) for cell in plane.cells])
    assert sorted(round(ring_area(tuple(c for c, _ in loop))) for loop in loops) == [-4, 72]


@given(st.floats(0.0, 3.0), st.floats(1e-9, 9e-7))
def test_gaps_below_the_tolerance_are_bridged(turn, gap):
    corners = [(0, 2), (8, 2), (8, 7), (0, 7)]
    ring = line_ring(corners)
    shifted = [
        Line(
            (c.start[0] + gap * math.cos(turn), c.start[1] + gap * math.sin(turn)),
            c.end,
        )
        for c in ring
    ]
    assert cell_areas(arrange(drawn(shifted), 1e-6)) == pytest.approx([40], abs=1e-4)


@pytest.mark.parametrize("beside", [0.0, 1e-4, 2.5e-4, 1e-3])
def test_lines_and_arcs_are_parted_where_they_cross_beside_a_touch(beside):
    """Only chords of splines err there. The line parts the half disc of radius 5 in two.

    A segment at distance d from the centre has r² acos(d / r) - d sqrt(r² - d²), less half where
    the line stands on the diameter.
    """
    radius, d = 5.0, 1.5
    arc = Arc((5.0, 0.0), (-5.0, 0.0), (0.0, 0.0), radius, False)
    top = math.sqrt(radius**2 - d**2)
    floor, line = Line((-5.0, 0.0), (5.0, 0.0)), Line((d, 0.0), (d, 8.0))
    plane = arrange(drawn([arc, floor, line]), 1e-6, [(d, top - beside)])
    segment = (radius**2 * math.acos(d / radius) - d * top) / 2.0
    assert plane.planar
    expected = sorted((segment, math.pi * radius**2 / 2.0 - segment))
    assert cell_areas(plane) == pytest.approx(expected, rel=1e-6)
