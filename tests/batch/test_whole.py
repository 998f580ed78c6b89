"""Parts alike, cutting lists, sizes and cribs, against closed forms and plain enumeration."""

from __future__ import annotations

import math
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from turnability.batch.alike import near_twins, same
from turnability.batch.crib import smallest_crib, used_by
from turnability.batch.cutting import cutting_list, fewest_sizes
from turnability.batch.model import Judged
from turnability.half_plane.curves import Line
from turnability.part.model import Loop, Profile, Segment


def stepped(*steps: tuple[float, float], turned: bool = False) -> Profile:
    """A shaft of cylinders (diameter, length)."""
    steps = steps[::-1] if turned else steps
    z, corners = 0.0, [(0.0, 0.0)]
    for diameter, length in steps:
        corners += [(z, diameter / 2.0), (z + length, diameter / 2.0)]
        z += length
    corners = [*corners, (z, 0.0)][::-1]
    pieces = zip(corners, [*corners[1:], corners[0]], strict=True)
    segments = [Segment(f"S{i}", Line(a, b), "outer", (i,)) for i, (a, b) in enumerate(pieces)]
    largest = max(d for d, _ in steps)
    return Profile(z, largest, None, 0.0, None, None, (Loop("outline", tuple(segments)),))


SHAFT = ((20.0, 30.0), (30.0, 10.0), (12.0, 25.4))


def test_the_same_either_way_round_and_converted_from_inches() -> None:
    inch = [(d / 25.4 * 25.4 + 1e-7, long * (1.0 + 1e-9)) for d, long in SHAFT]
    parts = [
        ("a", stepped(*SHAFT)),
        ("b", stepped(*SHAFT, turned=True)),
        ("c", stepped(*inch)),
        ("d", stepped((20.0, 30.0), (30.0, 10.0), (12.0, 25.5))),
    ]
    assert same(parts) == (("a", "b", "c"),)


def test_near_twins_differ_in_one_size() -> None:
    parts = [
        ("a", stepped(*SHAFT)),
        ("longer", stepped((20.0, 30.0), (30.0, 10.0), (12.0, 40.0), turned=True)),
        ("thicker", stepped((20.0, 30.0), (32.0, 10.0), (12.0, 25.4))),
        ("both", stepped((20.0, 31.0), (34.0, 10.0), (12.0, 25.4))),
    ]
    found = {(t.one, t.other): (t.what, t.sizes_mm) for t in near_twins(parts)}
    assert set(found) == {("a", "longer"), ("a", "thicker")}
    what, sizes = found["a", "thicker"]
    assert what == "diameter"
    assert sizes == (30.0, 32.0)
    what, sizes = found["a", "longer"]
    assert what == "length"
    assert math.isclose(sizes[0], 25.4, abs_tol=1e-9)
    assert math.isclose(sizes[1], 40.0, abs_tol=1e-9)


def fewest_by_trying(lengths: list[float], bar: float) -> int:
    """All ways to put pieces into bars, one after the other."""
    best = len(lengths)

    def put(i: int, room: list[float]) -> None:
        nonlocal best
        if len(room) >= best:
            return
        if i == len(lengths):
            best = len(room)
            return
        for k, left in enumerate(room):
            if lengths[i] <= left:
                put(i + 1, [*room[:k], left - lengths[i], *room[k + 1 :]])
        put(i + 1, [*room, bar - lengths[i]])

    put(0, [])
    return best


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(5, 100).map(float), min_size=1, max_size=7))
def test_cutting_lists_are_the_best_there_are(lengths: list[float]) -> None:
    made = cutting_list(lengths, 100.0)
    assert sorted(i for bar in made.bars for i in bar) == list(range(len(lengths)))
    assert all(sum(lengths[i] for i in bar) <= 100.0 + 1e-6 for bar in made.bars)
    assert made.gap == 0
    assert len(made.bars) == fewest_by_trying(lengths, 100.0)


def test_where_longest_first_is_not_the_best() -> None:
    # by hand 44 + 32 + 24 and 34 + 33 + 33; longest first puts 44 + 34 together and needs three
    lengths = [44.0, 34.0, 33.0, 33.0, 32.0, 24.0]
    assert len(cutting_list(lengths, 100.0).bars) == 2


def test_large_lists_state_their_gap() -> None:
    lengths = [float(20 + 7 * i % 61) for i in range(400)]
    made = cutting_list(lengths, 100.0)
    assert made.at_least >= math.ceil(sum(lengths) / 100.0)
    assert 0 <= made.gap <= 0.05 * len(made.bars)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.sampled_from((10.0, 12.0, 16.0, 20.0, 25.0)), st.just(50.0)),
                min_size=1, max_size=8))  # fmt: skip
def test_fewest_sizes_by_trying_all(pieces: list[tuple[float, float]]) -> None:
    sizes = sorted({d for d, _ in pieces})
    made = fewest_sizes(pieces)
    assert [count for count, _, _ in made] == list(range(1, len(sizes) + 1))
    for count, _, extra in made:
        ways = [
            sum(
                math.pi / 4.0 * (min(s for s in kept if s >= d) ** 2 - d * d) * long
                for d, long in pieces
            )
            for kept in combinations(sizes, count)
            if kept[-1] == sizes[-1]
        ]
        assert math.isclose(extra, min(ways), abs_tol=1e-6)


def test_the_smallest_crib_and_who_uses_what() -> None:
    a = Judged(1, 1, "a", chosen_tools=("left", "right"), reached=(
        ("left", ("S1", "S2")), ("right", ("S2", "S3")), ("both", ("S1", "S2", "S3")),
    ))  # fmt: skip
    b = Judged(1, 1, "b", chosen_tools=("right",), reached=(("blade", ("S1",)), ("both", ("S2",))))
    parts = [("a", a), ("b", b)]
    assert smallest_crib(parts) == ("blade", "both")
    assert smallest_crib(parts[:1]) == ("both",)
    assert smallest_crib(parts[:1], {"both": 9.0}) == ("left", "right")
    assert used_by(parts) == {"left": ("a",), "right": ("a", "b")}
    assert smallest_crib([]) == ()
