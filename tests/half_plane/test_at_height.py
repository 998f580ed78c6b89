"""Sections of turned regions in a plane beside the axis: what stands at r stands at √(r² - h²)."""

from __future__ import annotations

import numpy as np
import pytest

from turnability.half_plane.at_height import section_at
from turnability.half_plane.curves import Arc
from turnability.half_plane.distances import distances
from turnability.half_plane.regions import Region


@pytest.mark.parametrize("height_mm", [1.0, 8.0, 19.0, 24.0])
def test_an_arc_in_chords_keeps_about_its_corners_and_its_place(height_mm: float) -> None:
    """x² + h² = r² on a ball's arc that runs to below the height and is cut off there."""
    arc = Arc((0.0, 10.0), (15.0, 25.0), (15.0, 10.0), 15.0, clockwise=True).flatten(5e-4)
    ring = np.concatenate((arc[::-1], [[0.0, 9.0], [15.0, 9.0]]))
    section = section_at(Region.of([ring if ring[0, 0] > 0 else ring[::-1]]), height_mm)
    assert not section.empty
    assert section.corners < 2 * (3 * len(ring)), "not sixteen chords for each of the arc's"
    share = np.linspace(0.0, 1.0, 401)[1:-1]
    a = np.pi - share * np.pi / 2.0
    z, r = 15.0 + 15.0 * np.cos(a), 10.0 + 15.0 * np.sin(a)
    on = r > height_mm + 0.05
    places = np.column_stack((z[on], np.sqrt(r[on] ** 2 - height_mm**2)))
    # the chords' own 0.5 µm, seen at a slant, and what the section's add
    assert (distances(places, *section.edges()) < 5e-4 * r[on] / places[:, 1] + 2e-4).all()
