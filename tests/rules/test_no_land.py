"""What is left uncut for want of a land is told by its name, and why each land does not serve."""

import pytest

from turnability.analysis.stages import walk
from turnability.rules import no_land_to_grip
from turnability.rules.drawn import drawn_part, drawn_view
from turnability.setups.model import SetupLeft
from turnability.shop.load import starter_shop

BARREL = [(0, 0), (60, 0), (60, 4), (40, 11), (20, 11), (0, 4)]
"""Two cones (S3, S5) on either side of the one land, ⌀22 (S4)."""


def told(left):
    (finding,) = no_land_to_grip.check(drawn_view(BARREL, setup_left=(SetupLeft(left, ("jaws",)),)))
    return finding.message


@pytest.mark.parametrize(
    ("left", "says"),
    [
        (("S4",), "⌀22 mm at z 20 to 40 mm is itself to be cut in that chucking"),
        (("S4", "S5"), "⌀22 mm at z 20 to 40 mm is itself to be cut in that chucking"),
        (("S5",), "⌀22 mm at z 20 to 40 mm hides what must be cut in that chucking"),
    ],
)
def test_a_land_that_is_cut_in_this_setup_is_none(left, says):
    assert says in told(left)


def test_an_end_face_that_no_setup_faces_is_called_one():
    """⌀100 is more than the blade of 60 mm parts off, and nothing of two cones can be held."""
    cones = [(0, 0), (80, 0), (80, 30), (40, 50), (0, 30)]
    found = walk(drawn_part(cones), starter_shop()).findings
    (finding,) = [f for f in found if f.rule == "no-land-to-grip"]
    assert finding.level == "error"
    assert finding.message.startswith("The face of the low end (z 0 mm, ⌀0 to 60 mm) is left")


def test_one_that_is_parted_off_is_no_matter():
    cones = [(0, 0), (40, 0), (40, 6), (20, 10), (0, 6)]
    found = walk(drawn_part(cones), starter_shop()).findings
    assert [f for f in found if f.rule == "no-land-to-grip"] == []
