"""Which bar a deep bore asks for, and that with that bar the place is cut.

A bar of ⌀25 has f 17 (ISO 5609, from memory): it passes ⌀29.5 and faces to the axis from ⌀59 on.
"""

from dataclasses import replace

from turnability.analysis import walk
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop, tools_of

STARTER = starter_shop()
TUBE = [(0, 16), (300, 16), (300, 22), (0, 22)]
"""⌀44 × 300, bored ⌀32: half from either end, where the starter's bars stand out 80 mm at most."""


def unreached(part, shop=STARTER):
    return [f for f in walk(part, shop).findings if f.rule == "unreached-surface"]


def test_the_bar_and_drill_that_are_asked_for_cut_it():
    part = drawn_part(TUBE)
    (found,) = unreached(part)
    assert "every bar that goes in is too short" in found.message
    # ⌀32 lets f + d/2 = 29.5 in, and not the 38 of a bar of ⌀32; 150 of 25 are 6 diameters
    assert "It lies 150 mm deep" in found.message
    assert "stands out by more than 80 mm" in found.message
    assert "⌀25 mm: 6 diameters, which asks for a carbide bar (6; steel 4)" in found.message
    bar = {"kind": "boring", "bar": "C25T-SCLCR 09", "insert": "CCMT 09T304"}
    drill = {"kind": "drill", "diameters_mm": [28.0], "flute_length_mm": 200.0}
    listed = (*STARTER.tools, *tools_of({**bar, "overhang_mm": 151.0}), *tools_of(drill))
    assert unreached(part, replace(STARTER, tools=listed)) == []


def test_a_recess_in_the_middle_is_as_deep_as_its_far_wall():
    """⌀38 from z 120 to 180: whichever end, the other end's wall is 180 mm away: 7.2 diameters."""
    recess = [(0, 16), (120, 16), (120, 19), (180, 19), (180, 16), (300, 16), (300, 22), (0, 22)]
    (found,) = unreached(drawn_part(recess))
    assert "It lies 180 mm deep" in found.message
    assert "7.2 diameters, which asks for a damped bar" in found.message
