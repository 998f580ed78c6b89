"""On which side of a generatrix the solid lies, told by faces, against the kernel's classifier."""

import itertools
import math
from collections.abc import Callable
from dataclasses import replace

import cadquery as cq
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.TopAbs import TopAbs_IN
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape

from turnability.half_plane.curves import Line
from turnability.part.axis import axis_candidates
from turnability.part.choice import _Choice
from turnability.part.faces_of_solid import kernel_faces
from turnability.part.seen_mass import seen_mass
from turnability.part.turned_body.generatrix import generatrix
from turnability.part.turned_body.solid_side import LEFT, RIGHT, UNKNOWN, solid_side, told_side


def body() -> TopoDS_Shape:
    """A turned part with every kind of turned face, outside and inside."""
    outline = (
        cq.Workplane("XZ")
        .moveTo(4, 0)
        .lineTo(18, 0)
        .threePointArc((20, 2), (18, 4))
        .lineTo(12, 14)
        .spline([(10, 18), (13, 24)], includeCurrent=True)
        .lineTo(8, 24)
        .threePointArc((8 - 8**0.5, 20 + 8**0.5), (4, 20))
        .close()
    )
    made = outline.revolve(360, (0, 0, 0), (0, 1, 0))
    made = made.union(cq.Workplane("XY", origin=(0, 0, 32)).sphere(11))
    return made.cut(cq.Workplane("XY").circle(3).extrude(50)).val().wrapped


def as_drawn() -> TopoDS_Shape:
    return body()


def mirrored() -> TopoDS_Shape:
    """In a left-handed place."""
    move = gp_Trsf()
    move.SetMirror(gp_Ax2(gp_Pnt(0, 0, 3), gp_Dir(0, 0, 1)))
    return body().Moved(TopLoc_Location(move), False)


def splines() -> TopoDS_Shape:
    return BRepBuilderAPI_NurbsConvert(body()).Shape()


@pytest.mark.parametrize("draw", [as_drawn, mirrored, splines])
def test_sides_are_as_the_kernel_classifies_places_beside_them(
    draw: Callable[[], TopoDS_Shape],
) -> None:
    shape = draw()
    classifier = BRepClass3d_SolidClassifier(shape)
    told = 0
    kinds = set()
    for face in kernel_faces(shape):
        for curve in generatrix(face, 60.0) or []:
            side = solid_side(face, curve)
            if side == UNKNOWN:
                continue
            (z0, r0), (z1, r1), (z, r) = curve.at(0.49), curve.at(0.51), curve.at(0.5)
            size = math.hypot(z1 - z0, r1 - r0)
            for want, by in ((LEFT, 1e-3), (RIGHT, -1e-3)):
                z_by, r_by = z - by * (r1 - r0) / size, r + by * (z1 - z0) / size
                x, y = r_by * math.cos(0.3), r_by * math.sin(0.3)
                classifier.Perform(gp_Pnt(x, y, z_by), 1e-9)
                assert (classifier.State() == TopAbs_IN) == (side == want), (face.kind, curve)
            told += 1
            kinds.add(face.kind)
    assert told >= 6
    assert {"plane", "cylinder", "cone", "sphere", "torus"} <= kinds


def test_pieces_have_the_side_of_what_they_run_along() -> None:
    whole = Line((0.0, 5.0), (10.0, 5.0))
    piece, back = Line((2.0, 5.0), (4.0, 5.0)), Line((4.0, 5.0), (2.0, 5.0))
    assert told_side(piece, [(whole, LEFT)]) == LEFT
    assert told_side(back, [(whole, LEFT)]) == RIGHT
    assert told_side(piece, [(whole, LEFT), (back, RIGHT)]) == LEFT
    assert told_side(piece, [(whole, LEFT), (back, LEFT)]) == UNKNOWN


def test_the_centre_of_mass_seen_is_near_the_true_one() -> None:
    faces = kernel_faces(
        cq.Workplane("XY").circle(10).extrude(20).translate((3, 4, 5)).val().wrapped
    )
    volume, centre = seen_mass(faces)
    assert volume == pytest.approx(math.pi * 100 * 20, rel=0.01)
    assert centre == pytest.approx((3.0, 4.0, 15.0), abs=0.05)


def test_balance_seen_on_splines_is_the_kernels(monkeypatch: pytest.MonkeyPatch) -> None:
    corners = [(9.0, math.tau * k / 24) for k in range(25)]
    drawn = cq.Workplane("XY").moveTo(9, 0)
    for (r, a), (_, b) in itertools.pairwise(corners):
        tip = (11 * math.cos((a + b) / 2), 11 * math.sin((a + b) / 2))
        drawn = drawn.spline([tip, (r * math.cos(b), r * math.sin(b))], includeCurrent=True)
    lobed = drawn.close().extrude(30).cut(cq.Workplane("XY").circle(3).extrude(30))
    shape = BRepBuilderAPI_NurbsConvert(lobed.translate((1, 2, 3)).val().wrapped).Shape()
    faces = kernel_faces(shape)
    lines = axis_candidates(shape, faces)
    line = min(lines, key=lambda one: math.hypot(one.point[0] - 1.0, one.point[1] - 2.0))
    asked: list[_Choice] = []
    monkeypatch.setattr(_Choice, "_mass", asked.append)
    made = _Choice(shape, faces, 1.0, line)
    assert made._seen_balance(line) == pytest.approx(0.0, abs=0.01)
    assert made.is_balanced(line)
    assert not asked
    x, y, z = line.point
    assert not made.is_balanced(replace(line, point=(x + 5.0, y, z)))
