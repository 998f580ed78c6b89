"""Oracle: sums and regions against `shapely`, a general-purpose library."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from turnability.half_plane.curves import Points
from turnability.half_plane.places import Obstacle
from turnability.half_plane.regions import Region, both_sides, inside, spans_at, whole_rings
from turnability.half_plane.rings import box_ring
from turnability.half_plane.sums import (
    convex_of,
    convex_pieces,
    cycles,
    is_convex,
    minkowski,
    without_tips,
)

seeds = st.integers(0, 10**6)
quick = settings(max_examples=60, deadline=None, derandomize=True)


def star(rng: np.random.Generator, corners: int, size: float) -> Points:
    """A random ring round its middle: concave, anticlockwise, simple."""
    angle = np.sort(rng.uniform(0, 2 * math.pi, corners))
    far = rng.uniform(0.25 * size, size, corners)
    return np.column_stack((far * np.cos(angle), far * np.sin(angle)))


def hull(rng: np.random.Generator, size: float) -> Points:
    ring = shapely.MultiPoint(rng.uniform(-size, size, (int(rng.integers(3, 14)), 2))).convex_hull
    return np.asarray(ring.exterior.coords)[:-1]


def as_shape(region: Region) -> shapely.Geometry:
    shape = shapely.Polygon()
    for ring in region.rings():
        shape = shape.symmetric_difference(shapely.Polygon(ring).buffer(0))
    return shape


def swept(ring: Points, piece: Points) -> shapely.Geometry:
    """The sum by hulls: of every edge with the piece, and the ring itself moved."""
    closed = np.vstack((ring, ring[:1]))
    parts = [
        shapely.MultiPoint(np.vstack((a + piece, b + piece))).convex_hull
        for a, b in pairwise(closed)
    ]
    moved = shapely.affinity.translate(shapely.Polygon(ring).buffer(0), *piece[0])
    return shapely.union_all([*parts, moved])


def simple(ring: Points) -> bool:
    return bool(shapely.Polygon(ring).is_valid) and shapely.Polygon(ring).area > 1e-3


@quick
@given(seeds)
def test_a_sum_with_a_convex_piece(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ring, piece = star(rng, int(rng.integers(4, 40)), 10.0), hull(rng, 2.0)
    if not simple(ring):
        return
    want = swept(ring, piece)
    found = as_shape(Region.of(cycles([ring], [convex_of(piece)])))
    # the sum may have holes that the union of hulls has too: star-shaped rings with a bay
    assert found.symmetric_difference(want).area < 1e-5


@pytest.mark.parametrize("tilt_deg", [0.0, 30.0, 90.0, 200.0])
@pytest.mark.parametrize("first", range(7))
def test_a_piece_with_straight_corners_begun_anywhere(first: int, tilt_deg: float) -> None:
    piece = np.array([[0, 0], [0.4, 0], [1, 0], [1, 2], [0, 2], [0, 1.5], [0, 0.7]], dtype=float)
    a = np.radians(tilt_deg)
    piece = np.roll(piece, -first, axis=0) @ np.array(
        [[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]]
    )
    ring = np.array([[0, 0], [9, 0], [9, 5], [6, 5], [6, 2], [3, 2], [3, 5], [0, 5]], dtype=float)
    for moved in (convex_of(piece), convex_of(piece).negated()):
        found = as_shape(Region.of(cycles([ring], [moved])))
        assert found.symmetric_difference(swept(ring, moved.corners)).area < 1e-5


@pytest.mark.parametrize("first", range(6))
def test_a_corner_that_stands_twice_or_thrice_is_one(first: int) -> None:
    """None of them turns by itself, and one must stay."""
    square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [1.0, 1.0], [1.0, 1.0], [0.0, 1.0]]
    corners = convex_of(np.roll(np.array(square), first, axis=0)).corners
    assert sorted(map(tuple, corners.tolist())) == [(0, 0), (0, 1), (1, 0), (1, 1)]


def test_what_goes_round_twice_is_not_convex() -> None:
    """A pentagram turns left at each of its corners."""
    angle = np.arange(5) * 2.0 * math.tau / 5.0
    assert not is_convex(np.column_stack((np.cos(angle), np.sin(angle))))


@quick
@given(seeds)
def test_a_sum_with_a_concave_outline(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ring, outline = star(rng, 12, 10.0), star(rng, int(rng.integers(4, 12)), 3.0)
    if not simple(ring) or not simple(outline):
        return
    found = as_shape(minkowski(Region.of([ring]), convex_pieces(outline)))
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(outline)))
    corners = [np.asarray(t.exterior.coords)[:-1] for t in triangles]
    want = shapely.union_all([swept(ring, piece) for piece in corners])
    assert found.symmetric_difference(want).area < 1e-5


@quick
@given(seeds)
def test_convex_pieces_make_up_the_outline(seed: int) -> None:
    ring = star(np.random.default_rng(seed), 14, 5.0)
    if not simple(ring):
        return
    pieces = convex_pieces(ring)
    assert all(is_convex(piece.corners) for piece in pieces)
    assert sum(shapely.Polygon(p.corners).area for p in pieces) == pytest.approx(
        shapely.Polygon(ring).area, rel=1e-6
    )
    joined = shapely.union_all([shapely.Polygon(p.corners) for p in pieces])
    assert joined.symmetric_difference(shapely.Polygon(ring)).area < 1e-6


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_ring_that_is_one_point_has_no_cycle(place: int) -> None:
    square = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    pieces = [convex_of(square), convex_of(square[:3])]
    rings = [square, square + 9.0]
    wanted = cycles(rings, pieces)
    assert [len(one) for one in wanted] == [8, 8, 7, 7]
    found = cycles([*rings[:place], np.full((2, 2), 30.0), *rings[place:]], pieces)
    assert len(found) == len(wanted)
    assert all(np.array_equal(one, other) for one, other in zip(found, wanted, strict=True))


def test_a_hole_smaller_than_the_piece_is_covered() -> None:
    region = Region.of([box_ring(0, 0, 10, 10), box_ring(4, 4, 5, 5)[::-1]])
    piece = convex_of(box_ring(-2, -2, 2, 2))
    assert minkowski(region, [piece]).area == pytest.approx(14.0 * 14.0)
    assert all(len(ring) > 3 for ring in whole_rings(region))
    assert sum(shapely.Polygon(r).area for r in whole_rings(region)) == pytest.approx(99.0)


def test_a_hole_larger_than_the_piece_shrinks() -> None:
    region = Region.of([box_ring(0, 0, 10, 10), box_ring(3, 3, 7, 7)[::-1]])
    piece = convex_of(box_ring(-0.5, -1, 0.5, 1))
    assert minkowski(region, [piece]).area == pytest.approx(11.0 * 12.0 - 3.0 * 2.0)


@quick
@given(seeds)
def test_regions_as_shapely_has_them(seed: int) -> None:
    rng = np.random.default_rng(seed)
    one, other = star(rng, 9, 5.0), star(rng, 9, 5.0) + rng.uniform(-2, 2, 2)
    if not simple(one) or not simple(other):
        return
    a, b = Region.of([one]), Region.of([other])
    p, q = shapely.Polygon(one), shapely.Polygon(other)
    assert (a | b).area == pytest.approx(p.union(q).area, abs=1e-6)
    assert (a & b).area == pytest.approx(p.intersection(q).area, abs=1e-6)
    assert (a - b).area == pytest.approx(p.difference(q).area, abs=1e-6)
    assert a.grown(0.3, segments=512).area == pytest.approx(p.buffer(0.3, 256).area, rel=1e-4)
    points = rng.uniform(-6, 6, (50, 2))
    far = np.abs(shapely.distance(shapely.points(points), p.exterior)) > 1e-6
    contained = shapely.contains_xy(p, points[:, 0], points[:, 1])
    assert (inside(a, points) == contained)[far].all()
    r = float(rng.uniform(-3, 3))
    line = p.intersection(shapely.LineString([(-9, r), (9, r)]))
    assert sum(hi - lo for lo, hi in spans_at(a, r)) == pytest.approx(line.length, abs=1e-6)


def test_both_sides_join_on_the_axis() -> None:
    half = Region.of([np.array([[0, 0], [4, 1e-8], [4, 2], [0, 2]])])
    (ring,) = both_sides(half).rings()
    assert len(ring) == 4 or abs(both_sides(half).area - 16.0) < 1e-6


def test_a_crack_of_no_width_is_no_place() -> None:
    """As the clipper leaves them: out and back on one line, into a wall that is only touched."""
    square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]])
    cracked = np.concatenate((square[:1], [[2.0, 0.0], [2.01, -0.006], [2.0, 1e-9]], square[1:]))
    piece = convex_of(square / 4.0)
    covered = Region.of(cycles([cracked], [piece]))
    assert covered.bounds == pytest.approx((0.0, 0.0, 5.0, 5.0), abs=2e-8)
    assert covered.area == pytest.approx(25.0, abs=1e-7)


@given(st.integers(12, 90), st.floats(0.2, 2.0))
@quick
def test_a_nose_goes_round_a_corner_and_leaves_it_sharp(chords: int, radius: float) -> None:
    """Opening by a disc leaves a convex corner of what is cut as it was (closed form)."""
    angle = np.arange(chords) * math.tau / chords
    nose = convex_of(radius * np.column_stack((np.cos(angle), np.sin(angle))))
    part = box_ring(-9.0, -9.0, 0.0, 0.0)
    places = Region.of([box_ring(-9.0, -9.0, 9.0, 9.0)]) - minkowski(
        Region.of([part]), [nose.negated()]
    )
    cut = minkowski(places, [nose])
    corner = box_ring(-0.5, -0.5, 0.5, 0.5)
    beside = cut & Region.of([corner])
    assert beside.area == pytest.approx(0.75, abs=1e-7)
    assert beside.corners == 6  # an L: nothing is left of all the chords that went round


@pytest.mark.parametrize(
    ("cycle", "left"),
    [
        ("ABTBCD", "ABBCD"),
        ("ABTBUBCD", "ABBBCD"),
        # over one edge, there and back and there, or left where it came
        ("ABTBTCD", "ABTCD"),
        ("ABTBTBCD", "ABBCD"),
        ("ABCD", "ABCD"),
    ],
)
def test_a_cycle_goes_to_no_tip_and_back(cycle: str, left: str) -> None:
    """What lies 0.1 nm aside, which is the clipper's rounding ten times over, is no way back."""
    places = {"A": (0, 0), "B": (4, 0), "C": (4, 3), "D": (0, 3), "T": (5, 1), "U": (6, 0)}
    # where one cycle ends and the next begins there is no way back
    row = np.array([places[c] for c in cycle + "CTCB" + cycle], dtype=float)
    found, ends = without_tips(row, [len(cycle), len(cycle) + 4, len(row)])
    assert found.tolist() == [list(places[c]) for c in left + "CCB" + left]
    assert ends == [len(left), len(left) + 3, 2 * len(left) + 3]
    alone, end = without_tips(row[: len(cycle)], [len(cycle)])
    assert alone.tolist() == [list(places[c]) for c in left]
    assert end == [len(left)]
    for aside in ([1e-7, 0.0], [0.0, 1e-7]):
        wedge = np.array([[0.0, 0.0], [4.0, 0.0], [9.0, 1.0], [4.0, 0.0], [0.0, 3.0]])
        wedge[3] += aside
        assert len(without_tips(wedge, [5])[0]) == 5


@given(seeds)
@quick
def test_an_obstacle_on_both_sides_is_the_region_and_its_image(seed: int) -> None:
    """Off the axis both are told apart; what comes down to it is joined there."""
    rng = np.random.default_rng(seed)
    low = float(rng.choice([0.0, 0.5]))
    half = Region.of([star(rng, 9, 2.0)]) & Region.of([box_ring(-3.0, -1.0, 3.0, 3.0)])
    raised = Region.of([ring + np.array([0.0, low - half.bounds[1]]) for ring in half.rings()])
    obstacle = Obstacle.on_both_sides(raised)
    piece = convex_of(hull(rng, 0.3))
    for shaved in (False, True):
        moved = Region.of(cycles(obstacle.traced(shaved), [piece]))
        whole = Obstacle(both_sides(raised))
        other = Region.of(cycles(whole.traced(shaved), [piece]))
        assert (moved - other).area + (other - moved).area < 1e-6
    assert obstacle.region.area == pytest.approx(2.0 * raised.area, abs=1e-6)


def test_a_narrow_wedge_is_a_place_up_to_its_tip() -> None:
    """A tenth of a degree is a way that tools go."""
    tip = 4.0 + 0.01 / math.tan(math.radians(0.1))
    wedge = np.array([[0.0, 0.0], [4.0, 0.0], [tip, 0.01], [4.0, 0.02], [0.0, 4.0]])
    piece = convex_of(np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]))
    assert Region.of(cycles([wedge], [piece])).bounds[2] == pytest.approx(tip + 1.0, abs=1e-7)
