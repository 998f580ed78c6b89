"""Spherical faces stated otherwise in the text, and exact traces on spheres laid anew."""

import math
import random

import cadquery as cq
import numpy as np
import pytest
from level_bodies import turning
from OCP.BRepGProp import BRepGProp
from OCP.Geom import Geom_Circle
from OCP.GeomConvert import GeomConvert
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.ShapeUpgrade import ShapeUpgrade_ShapeDivideClosed
from OCP.STEPControl import STEPControl_Reader
from random_solids import moved, random_move, resurfaced, write_step

from turnability.part.reading.laid_balls import seamless, sphere_about
from turnability.part.reading.pointed_faces import with_arcs
from turnability.part.reading.read import read_solids
from turnability.part.reading.restated_balls import balls_restated
from turnability.part.reading.spheres import Ball
from turnability.part.reading.step_text import read_step_text
from turnability.part.said import books_error
from turnability.part.turned import part_of

X = cq.Vector(1, 0, 0)
ORIGIN = cq.Vector()
UPRIGHT = cq.Vector(0, 0, 1)


def ball(radius, at=ORIGIN, pole=UPRIGHT):
    """Its pole decides where seams meet rims."""
    return cq.Solid.makeSphere(radius, ORIGIN, pole, -90, 90, 360).translate(at)


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-9, False, False)
    return abs(props.Mass())


def divided(shape):
    closed = ShapeUpgrade_ShapeDivideClosed(shape)
    closed.SetNbSplitPoints(1)
    closed.Perform()
    return closed.Result()


def restated(path):
    """The text of a file with all its balls stated anew, and how many faces those are."""
    text = read_step_text(path)
    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    model = reader.StepModel()
    balls = balls_restated(text, lambda n: model.Value(text.instances[n].place + 1), text.faces)
    return with_arcs(text, balls).text, len(balls.senses)


BLOCK = 40.0**3


@pytest.mark.parametrize("how", ["plain", "nurbs", "revolution", "nurbs closed"])
@pytest.mark.parametrize("pole", [cq.Vector(0, 0, 1), cq.Vector(0.3, 0.5, 0.8)])
@pytest.mark.parametrize(
    ("middle", "expected"),
    [
        # all volumes of a ball of 6 mm about `middle`, the block from 0 to 40 each way
        ((20.0, 20.0, 0.0), BLOCK - 2.0 / 3.0 * math.pi * 216.0),  # half
        ((20.0, 0.0, 0.0), BLOCK - math.pi * 216.0 / 3.0),  # a quarter
        ((0.0, 0.0, 0.0), BLOCK - math.pi * 216.0 / 6.0),  # an eighth
        ((20.0, 20.0, 3.0), BLOCK - 4.0 / 3.0 * math.pi * 216.0 + math.pi * 9.0 * 15.0 / 3.0),
        ((20.0, 20.0, -3.0), BLOCK - math.pi * 9.0 * 15.0 / 3.0),  # caps of pi h² (3 r - h) / 3
    ],
)
def test_a_ball_stated_anew_is_the_same_side_of_its_rim(middle, expected, pole, how, tmp_path):
    block = cq.Workplane().box(40, 40, 40, centered=False).val()
    (drawn,) = block.cut(ball(6.0, cq.Vector(*middle), pole)).Solids()
    stored = resurfaced(drawn.wrapped, how.split()[0])
    if "closed" in how:
        stored = divided(stored)
    path = tmp_path / "part.step"
    write_step(cq.Shape.cast(stored).Solids()[0].wrapped, path, "INCH")
    said, count = restated(path)
    assert count >= 1
    path.write_text(said)
    (read,) = read_solids(path)
    assert read.doubts == ()
    assert volume(read.shape) == pytest.approx(expected, rel=1e-6)


def stepped_bar():
    """A ball's hollow opens through its steps and is cut by a slot."""
    corners = ((0, 0), (40, 0), (40, 15), (30, 15), (28, 11), (20, 11), (20, 15), (0, 15))
    hollow = ball(7.155, cq.Vector(27.59, 8.715, 0)).rotate(ORIGIN, X, 172.5)
    slot = cq.Solid.makeBox(35.0, 6.0, 51.0, cq.Vector(25.0, -3.0, 9.0))
    return turning(*corners).shape.cut(hollow).cut(slot).Solids()[0]


def ball_and_ring():
    """A ball's hollow and one of a ring, both askew, at a twentieth: its rim has three loops."""
    corners = (
        (0, 0), (0, 13.5), (12.5, 13.5), (12.5, 13.4), (17.9, 13.4), (19.9, 8.64), (33.54, 8.64),
        (33.54, 9.63), (39.54, 9.63), (39.54, 0),
    )  # fmt: skip
    hollow = ball(6.04, cq.Vector(13.31, -2.62, 8.6), cq.Vector(2.0, -1.98, 1.48))
    ring = cq.Solid.makeTorus(5.4, 2.83, ORIGIN, cq.Vector(-0.83, 1.44, -0.2))
    ring = ring.translate(cq.Vector(19.54, -3.26, -0.51))
    return turning(*corners).shape.cut(hollow).cut(ring).Solids()[0].scale(0.05)


@pytest.mark.parametrize("move", [0, 2])
@pytest.mark.parametrize(
    ("make", "how", "faces"), [(stepped_bar, "nurbs", 2), (ball_and_ring, "revolution", 1)]
)
def test_a_ball_whose_rim_the_kernel_cuts_or_tangles_is_read_again(
    make, how, faces, move, tmp_path
):
    """The kernel alone: edges 0.7 mm off their faces; 9 % more volume."""
    drawn = make()
    placed = moved(resurfaced(drawn.wrapped, how), random_move(random.Random(move), 60.0))
    path = tmp_path / "part.step"
    write_step(placed, path, "MM")
    (read,) = read_solids(path)
    which = "1 spherical face was" if faces == 1 else f"{faces} spherical faces were"
    assert read.remarks == (
        f"{which} not read as the file says; read again on spheres whose poles and seams lie "
        "clear of their rims",
    )
    assert read.doubts == ()
    assert volume(read.shape) == pytest.approx(volume(drawn.wrapped), rel=2e-7)
    part = part_of(read.shape, read.source, read.step_ids, read.remarks)
    assert abs(books_error(part.profile)) < 1e-6


@pytest.mark.parametrize(
    ("pole", "flat_at", "turn", "hole", "how", "move"),
    [
        ((-1.31, -0.24, 1.18), 13.82, 131.3, None, "nurbs", 0),
        ((-1.59, -0.5, -0.03), 7.86, 347.6, None, "revolution", 0),
        ((2.07, 1.32, 0.96), 13.41, 269.0, (2.05, 3.55, 7.45), "nurbs", 0),
        # leaves 1 mm² of a face
        ((-0.71, 0.42, 0.61), 10.29, 198.5, (2.92, 6.4, -6.85), "nurbs", 0),
        # one solid, but its face laps itself: 0.3 % more volume
        ((0.69, 0.33, 0.22), 13.03, 208.1, (1.18, 4.89, -4.99), "plain", 3),
        # the kernel's bounds leave the ball's end out, and the meridian was not closed there
        ((0.94, 1.04, 0.05), 10.64, 323.4, (1.12, 7.59, -1.38), "nurbs", 0),
    ],
)
def test_a_ball_knob_is_one_solid_though_the_kernel_makes_several_of_it(
    pole, flat_at, turn, hole, how, move, tmp_path
):
    """A ball on a rod with a flat and a hole along it: its face has two rims and more."""
    knob = ball(20.0, ORIGIN, cq.Vector(*pole)).fuse(cq.Solid.makeCylinder(6, 40, ORIGIN, X))
    beyond = cq.Solid.makeBox(60, 60, 40, cq.Vector(-30, -30, flat_at)).rotate(ORIGIN, X, turn)
    knob = knob.cut(beyond)
    if hole is not None:
        radius, y, z = hole
        knob = knob.cut(cq.Solid.makeCylinder(radius, 60, cq.Vector(-25, y, z), X))
    (drawn,) = knob.Solids()
    placed = moved(resurfaced(drawn.wrapped, how), random_move(random.Random(move), 60.0))
    path = tmp_path / "part.step"
    write_step(placed, path, "MM")
    (read,) = read_solids(path)
    assert read.doubts == ()
    assert None not in read.step_ids
    assert volume(read.shape) == pytest.approx(volume(drawn.wrapped), rel=5e-7)
    part = part_of(read.shape, read.source, read.step_ids, read.remarks)
    assert abs(books_error(part.profile)) < 1e-6


UP = np.array([0.0, 0.0, 1.0])
ASIDE = np.array([1.0, 0.0, 0.0])


def circle_on(laid, middle, width):
    """The circle of all places of a ball that lie `width` radians from one."""
    at = laid.ball.centre + laid.ball.radius * math.cos(width) * middle
    frame = gp_Ax2(gp_Pnt(*at.tolist()), gp_Dir(*middle.tolist()))
    return Geom_Circle(frame, laid.ball.radius * math.sin(width))


@pytest.mark.parametrize("as_spline", [False, True])
@pytest.mark.parametrize(
    ("laid", "middle", "width"),
    [
        (sphere_about, (-0.6, 0.0, 0.8), 0.6),  # passes the pole at 0.044 radians
        (sphere_about, (-0.8, 0.6, 0.0), 0.5),
        (seamless, (0.6, 0.0, 0.8), 1.5),
        (seamless, (0.0, 0.0, -1.0), math.pi / 2.0),  # half the ball
    ],
)
def test_a_trace_on_a_sphere_follows_its_edge_all_along(laid, middle, width, as_spline):
    """Also of 5 m radius, where the kernel gives none."""
    middle = np.array(middle)
    ball_at = Ball(np.array([10.0, -20.0, 30.0]), 5000.0)
    made = laid(ball_at, UP, ASIDE) if laid is sphere_about else laid(ball_at, middle, 0.9)
    edge = circle_on(made, -middle if laid is seamless else middle, width)
    if as_spline:
        edge = GeomConvert.CurveToBSplineCurve_s(edge)
    first, last = edge.FirstParameter(), edge.LastParameter()
    trace = made.trace(edge, first, last)
    for t in np.linspace(first, last, 997).tolist():
        place = trace.Value(t)
        assert made.surface.Value(place.X(), place.Y()).Distance(edge.Value(t)) < 5000.0 * 1e-9
