"""Oracle: what random tools leave of random parts, counted in squares by `lattice.py`."""

from __future__ import annotations

import pytest
from lattice import Lattice
from lattice_cases import indices, profile_of, random_case, squares_region

from turnability.half_plane.regions import Region
from turnability.reach.removal import removed_by


def difference(seed: int) -> tuple[float, float, float]:
    """Area left by the oracle only, by the package only, and by the oracle, mm2."""
    part, squares, tools = random_case(seed)
    counted = squares_region(indices(Lattice(part).run(squares)))
    left = Region.of([ring / 2.0 for ring in counted.rings()])
    found = removed_by(profile_of(part), tools).stock
    return (left - found).area, (found - left).area, left.area


@pytest.mark.parametrize("block", range(4))
def test_agrees_with_squares_counted(block: int) -> None:
    some = 0
    for seed in range(1000 + 25 * block, 1025 + 25 * block):
        too_much, too_little, area = difference(seed)
        assert too_much < 1e-4, seed
        assert too_little < 1e-4, seed
        some += area > 0.0
    assert some >= 5  # not all parts are cut whole, or the comparison would be empty


def test_a_tool_in_pieces_whose_seam_ends_within_an_edge() -> None:
    too_much, too_little, area = difference(23590)
    assert (too_much < 1e-4, too_little < 1e-4, area) == (True, True, pytest.approx(1.0))
