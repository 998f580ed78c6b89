"""Holes in a disc, whose volumes follow from how they are drawn; sizes are ours."""

import math

import cadquery as cq
import pytest

from turnability.part.departures import find
from turnability.part.model import Source
from turnability.part.turned import part_of
from turnability.part.turned_body import meridian

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
DISC = cq.Workplane().circle(30).extrude(12)
THROUGH = math.pi * 3**2 * 12
WAY_IN = math.pi * 4**2 * 5
"""A blind hole's, flat at 7."""


def read(shape):
    (solid,) = shape.solids().vals()
    return part_of(solid.wrapped, SOURCE, ())


def drilled(disc=DISC):
    """A through hole at (18, 0) and a blind one at (0, 18) from the top."""
    return disc.cut(cq.Workplane().center(18, 0).circle(3).extrude(12)).cut(
        cq.Workplane(origin=(0, 18, 7)).circle(4).extrude(5)
    )


def volumes(part):
    return sorted(d.volume_mm3 for d in part.departures)


@pytest.fixture
def circles(monkeypatch):
    """How many groups of faces circles round the axis were asked about, each time."""
    asked, plainly = [], find.close_books

    def counted(solid, groups, *more):
        asked.append(len(groups))
        return plainly(solid, groups, *more)

    monkeypatch.setattr(find, "close_books", counted)
    return asked


def test_holes_from_face_to_face_and_into_one_are_told_by_their_own_faces(circles):
    part = read(drilled())
    assert volumes(part) == pytest.approx(sorted((THROUGH, WAY_IN)), rel=1e-9)
    assert circles == []


def test_so_are_a_counterbored_hole_and_a_pocket_of_any_outline(circles):
    hole = cq.Workplane().center(18, 0).circle(3).extrude(12)
    hole = hole.union(cq.Workplane(origin=(18, 0, 8)).circle(5).extrude(4))
    pocket = cq.Workplane(origin=(-18, 0, 9)).rect(6, 14).extrude(3).edges("|Z").fillet(2)
    part = read(DISC.cut(hole).cut(pocket))
    sunk = THROUGH + math.pi * (5**2 - 3**2) * 4
    milled = (6 * 14 - (4 - math.pi) * 2**2) * 3
    assert volumes(part) == pytest.approx(sorted((sunk, milled)), rel=1e-9)
    assert circles == []


def test_a_notch_in_the_rim_is_left_to_circles_and_the_holes_are_not(circles):
    notch = cq.Workplane(origin=(0, -30, 0)).rect(8, 8).extrude(12)
    part = read(drilled().cut(notch))
    assert circles == [1]
    under_rim = 4 * math.sqrt(30**2 - 4**2) + 30**2 * math.asin(4 / 30)  # 4 to either side of y
    cut = (under_rim - 8 * 26) * 12
    assert volumes(part) == pytest.approx(sorted((THROUGH, WAY_IN, cut)), rel=1e-6)


def test_a_pocket_whose_island_stands_out_of_its_face_is_no_plain_one(circles):
    """A taller pin elsewhere sweeps the ring in which it stands: the books have both together."""
    sunk = cq.Workplane(origin=(18, 0, 7)).rect(12, 12).extrude(5)
    island = cq.Workplane(origin=(18, 0, 7)).circle(2).extrude(6)
    pin = cq.Workplane(origin=(-18, 0, 12)).circle(4).extrude(3)
    part = read(DISC.cut(sunk).union(island).union(pin))
    assert circles == [2]
    swept = math.pi * (22**2 - 14**2) * 3
    missing = 12 * 12 * 5 - math.pi * 2**2 * 6 + swept - math.pi * 4**2 * 3
    known = [d.volume_mm3 for d in part.departures if d.volume_mm3 is not None]
    assert known == pytest.approx([missing], rel=1e-6)


def test_what_would_leave_the_books_open_is_not_believed(circles, monkeypatch):
    plainly = find.pocket_volumes

    def amiss(*asked):
        return [volume and 1.01 * volume for volume in plainly(*asked)]

    monkeypatch.setattr(find, "pocket_volumes", amiss)
    part = read(drilled())
    assert circles == [2]
    assert volumes(part) == pytest.approx(sorted((THROUGH, WAY_IN)), rel=1e-9)


def test_the_meridian_is_not_asked_about_what_pockets_aside_of_the_axis_look_like(monkeypatch):
    def dear(*_):
        raise AssertionError("a hole's image was worked out")

    monkeypatch.setattr(meridian, "fold_images", dear)
    (loop,) = read(drilled()).profile.loops
    assert {s.curve.end for s in loop.segments} == {
        (0.0, 0.0),
        (0.0, 30.0),
        (12.0, 30.0),
        (12.0, 0.0),
    }


def test_an_eccentric_bore_over_the_axis_is_no_pocket_aside_of_it():
    """Its near wall bounds what is missing all round: a bore of radius 6 - 4 about the axis."""
    part = read(DISC.cut(cq.Workplane().center(4, 0).circle(6).extrude(12)))
    assert part.profile is not None
    assert part.profile.through_bore_mm == pytest.approx(4.0, abs=1e-6)
