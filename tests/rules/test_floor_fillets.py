"""A square recess whose fillets shut out the edge that its walls let in.

Between walls 3.2 mm apart with fillets of 0.8 mm the floor is 3.2 - 1.6 = 1.6 mm wide: an edge of
3 mm with corners of 0.2 gets there once the fillets are (3.2 - 3) / 2 + 0.2 = 0.3 mm.
"""

from __future__ import annotations

import pytest

from turnability.analysis import walk
from turnability.half_plane.curves import Arc, Line
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()
WIDTH = 3.2


def ring(depth: float, fillet: float):
    """A bush of ⌀60 bored ⌀30, with a square recess in its middle."""
    r, f, z0, z1 = 15.0, 15.0 + depth, 12.0, 12.0 + WIDTH
    foot = f - fillet
    curves = [
        Line((0, r), (z0, r)), Line((z0, r), (z0, foot)),
        Arc((z0, foot), (z0 + fillet, f), (z0 + fillet, foot), fillet, clockwise=True),
        Line((z0 + fillet, f), (z1 - fillet, f)),
        Arc((z1 - fillet, f), (z1, foot), (z1 - fillet, foot), fillet, clockwise=True),
        Line((z1, foot), (z1, r)), Line((z1, r), (28, r)),
        Line((28, r), (28, 30)), Line((28, 30), (0, 30)), Line((0, 30), (0, r)),
    ]  # fmt: skip
    return drawn_part(make_profile([[(c, (i,)) for i, c in enumerate(curves, 1)]]))


def told(depth: float, fillet: float):
    found = walk(ring(depth, fillet), STARTER).findings
    return [f for f in found if f.rule == "recess-behind-small-entry"]


def test_both_numbers_are_told_at_once_and_proven():
    """groove inside 3 sinks 3 mm: 3.05 is too deep for it, and the fillets are too large."""
    (finding,) = told(3.05, 0.8)
    change = finding.change
    assert change is not None
    assert (change.parameter, change.from_, change.to) == ("depth_mm", pytest.approx(3.05), 3.0)
    assert change.also == ("floor_radius_mm", pytest.approx(0.8), pytest.approx(0.3))
    assert change.proven
    # the only bar whose edge gets to the floor as drawn is too short for it
    assert "an edge no wider than 1.6 mm" in finding.message
    # drawn so by hand, neither is told any more; with one of the two it still is
    assert told(3.0, 0.3) == []
    assert told(3.0, 0.8)
    assert told(3.05, 0.3)


def test_where_the_depth_will_do_the_fillets_alone_are_told():
    (finding,) = told(2.5, 0.8)
    change = finding.change
    assert change is not None
    assert (change.parameter, change.to, change.also) == (
        "floor_radius_mm", pytest.approx(0.3), None,
    )  # fmt: skip
    assert change.proven
    assert finding.message.startswith("No bar of the shop cuts the recess")


def test_where_the_fillets_will_do_the_depth_alone_is_told():
    (finding,) = told(3.05, 0.3)
    change = finding.change
    assert change is not None
    assert (change.parameter, change.to, change.also) == ("depth_mm", 3.0, None)
    assert change.proven
