"""Where a profile is not its solid's, known from drawings that leave something out."""

import cadquery as cq
import pytest

from turnability.part.faces_of_solid import kernel_faces
from turnability.part.model import Source
from turnability.part.open_books import where_open
from turnability.part.profile import drawn_profile
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
GROOVED = [(0, 4), (60, 4), (60, 15), (25, 15), (25, 12), (20, 12), (20, 15), (0, 15)]


def drilled():
    """A grooved sleeve with a cross hole at z = 45, its axis along z from z = 0."""
    outline = [(r, z) for z, r in GROOVED]
    body = cq.Workplane("XZ").polyline(outline).close().revolve(360, (0, 0, 0), (0, 1, 0))
    return body.cut(cq.Workplane("YZ", origin=(-30, 0, 45)).circle(3).extrude(60)).val()


@pytest.mark.parametrize(
    ("profile", "expected"),
    [
        (GROOVED, None),
        ([(0, 4), (60, 4), (60, 15), (0, 15)], (20, 25)),  # its groove left out
        ([(0, 5), (60, 5), *GROOVED[2:]], (0, 60)),  # its bore drawn too wide
        ([(0, 4), (60, 4), (60, 17), (55, 17), (55, 15), *GROOVED[3:]], (55, 60)),  # a collar more
    ],
)
def test_a_drawing_is_open_where_it_differs(profile, expected):
    solid = drilled()
    part = part_of(solid.wrapped, SOURCE, ())
    assert part.open_z_mm is None
    found = where_open(
        solid.wrapped, kernel_faces(solid.wrapped), drawn_profile(profile), part.departures, 0.0
    )
    assert found == (None if expected is None else pytest.approx(expected, abs=60 / 48))
