"""A shop that lists no drill, or no blade, is told so and not to change the part."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
BORED = [(0, 11), (25, 11), (25, 13), (35, 13), (35, 11), (60, 11), (60, 25), (0, 25)]
"""A through bore of 22 with a recess of 26 within, which the starter shop cuts."""
GROOVED = [(0, 0), (40, 0), (40, 15), (25, 15), (25, 12), (21, 12), (21, 15), (0, 15)]


def told(points, without, on_axis=True):
    tools = tuple(t for t in STARTER.tools if t.kind not in without and (on_axis or not t.on_axis))
    report = walk(drawn_part(points), replace(STARTER, tools=tools))
    wanted = ("unreached-surface", "recess-behind-small-entry")
    return [(f.rule, f.message) for f in report.findings if f.rule in wanted]


@pytest.mark.parametrize("points", [BORED, GROOVED])
def test_the_whole_shop_cuts_both(points):
    assert told(points, ()) == []


def test_without_a_drill_the_drill_is_missed_and_not_the_recess():
    ((rule, message),) = told(BORED, (), on_axis=False)
    assert rule == "unreached-surface"
    assert "no drill is listed, and a bar needs a hole before it" in message


def test_without_a_blade_the_blade_is_named():
    ((rule, message),) = told(GROOVED, ("grooving", "parting", "outline"))
    assert rule == "unreached-surface"
    assert "no grooving blade is listed; it asks for one of width 4 mm or less" in message
    assert "sinks 3 mm" in message
