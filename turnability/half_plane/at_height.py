"""What stands in a plane beside the axis, of a region of r >= 0 turned about it.

In the plane parallel to the axis at height h, what is at radius r stands at x = ±√(r² - h²).
"""

from __future__ import annotations

import numpy as np

from turnability.half_plane.curves import Points
from turnability.half_plane.regions import Region, both_sides, box
from turnability.half_plane.rings import following

_CHORDS = 16
_STRAIGHT_MM = 1e-9
_BENT_MM = 1e-4


def section_at(half: Region, height_mm: float) -> Region:
    """The section (z, x) of a turned region at a height, on both sides; x >= 0 is the half.

    Edges along z or square to it stay straight; others are followed to about 0.1 µm by at most 16
    chords, which for the depths and heights of lathe work leaves less than 0.01 mm.
    """
    if half.empty or height_mm == 0.0:
        return both_sides(half)
    z0, _, z1, r1 = half.bounds
    if r1 <= height_mm:
        return Region.of([])
    above = half & box(z0 - 1.0, height_mm, z1 + 1.0, r1 + 1.0)
    return both_sides(Region.of([_lowered(ring, height_mm) for ring in above.rings()]))


def _lowered(ring: Points, height_mm: float) -> Points:
    """A ring (n, 2) of (z, r) as (z, x)."""
    ends = following(ring)
    x = np.sqrt(np.maximum(ring[:, 1] ** 2 - height_mm**2, 0.0))
    to = np.sqrt(np.maximum(ends[:, 1] ** 2 - height_mm**2, 0.0))
    slanted = np.all(np.abs(ends - ring) > _STRAIGHT_MM, axis=1)
    # of an arc's short chords hardly one is bent; by halves a curve's chord misses it a quarter
    middle = np.sqrt(np.maximum((0.5 * (ring[:, 1] + ends[:, 1])) ** 2 - height_mm**2, 0.0))
    bent = np.where(slanted, np.abs(middle - 0.5 * (x + to)) / _BENT_MM, 0.0)
    chords = np.clip(np.ceil(np.sqrt(bent)), 1, _CHORDS).astype(int).tolist()
    found = []
    for i in range(len(ring)):
        found.append([[ring[i, 0], x[i]]])
        if chords[i] > 1:
            along = np.linspace(x[i], to[i], chords[i] + 1)[1:-1]
            share = (np.hypot(along, height_mm) - ring[i, 1]) / (ends[i, 1] - ring[i, 1])
            found.append(
                np.stack((ring[i, 0] + share * (ends[i, 0] - ring[i, 0]), along), axis=1).tolist()
            )
    lowered: Points = np.array([point for run in found for point in run])
    return lowered
