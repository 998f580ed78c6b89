"""The route sheet's drawing names the surfaces that its table speaks of."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from turnability.analysis import walk
from turnability.half_plane.inside import holds
from turnability.outputs.drawing.scale import Scale
from turnability.outputs.route_sheet.names import names_of
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import route_of
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.load import starter_shop

RING = [(15, 0), (34, 0), (35, 1), (35, 10), (31.8, 10), (31.8, 14.8), (35, 14.8), (35, 60),
        (40, 60), (40, 80), (20, 80), (20, 70), (15, 70)]  # fmt: skip
POINTS = [(z, r) for r, z in reversed(RING)]
BOX = (600.0, 400.0)


def setup_of(cut, toward="low") -> Setup:
    grip = Grip("raw bar", "outer", (-30.0, -5.0), 90.0, 25.0)
    work = Operation("t", tuple(cut), "turn")
    return Setup(1, toward, grip, Datum(None, "drawn"), "none", (work,), ())


def drawn():
    profile = drawn_part(POINTS).profile
    assert profile is not None
    return profile, Scale(80.0, 350.0, 6.0)


@pytest.mark.parametrize("turned", [False, True])
def test_every_surface_that_is_cut_has_its_name_and_none_stands_on_another(turned):
    profile, scale = drawn()
    cut = [s.id for s in profile.segments]
    mirror = 2 * 80.0 + 80.0 * 6.0 if turned else None
    setup = setup_of(cut, "high" if turned else "low")
    names = names_of(scale, profile, setup, mirror, BOX)
    assert sorted(n.text for n in names) == sorted(cut)
    assert not [(a.text, b.text) for a, b in combinations(names, 2) if a.meets(b)]
    assert all(0.0 < n.x < BOX[0] and 0.0 < n.y < BOX[1] for n in names)


def test_a_name_stands_beside_its_surface_on_the_side_without_material():
    profile, scale = drawn()
    for segment in profile.segments:
        (one,) = names_of(scale, profile, setup_of([segment.id]), None, BOX)
        assert one.text == segment.id
        z, r = segment.curve.at(0.5)
        assert one.at == pytest.approx(scale.place((z, r)))
        assert math.dist(one.at, (one.x, one.y)) == pytest.approx(9.0)
        stands = ((one.x - scale.x) / 6.0, (scale.y - one.y) / 6.0)
        assert not holds(profile.outline.ring, np.array([stands]))[0]


def test_what_is_not_cut_here_has_no_name():
    profile, scale = drawn()
    assert names_of(scale, profile, setup_of([]), None, BOX) == []


def test_the_page_shows_each_name_of_its_table():
    shop = starter_shop()
    report = walk(drawn_part(POINTS), shop)
    shown = page(route_of(report, shop), report, shop)
    cut = {s for one in report.setups for o in one.operations for s in o.segments}
    assert cut
    missing = [s for s in cut if f">{s}</text>" not in shown]
    assert missing == []
    none = replace(report, setups=tuple(replace(s, operations=()) for s in report.setups))
    assert ">S1</text>" not in page(route_of(none, shop), none, shop)
