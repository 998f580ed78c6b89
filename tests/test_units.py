"""Lengths as people read them."""

import pytest

from turnability.units import length_text, rounded_down, rounded_up


@pytest.mark.parametrize(
    ("value", "up", "down"),
    [(826.446, "827 mm", "826 mm"), (2.6667, "2.67 mm", "2.66 mm"), (139.5, "140 mm", "139 mm"),
     (0.0123456, "0.012 mm", "0.012 mm"), (0.2, "0.2 mm", "0.2 mm"),
     (0.1 + 0.2, "0.3 mm", "0.3 mm"),
     (1000.0, "1000 mm", "1000 mm"), (0.0, "0 mm", "0 mm")],
)  # fmt: skip
def test_at_least_goes_up_and_at_most_down(value, up, down):
    assert length_text(rounded_up(value), False) == up
    assert length_text(rounded_down(value), False) == down


def test_in_inch_the_figures_are_those_of_inches():
    assert length_text(rounded_up(826.446, inch=True), inch=True) == "32.6 in"
    assert length_text(rounded_down(826.446, inch=True), inch=True) == "32.5 in"
    assert rounded_up(25.4, inch=True) == pytest.approx(25.4)
