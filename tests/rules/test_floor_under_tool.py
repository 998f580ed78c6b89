"""How far a thin floor gives under the tool that faces it, against plate theory done anew."""

import math
from dataclasses import replace

import pytest
from scipy.integrate import quad

from turnability.intent.model import Intent, Named, Tolerance
from turnability.rules import floor_under_tool as rule


def test_the_middle_gives_as_the_slope_of_the_plate_adds_up_to() -> None:
    """A clamped plate under a force at its centre has the slope F r ln(a / r) / 4 π D (Timoshenko
    and Woinowsky-Krieger, Theory of Plates and Shells, § 19, from memory); the note's example: C45
    with E = 210 kN/mm², 1 mm thick, a = 28 mm, pushed with 63.1 N."""
    (found,) = rule.check(rule._cup(1.0))
    stiff = 210e3 / 12.0 / (1.0 - 0.3**2)
    slope = quad(lambda r: r * math.log(28.0 / r), 0.0, 28.0)[0] / (4.0 * math.pi * stiff)
    force = float(found.message.split("about ")[1].split(" N")[0])
    assert found.measured == pytest.approx(force * slope, rel=0.01)
    assert (found.level, found.limit) == ("note", 0.05)


def test_a_thickness_that_is_stated_closer_counts_and_what_it_asks_for_is_enough() -> None:
    """±0.02 mm on 1 mm: 0.051 is over half of 0.04. A quarter of that wants (0.051 / 0.01)^(1/3)
    times the thickness: 1.73 mm."""
    place = Named(z_mm=(0.0, 1.0), segments=("S2", "S6"))
    close = Tolerance("length", place, "floor", width_mm=0.04, nominal_mm=1.0)
    view = replace(rule._cup(1.0), intent=Intent(tolerances=(close,)))
    (found,) = rule.check(view)
    assert (found.level, found.limit) == ("warning", pytest.approx(0.01))
    assert found.change is not None
    assert found.change.to == pytest.approx(1.73, abs=0.006)
    thicker = replace(rule._cup(found.change.to), intent=view.intent)
    assert rule.check(thicker) == []
