"""A thin flange is held by its bore or hub rather than by 3 mm of its rim."""

from turnability.analysis.stages import walk
from turnability.outputs.route_sheet import route_text
from turnability.outputs.route_sheet.beside import HARDLY_HELD
from turnability.rules.drawn import CHUCK, drawn_part
from turnability.setups.holding.grips import holds_hardly
from turnability.setups.model import Grip
from turnability.shop.holding import raw_grip_mm
from turnability.shop.load import starter_shop

STARTER = starter_shop()
FLANGE = [(0, 30), (0, 70), (5, 70), (5, 36), (20, 36), (20, 30)]


def test_jaws_go_into_the_bore_of_a_thin_flange():
    """Its hub and bore stand free over 15 and 20 mm, its rim over 5 less 2 mm of stand-off: what
    holds a wall of 6 mm over 18 mm goes before what holds hardly anything."""
    report = walk(drawn_part(FLANGE), STARTER)
    first, second = report.setups
    assert (first.grip.kind, first.grip.diameter_mm, first.grip.length_mm) == ("raw bar", 150, 15)
    assert (second.grip.surface, second.grip.diameter_mm) == ("inner", 60.0)
    assert second.grip.length_mm == 18.0
    assert second.holding.name == "three-jaw 160"
    assert "three-jaw 160, inside ⌀60 mm over 18 mm" in route_text(report, STARTER)


def test_a_rim_that_is_all_there_is_is_told_to_hold_hardly():
    """A plain disc of ⌀140 × 5 leaves 3 mm beside the stand-off: 2 % of its diameter."""
    report = walk(drawn_part([(0, 0), (0, 70), (5, 70), (5, 0)]), STARTER)
    last = report.setups[-1]
    assert (last.grip.diameter_mm, last.grip.length_mm) == (140.0, 3.0)
    (told,) = [f for f in report.findings if f.rule == "short-grip"]
    assert told.level == "warning"
    assert "That is 2% of its diameter, which jaws alone hold hardly" in told.message
    assert HARDLY_HELD in route_text(report, STARTER)


def test_a_twentieth_of_the_diameter():
    def held(length):
        return holds_hardly(Grip("jaws", "outer", (0.0, length), 140.0, length))

    assert held(6.9)
    assert not held(7.0)


def test_a_slug_is_gripped_over_a_tenth_of_its_diameter():
    """Where a third of what stands out is less (common practice, no source)."""
    assert raw_grip_mm(CHUCK, 150.0, 27.0, sawn=True) == 15.0
    assert raw_grip_mm(CHUCK, 150.0, 60.0, sawn=True) == 20.0
    assert raw_grip_mm(CHUCK, 80.0, 27.0, sawn=True) == 10.0
