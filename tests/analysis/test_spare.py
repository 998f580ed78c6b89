"""What changes spare: against walks over parts that are drawn with the change in them."""

from __future__ import annotations

import pytest

from turnability.analysis.spare import spared
from turnability.analysis.stages import walk
from turnability.half_plane.curves import line_ring
from turnability.part.model import Part
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop


def pin(largest_mm: float) -> Part:
    """A pin with a thinner end."""
    r = largest_mm / 2.0
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 28.0), (60.0, 28.0), (60.0, r), (0.0, r)]
    pieces = [(line, ()) for line in line_ring(corners)]
    return drawn_part(make_profile([pieces]))


def test_a_thinner_outside_spares_what_the_thinner_part_takes_less() -> None:
    shop = starter_shop()
    report = walk(pin(80.0), shop)
    assert report.effort is not None
    found = list(spared(report, shop))
    assert [finding.rule for finding, _ in found] == ["outside-near-stock-size"]
    finding, minutes = found[0]
    assert finding.change is not None
    assert finding.change.to is not None
    after = walk(pin(finding.change.to), shop)
    assert after.effort is not None
    before = report.effort.minutes_per_piece
    assert minutes == pytest.approx(before - after.effort.minutes_per_piece, abs=1e-6)
    assert minutes > 0.0


def test_nothing_is_said_of_changes_that_cannot_be_tried() -> None:
    report = walk(pin(78.73), starter_shop())
    assert {f.change.parameter for f in report.findings if f.change} == {"fillet_radius_mm"}
    assert list(spared(report, starter_shop())) == []
