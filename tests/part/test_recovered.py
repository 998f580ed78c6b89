"""Laws: what a free-form face was made from is found again, and what it was not is not.

The surfaces are the kernel's own, converted to B-splines by the kernel; threads are the kernel's
helicoids.
"""

import math

import cadquery as cq
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
from OCP.ShapeCustom import ShapeCustom

from turnability.part.axis import axis_candidates
from turnability.part.kernel_faces import RECOVER_MM, kernel_faces


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
