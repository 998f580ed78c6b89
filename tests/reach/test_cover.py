"""Oracle: the exact cover against trying every set; the slides against the rule as stated."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from turnability.half_plane.curves import Arc, Line, Spline
from turnability.part.model import Segment
from turnability.reach.cover import least_cover
from turnability.reach.slides import asks_for_cnc


@pytest.mark.parametrize("seed", range(60))
def test_no_set_weighs_less(seed: int) -> None:
    rng = random.Random(seed)
    segments = [f"S{i}" for i in range(rng.randint(1, 10))]
    offers = {
        f"T{i}": frozenset(s for s in segments if rng.random() < 0.4)
        for i in range(rng.randint(1, 9))
    }
    weights = {name: rng.choice([1.0, 1.5, 2.0, 3.0]) for name in offers}
    everything = frozenset().union(*offers.values())

    def weight(names: tuple[str, ...]) -> float:
        return sum(weights[name] + 1e-3 for name in names)

    covers = [
        names
        for n in range(len(offers) + 1)
        for names in combinations(offers, n)
        if frozenset().union(*(offers[name] for name in names)) == everything
    ]
    found = least_cover(offers, weights)
    assert frozenset().union(*(offers[name] for name in found)) == everything
    assert weight(tuple(found)) == pytest.approx(min(map(weight, covers)))


def test_a_large_case_still_covers() -> None:
    rng = random.Random(5)
    segments = [f"S{i}" for i in range(120)]
    offers = {f"T{i}": frozenset(rng.sample(segments, 36)) for i in range(40)}
    found = least_cover(offers, dict.fromkeys(offers, 1.0))
    assert frozenset().union(*(offers[n] for n in found)) == frozenset().union(*offers.values())
    assert len(found) < 12


def segment(curve: Line | Arc | Spline) -> Segment:
    return Segment("S1", curve, "outer", ())


def test_what_a_hand_moved_slide_cuts() -> None:
    assert not asks_for_cnc(segment(Line((0, 5), (10, 5))), 0.8)
    assert not asks_for_cnc(segment(Line((0, 5), (10, 8))), 0.8)
    fillet = Arc((0, 5.8), (0.8, 5), (0.8, 5.8), 0.8, False)
    assert not asks_for_cnc(segment(fillet), 0.8)
    assert asks_for_cnc(segment(fillet), 0.4)
    assert asks_for_cnc(segment(Spline(((0, 5), (1, 5.2), (2, 5.1)))), 0.8)
