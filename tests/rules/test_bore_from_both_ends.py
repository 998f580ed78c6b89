"""Bearing seats at both ends of a bore, drawn and planned with the starter shop, by hand.

Chucked again in hard jaws they are 0.1 mm off (common practice, no source).
"""

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()


def true(*places, run_out=0.02):
    named = tuple(Named(diameter_mm=(d, d), z_mm=z) for d, z in places)
    return Intent(related=(Related("seats", named, run_out),))


def told(points, intent):
    found = walk(drawn_part(points), STARTER, intent=intent).findings
    return [f for f in found if f.rule in ("bore-from-both-ends", "related-surfaces-split")]


def housing(low, mid, high, outside=25.0):
    """80 long, bored 20 deep from either end to these radii."""
    inside = [(0, low), (20, low), (20, mid), (60, mid), (60, high), (80, high)]
    if mid == 0:
        return [*inside, (80, outside), (0, outside)]
    return [p for n, p in enumerate(inside) if p not in inside[:n]] + [(80, outside), (0, outside)]


def test_two_seats_on_either_side_of_a_web_are_told_what_would_bore_them_at_once():
    (finding,) = told(housing(15, 10, 15), true((30.0, (1, 19)), (30.0, (61, 79))))
    assert finding.rule == "bore-from-both-ends"
    assert finding.level == "warning"
    assert (finding.measured, finding.limit) == (0.1, 0.02)
    assert finding.where.diameter_mm == (30.0, 30.0)
    assert finding.change is not None
    # the bar of 20 mm stands out by 80: 4 diameters
    assert (finding.change.from_, finding.change.to) == (20.0, 30.0)


def test_the_smaller_seat_is_what_the_rest_is_opened_to():
    (finding,) = told(housing(18, 10, 15), true((36.0, (1, 19)), (30.0, (61, 79))))
    assert finding.change is not None
    assert finding.change.to == 30.0


def test_once_opened_one_chucking_bores_both():
    """The change does what it says: the same housing with its middle as wide as the seats."""
    points = [(0, 15), (80, 15), (80, 25), (0, 25)]
    assert told(points, true((30.0, (0, 80)), (50.0, (0, 80)))) == []


def test_a_wall_between_them_is_called_one():
    (finding,) = told(housing(15, 0, 15), true((30.0, (1, 19)), (30.0, (61, 79))))
    assert "a wall stands between them" in finding.message


def test_what_one_end_reaches_is_no_matter():
    points = [(0, 10), (40, 10), (40, 12), (60, 12), (60, 15), (80, 15), (80, 25), (0, 25)]
    assert told(points, true((24.0, (41, 59)), (30.0, (61, 79)))) == []


def test_a_neck_outside_that_would_be_opened_away_is_not_opened():
    """⌀31 outside over a web of ⌀20: seats of ⌀30 would leave half a millimetre of wall."""
    outside = [(80, 25), (60, 25), (60, 15.5), (20, 15.5), (20, 25), (0, 25)]
    points = [(0, 15), (18, 15), (18, 10), (62, 10), (62, 15), (80, 15), *outside]
    found = told(points, true((30.0, (1, 17)), (30.0, (63, 79))))
    assert [(f.rule, f.change) for f in found] == [("bore-from-both-ends", None)]
