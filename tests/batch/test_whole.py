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

from turnability.analysis.stages import walk
from turnability.batch import crib, judge
from turnability.batch.alike import Alike
from turnability.batch.crib import Asked, Crib, Tools
from turnability.batch.cutting import cutting_list, fewest_sizes
from turnability.batch.model import Judged, Saving, Want
from turnability.batch.sheet import Sheet, is_no_worse
from turnability.batch.site.whole_page import whole_page
from turnability.batch.wants import wants_of
from turnability.batch.whole import Named as NamedPart
from turnability.batch.whole import whole_of
from turnability.half_plane.curves import Line
from turnability.intent.model import Intent, Named, StatedThread, Tolerance
from turnability.intent.settle import settled
from turnability.part.model import Loop, Profile, Segment
from turnability.report import Report
from turnability.rules.drawn import drawn_part
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
        return NamedPart(name, ord(name), Judged(1, 1, name, **told))

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
        NamedPart(title, n, Judged(1, 1, title, stock=piece, pieces=pieces))
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
    parts = [NamedPart("a", 1, Judged(1, 1, "a", stock=long)), NamedPart("b", 2, Judged(1, 1, "b"))]
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


def with_sheet(title: str, *tools: str) -> tuple[str, Judged]:
    return title, Judged(1, 1, title, sheet=Sheet(frozenset(tools), 1))


def test_all_that_the_sheets_name_is_owned_where_nobody_plans_anew() -> None:
    parts = [with_sheet("a", "left", "blade"), with_sheet("b", "left"), ("c", Judged(1, 1, "c"))]
    made = asked(parts).crib({})
    assert made == Crib(("blade", "left"), (("blade", 1, "a"), ("left", 2, "a")))
    assert asked([]).crib({}) == Crib(())


@pytest.mark.parametrize("seed", range(40))
def test_every_part_keeps_a_sheet_and_no_tool_that_was_tried_is_idle(seed: int) -> None:
    """Each part has some sets of tools that do; a plan is the first of them that is there."""
    draw = random.Random(seed)
    every = [f"t{n}" for n in range(7)]
    do = {
        name: [frozenset(draw.sample(every, draw.randrange(1, 4))) for _ in range(3)]
        for name in "abcd"
    }

    def replan(open_: Collection[int], tools: Tools) -> dict[int, Tools | None]:
        found: dict[int, Tools | None] = {}
        for place in open_:
            found[place] = next((some for some in do["abcd"[place]] if some <= tools), None)
            if found[place] is None and seed % 2:
                break  # it need not go on
        return found

    made = asked([with_sheet(name, *do[name][0]) for name in "abcd"]).crib({}, replan)
    tools = frozenset(made.tools)
    assert all(any(some <= tools for some in ways) for ways in do.values())
    assert {tool for tool, _ in made.missed} == tools, "all were tried, for few sheets need each"
    for tool, part in made.missed:
        assert not any(some <= tools - {tool} for some in do[part])
    assert set(made.spared) == frozenset().union(*(ways[0] for ways in do.values())) - tools
    assert {t: n for t, n, _ in made.users} == {
        t: sum(t in next(w for w in ways if w <= tools) for ways in do.values()) or n
        for t, n, _ in made.users
    }


def test_a_tool_stays_where_a_part_could_not_be_planned_and_where_enough_were(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    parts = [with_sheet("a", "left"), with_sheet("b", "left"), with_sheet("c", "bar")]

    def replan(open_: Collection[int], tools: Tools) -> dict[int, Tools | None]:
        # nothing comes back of the first; the last has no other way
        found: dict[int, Tools | None] = {1: frozenset({"bar"}), 2: None}
        return {place: found[place] for place in open_ if place in found}

    made = asked(parts).crib({}, replan)
    assert (made.tools, made.spared) == (("bar", "left"), ())
    assert made.missed == (("bar", "c"),)
    assert (made.unproven, made.again) == (("a",), 2)
    assert (made.checked, made.unchecked, made.worse) == (2, 1, ("c",))
    monkeypatch.setattr(crib, "_MOST_PLANNED", -1)
    untried = asked(parts).crib({}, replan)
    assert (untried.tools, untried.missed, untried.spared) == (("bar", "left"), (), ())


def test_a_tool_on_many_sheets_is_spared_too_and_one_that_stays_is_asked_of_few() -> None:
    """Of 30 parts all do with "other" in place of "often"; the last alone misses "stays", and is
    the first to be asked, for the fewest tools reach anything on it.
    """
    asked_of: dict[str, int] = {}

    def replan(open_: Collection[int], tools: Tools) -> dict[int, Tools | None]:
        for tool in {"often", "stays", "other"} - tools:
            asked_of[tool] = asked_of.get(tool, 0) + len(open_)
        sheet = frozenset({"other"}) | tools & {"stays"}
        lost = {0} if "other" not in tools else {29} if "stays" not in tools else set()
        return {place: None if place in lost else sheet for place in open_}

    parts = []
    for n in range(30):
        tools = {"often", "stays"} | ({"other"} if n == 0 else set())
        reaching = {"often"} if n == 29 else {"often", "other"}
        sheet = Sheet(frozenset(tools), 1, reaching=frozenset(reaching))
        parts.append((f"p{n}", Judged(1, n + 1, f"p{n}", sheet=sheet)))
    made = asked(parts).crib({"often": 3.0}, replan)
    assert (made.tools, made.spared) == (("other", "stays"), ("often",))
    assert made.missed == (("other", "p0"), ("stays", "p29"))
    assert asked_of["stays"] == 2


def test_what_a_part_misses_beside_its_sheet_comes_back() -> None:
    """a's sheet has neither the spared bar nor the hook; analysed with just the rest it is worse.

    The blade was spared for b alone and nobody misses it; c is worse whatever there is.
    """

    def replan(open_: Collection[int], tools: Tools) -> dict[int, Tools | None]:
        does = (
            frozenset({"left"}) if {"bar", "hook"} <= tools else None,
            frozenset({"left"}),
            None,
        )
        # while one tool after another is left away only those that have it are planned
        return {place: does[place] for place in open_}

    named = [
        ("a", Judged(1, 1, "a", sheet=Sheet(frozenset({"left"}), 1, reaching=frozenset({"hook"})))),
        with_sheet("b", "left", "bar", "blade"),
        with_sheet("c", "left"),
    ]
    made = asked(named).crib({}, replan)
    assert made.tools == ("bar", "hook", "left")
    assert made.spared == ("blade",)
    assert {("bar", "a"), ("hook", "a")} <= set(made.missed)
    assert (made.checked, made.unchecked, made.worse) == (3, 0, ("c",))


def test_a_tool_that_leaves_less_uncut_is_not_spared(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cavity that no tool of the shop cuts whole: more of it stays without the inside blade."""
    shop = starter_shop()
    monkeypatch.setattr(judge, "_shop", lambda path, sha256: shop)
    part = drawn_part(
        [(0, 10), (15, 10), (15, 16), (55, 16), (55, 10), (70, 10), (70, 30), (0, 30)]
    )
    had = judge._sheet_of(walk(part, shop), shop)
    assert had is not None
    every = frozenset(tool.name for tool in shop.tools)
    assert judge.planned_with(part, None, had, every, None, "")
    away = {name for name in every if name.startswith("groove inside")}
    assert away
    assert judge.planned_with(part, None, had, every - away, None, "") is None
    monkeypatch.setattr(judge, "is_no_worse", lambda new, old: new.verdict is None)
    assert judge.planned_with(part, None, had, every, None, "") is None, "not by its plan alone"


def test_a_sheet_is_worse_where_more_stays_or_it_takes_longer() -> None:
    corner = (("S1", "S2"), 0.4)
    had = Sheet(
        frozenset("a"), 2, frozenset({"S9"}), frozenset({corner}), frozenset({"S5"}),
        frozenset({("rule", ("S9",))}), parted=True, minutes=10.0, uncut_mm3=20.0,
        verdict="needs-changes",
    )  # fmt: skip
    assert is_no_worse(had, had)
    assert is_no_worse(replace(had, verdict="turnable", uncut_mm3=0.0), had)
    assert is_no_worse(replace(had, verdict=None), had), "a plan alone has no verdict"
    assert is_no_worse(replace(had, setups=1, uncut=frozenset(), minutes=11.0), had)
    for worse in (
        replace(had, setups=3),
        replace(had, uncut=frozenset({"S8", "S9"})),
        replace(had, corners=frozenset({(corner[0], 0.8)})),
        replace(had, corners=frozenset({corner, (("S3", "S4"), 0.2)})),
        replace(had, awkward=frozenset({"S5", "S6"})),
        replace(had, errors=frozenset({("rule", ("S9",)), ("other", ())})),
        replace(had, parted=False),
        replace(had, minutes=11.1),
        replace(had, minutes=None),
        replace(had, verdict="not-turnable"),
        replace(had, uncut_mm3=20.1),
    ):
        assert not is_no_worse(worse, had)


# by hand: M12 up to a relief, a groove in the ⌀24; parted off, its end centred for nothing
STUD = [
    (0, 0), (60, 0), (60, 6), (36, 6), (36, 4.7), (32, 4.7), (32, 12), (20, 12), (20, 10),
    (17, 10), (17, 12), (0, 12),
]  # fmt: skip


def studs_report(shop: Shop) -> Report:
    part = drawn_part(STUD)
    meant = Intent(threads=(StatedThread(Named(diameter_mm=(12.0, 12.0)), "M12"),))
    return walk(part, shop, intent=settled(meant, part))


def test_a_sheet_needs_its_blade_its_threading_tool_and_a_way_without_either_is_worse(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shop = starter_shop()
    report = studs_report(shop)
    monkeypatch.setattr(judge, "_shop", lambda path, sha256: shop)
    had = judge._sheet(report.setups, report.plan, report, shop, report.findings, None)
    assert had is not None
    assert {"part 3", "groove 3", "thread outside", "rough right"} <= had.tools
    assert had.tools <= {tool.name for tool in (*shop.tools, *shop.thread_tools)}
    again = judge.planned_with(report.part, report.intent, had, had.tools, None, "")
    assert again is not None
    assert again <= had.tools
    # either blade is as wide and deep enough to groove it and part it off; one must be there
    for tool in ("part 3", "groove 3"):
        less = had.tools - {tool}
        assert judge.planned_with(report.part, report.intent, had, less, None, "") == less
    for away in ({"part 3", "groove 3"}, {"thread outside"}, {"rough right"}):
        less = had.tools - away
        assert judge.planned_with(report.part, report.intent, had, less, None, "") is None, away


def test_a_centre_drill_is_needed_where_a_centre_or_a_drill_is() -> None:
    shop = starter_shop()
    lightest = min(
        (tool for tool in shop.tools if tool.kind == "centre-drill"),
        key=lambda tool: (tool.weight, tool.name),
    ).name
    for points, needed in (
        ([(0, 0), (20, 0), (20, 10), (0, 10)], False),
        ([(0, 0), (110, 0), (110, 6), (0, 6)], True),  # on a centre
        ([(0, 4), (20, 4), (20, 10), (0, 10)], True),  # drilled through
    ):
        report = walk(drawn_part(points), shop)
        sheet = judge._sheet(report.setups, report.plan, report, shop, report.findings, None)
        assert sheet is not None
        assert (lightest in sheet.tools) == needed, points


def test_what_is_wanted_is_what_warnings_and_errors_ask_for() -> None:
    shop = starter_shop()
    # a corner drawn sharp asks for no tool; a ring in an end for a blade of its own
    plain = walk(drawn_part([(0, 0), (60, 0), (60, 12), (20, 12), (20, 20), (0, 20)]), shop)
    assert [f.rule for f in plain.findings].count("sharp-inside-corner") == 1
    assert list(wants_of(plain)) == []
    ring = [(0, 0), (20, 0), (20, 28), (17.3, 28), (17.3, 32), (20, 32), (20, 50), (0, 50)]
    (want,) = wants_of(walk(drawn_part(ring), shop))
    assert want.what.startswith("no end-grooving blade is listed; it asks for one of width 4 mm")
    # 6 behind a bore of 20: a bar no thicker than 14, f at least 6 more than half of that (by hand)
    cavity = [(0, 10), (15, 10), (15, 16), (55, 16), (55, 10), (70, 10), (70, 30), (0, 30)]
    (want,) = wants_of(walk(drawn_part(cavity), shop))
    assert want.what.startswith("no bar with f 6 mm more than d/2, d 14 mm at most")
    # M12 with none to cut it
    bare = replace(shop, thread_tools=())
    assert [want.what for want in wants_of(studs_report(bare))] == ["no die nor point for M12"]
    # ⌀6 H7 (ISO 286-1: 0.012) is reamed two tenths off a drill's hole, common practice
    fine = Tolerance("diameter", Named(diameter_mm=(6.0, 6.0)), "H7", "H7", None, (0.0, 0.012),
                     0.012, 6.0)  # fmt: skip
    bush = drawn_part([(0, 3), (24, 3), (24, 8), (0, 8)])
    report = walk(bush, starter_shop(), intent=Intent(tolerances=(fine,)))
    whats = [want.what for want in wants_of(report)]
    assert whats == ["no reamer of ⌀6 mm H7 and no drill of ⌀5.8 mm"]


def test_what_one_more_tool_would_unlock() -> None:
    one, two = (Want("blade too wide", "width_mm", "mm", need) for need in (2.0, 1.5))
    other = Want("no drill of ⌀9 mm")
    parts = [
        ("a", Judged(1, 1, "a", wants=(one, other))),
        ("b", Judged(1, 1, "b", wants=(two, one))),
        ("c", Judged(1, 1, "c", wants=(other,))),
        ("d", Judged(1, 1, "d", wants=(one,))),
    ]
    told = [(w.what, w.least, w.most, w.parts, w.count, w.whole) for w in asked(parts).lacking()]
    assert told == [
        ("blade too wide", 1.5, 2.0, ("a", "b", "d"), 3, 2),
        ("no drill of ⌀9 mm", None, None, ("a", "c"), 2, 1),
    ]


def test_sizes_stand_in_the_order_of_their_numbers() -> None:
    sizes = (("bright bar 30", 30.0), ("bright bar 6", 6.0), ("bar 1-1/4 in", 31.75),
             ("bar 5/8 in", 15.875))  # fmt: skip
    parts = [
        NamedPart(f"{name}{n}", 1, Judged(1, 1, "a", one_chucking=True, stock=piece))
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
        parts = [NamedPart(f"p{i}", 1, Judged(1, 1, "a", stock=PIECE)) for i in range(n)]
        whole = whole_of(parts, Shop("drawn", "0" * 64, False, ()))
        return whole_page(whole, {f"p{i}": "x" for i in range(n)})

    assert "0.06 m, cut from 1 bar of 0.13 m<" in told(1)
    assert "0.18 m, cut from 2 bars of 0.13 m, and fewer do not suffice<" in told(3)
