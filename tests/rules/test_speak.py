"""Sizes in words."""

import pytest

from turnability.rules.speak import volume_text


@pytest.mark.parametrize(
    ("volume_mm3", "mm", "inch"),
    [
        (6412.0, "6412 mm³", "0.391 in³"),  # by hand: an inch cubed is 16387.064 mm³
        (9.33, "9.33 mm³", "0.000569 in³"),
        (1.152, "1.15 mm³", "0.0000703 in³"),
        (0.0131, "0.0131 mm³", "less than 0.00001 in³"),
        (0.0002, "less than 0.001 mm³", "less than 0.00001 in³"),
        (120.0, "120 mm³", "0.00732 in³"),
        (0.0, "0 mm³", "0 in³"),
    ],
)
def test_a_volume_is_told_without_powers_of_ten(volume_mm3, mm, inch):
    assert (volume_text(volume_mm3, False), volume_text(volume_mm3, True)) == (mm, inch)
