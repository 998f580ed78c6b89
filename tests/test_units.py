"""Lengths as people read them."""

import pytest

from turnability.units import in_unit, length_text, rounded_down, rounded_up


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


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("at least 10 mm and half of it", "at least 0.3937 in and half of it"),
        ("from 0.5 to 25.4 mm", "from 0.0197 to 1 in"),
        ("up to 2.54 m overall", "up to 100 in overall"),
        ("a tenth and 1 kg, or 250 g", "a tenth and 2.2 lb, or 8.8 oz"),
        ("16387.064 mm³ and 645.16 mm²", "1 in³ and 1 in²"),
        ("at 120 m/min, 7.85 kg/dm3, 3 N/mm², M8 x 1, 5 metres", None),
    ],
)
def test_words_in_metric_units_are_told_in_inches_and_pounds(words, told):
    """25.4 mm are an inch and 0.45359237 kg a pound, exactly (agreement of 1959)."""
    assert in_unit(words, inch=True) == (words if told is None else told)
    assert in_unit(words, inch=False) == words
