"""Growing and shrinking beside rings of no width."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest

from turnability.half_plane.regions import Region, box_ring, ring_measure, without_hairs

SPIKES = (
    # outermost, and of no width: rounding turns either sense over
    [[9.933873772621155, 30.017504192888737], [9.952914796769619, 29.997085191309452],
     [9.952914893627167, 29.997085094451904]],
    [[12.971003644168377, 37.25928944604231], [12.971003577113152, 37.2592893615365],
     [12.94736398756504, 37.22968498617411]],
)  # fmt: skip


@pytest.mark.parametrize("beside", [0, 6])
@pytest.mark.parametrize("spike", SPIKES)
@pytest.mark.parametrize("join", ["round", "mitre"])
def test_a_ring_of_no_width_turns_nothing_over(
    spike: list[list[float]], join: Literal["round", "mitre"], beside: int
) -> None:
    squares = [box_ring(1.0 + k, 0.0, 1.5 + k, 0.5) for k in range(beside)]
    region = Region.of([box_ring(1.0, 2.0, 6.0, 29.0), np.array(spike), *squares])
    shrunk = region.grown(-0.005, join).area
    assert shrunk == pytest.approx(4.99 * 26.99 + beside * 0.49**2, abs=1e-6)
    grown = region.grown(0.005, join).area
    assert grown == pytest.approx(5.01 * 27.01 + beside * 0.51**2, abs=3e-4 * (1 + beside))
    assert len(region.without_slivers().rings()) == 1 + beside


def test_a_hole_grows_as_its_region_shrinks() -> None:
    hole = box_ring(2.0, 3.0, 3.0, 4.0)[::-1]
    region = Region.of([box_ring(1.0, 2.0, 6.0, 29.0), hole])
    assert region.grown(-0.1, "mitre").area == pytest.approx(4.8 * 26.8 - 1.2 * 1.2, abs=1e-6)


def test_hairs_and_cracks_are_left_out() -> None:
    """A spur whose tip stands twice, a nanometre's hundredth apart, and a crack of one tip."""
    square = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]
    spur = [[4.0, 2.0], [4.3, 2.0], [4.3, 2.00000001], [4.0, 2.00000001]]
    crack = [[2.0, 4.0], [2.0, 3.0], [2.0, 4.00000001]]
    ring = np.array([*square[:2], *spur, square[2], *crack, square[3]])
    kept = without_hairs(ring)
    assert kept[:, 0].max() == 4.0
    assert ring_measure(kept) == pytest.approx(16.0, abs=1e-7)
    assert not ((kept[:, 1] < 3.5) & (kept[:, 1] > 2.5)).any()
    assert len(without_hairs(np.array(square))) == 4
    assert len(without_hairs(np.array([[0.0, 0.0], [1.0, 0.0], [0.5, 0.0]]))) == 0
