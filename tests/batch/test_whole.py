"""Parts alike, cutting lists, sizes and cribs, against closed forms and plain enumeration."""

from __future__ import annotations

import math
import random
from collections.abc import Collection, Iterable
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnability.batch import crib, judge
from turnability.batch.alike import Alike
from turnability.batch.crib import Asked, Crib, Tools
from turnability.batch.cutting import cutting_list, fewest_sizes
from turnability.batch.model import Judged, Saving
from turnability.batch.site.whole_page import whole_page
from turnability.batch.whole import Named, whole_of
from turnability.half_plane.curves import Line
from turnability.part.model import Loop, Profile, Segment
from turnability.reach.compute import reach_of
from turnability.reach.model import Left, Needed
from turnability.shop.load import starter_shop
from turnability.shop.model import Shop
from turnability.stock.model import StockPiece


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


def alike(parts: Iterable[tuple[str, Profile]]) -> Alike:
    made = Alike()
    for name, profile in parts:
        made.add(name, profile)
    return made


SHAFT = ((20.0, 30.0), (30.0, 10.0), (12.0, 25.4))


def test_the_same_either_way_round_and_converted_from_inches() -> None:
    inch = [(d / 25.4 * 25.4 + 1e-7, long * (1.0 + 1e-9)) for d, long in SHAFT]
    parts = [
        ("a", stepped(*SHAFT)),
        ("b", stepped(*SHAFT, turned=True)),
        ("c", stepped(*inch)),
        ("d", stepped((20.0, 30.0), (30.0, 10.0), (12.0, 25.5))),
    ]
    assert alike(parts).same() == (("a", "b", "c"),)


def test_near_twins_differ_in_one_size() -> None:
    parts = [
        ("a", stepped(*SHAFT)),
        ("longer", stepped((20.0, 30.0), (30.0, 10.0), (12.0, 40.0), turned=True)),
        ("thicker", stepped((20.0, 30.0), (32.0, 10.0), (12.0, 25.4))),
        ("longest", stepped((20.0, 30.0), (30.0, 10.0), (12.0, 55.0))),
        ("both", stepped((20.0, 31.0), (34.0, 10.0), (12.0, 25.4))),
        ("two thicker", stepped((22.0, 30.0), (36.0, 10.0), (12.0, 25.4))),
    ]
    found = {t.parts: (t.what, t.sizes_mm) for t in alike(parts).near_twins()}
    assert set(found) == {("a", "longer", "longest"), ("a", "thicker")}
    what, sizes = found["a", "thicker"]
    assert what == "diameter"
    assert sizes == (30.0, 32.0)
    what, sizes = found["a", "longer", "longest"]
    assert what == "length"
    assert sizes == pytest.approx((25.4, 40.0, 55.0), abs=1e-9)


PIECE = StockPiece("bar", "round 25", 25.0, None, 60.0, None, "", bar_length_mm=130.0)


def test_what_parts_share_is_put_together() -> None:
    """By hand: a and c in one chucking from one bar; the dearest first; savings by their mean."""

    def part(name: str, **told: Any) -> Named:
        return Named(name, ord(name), Judged(1, 1, name, **told))

    dear = Saving("N1", "shorten it", 9.0, removes_error=True)
    little = Saving("N2", "open it", 1.0, removes_error=False)
    costs = Saving("N3", "thicken it", -2.0, removes_error=False)
    parts = [
        part("a", one_chucking=True, stock=PIECE, minutes=12.0, savings=(little,)),
        part("b", one_chucking=False, stock=PIECE, minutes=40.0, savings=(dear, little)),
        part("c", one_chucking=True, stock=PIECE, minutes=12.0, savings=(costs,)),
        part("d", one_chucking=True, stock=replace(PIECE, name="round 30", across_mm=30.0)),
    ]
    asked_of: list[tuple[str, int, int]] = []

    def make_prove(places: Any) -> Any:
        asked_of.extend(places)
        return lambda open_, some: {}

    whole = whole_of(parts, Shop("drawn", "0" * 64, False, ()), make_prove)
    assert whole.families == (("round 25", ("a", "c")),)
    assert whole.effort == (("b", 40.0), ("a", 12.0), ("c", 12.0))
    assert [(one.title, one.minutes) for one in whole.spared] == [("b", 5.0), ("a", 1.0)]
    assert asked_of == [("a", 97, 1), ("b", 98, 1), ("c", 99, 1), ("d", 100, 1)]
    bar, other = whole.stock
    assert (bar.name, bar.parts, bar.length_mm) == ("round 25", ("a", "b", "c"), 180.0)
    # two of 60 to a bar of 130
    assert bar.cutting is not None
    assert len(bar.cutting.bars) == 2
    assert (other.name, other.parts) == ("round 30", ("d",))
    # one size for all: 3 x 60 mm of 30 for 25, pi/4 (900 - 625) 180
    ((_, ways),) = [(one.material, one.ways) for one in whole.sizes]
    assert [(count, sizes) for count, sizes, _ in ways] == [(1, (30.0,)), (2, (25.0, 30.0))]
    assert ways[0][2] == pytest.approx(math.pi / 4.0 * 275.0 * 180.0)


def test_every_piece_of_a_quantity_is_cut() -> None:
    """By hand, bars of 3000 and a saw's cut of 3 mm.

    Fed, 19.5 mm stay of each bar: (3000 - 19.5) / 49 is 60 of 100 pieces, so 2 bars. Sawn for one
    part each, 64.5 and the cut: 3003 / 67.5 is 44 of 90, so 3 bars. Sawn for 4 parts of 20 at once
    with 30 held, 10 parts are two of 110 and one of 70.
    """
    knob = StockPiece(
        "bar", "a 35", 35.0, None, 49.0, None, "", stub_mm=19.5, bar_length_mm=3000.0, fed=True
    )
    bush = replace(knob, name="b 45", length_mm=64.5, stub_mm=24.5, fed=False)
    ring = replace(bush, name="c 60", length_mm=27.5, stub_mm=30.0, parts=4)
    parts = [
        Named(title, n, Judged(1, 1, title, stock=piece, pieces=pieces))
        for n, (title, piece, pieces) in enumerate(
            [("knob", knob, 100), ("bush", bush, 90), ("ring", ring, 10)]
        )
    ]
    whole = whole_of(parts, Shop("drawn", "0" * 64, False, ()))
    told = {
        s.parts: (s.pieces, s.length_mm, s.cutting and len(s.cutting.bars)) for s in whole.stock
    }
    assert told == {
        ("knob",): (100, pytest.approx(4900.0), 2),
        ("bush",): (90, pytest.approx(5805.0), 3),
        ("ring",): (10, pytest.approx(290.0), 1),
    }
    page = whole_page(whole, {"knob": "k", "bush": "b", "ring": "r"})
    assert "100 pieces, 4.90 m fed through the spindle, cut from 2 bars of 3 m" in page


def test_pieces_longer_than_their_bar_are_not_cut_from_it() -> None:
    long = replace(PIECE, length_mm=131.0)
    parts = [Named("a", 1, Judged(1, 1, "a", stock=long)), Named("b", 2, Judged(1, 1, "b"))]
    (stock,) = whole_of(parts, Shop("drawn", "0" * 64, False, ())).stock
    assert (stock.bar_mm, stock.cutting) == (130.0, None)


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


def asked(parts: Iterable[tuple[str, Judged]]) -> Asked:
    made = Asked()
    for title, one in parts:
        made.add(title, one)
    return made


def test_the_smallest_crib_and_who_uses_what() -> None:
    a = Judged(1, 1, "a", chosen_tools=("left", "right"), reached=(
        ("left", ("S1", "S2")), ("right", ("S2", "S3")), ("both", ("S1", "S2", "S3")),
    ))  # fmt: skip
    b = Judged(1, 1, "b", chosen_tools=("right",), reached=(("blade", ("S1",)), ("both", ("S2",))))
    parts = [("a", a), ("b", b)]
    assert asked(parts).crib({}).tools == ("blade", "both")
    assert asked(parts[:1]).crib({}).tools == ("both",)
    assert asked(parts[:1]).crib({"both": 9.0}).tools == ("both",), "fewest, however heavy"
    either = Judged(1, 1, "c", reached=(("big", ("S1",)), ("small", ("S1",))))
    assert asked([("c", either)]).crib({"big": 2.0, "small": 1.0}).tools == ("small",)
    assert asked(parts).used_by() == {"left": (1, "a"), "right": (2, "a")}
    assert asked([]).crib({}) == Crib(())


def test_a_blade_is_asked_only_for_what_no_turning_tool_touches() -> None:
    """Else the fewest tools would turn every outside with a grooving blade, as nobody does."""
    from turnability.analysis.stages import walk
    from turnability.batch.judge import _reached
    from turnability.rules.drawn import drawn_part
    from turnability.shop.load import starter_shop

    shop = starter_shop()
    groove = [(0, 0), (60, 0), (60, 12), (31.2, 12), (31.2, 10), (30, 10), (30, 12), (0, 12)]
    report = walk(drawn_part(groove), shop)
    reached = dict(_reached(report, shop))
    sides = {s for name, segments in reached.items() if "groove" in name for s in segments}
    plain = {
        s.id
        for s in report.part.profile.segments
        if s.surface == "outer" and s.curve.start[1] == 12.0
    }
    touched = {
        s for one in report.reach.tools if one.tool == "groove 3" for s in one.reached_segments
    }
    assert plain <= touched  # it could
    assert not plain & sides
    assert plain <= set(reached["rough right"])


def world(
    seed: int,
) -> tuple[list[tuple[str, Judged]], dict[str, list[tuple[Tools, str]]], list[str]]:
    """Parts whose places open one after the other: a tool clears a place once others are clear."""
    draw = random.Random(seed)
    tools = [f"t{i}" for i in range(6)]
    rules: dict[str, list[tuple[Tools, str]]] = {}
    parts = []
    for title in ("a", "b", "c"):
        places = [f"p{i}" for i in range(4)]
        ways = [
            (frozenset(draw.sample(places[:i], draw.randrange(min(i, 2) + 1))), tool + " " + place)
            for i, place in enumerate(places)
            for tool in draw.sample(tools, draw.randrange(1, 4))
        ]
        rules[title] = ways
        final = cleared(ways, frozenset(tools))
        touch: dict[str, list[str]] = {}
        for _, way in ways:
            tool, place = way.split()
            if place in final and place in ("p2", "p3"):  # the others are opened, not touched
                touch.setdefault(tool, []).append(place)
        chosen = frozenset(tools)
        for tool in tools:
            if cleared(ways, chosen - {tool}) == final:
                chosen -= {tool}
        reached = tuple((tool, tuple(p)) for tool, p in touch.items())
        one = Judged(1, 1, title, chosen_tools=tuple(sorted(chosen)), reached=reached)
        parts.append((title, one))
    return parts, rules, tools


def cleared(ways: list[tuple[Tools, str]], tools: Tools) -> Tools:
    """The least fixed point: what these tools clear."""
    done: frozenset[str] = frozenset()
    while True:
        more = {way.split()[1] for first, way in ways if first <= done and way.split()[0] in tools}
        if more <= done:
            return done
        done |= more


def test_what_fewer_tools_leave_is_what_reach_leaves(monkeypatch: pytest.MonkeyPatch) -> None:
    # an outside with a groove, and a blind bore: blades, both hands, drills and bars are needed
    shaft = stepped((30.0, 12.0), (22.0, 3.0), (30.0, 12.0))
    starter = starter_shop()
    names = ("rough right", "groove 2", "groove 3", "copy 35 left")
    shop = replace(starter, tools=tuple(tool for tool in starter.tools if tool.name in names))
    assert len(shop.tools) == len(names)
    monkeypatch.setattr(judge, "_shop", lambda path, sha256: shop)

    def area(some: Tools) -> float:
        tools = [tool for tool in shop.tools if tool.name in some]
        return sum(one.area_mm2 for one in reach_of(shaft, tools).left)

    every = frozenset(names)
    for some in (frozenset(c) for n in range(5) for c in combinations(names, n)):
        helpers = judge.helpers(shaft, some, None, "")
        assert (helpers is None) == (area(some) <= area(every) + 1e-6), some
        if helpers is not None:
            assert helpers
            assert not helpers & some
            # without any of them, whatever else is there does not do
            assert area(every - helpers) > area(every) + 1e-6


@pytest.mark.parametrize("seed", range(40))
def test_the_crib_is_the_smallest_by_trying_all(seed: int) -> None:
    parts, rules, tools = world(seed)
    every = frozenset(tools)

    def helpers(title: str, some: Tools) -> Tools | None:
        missing = cleared(rules[title], every) - cleared(rules[title], some)
        ways = [way.split() for _, way in rules[title]]
        return frozenset(t for t, p in ways if p in missing and t not in some) if missing else None

    def prove(open_: Collection[int], some: Tools) -> dict[int, tuple[Tools, ...]]:
        if seed % 2:  # it need not go on once it has some
            for place in open_:
                if losing := helpers(parts[place][0], some):
                    return {place: (losing,)}
            return {}
        found = {place: helpers(parts[place][0], some) for place in open_}
        return {place: (losing,) for place, losing in found.items() if losing is not None}

    def is_enough(some: Tools) -> bool:
        touched = all(
            any(tool in some and segment in reach for tool, reach in one.reached)
            for _, one in parts
            for segment in {s for _, reach in one.reached for s in reach}
        )
        return touched and all(helpers(title, some) is None for title, _ in parts)

    made = asked(parts).crib({}, prove)
    assert is_enough(frozenset(made.tools))
    assert made.gap == 0
    smallest = min(
        n for n in range(7) if any(is_enough(frozenset(c)) for c in combinations(tools, n))
    )
    assert len(made.tools) == smallest


def test_what_could_not_be_shown_is_said() -> None:
    a = Judged(1, 1, "a", chosen_tools=("left",), reached=(("both", ("S1",)), ("left", ("S1",))))
    made = asked([("a", a)]).crib({"left": 2.0}, lambda open_, tools: dict.fromkeys(open_, ()))
    assert made == Crib(("both",), 1, ("a",), 0)


def test_what_one_more_tool_would_unlock() -> None:
    def left(need: float, tool: str) -> Left:
        wanted = Needed("width_mm", need, "mm")
        return Left("L1", (), 1.0, 1.0, (), 1.0, ("too-wide",), tool, wanted)

    one, two = left(2.0, "blade"), left(1.5, "blade")
    other = left(9.0, "bar")
    parts = [
        ("a", Judged(1, 1, "a", left=(one, other))),
        ("b", Judged(1, 1, "b", left=(two, one))),
        ("c", Judged(1, 1, "c", left=(other,))),
        ("d", Judged(1, 1, "d", left=(one,))),
    ]
    told = [(w.tool, w.least, w.most, w.parts, w.count, w.whole) for w in asked(parts).lacking()]
    assert told == [
        ("blade", 1.5, 2.0, ("a", "b", "d"), 3, 2),
        ("bar", 9.0, 9.0, ("a", "c"), 2, 1),
    ]


def test_a_search_that_takes_too_long_ends_with_what_is_proven(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    reached = (("both", ("S1",)), ("left", ("S1",)), ("right", ("S1",)))
    a = Judged(1, 1, "a", chosen_tools=("left", "right"), reached=reached)
    monkeypatch.setattr(crib, "_MOST_ROUNDS", 0)
    made = asked([("a", a)]).crib({}, lambda open_, tools: dict.fromkeys(open_, (every - tools,)))
    assert set(made.tools) >= {"left", "right"}
    assert made.gap == len(made.tools) - 1
    assert made.unproven == ()


every = frozenset({"both", "left", "right"})


def test_sizes_stand_in_the_order_of_their_numbers() -> None:
    sizes = (("bright bar 30", 30.0), ("bright bar 6", 6.0), ("bar 1-1/4 in", 31.75),
             ("bar 5/8 in", 15.875))  # fmt: skip
    parts = [
        Named(f"{name}{n}", 1, Judged(1, 1, "a", one_chucking=True, stock=piece))
        for name, across in sizes
        for piece in [replace(PIECE, name=name, across_mm=across)]
        for n in "ab"
    ]
    whole = whole_of(parts, Shop("drawn", "0" * 64, False, ()))
    wanted = ["bar 5/8 in", "bar 1-1/4 in", "bright bar 6", "bright bar 30"]
    assert [one.name for one in whole.stock] == wanted
    assert [name for name, _ in whole.families] == wanted


def test_bars_to_buy_are_told_plainly() -> None:
    """Pieces of 60 mm from bars of 130: one of them takes one bar, three take two."""

    def told(n: int) -> str:
        parts = [Named(f"p{i}", 1, Judged(1, 1, "a", stock=PIECE)) for i in range(n)]
        whole = whole_of(parts, Shop("drawn", "0" * 64, False, ()))
        return whole_page(whole, {f"p{i}": "x" for i in range(n)})

    assert "0.06 m, cut from 1 bar of 0.13 m<" in told(1)
    assert "0.18 m, cut from 2 bars of 0.13 m, and fewer do not suffice<" in told(3)
