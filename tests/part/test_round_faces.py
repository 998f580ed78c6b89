"""Spherical faces whose other side the CAD kernel took: found, and made anew on the same edges."""

import math

import cadquery as cq
import numpy as np
import pytest
from level_bodies import turning
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools_ReShape
from OCP.Geom import Geom_BSplineSurface
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.ShapeUpgrade import ShapeUpgrade_ShapeDivideClosed
from OCP.TColgp import TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopoDS import TopoDS
from random_solids import moved, resurfaced, write_step

from turnability.part.reading.laid_balls import seamless
from turnability.part.reading.read import read_solids
from turnability.part.reading.round_sides import Side
from turnability.part.reading.spheres import ball_of
from turnability.part.turned import part_of

X = cq.Vector(1, 0, 0)
ORIGIN = cq.Vector()


def area(face):
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, props, 1e-9, False)
    return props.Mass()


def round_face(solid):
    (face,) = (f for f in solid.Faces() if f.geomType() == "SPHERE")
    return TopoDS.Face_s(face.wrapped)


def side(face, *, turned):
    return Side(face, ball_of(face), turned=turned)


def ball(radius, x=0.0, y=0.0, z=0.0):
    made = cq.Solid.makeSphere(radius, angleDegrees1=-90, angleDegrees2=90)
    return made.translate(cq.Vector(x, y, z))


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-9, False)
    return props.Mass()


def read_back(shape, tmp_path):
    path = tmp_path / "part.step"
    write_step(shape, path, "MM")
    (read,) = read_solids(path)
    return read


@pytest.mark.parametrize("height", [2.0, 5.0, 9.0, 13.0])
@pytest.mark.parametrize("tilt", [0.0, 40.0, 90.0])
def test_the_other_side_of_a_rim_is_the_cap_that_was_cut_off(height, tilt):
    """A cap of height h has 2 pi r h, the rest of the ball 2 pi r (2 r - h); no pole matters."""
    off = cq.Workplane().box(60, 60, 20).translate((0, 0, 20.0 - height))
    cut = cq.Workplane().sphere(10.0).cut(off.rotate((0, 0, 0), (1, 0, 0), tilt))
    rest = round_face(cut.val())
    assert area(rest) == pytest.approx(math.tau * 10.0 * (20.0 - height), rel=1e-8)
    assert side(rest, turned=False).is_held_by(rest)
    assert not side(rest, turned=True).is_held_by(rest)
    for turned, expected in ((True, height), (False, 20.0 - height)):
        made = side(rest, turned=turned).face()
        assert made is not None
        assert BRepCheck_Analyzer(made).IsValid()
        assert area(made) == pytest.approx(math.tau * 10.0 * expected, rel=1e-8)


def test_a_zone_between_two_rims_is_made_anew_as_it_was():
    """Archimedes: a zone of height h has 2 pi r h. The solid of the new face has its volume:
    pi h (3 a² + 3 b² + h²) / 6 with the radii a and b of its ends."""
    slab = cq.Workplane().box(60, 60, 8).translate((0, 0, 1))
    belt = cq.Workplane().sphere(10.0).intersect(slab).val()
    face = round_face(belt)
    made = side(face, turned=False).face()
    assert made is not None
    assert area(made) == pytest.approx(math.tau * 10.0 * 8.0, rel=1e-8)
    change = BRepTools_ReShape()
    change.Replace(face, made)
    a2, b2, h = 100.0 - 25.0, 100.0 - 9.0, 8.0
    expected = math.pi * h * (3 * a2 + 3 * b2 + h * h) / 6.0
    assert volume(change.Apply(belt.wrapped)) == pytest.approx(expected, rel=1e-8)


def test_half_a_ball_is_made_anew_though_every_seam_crosses_its_rim():
    """2 pi r² on either side, its middle at r / 2 (Archimedes).

    Poles of a sphere lie on both sides of a great circle or on it.
    """
    half = cq.Workplane().sphere(10.0).cut(cq.Workplane().box(60, 60, 60).translate((0, 0, 30)))
    face = round_face(half.val())
    for turned in (False, True):
        made = side(face, turned=turned).face()
        assert made is not None
        assert BRepCheck_Analyzer(made).IsValid()
        assert area(made) == pytest.approx(math.tau * 100.0, rel=2e-7)
        props = GProp_GProps()
        BRepGProp.SurfaceProperties_s(made, props, 1e-9, False)
        assert props.CentreOfMass().Z() == pytest.approx(5.0 if turned else -5.0, abs=1e-5)


@pytest.mark.parametrize("apart", [0.2, 1.0, 3.0])
def test_a_sphere_without_a_seam_is_one_all_over_with_its_normal_outward(apart):
    """It leaves the place out that it is told, and half as far about it."""
    (far,) = np.array([[2.0, -3.0, 6.0]]) / 7.0
    made = seamless(ball_of(round_face(ball(5.0, 1.0, 2.0, 3.0))), far, apart).surface
    centre, most = np.array([1.0, 2.0, 3.0]), 1.0 / math.tan(apart / 4.0)
    for u in np.linspace(-most, most, 9):
        for v in np.linspace(-most, most, 9):
            point, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
            made.D1(float(u), float(v), point, du, dv)
            out = np.array([point.X(), point.Y(), point.Z()]) - centre
            assert np.linalg.norm(out) == pytest.approx(5.0, rel=1e-12)
            normal = du.Crossed(dv)
            assert out @ (normal.X(), normal.Y(), normal.Z()) > 0.0
            angle = math.acos(min(1.0, out @ far / 5.0))
            assert angle >= 0.7 * apart / 2.0  # corners of the square reach nearer than its sides


@pytest.mark.parametrize("how", ["plain", "revolution"])
def test_a_quarter_of_a_ball_hollowed_from_an_edge_keeps_its_side(how, tmp_path):
    """A quarter of a ball of 4 pi r³ / 3, its rim two half circles from pole to pole."""
    block = cq.Workplane().box(40, 40, 40, centered=False).val()
    drawn = block.cut(ball(6.0, 20.0, 0.0, 0.0)).Solids()[0]
    read = read_back(resurfaced(drawn.wrapped, how), tmp_path)
    assert read.doubts == ()
    assert volume(read.shape) == pytest.approx(64000.0 - math.pi * 216.0 / 3.0, rel=1e-8)


@pytest.mark.parametrize(("apart", "cuts"), [(0.0, 1), (0.0, 2), (0.0, 3), (3.0, 0), (7.0, 0)])
def test_a_cavity_of_turned_circles_looks_as_the_file_says(apart, cuts, tmp_path):
    """One ball, in halves, thirds and quarters, and two balls that meet.

    4 pi r³ / 3 each, less the lens that they share.
    """
    bar = cq.Workplane().box(40, 40, 40).val()
    drawn = bar.cut(ball(5.0)).cut(ball(5.0, apart)) if apart else bar.cut(ball(5.0))
    stored = resurfaced(drawn.Solids()[0].wrapped, "revolution")
    if cuts:
        halves = ShapeUpgrade_ShapeDivideClosed(stored)
        halves.SetNbSplitPoints(cuts)
        halves.Perform()
        stored = halves.Result()
    read = read_back(cq.Shape.cast(stored).Solids()[0].wrapped, tmp_path)
    lens = math.pi * (10.0 + apart / 2.0) * (5.0 - apart / 2.0) ** 2 * 2.0 / 3.0
    cavity = 4.0 / 3.0 * math.pi * 125.0 * 2.0 - lens
    assert read.doubts == ()
    assert volume(read.shape) == pytest.approx(64000.0 - cavity, rel=1e-8)


@pytest.mark.parametrize(
    ("turned_at", "journal_off", "journal_radius", "radius", "tilt", "x", "height"),
    [
        (13, 1, 7, 6, 60, 19, 4),  # the kernel alone: 14 % more volume
        (13, 2, 9, 6, 200, 19, 4),  # 12 %
        (14, 4, 6, 6, 45, 20, 6),  # 6 %
        (10, 4, 8, 3, 60, 20, 5),  # traces that lie 0.1 µm off the edges
    ],
)
def test_a_ball_cut_over_an_eccentric_journal_keeps_its_side(
    turned_at, journal_off, journal_radius, radius, tilt, x, height, tmp_path
):
    """The solid as it was before it was written has the volume, made directly."""
    journal = cq.Solid.makeCylinder(journal_radius, 20, cq.Vector(20, journal_off, 0), X)
    body = cq.Solid.makeCylinder(turned_at, 20, ORIGIN, X).fuse(journal)
    solid = body.cut(ball(radius, x, 0, height).rotate(ORIGIN, X, tilt)).Solids()[0]
    read = read_back(solid.wrapped, tmp_path)
    assert volume(read.shape) == pytest.approx(volume(solid.wrapped), rel=1e-7)
    assert any("other side of the rim" in remark for remark in read.remarks)
    assert read.doubts == ()


def test_a_cavity_looks_against_the_outer_shell_and_is_right(tmp_path):
    """A void's shell is stated turned; its few faces are no odd ones among the many outside."""
    lens = ball(4, 8, 0, 0).intersect(ball(4, 10, 0, 0))
    bar = cq.Workplane("YZ").polygon(8, 24).extrude(20).val()
    for hollow in (ball(3, 10, 0, 1), lens):
        solid = bar.cut(hollow).Solids()[0]
        read = read_back(solid.wrapped, tmp_path)
        assert (read.remarks, read.doubts) == ((), ())
        assert volume(read.shape) == pytest.approx(volume(solid.wrapped), rel=1e-9)


def test_a_nick_thinner_than_the_places_asked_leaves_the_ball_its_side(tmp_path):
    """The step's corner cuts 0.14 % of a ball-shaped cavity away."""
    journal = cq.Solid.makeCylinder(10, 20, cq.Vector(20, 4, 0), X)
    body = cq.Solid.makeCylinder(9, 20, ORIGIN, X).fuse(journal)
    solid = body.cut(ball(2, 19, 0, 5).rotate(ORIGIN, X, 45)).Solids()[0]
    read = read_back(solid.wrapped, tmp_path)
    assert (read.remarks, read.doubts) == ((), ())
    assert volume(read.shape) == pytest.approx(volume(solid.wrapped), rel=1e-7)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("inside_out", [False, True])
@pytest.mark.parametrize("radius", [3.0, 6.0, 11.0])
def test_a_whole_circle_turned_about_its_diameter_is_the_half_it_begins_with(
    radius, inside_out, mirrored, tmp_path
):
    """It covers its sphere twice, with normals both ways; the circle's own half says which."""
    bar = cq.Solid.makeCylinder(10, 30, ORIGIN, X).cut(ball(radius, 28, 0, 9)).Solids()[0]
    shape = resurfaced(bar.wrapped, "revolution")
    if mirrored:
        mirror = gp_Trsf()
        mirror.SetMirror(gp_Ax2(gp_Pnt(), gp_Dir(0.3, 0.5, 0.8)))
        shape = moved(shape, mirror)
    read = read_back(shape.Reversed() if inside_out else shape, tmp_path)
    assert read.doubts == ()
    assert volume(read.shape) == pytest.approx(volume(bar.wrapped), rel=1e-6)


@pytest.mark.shared_parts
def test_a_quarter_of_a_sphere_that_the_kernel_took_for_three_is_put_right(shared_parts):
    """Its volume by hand: the shell between R59 and R60 over half a ball, less the tube's mouth
    (R17 inside; the cap over it has 18 outside), and the tube up to it."""
    (read,) = read_solids(shared_parts / "sphere_head_inch.step")
    assert any("other side of the rim" in remark for remark in read.remarks)
    part = part_of(read.shape, read.source, read.step_ids, read.remarks)
    assert part.doubts == ()
    half_shell = 2.0 / 3.0 * math.pi * (60.0**3 - 59.0**3)

    def cap(r):
        height = 60.0 - math.sqrt(3600.0 - r * r)
        return math.pi * height**2 * (60.0 - height / 3.0)

    def above(r, wall):
        """Between the plane 70 before the ball's middle and the ball, within radius r."""
        return math.pi * r * r * (70.0 - 60.0 + 60.0 - math.sqrt(3600.0 - r * r)) - cap(r) + wall

    tube = above(18.0, 0.0) - above(17.0, 0.0)
    # the tube ends on the ball: at 17 inside, at 18 outside
    assert part.profile.solid_volume_mm3 == pytest.approx(half_shell + tube, rel=1e-4)


@pytest.mark.parametrize("how", ["nurbs", "revolution"])
@pytest.mark.parametrize(
    ("radius", "at", "aside", "turn"), [(8.46, 17.21, 7.08, 124.0), (10.74, 31.4, 7.68, 184.0)]
)
def test_a_round_face_that_was_parted_at_its_rims_is_one_again(
    how, radius, at, aside, turn, tmp_path
):
    """The hollow opens through the outside, or an end, in rims of their own beside a slot's."""
    bar = turning((0, 0), (40, 0), (40, 15), (0, 15)).shape
    hollow = ball(radius, at, aside).rotate(ORIGIN, X, turn)
    slot = cq.Solid.makeBox(35.0, 6.0, 51.0, cq.Vector(25.0, -3.0, 9.0))
    (drawn,) = bar.cut(hollow).cut(slot).Solids()
    stored = resurfaced(drawn.wrapped, how)
    read = read_back(stored, tmp_path)
    assert read.remarks == (
        "1 spherical face was not read as the file says; read again on spheres whose poles and "
        "seams lie clear of their rims",
    )
    assert read.doubts == ()
    assert None not in read.step_ids
    assert len(set(read.step_ids)) == len(drawn.Faces())
    assert BRepCheck_Analyzer(read.shape).IsValid()
    assert volume(read.shape) == pytest.approx(volume(drawn.wrapped), rel=1e-6)


def bspline_face(height):
    """A face whose poles on a lattice of 4 by 4, 10 mm apart, have these heights."""
    poles, ends = TColgp_Array2OfPnt(1, 4, 1, 4), TColStd_Array1OfReal(1, 2)
    times = TColStd_Array1OfInteger(1, 2)
    for i in range(4):
        for j in range(4):
            poles.SetValue(i + 1, j + 1, gp_Pnt(10.0 * i, 10.0 * j, height(i, j)))
    for k in (1, 2):
        ends.SetValue(k, k - 1.0)
        times.SetValue(k, 4)
    surface = Geom_BSplineSurface(poles, ends, ends, times, times, 3, 3)
    return BRepBuilderAPI_MakeFace(surface, 1e-6).Face()


def test_what_is_nearly_flat_is_no_ball():
    """1 µm of waves on 30 mm: a sphere of kilometres comes as near to it as that."""
    wavy = bspline_face(lambda i, j: 1e-3 * (-1) ** (i * j) + 2e-5 * (i * i + j * j))
    assert ball_of(wavy) is None


def test_a_ball_saved_as_a_spline_is_one():
    stored = resurfaced(ball(4.0, 1.0, 2.0, 3.0).wrapped, "nurbs")
    (found,) = (ball_of(TopoDS.Face_s(face.wrapped)) for face in cq.Shape.cast(stored).Faces())
    assert found.radius == pytest.approx(4.0, rel=1e-9)
    assert found.centre == pytest.approx([1.0, 2.0, 3.0], abs=1e-8)
