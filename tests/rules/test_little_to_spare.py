"""What just fits is told among the findings and on the sheet alike; sizes by hand.

0.2 mm beside a shank is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnability.analysis import walk
from turnability.intent.model import Intent, Named, Tolerance
from turnability.outputs.route_sheet import route_text
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
"""groove inside 3: ⌀16 bar, f 11, so it sinks 11 - 8 = 3 and asks for a bore of 11 + 8 = 19."""


def ring(bore: float, floor: float):
    """A bush of ⌀60 with a square recess of 8 mm between two lands of 10."""
    r, f = bore / 2.0, floor / 2.0
    return [(0, r), (10, r), (10, f), (18, f), (18, r), (28, r), (28, 30), (0, 30)]


def told(report):
    return [f for f in report.findings if f.rule == "little-to-spare"]


@pytest.mark.parametrize(
    ("bore", "floor", "spare", "says"),
    [
        (30.0, 36.0, 0.0, "groove inside 3 sinks 3 mm, and the groove is 3 mm deep: nothing is to"),
        (30.0, 35.8, 0.1, "groove inside 3 sinks 3 mm, and the groove is 2.9 mm deep: 0.1 mm is"),
        (30.0, 35.0, None, ""),
        (19.1, 23.0, 0.1, "groove inside 3 asks for a bore of ⌀19 mm, and passes ⌀19.1 mm: 0.1 mm"),
    ],
)  # fmt: skip
def test_a_tool_that_just_fits_is_a_note_and_a_caution(bore, floor, spare, says):
    report = walk(drawn_part(ring(bore, floor)), STARTER)
    found = [f for f in told(report) if f.message.startswith("groove inside 3")]
    sheet = route_text(report, STARTER)
    if spare is None:
        assert found == []
        assert "to spare" not in sheet
        return
    (finding,) = found
    assert finding.level == "note"
    assert finding.measured == pytest.approx(spare)
    assert finding.message.startswith(says)
    assert f"{'nothing' if spare == 0.0 else '0.1 mm'} to spare" in sheet


def test_what_is_stated_is_not_asked_to_change():
    plain = walk(drawn_part(ring(30.0, 36.0)), STARTER)
    assert any("Make the groove a little shallower" in f.message for f in told(plain))
    floor = Named(diameter_mm=(36.0, 36.0))
    wall = Named(z_mm=(10.0, 10.0))
    stated = Intent(
        tolerances=(
            Tolerance("diameter", floor, "H9", width_mm=0.062, nominal_mm=36.0),
            Tolerance("length", wall, "±0.1", width_mm=0.2),
        )
    )
    fixed = walk(drawn_part(ring(30.0, 36.0)), STARTER, intent=stated)
    (finding,) = [f for f in told(fixed) if f.message.startswith("groove inside 3 sinks")]
    assert "List a blade that sinks deeper" in finding.message
    assert "shallower" not in finding.message


def test_a_blade_that_sinks_deeper_ends_it():
    deeper = replace(
        STARTER,
        tools=tuple(
            replace(t, limits={**t.limits, "depth_mm": 4.0}) if t.name == "groove inside 3" else t
            for t in STARTER.tools
        ),
    )
    report = walk(drawn_part(ring(30.0, 36.0)), deeper)
    assert [f for f in told(report) if "sinks" in f.message] == []
