"""The levels at which open books are told of, and that they are told of once."""

from dataclasses import replace

import pytest

from turnability.analysis import analyze
from turnability.part.profile import drawn_profile
from turnability.rules.books_do_not_close import DOUBTED_FROM, WRONG_FROM, check
from turnability.rules.drawn import drawn_view


def pin_that_lacks(volume_mm3):
    """A pin of 20 by 40 whose solid holds so much less than its meridian."""
    profile = drawn_profile([(0, 0), (40, 0), (40, 10), (0, 10)])
    solid = profile.volume_mm3 - volume_mm3
    return drawn_view(replace(profile, solid_volume_mm3=solid, departures_volume_mm3=0.0))


@pytest.mark.parametrize(
    ("volume_mm3", "levels"),
    [
        (0.0, []),
        (0.01, []),  # 0.8e-6 of 12566 mm3
        (0.05, ["note"]),
        (1.3, ["warning"]),  # an edge break of 0.2 mm on one end: pi * 20 * 0.02 = 1.26 mm3
        (60.0, ["warning"]),
        (184.0, ["error"]),  # a groove 3 wide and 1 deep: pi * (100 - 81) * 3 = 179 mm3
    ],
)
def test_levels_by_what_could_be_missing(volume_mm3, levels):
    found = check(pin_that_lacks(volume_mm3))
    assert [finding.level for finding in found] == levels


def test_the_limits_stand_in_order():
    assert 1e-6 < DOUBTED_FROM < WRONG_FROM < 1.0


@pytest.mark.shared_parts
@pytest.mark.parametrize(
    ("name", "level"),
    [
        ("servo_hub.step", "note"),  # 3e-6: the width of its gaps
        ("domed_body_splines_inch.step", "warning"),  # splines 7 µm off a true revolution
        ("sphere_head_inch.step", "note"),  # 2e-5: its edges lie up to 69 µm off its faces
    ],
)
def test_open_books_are_told_of_once(shared_parts, name, level):
    """The part's own reading knows of them too; its words are not repeated."""
    report = analyze(shared_parts / name)
    of_books = [
        f for f in report.findings if f.rule == "books-do-not-close" or "volume" in f.message
        if f.rule in ("books-do-not-close", "doubtful-meridian")
    ]  # fmt: skip
    assert [(f.rule, f.level) for f in of_books] == [("books-do-not-close", level)]
    assert report.part.remarks or report.part.doubts
