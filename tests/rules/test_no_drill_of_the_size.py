"""Holes that no drill of the shop makes: told with the drill wanted, on the sheet as well.

Tapping drills: M10 8.5 mm, M4 3.3 mm (ISO 2306 sizes, as any handbook prints).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnability.analysis import walk
from turnability.intent.model import Intent, Named, StatedThread
from turnability.outputs.route_sheet import route_text
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
PLAIN = [(0, 4.25), (30, 4.25), (30, 10), (0, 10)]
STEPPED = [(0, 4.25), (12, 4.25), (12, 4.6), (20, 4.6), (20, 10), (0, 10)]
"""⌀8.5 through, ⌀9.2 from one end: both too narrow for bars, which enter from ⌀10."""


def without(*sizes: float):
    tools = [
        t
        for t in STARTER.tools
        if t.kind != "drill" or all(abs(t.limits["diameter_mm"] - d) > 0.05 for d in sizes)
    ]
    return replace(STARTER, tools=tuple(tools))


def tapped(points, shop, thread="M10", across=8.5):
    stated = StatedThread(Named(diameter_mm=(across, across)), thread)
    report = walk(drawn_part(points), shop, intent=Intent(threads=(stated,)))
    return report, route_text(report, shop)


@pytest.mark.parametrize("listed", [False, True])
def test_a_tapping_hole_without_its_drill_is_told_where_it_is_tapped(listed):
    shop = STARTER if listed else without(8.5, 8.4)
    report, sheet = tapped(PLAIN, shop)
    found = [f for f in report.findings if f.rule == "hole-between-drills"]
    assert ("List a drill of 8.5 mm." in "".join(f.message for f in found)) is not listed
    told = "not drilled to size: no drill of ⌀8.5 mm in the shop (N1)"
    # beside the tap, and among what stays uncut
    assert sheet.count(told) == (0 if listed else 2)
    assert "drill 8.5: S1" in sheet or not listed
    assert "bar does not pass the entry bore" not in sheet


def test_both_drills_of_a_stepped_hole_are_told_at_once():
    """It was said that a bar does not get in, and no word of any drill."""
    report, sheet = tapped(STEPPED, without(8.5, 8.4, 8.8, 9.0))
    found = [f for f in report.findings if f.level == "error"]
    assert [f.rule for f in found] == ["hole-between-drills"] * 2
    assert [f.measured for f in found] == [8.5, 9.2]
    # the wide one ends on a step, that only a flat drill leaves; the narrow one goes through
    assert ["flat-ended drill" in f.message for f in found] == [False, True]
    assert (
        "not drilled to size: no drill of ⌀8.5 mm and no flat-ended drill of ⌀9.2 mm in the shop "
        "(N1, N2)"
    ) in sheet


def test_a_flat_floor_wants_a_flat_ended_drill_though_a_pointed_one_of_the_size_drills_it():
    """It was told that the shop has no drill of ⌀8.5, beneath a step that uses it."""
    blind = [(0, 0), (0, 10), (24, 10), (24, 4.25), (10, 4.25), (10, 0)]
    _, sheet = tapped(blind, STARTER)
    assert "drill, drill 8.5: S3" in sheet
    told = (
        "not drilled to size as far as its flat floor: no flat-ended drill of ⌀8.5 mm in the shop"
    )
    assert " ".join(sheet.split()).count(told) == 2
    assert "no drill of" not in sheet


def test_a_drill_that_also_does_is_named_and_the_sheet_still_says_what_is_missing():
    """M4 may be bored to 3.242 to 3.422 (ISO 965-1, 6H): 3.4 does, 3.3 is not there."""
    points = [(0, 1.65), (12, 1.65), (12, 10), (0, 10)]
    report, sheet = tapped(points, without(3.3), "M4", 3.3)
    (finding,) = [f for f in report.findings if f.rule == "hole-between-drills"]
    assert finding.level == "note"
    assert "Make the hole ⌀3.4 mm" in finding.message
    assert "no drill of ⌀3.3 mm in the shop" in sheet
