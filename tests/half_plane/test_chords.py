"""Arcs by straight edges: on which side those lie, and areas beside chords of moved arcs."""

from __future__ import annotations

import math

import numpy as np
import pytest

from turnability.half_plane.curves import Arc, Line, Points
from turnability.half_plane.flatten import touching_points
from turnability.half_plane.resting import Touchable
from turnability.half_plane.restore import FixedEdges, MovedChords, beside_each
from turnability.half_plane.rings import ring_measure

NONE = FixedEdges(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), np.zeros(0))
FREE = Touchable.of(())


def segment(chord: float, radius: float) -> float:
    """R² / 2 (a - sin a), a = 2 asin(chord / 2 R): any handbook's table of plane areas."""
    angle = 2.0 * math.asin(chord / (2.0 * radius))
    return radius * radius / 2.0 * (angle - math.sin(angle))


def test_each_edge_that_is_a_chord_has_its_segment_beside_it() -> None:
    vectors = np.array([[0.3, 0.1], [0.3, -0.1], [0.0, 0.2], [0.0, 0.2], [0.3, 0.1 + 5e-8]])
    moved = MovedChords(vectors, np.array([0.4, 0.8, 0.5, 0.6, 0.7]))
    # a region's edges run against the outline; snapping moves them by less than 6e-8 mm
    steps = -np.array(
        [
            [0.3, 0.1 - 2e-8],  # the first chord
            [0.3 + 2e-8, -0.1],  # the second
            [0.0, 0.2],  # the first of two alike
            [2e-8, 0.2 + 4e-8],
            [0.3, 0.1 + 9e-8],  # nearest to the last
            [0.3, 0.3],  # as long along z as some, and none of them
            [0.5, 0.2],  # as long as none
        ]
    )
    starts = np.arange(14.0).reshape(7, 2)
    areas = beside_each(starts, starts + steps, moved, NONE, FREE)
    wide, upright = math.hypot(0.3, 0.1), 0.2
    expected = [segment(wide, 0.4), segment(wide, 0.8), segment(upright, 0.5)]
    expected += [segment(upright, 0.5), segment(wide, 0.7), 0.0, 0.0]
    assert areas == pytest.approx([-area for area in expected], rel=1e-6, abs=1e-15)


def test_without_chords_or_edges_there_is_nothing_beside() -> None:
    none, two = np.zeros((0, 2)), np.zeros((2, 2))
    assert beside_each(none, none, MovedChords(np.ones((3, 2)), np.ones(3)), NONE, FREE).shape == (
        0,
    )
    assert beside_each(two, two, MovedChords(none, np.zeros(0)), NONE, FREE).tolist() == [0.0, 0.0]


@pytest.mark.parametrize("directions", [np.zeros(0), np.array([-2.0, -1.0, 1.0])])
def test_no_corner_of_a_tool_stands_out_of_its_arcs(directions: Points) -> None:
    """A block 6 wide with a round top and a half round hollow of radius 2 in its lower side."""
    hollow, top = (0.0, 0.0), (0.0, 4.0)
    ring = (
        Line((-3.0, 0.0), (-2.0, 0.0)),
        Arc((-2.0, 0.0), (2.0, 0.0), hollow, 2.0, True),
        Line((2.0, 0.0), (3.0, 0.0)),
        Line((3.0, 0.0), (3.0, 4.0)),
        Arc((3.0, 4.0), (-3.0, 4.0), top, 3.0, False),
        Line((-3.0, 4.0), (-3.0, 0.0)),
    )
    corners = touching_points(ring, directions)
    middles = 0.5 * (corners + np.roll(corners, -1, axis=0))
    for points in (corners, middles):
        assert np.hypot(*(points[(points[:, 1] < 3.9)] - hollow).T).min() >= 2.0 - 1e-9
        above = points[points[:, 1] > 4.0]
        assert np.hypot(*(above - top).T).max() <= 3.0 + 1e-9
    # by no more than the chords are allowed to miss
    assert ring_measure(corners) == pytest.approx(24.0 + 2.5 * math.pi, abs=5e-4 * 5.0 * math.pi)
