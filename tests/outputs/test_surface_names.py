"""The route sheet's drawing names the surfaces that its table speaks of."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from turnability.analysis import walk
from turnability.half_plane.inside import holds
from turnability.outputs.drawing.scale import Scale
from turnability.outputs.route_sheet.figure import figure
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
        # 9 px off a cylinder; off a wall half the name's width and 3, where that is more
        dz, dr = segment.curve.direction(0.5)
        beside = max(5.4 * len(one.text) / 2.0 + 3.0 - 9.0, 0.0)
        off = 9.0 + beside * abs(dr) / math.hypot(dz, dr)
        assert math.dist(one.at, (one.x, one.y)) == pytest.approx(off)
        stands = ((one.x - scale.x) / 6.0, (scale.y - one.y) / 6.0)
        assert not holds(profile.outline.ring, np.array([stands]))[0]


def test_on_a_slender_shaft_with_many_grooves_none_stands_on_another():
    """A shaft of 20 by 300 with a dozen grooves of 3 by 1, each of three surfaces."""
    ring = [(0.0, 0.0), (10.0, 0.0)]
    for z in np.arange(20.0, 260.0, 20.0):
        ring += [(10.0, z), (9.0, z), (9.0, z + 3.0), (10.0, z + 3.0)]
    ring += [(10.0, 300.0), (0.0, 300.0)]
    profile = drawn_part([(z, r) for r, z in reversed(ring)]).profile
    assert profile is not None
    setup = setup_of([s.id for s in profile.segments])
    svg = ET.fromstring(figure(profile, setup, None, {}, "x"))
    texts = [t for t in svg.iter("text") if (t.text or "").startswith("S")]
    assert len(texts) == len([s for s in profile.segments if s.surface != "axis"])
    boxes = [(float(t.attrib["x"]), float(t.attrib["y"]), 5.4 * len(t.text)) for t in texts]
    on = [
        (a, b)
        for a, b in combinations(boxes, 2)
        if abs(a[0] - b[0]) < (a[2] + b[2]) / 2.0 and abs(a[1] - b[1]) < 9.5
    ]
    assert on == []
    wide, tall = (float(n) for n in svg.attrib["viewBox"].split()[2:])
    assert all(0.0 < x < wide and 26.0 < y < tall for x, y, _ in boxes)


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
