"""Laws: what a free-form face was made from is found again, and what it was not is not.

The surfaces are the kernel's own, converted to B-splines by the kernel; threads are the kernel's
helicoids.
"""

import math

import cadquery as cq
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
from OCP.ShapeCustom import ShapeCustom
from random_solids import resurfaced

from turnability.part.axis import axis_candidates
from turnability.part.faces_of_solid import RECOVER_MM, kernel_faces
from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)


def swept(*points):
    return cq.Workplane("XY").polyline(points).close().revolve(360, (0, 0, 0), (1, 0, 0)).val()


def bowed(height):
    """A body whose outside is an arc that rises by `height` in the middle."""
    wire = cq.Workplane("XY").lineTo(10, 0).lineTo(10, 5).threePointArc((5, 5 + height), (0, 5))
    return wire.close().revolve(360, (0, 0, 0), (1, 0, 0)).val()


SOLIDS = {
    "steps": (swept((0, 0), (10, 0), (10, 6), (4, 6), (4, 9), (0, 9)), {"plane", "cylinder"}),
    "taper": (swept((0, 0), (10, 0), (10, 6), (0, 9)), {"plane", "cone"}),
    "point": (swept((0, 0), (10, 0), (0, 9)), {"plane", "cone"}),
    "half a ball": (
        cq.Solid.makeSphere(7, cq.Vector(3, 4, 5), cq.Vector(1, 2, 3)),
        {"sphere", "plane"},
    ),
    "ring": (cq.Solid.makeTorus(20, 4, cq.Vector(3, 4, 5), cq.Vector(1, 2, 3)), {"torus"}),
    "barrel": (bowed(1.0), {"plane", "torus"}),
    "hourglass": (bowed(-1.0), {"plane", "torus"}),
    "block": (cq.Workplane().box(3, 4, 5).val(), {"plane"}),
}


@pytest.mark.parametrize("name", SOLIDS)
@pytest.mark.parametrize("way", ["nurbs", "revolution"])
def test_canonical_surfaces_are_found_again(name, way):
    solid, kinds = SOLIDS[name]
    turned = solid.rotate(cq.Vector(0, 0, 0), cq.Vector(1, 2, 3), 40).wrapped
    if way == "nurbs":
        turned = BRepBuilderAPI_NurbsConvert(turned, True).Shape()
    else:
        turned = ShapeCustom.ConvertToRevolution_s(turned)
    faces = kernel_faces(turned)
    assert {face.kind for face in faces} == kinds
    assert all(face.recovered_gap_mm is None or face.recovered_gap_mm < 1e-9 for face in faces)
    assert way == "revolution" or all(face.recovered_gap_mm is not None for face in faces)


def nearly_cylinder(off):
    """A cylinder of radius 5 whose generatrix is a spline that leaves it by `off`."""
    wire = (
        cq.Workplane("XY")
        .lineTo(10, 0)
        .lineTo(10, 5)
        .spline([(7.5, 5 + off), (5, 5), (2.5, 5 - off), (0, 5)], includeCurrent=True)
    )
    return wire.close().revolve(360, (0, 0, 0), (1, 0, 0)).val().wrapped


def test_a_face_is_taken_for_a_cylinder_within_the_stated_tolerance_only():
    near = {face.kind: face.recovered_gap_mm for face in kernel_faces(nearly_cylinder(5e-5))}
    assert 4e-5 < near["cylinder"] < RECOVER_MM
    far = {face.kind for face in kernel_faces(nearly_cylinder(2e-4))}
    assert "cylinder" not in far


def test_a_threads_flank_is_no_cone():
    helix = cq.Wire.makeHelix(1.5, 6, 10)
    profile = cq.Workplane("XZ", origin=(10, 0, 0)).polyline([(-1, 0), (0.2, 0.7), (0.2, -0.7)])
    thread = profile.close().sweep(helix, isFrenet=True).val().wrapped
    kinds = [face.kind for face in kernel_faces(thread)]
    assert kinds.count("free") == 3


def test_a_swept_spline_tells_its_axis():
    wire = cq.Workplane("XY").moveTo(0, 3).lineTo(10, 3).lineTo(10, 6)
    wire = wire.spline([(7, 8), (4, 5), (0, 7)], includeCurrent=True).close()
    solid = wire.revolve(360, (0, 0, 0), (1, 0, 0)).val()
    moved = solid.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), 30).translate(cq.Vector(5, 6, 7))
    shape = BRepBuilderAPI_NurbsConvert(moved.wrapped, True).Shape()
    free = [face for face in kernel_faces(shape) if face.kind == "free"]
    line = axis_candidates(shape, free)[0]
    expected = (math.cos(math.radians(30)), 0.5, 0.0)
    along = sum(a * b for a, b in zip(line.direction, expected, strict=True))
    assert abs(along) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("how", ["plain", "nurbs", "revolution"])
@pytest.mark.parametrize("seam", [0.0, 90.0, 37.0])
@pytest.mark.parametrize("seat", [False, True])
def test_a_radial_boss_is_seen_wherever_its_seam_lies(how, seam, seat):
    """Its round is widest beside the seam, which exporters lay toward the part's axis.

    By hand: a boss of radius 4 whose flat top stands 30 from the axis reaches hypot(30, 4); a
    conical one of 45 degrees from radius 6 at 24 reaches most at its foot or top corner.
    """
    x, z = cq.Vector(1, 0, 0), cq.Vector(0, 0, 1)
    top = cq.Vector(30, 0, 0)
    boss = cq.Solid.makeCylinder(4, 30, top, z)
    if seat:
        boss = boss.fuse(cq.Solid.makeCone(8, 4, 4, cq.Vector(30, 0, 24), z))
    boss = boss.rotate(top, top + z, seam)
    shaft = cq.Solid.makeCylinder(20, 60, cq.Vector(), x).fuse(boss)
    part = part_of(resurfaced(shaft.Solids()[0].wrapped, how), SOURCE, ())
    assert part.doubts == ()
    profile = part.profile
    assert profile.max_diameter_mm == pytest.approx(2 * math.hypot(30, 4), abs=1e-5)
    rest = profile.volume_mm3 - profile.departures_volume_mm3
    assert rest == pytest.approx(profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("how", ["nurbs", "revolution"])
def test_a_sliver_between_two_seams_turns_with_its_neighbours(how):
    """A fifth of a degree at radius 1000: 3.5 mm wide, as near to other surfaces as to its own.

    The volume by Pappus is the kernel's own; what matters is that only the hole departs.
    """
    x, turned = cq.Vector(1, 0, 0), []
    for angle in (0.2, 359.8):
        outline = [(0, 500), (1000, 500), (1000, 800), (900, 1000), (50, 1000), (0, 950)]
        half = cq.Workplane("XY").polyline(outline).close().revolve(angle, (0, 0, 0), (1, 0, 0))
        turned.append(half.val())
    ring = turned[0].fuse(turned[1].rotate(cq.Vector(), x, 0.2)).Solids()[0]
    hole = cq.Solid.makeCylinder(50, 3000, cq.Vector(500, 0, -1500), cq.Vector(0, 0, 1))
    drilled = ring.cut(hole.rotate(cq.Vector(), x, 100)).Solids()[0]
    part = part_of(resurfaced(drilled.wrapped, how), SOURCE, ())
    assert [departure.kind for departure in part.departures] == ["hole"]
    assert part.doubts == ()
