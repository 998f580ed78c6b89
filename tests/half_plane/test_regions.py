"""Growing and shrinking beside rings of no width."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest

from turnability.half_plane.regions import Region
from turnability.half_plane.rings import box_ring, ring_measure, without_hairs

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


WITH_HOLE_AT_ITS_EDGE = (
    [[20.533007510006428, -2.2351741790771484e-08], [20.65588927268982, 0.22632694244384766],
     [20.53300751745701, 2.554421752691269], [20.53300751745701, 2.627837173640728],
     [12.014819651842117, 2.627837173640728], [10.43811733275652, -2.9802322387695312e-08]],
    [[20.53300751745701, 2.5544217377901077], [20.65588926523924, 0.22632697224617004],
     [20.60081536322832, 0.12489035725593567], [20.53300751745701, 1.409565232694149]],
)  # fmt: skip
"""What two cuts left of stock (found by random parts): the hole's wall is 1e-8 mm thin."""


def test_a_hole_at_the_outermost_corner_turns_nothing_over() -> None:
    region = Region.of([np.array(ring) for ring in WITH_HOLE_AT_ITS_EDGE])
    around = sum(
        float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum()) for ring in region.rings()
    )
    for by in (-1e-3, 1e-3):
        # as far as corners and the thin wall let a parallel curve be told by its length
        assert region.grown(by, "mitre").area == pytest.approx(region.area + by * around, abs=2e-2)
    shrunk = region.grown(-1e-3, "mitre")
    assert shrunk.bounds[0] > 10.0  # and nothing else stands there


def comb(tooth_mm: float) -> Region:
    """A square of 10 mm with a tooth of 5 mm that is so thick."""
    side = 5.0 + tooth_mm
    return Region.of([np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [15.0, 5.0], [15.0, side],
                                [10.0, side], [10.0, 10.0], [0.0, 10.0]])])  # fmt: skip


def test_threads_are_left_out_and_all_else_stays_as_it_is() -> None:
    kept = comb(4e-7).without_threads()
    assert kept.bounds[2] == pytest.approx(10.0, abs=1e-4)
    assert kept.area == pytest.approx(100.0, abs=1e-6)
    # 1 µm to either side of what touches exactly is a way
    way = comb(2e-3)
    assert way.without_threads() is way


def test_a_dart_that_turns_right_back_is_a_thread() -> None:
    ring = [[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [15.0, 5.0], [10.0, 5.000001], [10.0, 10.0],
            [0.0, 10.0]]  # fmt: skip
    assert Region.of([np.array(ring)]).without_threads().bounds[2] < 10.001
