"""Where a piece that comes along z first touches: borne out by areas of overlap from shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from turnability.half_plane.contact import Fronts, first_contacts, run_along
from turnability.half_plane.curves import Points
from turnability.half_plane.rings import box_ring, following, ring_measure
from turnability.half_plane.sums import Convex, convex_of, cycles

seeds = st.integers(0, 10**6)
quick = settings(max_examples=60, deadline=None, derandomize=True)


def hull(rng: np.random.Generator, size: float) -> Points:
    ring = shapely.MultiPoint(rng.uniform(-size, size, (int(rng.integers(3, 9)), 2))).convex_hull
    return np.asarray(ring.exterior.coords)[:-1]


def star(rng: np.random.Generator, size: float) -> Points:
    angle = np.sort(rng.uniform(0, 2 * math.pi, 11))
    far = rng.uniform(0.3 * size, size, 11)
    return np.column_stack((far * np.cos(angle), far * np.sin(angle)))


def stop_of(obstacle: Points, pieces: list[Convex], from_high: bool) -> list[float]:
    fronts = Fronts.joined([Fronts.of([piece], from_high) for piece in pieces])
    found: list[float] = first_contacts(obstacle, following(obstacle), fronts, from_high).tolist()
    return found


@quick
@given(seeds, st.booleans())
def test_a_piece_stops_where_it_touches(seed: int, from_high: bool) -> None:
    rng = np.random.default_rng(seed)
    obstacle, outlines = star(rng, 5.0), [hull(rng, 2.0) + np.array([0.0, 1.5]), hull(rng, 1.0)]
    body = shapely.Polygon(obstacle)
    if not body.is_valid or min(shapely.Polygon(o).area for o in outlines) < 0.1:
        return
    stops = stop_of(obstacle, [convex_of(outline) for outline in outlines], from_high)
    away = 1.0 if from_high else -1.0
    for outline, stop in zip(outlines, stops, strict=True):
        if not math.isfinite(stop):  # it passes above or below
            low, high = outline[:, 1].min(), outline[:, 1].max()
            assert high <= obstacle[:, 1].min() + 1e-5 or low >= obstacle[:, 1].max() - 1e-5
            continue
        for outward in (1e-4, 0.3, 1.0, 4.0, 9.0):
            at = shapely.affinity.translate(shapely.Polygon(outline), stop + away * outward, 0.0)
            assert at.intersection(body).area < 1e-7
        within = shapely.affinity.translate(shapely.Polygon(outline), stop - away * 1e-2, 0.0)
        assert within.intersection(body).area > 0.0


def test_what_it_slides_along_does_not_stop_it() -> None:
    piece = convex_of(box_ring(0, -3, 20, 3))
    bore, narrower = box_ring(-10, 3, 0, 9), box_ring(-10, 2.99, 0, 9)
    assert stop_of(bore, [piece], True) == [-math.inf]
    assert stop_of(bore, [piece], False) == [math.inf]
    assert stop_of(narrower, [piece], True) == pytest.approx([0.0])
    assert stop_of(narrower, [piece], False) == pytest.approx([-30.0])


@quick
@given(seeds)
def test_what_it_covers_on_its_way(seed: int) -> None:
    rng = np.random.default_rng(seed)
    outline = hull(rng, 2.0)
    if shapely.Polygon(outline).area < 0.1:
        return
    ring = run_along(convex_of(outline), 3.0, 8.0)
    moved = [shapely.affinity.translate(shapely.Polygon(outline), z, 0.0) for z in (3.0, 8.0)]
    want = shapely.union_all(moved).convex_hull
    assert shapely.Polygon(ring).symmetric_difference(want).area < 1e-9
    assert ring_measure(ring) > 0.0


@quick
@given(seeds)
def test_sums_of_many_are_the_sums_of_each(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rings = [star(rng, 4.0) for _ in range(3)]
    pieces = [convex_of(hull(rng, 1.0)) for _ in range(2)]
    together = cycles(rings, pieces)
    each = [cycles([ring], [piece])[0] for piece in pieces for ring in rings]
    assert len(together) == len(each)
    for one, other in zip(together, each, strict=True):
        assert np.allclose(one, other, atol=1e-12)
