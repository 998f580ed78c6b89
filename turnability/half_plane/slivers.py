"""Rings of no width, which rounding to the clipper's grid can turn over."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

import numpy as np

from turnability.half_plane.curves import Points

SNAP_MM = 1e-8
"""Grid of the clipper."""
_SLIVER_MM = 10.0 * SNAP_MM
_FEW = 4
"""From so many rings on their areas are told together."""
_FIRST = np.zeros(1, dtype=np.int64)


def but_slivers(rings: Sequence[Points], across_mm: float) -> list[Points]:
    """Those of a region's rings that have some width; the region is so long and high together."""
    wide = _are_wide(rings, _SLIVER_MM * across_mm)
    return [
        ring for ring, is_wide in zip(rings, wide, strict=True) if is_wide or not _is_sliver(ring)
    ]


def _are_wide(rings: Sequence[Points], area_mm2: float) -> list[bool]:
    """Which rings' areas are larger than that for certain; quick, and not of some that hardly are.

    A ring's corners' own products are exact to some 1e-16 of themselves.
    """
    wide: list[bool]
    if len(rings) < _FEW:
        wide = []
        for ring in rings:
            x, y = ring.T
            around = float(x[:-1].dot(y[1:]) - x[1:].dot(y[:-1]) + x[-1] * y[0] - x[0] * y[-1])
            least = 2.0 * area_mm2 + 1e-12 * float(x[0] * x[0] + y[0] * y[0])
            wide.append(abs(around) > least)
        return wide
    ends = np.fromiter(accumulate(map(len, rings)), dtype=np.int64, count=len(rings))
    x, y = np.concatenate(rings).T
    begins = np.concatenate((_FIRST, ends[:-1]))
    last, x0, y0 = ends - 1, x.take(begins), y.take(begins)
    doubled = x.copy()
    np.subtract(x[:-1] * y[1:], x[1:] * y[:-1], out=doubled[:-1])
    doubled[last] = x.take(last) * y0 - x0 * y.take(last)
    areas = np.abs(np.add.reduceat(doubled, begins))
    wide = (areas > 2.0 * area_mm2 + 1e-12 * (x0 * x0 + y0 * y0)).tolist()
    return wide


def _is_sliver(ring: Points) -> bool:
    """Is a ring no wider than rounding can turn over? Most of those asked about are tiny."""
    z, r = ring.T.tolist()
    across: float = max(z) - min(z) + max(r) - min(r)
    z, r = [x - z[0] for x in z], [x - r[0] for x in r]
    doubled: float = sum(a * d - b * c for a, b, c, d in zip(z, z[1:], r, r[1:], strict=False))
    return bool(abs(doubled) <= 2.0 * _SLIVER_MM * across)
