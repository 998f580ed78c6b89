"""Law: the outline by which a region is shown holds all of it."""

from __future__ import annotations

import math

import pytest
import shapely
from drawn_tools import drill

from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of


def test_skins_of_a_drilled_taper_are_shown_whole() -> None:
    """Drills of 6, 8 and 10 leave steps in a taper; whatever joins them, nothing goes unshown.

    The outline holds as much as the region, but for the line by which pieces are joined.
    """
    taper = drawn_profile(
        [(0, 6), (40, 2.5), (40, 0), (60, 0), (60, 10), (0, 10)],
    )
    left = reach_of(taper, [drill(d, point_deg=180.0) for d in (5.0, 6.0, 8.0, 10.0)]).left
    shown = sum(shapely.Polygon(one.polygon).buffer(0).area for one in left)
    assert shown == pytest.approx(sum(one.area_mm2 for one in left), rel=0.15)
    low = min(z for one in left for z, _ in one.polygon)
    high = max(z for one in left for z, _ in one.polygon)
    assert low == pytest.approx(0.0, abs=0.02)  # 10 mm leaves a skin from the very mouth on
    assert high >= 40.0 - 0.02
    for one in left:
        assert min(r for _, r in one.polygon) >= 0.0
        assert math.isfinite(one.deepest_mm)
