"""Oracle: the exact cover against trying every set; the slides against the rule as stated."""

from __future__ import annotations

import random
from itertools import combinations
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import pytest

from turnability.half_plane.curves import Arc, Line, Spline
from turnability.half_plane.regions import box
from turnability.part.model import Profile, Segment
from turnability.part.profile import drawn_profile, make_profile
from turnability.reach import cover
from turnability.reach.choose import _takes_most
from turnability.reach.compute import reach_of
from turnability.reach.cover import _Search, least_cover
from turnability.reach.slides import asks_for_cnc, cnc_only_segments
from turnability.shop.load import starter_shop, tools_of


@pytest.mark.parametrize(
    ("tools", "best"),
    [
        # place, weight, width of a unit square that it takes, what it removed among all
        ((("a", 1.0, 0.5, 0.0), ("b", 1.0, 0.7, 0.0)), "b"),
        ((("a", 1.0, 0.5, 0.0), ("b", 2.0, 0.7, 0.0)), "a"),
        # alike but for the clipper's rounding, as in a part and its mirror image
        ((("a", 1.0, 0.5, 0.0), ("b", 1.0, 0.5000001, 0.0)), "a"),
        ((("b", 1.0, 0.5000001, 0.0), ("a", 1.0, 0.5, 0.0)), "b"),
        ((("a", 1.0, 0.5000001, 0.0), ("b", 1.0, 0.5, 0.3)), "b"),
        ((("a", 1.0, 0.5, 0.3), ("b", 1.0, 0.5, 0.3000001)), "a"),
        ((("a", 1.0, 0.5, 0.0), ("b", 1.0, 0.501, 0.0)), "b"),
        ((("a", 1.0, 0.0, 0.0), ("b", 1.0, 0.0, 0.2)), "b"),
    ],
)
def test_of_tools_that_take_alike_no_rounding_decides(tools: Any, best: str) -> None:
    """Who was the first to remove more then, and after that the shop's order."""
    works: Any = [
        SimpleNamespace(
            tool=SimpleNamespace(name=name, weight=weight),
            swept=box(0.0, 0.0, width, 1.0),
            gained=gained,
            asked=SimpleNamespace(mover=SimpleNamespace(on_axis=False)),
        )
        for name, weight, width, gained in tools
    ]
    assert _takes_most(works, box(0.0, 0.0, 1.0, 1.0)).tool.name == best


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


@pytest.mark.parametrize("seed", [130, 220, 258])
def test_the_integer_programme_finds_the_least_in_any_order(seed: int) -> None:
    """These differ by less than a ten-thousandth: branched out to the end, without a limit."""
    rng = random.Random(seed)
    segments = [f"S{i:02d}" for i in range(40)]
    offers = {f"T{i:02d}": frozenset(rng.sample(segments, 12)) for i in range(30)}
    weights = {name: rng.uniform(1.0, 1.002) for name in offers}
    wanted = frozenset().union(*offers.values())
    search = _Search(offers, weights)
    with patch.object(cover, "_STEPS", 10**9):
        search.branch(wanted, frozenset(), 0.0)
    with patch.object(cover, "_STEPS", 1):
        found = least_cover(offers, {name: weight - 1e-3 for name, weight in weights.items()})
    assert sum(weights[name] for name in found) == pytest.approx(search.least, abs=1e-7)


def test_of_many_sets_that_weigh_alike_the_order_of_the_shop_decides_none() -> None:
    rng = random.Random(8)
    segments = [f"S{i:02d}" for i in range(12)]
    offers = {f"T{i:02d}": frozenset(rng.sample(segments, 4)) for i in range(12)}
    weights = dict.fromkeys(offers, 1.0)
    with patch.object(cover, "_STEPS", 1):
        found = [
            least_cover({name: offers[name] for name in rng.sample(list(offers), 12)}, weights)
            for _ in range(12)
        ]
    assert all(one == found[0] for one in found)


def segment(curve: Line | Arc | Spline) -> Segment:
    return Segment("S1", curve, "outer", ())


def test_what_a_hand_moved_slide_cuts() -> None:
    assert not asks_for_cnc(segment(Line((0, 5), (10, 5))), 0.8)
    assert not asks_for_cnc(segment(Line((0, 5), (10, 8))), 0.8)
    fillet = Arc((0.8, 5), (0, 5.8), (0.8, 5.8), 0.8, True)
    assert not asks_for_cnc(segment(fillet), 0.8)
    assert asks_for_cnc(segment(fillet), 0.4)
    assert asks_for_cnc(segment(Spline(((0, 5), (1, 5.2), (2, 5.1)))), 0.8)


def rounded(outer: float, fillet: float, inner: float) -> Profile:
    """A shoulder of 30 on 20 with a rounded edge and a fillet, and a bore of 12 stepped to 16."""
    a, b, c = outer, fillet, inner
    corners = (
        Line((0, 6), (10, 6)),
        Line((10, 6), (10, 8 - c)),
        Arc((10, 8 - c), (10 + c, 8), (10 + c, 8 - c), c, True),
        Line((10 + c, 8), (30, 8)),
        Line((30, 8), (30, 10)),
        Line((30, 10), (20 + b, 10)),
        Arc((20 + b, 10), (20, 10 + b), (20 + b, 10 + b), b, True),
        Line((20, 10 + b), (20, 15 - a)),
        Arc((20, 15 - a), (20 - a, 15), (20 - a, 15 - a), a, False),
        Line((20 - a, 15), (0, 15)),
        Line((0, 15), (0, 6)),
    )
    return make_profile([[(curve, ()) for curve in corners]])


@pytest.mark.parametrize(
    ("radii", "more", "asks"),
    [
        # an edge, a fillet outside, a fillet in the bore; the starter's noses are 0.8 and 0.4
        ((0.8, 0.8, 0.4), (), ""),
        ((1.0, 0.8, 0.4), (), "edge"),
        ((0.8, 1.0, 0.4), (), "fillet"),
        ((0.8, 0.8, 0.6), (), "bore"),
        # a round insert or a full radius leaves its own fillet, and rounds no edge for that
        ((0.8, 3.0, 0.4), ("full radius",), ""),
        ((3.0, 3.0, 0.4), ("full radius",), "edge"),
        ((3.0, 3.0, 0.4), ("round",), "edge"),
        ((0.8, 3.0, 1.5), ("full radius",), "bore"),
    ],
)
def test_a_nose_leaves_fillets_of_its_side_and_rounds_no_edge(
    radii: tuple[float, float, float], more: tuple[str, ...], asks: str
) -> None:
    """Geometry: a nose moved along one slide at a time touches a convex edge in a point."""
    own: dict[str, dict[str, Any]] = {
        "full radius": {"kind": "grooving", "width_mm": 6.0, "corner_radius_mm": 3.0},
        "round": {"kind": "turning", "holder": "SRDCN 2020K10", "insert": "RCMT 1003M0"},
    }
    tools = [*starter_shop().tools, *(t for name in more for t in tools_of(own[name]))]
    profile = rounded(*radii)
    arcs = [s.id for s in profile.segments if isinstance(s.curve, Arc)]
    names = dict(zip(("bore", "fillet", "edge"), arcs, strict=True))
    assert cnc_only_segments(profile, tools) == ((names[asks],) if asks else ())


def test_no_centre_drill_opens_a_bore_for_a_bar_whatever_the_order() -> None:
    """A ring of 18 with a bore of 17.3: centre drill 6.3, 16 at its mouth, goes through it, too."""
    ring = drawn_profile([(0, 8.65), (18, 8.65), (18, 17), (0, 17)])
    tools = list(starter_shop().tools)
    centring_first = sorted(tools, key=lambda tool: tool.kind != "centre-drill")
    assert reach_of(ring, tools).chosen_tools == ("rough right", "drill 16", "bore 12")
    assert reach_of(ring, centring_first).chosen_tools == ("rough right", "drill 16", "bore 12")
