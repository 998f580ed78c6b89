"""A bore to be ground is drilled smaller than drawn.

What is left for it, and what drills hold, are common practice, from memory.

Sizes by hand: what is left counts from the drawn diameter, and the drill is one of the starter
shop's, that go by halves: none between 11.5 and 12.
"""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Ground, Intent, Named
from turnability.outputs.route_sheet.route import route_of
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop, tools_of

SHOP = starter_shop()
LONG = [(0, 6), (40, 6), (40, 20), (0, 20)]
"""⌀12 × 40: bore 8 sticks out no more than 32."""
SHORT = [(0, 6), (20, 6), (20, 20), (0, 20)]


def made(points, leave_mm, shop=SHOP, by="grinding"):
    place = Named(diameter_mm=(12.0, 12.0))
    intent = Intent(ground=(Ground(place, by, leave_mm=leave_mm),))
    report = walk(drawn_part(points), shop, intent=intent)
    done = [o for s in report.setups for o in s.operations if o.kind in ("drill", "bore", "ream")]
    told = [
        f
        for f in report.findings
        if f.level != "note" and f.rule in ("ground-after-turning", "drilled-where-finer")
    ]
    return report, [(o.tool, o.segments) for o in done], told


@pytest.mark.parametrize(
    # the second: 10.75 to 11.25 is to be turned, 11 is in its middle
    ("leave_mm", "drill"),
    [((0.4, 0.6), "drill 11.5"), ((0.75, 1.25), "drill 11")],
)
def test_it_is_drilled_to_the_size_that_is_to_be_turned(leave_mm, drill):
    _, done, told = made(LONG, leave_mm)
    assert done == [(drill, ("S1",))]
    assert not told


def test_where_no_drill_makes_that_size_the_widest_below_goes_and_what_it_leaves_is_told():
    report, done, (told,) = made(LONG, (0.15, 0.25))
    assert done == [("drill 11.5", ("S1",))]
    assert told.level == "warning"
    assert "drill 11.5 alone makes it, which leaves 0.5 mm on the diameter" in told.message
    assert "say leave_mm = [0.4, 0.6] in the intent; else list a drill of ⌀11.8 mm" in told.message
    lines = route_of(report, SHOP).setups[0]
    assert any("⌀11.5 mm as drilled on S1, stock for grinding" in one for one in lines.measure)
    # what it advises helps
    (own,) = tools_of({"kind": "drill", "diameter_mm": 11.8})
    (short,) = tools_of({"kind": "drill", "diameter_mm": 11.8, "flute_length_mm": 30.0})
    more = (replace(short, name="a drill that does not come through"), own)
    _, done, told = made(LONG, (0.15, 0.25), replace(SHOP, tools=(*SHOP.tools, *more)))
    assert done == [(own.name, ("S1",))]
    assert not told


def test_a_hone_that_is_left_a_few_hundredths_wants_a_bar_and_no_drill():
    _, _, (told,) = made(LONG, (0.04, 0.08), by="honing")
    assert "else list a boring bar that gets in." in told.message


def test_a_bar_that_gets_along_all_of_it_bores_it():
    _, done, told = made(SHORT, (0.15, 0.25))
    assert done == [("drill 11.5", ()), ("bore 8", ("S1",))]
    assert not told


def test_a_shop_without_a_smaller_drill_is_told_that_nothing_is_left():
    kept = [t for t in SHOP.tools if t.kind != "drill" or t.name == "drill 12"]
    _, done, told = made(LONG, (0.15, 0.25), replace(SHOP, tools=tuple(kept)))
    assert done == [("drill 12", ("S1",))]
    (mine,) = [f for f in told if f.rule == "ground-after-turning"]
    assert mine.level == "error"
    assert "which leaves too little for grinding" in mine.message
