"""An end groove asks for an end-grooving blade where the shop lists none."""

from __future__ import annotations

from dataclasses import replace

from turnability.analysis import walk
from turnability.features.recognise import recognise
from turnability.part.profile import drawn_profile
from turnability.rules import unreached_surface
from turnability.rules.drawn import drawn_left, drawn_part, drawn_shop, drawn_view
from turnability.shop.load import starter_shop, tools_of
from turnability.shop.model import Shop

DISC = [(0, 0), (40, 0), (40, 18), (35, 18), (35, 20), (40, 20), (40, 30), (0, 30)]


def test_the_blade_that_an_end_groove_asks_for_is_named() -> None:
    profile = drawn_profile(DISC)
    room = [(35, 18), (40, 18), (40, 20), (35, 20)]
    ends = {s.id: (s.curve.start[1], s.curve.end[1]) for s in profile.segments}
    walls = [name for name, radii in ends.items() if min(radii) >= 18 and max(radii) <= 20]
    left = drawn_left(tuple(walls), room, ("no-tool",), 1.0, nearest_tool="bar 8")
    view = drawn_view(profile, left=(left,), features=recognise(profile))
    findings = unreached_surface.check(view)
    assert isinstance(findings, list)
    (finding,) = findings
    assert "no end-grooving blade is listed" in finding.message
    assert "of width 2 mm or less that sinks 5 mm and fits ⌀36 to 40 mm" in finding.message
    assert "bar 8" not in finding.message

    table = {"kind": "end-grooving", "width_mm": 2.0, "depth_mm": 8.0, "first_cut_mm": [36.0, 60.0]}
    listed = replace(drawn_shop(), tools=(*drawn_shop().tools, *tools_of(table)))
    findings = unreached_surface.check(replace(view, shop=listed))
    assert isinstance(findings, list)
    (finding,) = findings
    assert "no end-grooving blade" not in finding.message


def test_a_blade_beside_a_boss_is_as_long_as_the_boss_stands_out_and_then_cuts_it() -> None:
    """By hand: a groove 2.8 deep round a spigot 22 long, 4 mm from it: 24.8 mm of blade.

    One that sinks 10 mm has its holder in the spigot; one of 25 mm has not.
    """
    cap = [(0, 0), (38, 0), (38, 32), (16, 32), (16, 36), (13.2, 36), (13.2, 40), (16, 40),
           (16, 45), (0, 45)]  # fmt: skip
    part = drawn_part(cap)

    def unreached(shop: Shop) -> list[str]:
        found = walk(part, shop).findings
        return [f.message for f in found if f.rule == "unreached-surface"]

    starter = starter_shop()
    (told,) = unreached(starter)
    assert (
        "that sinks 2.8 mm and fits ⌀72 to 80 mm; its blade is 24.8 mm long or more, for ⌀64 mm "
        "stands 22 mm out beside the groove"
    ) in told
    table = {"kind": "end-grooving", "width_mm": 3.0, "first_cut_mm": [60.0, 100.0]}
    for depth, cut in ((10.0, False), (25.0, True)):
        blades = tools_of({**table, "depth_mm": depth})
        assert (unreached(replace(starter, tools=(*starter.tools, *blades))) == []) == cut
