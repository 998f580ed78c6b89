"""An end groove asks for an end-grooving blade where the shop lists none."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.recognise import recognise
from turnability.part.profile import drawn_profile
from turnability.rules import unreached_surface
from turnability.rules.drawn import drawn_left, drawn_shop, drawn_view
from turnability.shop.load import tools_of

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
