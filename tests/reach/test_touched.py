"""Which segments a tool touches over their whole length, by hand and by the law of mirrors."""

from __future__ import annotations

import numpy as np
import pytest

from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.half_plane.sharing import shared_lengths
from turnability.part.model import Profile
from turnability.part.profile import make_profile
from turnability.reach.compute import reach_of
from turnability.shop.load import tools_of


def shoulder(fillet_mm: float, mirrored: bool) -> Profile:
    """A pin of radius 3 up to z = 40 on a head of radius 12, rounded where they meet."""
    z, r = 48.0, fillet_mm
    corners: list[Point] = [(0, 0), (90, 0), (90, 3), (z + r, 3), (z, 3 + r), (z, 12), (0, 12)]
    ring: list[Curve] = []
    for k, start in enumerate(corners):
        end = corners[(k + 1) % len(corners)]
        rounded = start == (z + r, 3)
        ring.append(Arc(start, end, (z + r, 3 + r), r, True) if rounded else Line(start, end))
    if mirrored:
        ring = [_mirrored(curve) for curve in ring[::-1]]
    return make_profile([[(curve, ()) for curve in ring]])


def _mirrored(curve: Curve) -> Curve:
    start, end = (90.0 - curve.end[0], curve.end[1]), (90.0 - curve.start[0], curve.start[1])
    if isinstance(curve, Arc):
        return Arc(start, end, (90.0 - curve.centre[0], curve.centre[1]), curve.radius, True)
    return Line(start, end)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(
    ("fillet_mm", "wall", "fillet"),
    [
        (0.7, False, False),  # the nose of 0.8 meets the floor before the wall's end
        (0.76, True, False),  # 1 µm stays at the end of the wall, 17 in the fillet
        (0.9, True, True),
        (1.2552, True, True),
        (3.0, True, True),
    ],
)
def test_a_nose_touches_a_wall_down_to_its_fillet_if_that_is_larger(
    mirrored, fillet_mm, wall, fillet
):
    (turning,) = tools_of({"kind": "turning", "holder": "PCLNR 2020K12", "insert": "CNMG 120408"})
    profile = shoulder(fillet_mm, mirrored)
    touched = {s for tool in reach_of(profile, [turning]).tools for s in tool.reached_segments}
    by_kind = {
        "fillet" if isinstance(s.curve, Arc) else "wall": s.id
        for s in profile.segments
        if isinstance(s.curve, Arc) or (s.surface == "end" and s.curve.start[0] in (42.0, 48.0))
    }
    assert (by_kind["wall"] in touched) is wall
    assert (by_kind["fillet"] in touched) is fillet


@pytest.mark.parametrize(
    ("first", "along_mm"),
    [
        ([((0.0, 0.0), (4.0, 0.0))], 4.0),
        ([((0.0, 0.0), (4.0, 0.0)), ((6.0, 0.001), (2.0, 0.001))], 6.0),  # 2 to 4 counts once
        ([((-5.0, 0.0), (3.0, 0.0)), ((9.0, 0.0), (15.0, 0.0))], 4.0),
        ([((0.0, 0.0), (4.0, 0.004))], 2.0),  # half of it lies within 0.002
        ([((0.0, -0.002), (4.0, 0.002))], 4.0),
        ([((0.0, 0.1), (4.0, 0.1))], 0.0),
    ],
)
def test_what_runs_along_an_edge_of_ten_mm(first, along_mm):
    starts, ends = (np.array(side) for side in zip(*first, strict=True))
    edge = np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]])
    assert shared_lengths(starts, ends, *edge, 0.002) == pytest.approx([along_mm], abs=1e-9)
