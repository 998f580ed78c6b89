"""Law: the outline by which a region is shown holds all of it."""

from __future__ import annotations

import math

import pytest
import shapely
from drawn_tools import drill

from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.shop.load import starter_shop, tools_of


def test_skins_of_a_drilled_taper_are_shown_whole() -> None:
    """Drills of 6, 8 and 10 leave steps in a taper; whatever joins them, nothing goes unshown.

    The outline holds as much as the region: pieces hang together by lines of no width.
    """
    taper = drawn_profile(
        [(0, 6), (40, 2.5), (40, 0), (60, 0), (60, 10), (0, 10)],
    )
    left = reach_of(taper, [drill(d, point_deg=180.0) for d in (5.0, 6.0, 8.0, 10.0)]).left
    for one in left:
        assert shapely.Polygon(one.polygon).area == pytest.approx(one.area_mm2, rel=1e-3)
    low = min(z for one in left for z, _ in one.polygon)
    high = max(z for one in left for z, _ in one.polygon)
    assert low == pytest.approx(0.0, abs=0.02)  # 10 mm leaves a skin from the very mouth on
    assert high >= 40.0 - 0.02
    for one in left:
        assert min(r for _, r in one.polygon) >= 0.0
        assert math.isfinite(one.deepest_mm)


def test_a_nose_fillet_is_drawn_as_large_as_it_is() -> None:
    """A nose of radius r leaves (1 - pi/4) r^2 in a square corner (closed form)."""
    shoulder = drawn_profile([(0, 0), (20, 0), (20, 6), (10, 6), (10, 12), (0, 12)])
    (turning,) = tools_of({"kind": "turning", "holder": "PCLNR 2020K12", "insert": "CNMG 120408"})
    corner = next(one for one in reach_of(shoulder, [turning]).left if one.area_mm2 < 1.0)
    closed = (1.0 - math.pi / 4.0) * 0.8**2
    assert corner.area_mm2 == pytest.approx(closed, rel=1e-6)
    assert shapely.Polygon(corner.polygon).area == pytest.approx(closed, rel=1e-3)


def test_a_tool_that_only_scratches_ends_in_an_answer() -> None:
    """What such slivers of outlines remove has no width: distances are from the outside then."""
    (scratch,) = tools_of(
        {
            "kind": "outline",
            "name": "o",
            "access": "end",
            "on_axis": True,
            "cutting": [
                [[-1.0, 6.0], [-1.0000001, 0.0], [0.0, 100.0]],
                [[0.001, 60.0], [0.5, -1.0], [1e-07, 1e-12]],
            ],
            "body": [[[-1.0, 3.0], [1e-09, 0.001], [100.0, 0.0]]],
        }
    )
    housing = drawn_profile(
        [(0, 25), (110, 25), (110, 50), (70, 50), (70, 76), (60, 76), (60, 50), (0, 50)]
    )
    left = reach_of(housing, [scratch]).left
    assert left
    assert all(0.0 < one.deepest_mm < 200.0 for one in left)


def test_two_bores_of_no_drills_size_are_left_apart_either_way_round() -> None:
    """2.4 and 2.9 of drills 2 and 2.5: skins that meet in the step are told each for itself."""
    drills = [drill(d, point_deg=180.0) for d in (2.0, 2.5)]
    steps = [(0.0, 1.2), (18.0, 1.2), (18.0, 1.45), (40.0, 1.45), (40.0, 13.0), (0.0, 13.0)]
    skins = []
    for mirrored in (False, True):
        points = [(40.0 - z, r) for z, r in steps] if mirrored else steps
        left = reach_of(drawn_profile(points), drills).left
        inner = [one for one in left if max(r for _, r in one.polygon) < 2.0]
        skins.append(sorted(round(one.area_mm2, 4) for one in inner))
    # (1.2 - 1) mm by 18 mm; (1.45 - 1.25) mm by 22 mm
    assert skins[0] == skins[1] == pytest.approx([3.6, 4.4], abs=0.02)


def test_what_is_asked_first_leaves_no_sliver_to_those_who_come_after() -> None:
    """A bush chamfered all round: every tool of the drawer turns its outer edges.

    A bar that faces them in passing leaves slivers under 0.01 mm, which are no room to ask for.
    """
    half = [(0, 10.5), (0.5, 10), (24.5, 10), (25, 10.5), (25, 13.5), (24.5, 14), (0.5, 14)]
    assert reach_of(drawn_profile([*half, (0, 13.5)]), starter_shop().tools).left == ()


def test_what_a_nose_leaves_at_a_cones_foot_does_not_run_up_the_cone() -> None:
    """A hub's cone of 37 mm against its disc: the fillet of the smallest nose, and that alone.

    A nose of radius r in a corner of two walls at the angle a touches them r / tan(a/2) from it:
    here 0.1 mm and 99.2°, so 0.085 mm; no skin is shown along the cone, nor its other end named.
    """
    half = [(0, 10), (0, 30), (8, 30), (8, 22), (45, 16), (50, 16), (50, 10)]
    (left,) = reach_of(drawn_profile(half[::-1]), starter_shop().tools).left
    assert left.causes == ("nose-radius",)
    touch = 0.1 / math.tan(math.radians(99.211) / 2.0)
    assert max(z for z, _ in left.polygon) == pytest.approx(
        8.0 + touch * math.cos(math.radians(9.211)), abs=0.002
    )
    assert max(r for _, r in left.polygon) == pytest.approx(22.0 + touch, abs=0.002)
