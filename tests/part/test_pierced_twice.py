"""Laws: the books close for a leaning hole whose wall only just reaches the turning axis.

The axis then runs through the wall twice within a hair, and the angle round it parts at both.
"""

import math

import cadquery as cq
import pytest

from turnability.part.departures.sheets import sheets_of
from turnability.part.faces_of_solid import kernel_faces
from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
RADIUS, LEAN_DEG = 3.0, 20.0


def drilled(share, deep=23.0):
    """A bar with a blind hole from its side; its axis passes the bar's at `share` of its radius."""
    lean = math.radians(LEAN_DEG)
    foot = cq.Vector(-14.0, share * RADIUS, 20.0)
    way = cq.Vector(math.cos(lean), 0.0, math.sin(lean))
    hole = cq.Workplane(cq.Solid.makeCylinder(RADIUS, deep, foot, way))
    return cq.Workplane().circle(13.0).extrude(50.0).cut(hole).solids().val()


@pytest.mark.parametrize("share", [0.3, 0.8, 0.95, 0.97, 0.98, 0.99, 0.999, 1.001, 1.1])
def test_the_books_close(share):
    part = part_of(drilled(share).wrapped, SOURCE, ())
    (hole,) = part.departures
    profile = part.profile
    assert profile.volume_mm3 == pytest.approx(math.pi * 13.0**2 * 50.0, rel=1e-9)
    rest = profile.volume_mm3 - hole.volume_mm3
    assert rest == pytest.approx(profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize(("share", "times"), [(0.3, 2), (0.98, 2), (0.999, 2), (1.1, 0)])
def test_its_wall_parts_where_the_axis_runs_through(share, times):
    """At cos of the angle from the nearest ruling = share, on either side of that."""
    (wall,) = (
        face
        for face in kernel_faces(drilled(share).wrapped)
        if face.kind == "cylinder" and face.canonical.Radius() == pytest.approx(RADIUS)
    )
    levels = [sheet.high for sheet in sheets_of(wall)[:-1]]
    assert len(levels) == times
    if times:
        apart = (levels[1] - levels[0]) % math.tau
        expected = 2.0 * math.acos(share)
        assert min(apart, math.tau - apart) == pytest.approx(expected, abs=1e-6)
