"""Laws: what sticks out or cuts in askew sweeps its exact outline.

Oracle: points on the added or cutting surface itself, by its own formula, seen as (z, r). All lie
within the outline, and the outline is met by them to 1 µm (they are dense to a tenth of that).
"""

import math

import cadquery as cq
import numpy as np
import pytest

from turnability.half_plane.curves import flatten_ring
from turnability.half_plane.inside import distance_to, polygon_distance, polygon_holds
from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
WITHIN_MM = 1e-3


def read(shape):
    (solid,) = shape.solids().vals()
    return part_of(solid.wrapped, SOURCE, ())


def outline(part):
    return part.profile.loops[0].ring


def flat_end(radius, foot, way, length):
    """Points (z, r) of the rim and wall of a round pin's far end, close together."""
    way = np.array(way) / np.linalg.norm(way)
    x = np.cross(way, (0.0, 0.0, 1.0))
    x /= np.linalg.norm(x)
    y = np.cross(way, x)
    turn = np.linspace(0.0, math.tau, 20001)
    rim = (
        np.array(foot)
        + length * way
        + radius * (np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * y)
    )
    return np.column_stack((rim[:, 2], np.hypot(rim[:, 0], rim[:, 1])))


@pytest.mark.parametrize("lean", [0.0, 0.3, 0.7])
@pytest.mark.parametrize("aside", [0.0, 2.5])
def test_an_oblique_pin_sweeps_the_outline_of_its_rim(lean, aside):
    foot, way, length = (0.0, aside, 20.0), (1.0, 0.0, lean), 25.0
    pin = cq.Workplane(cq.Solid.makeCylinder(3.0, length, cq.Vector(*foot), cq.Vector(*way)))
    part = read(cq.Workplane().circle(12).extrude(40).union(pin))
    rim = flat_end(3.0, foot, way, length)
    ring = flatten_ring(outline(part), 1e-5)
    inside = polygon_holds(ring, rim) | (polygon_distance([ring], rim) <= WITHIN_MM)
    assert inside.all()
    farthest = rim[rim[:, 1].argmax()]
    assert part.profile.max_diameter_mm / 2.0 == pytest.approx(farthest[1], abs=WITHIN_MM)
    assert polygon_distance([ring], farthest[None])[0] <= WITHIN_MM
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("sides", [6, 8])
def test_a_prism_chamfered_on_its_corners_keeps_cone_and_corner_cylinder(sides):
    across = 20.0
    corner = across / 2.0 / math.cos(math.pi / sides)
    cone = cq.Workplane("XZ").polyline(
        [(0, 0), (across / 2, 0), (across, across / 2), (0, across / 2)]
    )
    prism = cq.Workplane().polygon(sides, 2.0 * corner).extrude(across / 2)
    part = read(prism.intersect(cone.close().revolve(360, (0, 0, 0), (0, 1, 0))))
    assert part.profile.max_diameter_mm == pytest.approx(2.0 * corner, abs=1e-6)
    # the cone meets the corners at the height by which they stand out
    heights = [c.start[0] for c in outline(part)] + [c.end[0] for c in outline(part)]
    assert min(abs(z - (corner - across / 2.0)) for z in heights) < 1e-6
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("aside", [0.0, 1.0, 4.0])
def test_a_ball_nosed_slot_leaves_the_round_it_does_not_wholly_cut(aside):
    """A slot across the end with a half round floor of radius 4, `aside` of the axis."""
    tool = cq.Workplane("XZ").center(aside, 34).circle(4).extrude(60, both=True)
    open_ = cq.Workplane().box(8, 120, 20).translate((aside, 0, 44))
    part = read(cq.Workplane().circle(15).extrude(40).cut(tool).cut(open_))
    # a circle of radius r is gone where all of it is nearer than 4 to the slot's middle plane
    gone = max(0.0, 4.0 - aside)
    floor = 34.0 - math.sqrt(16.0 - aside**2) if gone else 40.0
    on_axis = [c for c in outline(part) if abs(c.start[1]) < 1e-6 or abs(c.end[1]) < 1e-6]
    top = max(max(c.start[0] if c.start[1] < 1e-6 else 0, c.end[0] if c.end[1] < 1e-6 else 0)
              for c in on_axis)  # fmt: skip
    assert top == pytest.approx(floor, abs=WITHIN_MM)
    if gone:
        rim = np.array([[37.0, gone]])
        assert distance_to((outline(part),), rim)[0] <= WITHIN_MM
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("way", [(0, 0, 1), (1, 0, 0), (0.3, 0.5, 0.8)])
def test_a_ball_shaped_cavity_on_the_axis_is_one_whatever_way_its_poles_lie(way):
    """The kernel's own seam then crosses the axis and says nothing of how far the ball reaches."""
    ball = cq.Solid.makeSphere(5.0, angleDegrees1=-90, angleDegrees2=90)
    axis = cq.Vector(0, 0, 1).cross(cq.Vector(*way))
    if axis.Length > 0.0:
        ball = ball.rotate(
            cq.Vector(), axis, math.degrees(cq.Vector(0, 0, 1).getAngle(cq.Vector(*way)))
        )
    part = read(cq.Workplane().circle(10).extrude(40).cut(cq.Workplane(ball).translate((0, 0, 20))))
    (inner,) = (s for s in part.profile.segments if s.surface == "inner")
    assert inner.curve.radius == pytest.approx(5.0)
    assert inner.curve.centre == pytest.approx((20.0, 0.0), abs=1e-9)
    assert part.departures == ()
    assert part.profile.volume_mm3 == pytest.approx(math.pi * (4000 - 500 / 3), rel=1e-9)


@pytest.mark.parametrize(("across", "along"), [(3.0, 4.0), (4.0, 4.0), (4.0, 5.5)])
def test_two_holes_that_cross_on_the_axis_close_the_books(across, along):
    def hole(plane, radius):
        return cq.Workplane(plane).center(0, 30).circle(radius).extrude(40, both=True)

    rod = cq.Workplane().circle(15).extrude(60)
    part = read(rod.cut(hole("XZ", across)).cut(hole("YZ", along)))
    assert [d.kind for d in part.departures] == ["hole", "hole"]
    assert part.doubts == ()
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)
    if across == along:
        # each hole takes the integral of its chords; what the two share is Steinmetz's 16/3 r^3
        turn = np.linspace(-math.pi / 2.0, math.pi / 2.0, 4001)
        chords = 2.0 * np.sqrt(225.0 - (across * np.sin(turn)) ** 2)
        one = np.trapezoid(2.0 * (across * np.cos(turn)) ** 2 * chords, turn)
        taken = part.profile.departures_volume_mm3
        assert taken == pytest.approx(2.0 * one - 16.0 / 3.0 * across**3, rel=1e-6)
