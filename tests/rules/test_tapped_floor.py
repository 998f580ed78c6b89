"""A tapped blind hole drawn with a flat floor: a twist drill of its size leaves its point there.

M10 is tapped from 8.5 mm (ISO 2306); a point of 118° on ⌀8.5 is 4.25 / tan 59° = 2.55 mm deep.
"""

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, StatedThread
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

BLIND = [(0, 0), (14, 0), (14, 4.25), (30, 4.25), (30, 12), (0, 12)]
M10 = Intent(threads=(StatedThread(Named(diameter_mm=(8.5, 8.5)), "M10"),))


def told(intent):
    found = walk(drawn_part(BLIND), starter_shop(), intent=intent).findings
    return [f for f in found if f.rule == "hole-between-drills"]


def test_a_tapped_holes_floor_may_be_the_drills_point():
    (finding,) = told(M10)
    assert finding.level == "warning"
    assert "List a flat-ended drill of 8.5 mm" in finding.message
    assert "the point of the ⌀8.5 mm drill, 2.6 mm deep" in finding.message


def test_what_may_seat_on_a_plain_holes_floor_stays_an_error():
    (finding,) = told(None)
    assert finding.level == "error"


def test_so_may_that_of_a_hole_too_deep_for_the_bars_that_go_in():
    """⌀10.2 behind ⌀14: bore 8 goes in from 10 mm and stands out 32, the hole ends 38 deep."""
    deep = [(0, 0), (8, 0), (8, 5.1), (34, 5.1), (34, 7), (46, 7), (46, 16), (0, 16)]
    report = walk(drawn_part(deep), starter_shop(), intent=None)
    (finding,) = [f for f in report.findings if f.level == "error"]
    assert finding.rule == "hole-between-drills"
    assert "deeper than any bar of the shop that goes in stands out" in finding.message
    assert "or list a flat-ended drill of its size, or let the floor be the point" in (
        finding.message
    )
