"""Oracle: how far an end grooving blade sinks beside a wall that is curved otherwise.

Geometry. The blade's outer face is curved to ρ, its edge ends at a radius x = R - g beside a wall
of radius R. At a height y below the edge the face stands at x - (ρ - √(ρ² - y²)), so at the radius
r, r² = y² + (x - ρ + √(ρ² - y²))², and it stands back by y tan 7°. Where r > R the wall stops it
as soon as it has sunk by y tan 7°; where x < r < R it may sink by so much more than what was cut
at that radius before, at the gap R - r. Hence with P(g) how deep it sinks beside a gap g

    P(g) = min over 0 < y <= h of y tan 7° + P(R - r(g, y)),  P of no gap or less being 0.

Likewise inside: with the inner face curved to ρ beside a boss of radius B, at x = B + g.

On a grid of gaps no height may be asked about that reaches less far aside than the next gap: what
stands there is not cut in one step but in ever smaller ones, and P would grow no faster than by the
least y tan 7° a gap, however fine the grid. (That made a grid of pixels leave 55.7 mm² where 48.6
are left.)
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from turnability.part.profile import drawn_profile
from turnability.reach.removal import removed_by
from turnability.shop.load import tools_of

Span = tuple[float, float]
WIDTH, DEEP = 3.0, 4.0
RELIEF = math.tan(math.radians(7.0))


def by_hand(wall: float, room: float, first: Span, height: float, out: bool) -> float:
    """Area in mm2 that the blade leaves of a groove wider by `room` than it is."""
    rho = first[0] / 2.0 if out else first[1] / 2.0 - WIDTH
    gaps: NDArray[np.float64] = np.linspace(0.0, room, 1001)
    y = height * (np.arange(1, 3001) / 3000.0) ** (2.0 / 3.0)
    moved, found = rho - np.sqrt(rho**2 - y**2), np.zeros(len(gaps))
    for i, gap in enumerate(gaps[1:], 1):
        x = wall - gap if out else wall + gap
        met = np.hypot(y, x - moved)
        before = wall - met if out else met - wall
        asked = before <= gaps[i - 1]
        earlier = np.interp(np.maximum(before, 0.0), gaps[:i], found[:i])
        deep = y * RELIEF + np.where(before > 0.0, earlier, 0.0)
        found[i] = deep[asked].min(initial=DEEP)
    left = DEEP - found
    return float(((left[1:] + left[:-1]) / 2.0 * np.diff(gaps)).sum() + WIDTH * left[-1])


def told(wall: float, room: float, first: Span, height: float, out: bool) -> float:
    """The same as the program says."""
    a, b = (wall - WIDTH - room, wall) if out else (wall, wall + WIDTH + room)
    corners = [(0.0, 0.0), (20.0, 0.0), (20.0, a), (20.0 - DEEP, a), (20.0 - DEEP, b), (20.0, b)]
    part = drawn_profile([*corners, (20.0, 70.0), (0.0, 70.0)])
    table = {
        "kind": "end-grooving",
        "width_mm": WIDTH,
        "depth_mm": 18.0,
        "first_cut_mm": list(first),
        "height_mm": height,
        "corner_radius_mm": 0.0,
        "side_clearance_mm": 0.0,
        "shank_mm": WIDTH,
    }
    return removed_by(part, tools_of(table)).stock.area


CASES = [
    # wall, room beside the blade, range of first cuts, height, the wall is the outer one
    (25.0, 1.0, (60.0, 80.0), 10.0, True),
    (25.0, 4.0, (60.0, 80.0), 18.0, True),
    (15.0, 1.0, (60.0, 80.0), 8.0, True),
    (15.0, 6.0, (60.0, 80.0), 8.0, True),
    (20.0, 2.0, (60.0, 80.0), 12.0, True),
    (30.0, 1.0, (34.0, 40.0), 10.0, False),
    (30.0, 5.0, (34.0, 40.0), 10.0, False),
    (40.0, 3.0, (50.0, 56.0), 14.0, False),
]


@pytest.mark.parametrize(("wall", "room", "first", "height", "out"), CASES)
def test_it_sinks_as_far_as_its_curve_lets_it(
    wall: float, room: float, first: Span, height: float, out: bool
) -> None:
    """Told in slabs, on which it errs to either side: in these cases by no more than 1.3 %."""
    case = (wall, room, first, height, out)
    assert told(*case) == pytest.approx(by_hand(*case), rel=0.015)


def test_by_hand_where_the_wall_alone_decides() -> None:
    """Of a room less wide than the faces ever part, by one formula: sunk by y tan 7° at a gap g(y).

    g(y) = (R - √(R² - y²)) - (ρ - √(ρ² - y²)) where the wall's and the face's lower ends meet; the
    area left is that over g, and 3 mm more of what is left at the last.
    """
    wall, rho, height = 25.0, 30.0, 10.0
    y = np.linspace(0.0, 0.9 * height, 20001)
    gap = (wall - np.sqrt(wall**2 - y**2)) - (rho - np.sqrt(rho**2 - y**2))
    left = DEEP - y * RELIEF
    area = float(((left[1:] + left[:-1]) / 2.0 * np.diff(gap)).sum() + WIDTH * left[-1])
    case = (wall, float(gap[-1]), (60.0, 80.0), height, True)
    assert by_hand(*case) == pytest.approx(area, rel=0.01)
    assert told(*case) == pytest.approx(area, rel=0.015)
