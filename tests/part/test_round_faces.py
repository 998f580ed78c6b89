"""Spherical faces whose other side the CAD kernel took: made anew, on the same edges."""

import math

import cadquery as cq
import pytest
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from turnability.part.reading.read import read_solids
from turnability.part.reading.round_faces import _other_side
from turnability.part.turned import part_of


def area(face):
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, props, 1e-9, False)
    return props.Mass()


def round_face(solid):
    (face,) = (f for f in solid.Faces() if f.geomType() == "SPHERE")
    return face.wrapped


@pytest.mark.parametrize("height", [2.0, 5.0, 9.0])
@pytest.mark.parametrize("tilt", [0.0, 40.0, 90.0])
def test_the_other_side_of_a_rim_is_the_cap_that_was_cut_off(height, tilt):
    """A cap of height h has 2 pi r h, the rest of the ball 2 pi r (2 r - h); no pole matters."""
    off = cq.Workplane().box(60, 60, 20).translate((0, 0, 20.0 - height))
    ball = cq.Workplane().sphere(10.0).cut(off.rotate((0, 0, 0), (1, 0, 0), tilt))
    rest = round_face(ball.val())
    assert area(rest) == pytest.approx(math.tau * 10.0 * (20.0 - height), rel=1e-8)
    cap = _other_side(rest)
    assert cap is not None
    assert BRepCheck_Analyzer(cap).IsValid()
    assert area(cap) == pytest.approx(math.tau * 10.0 * height, rel=1e-8)


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
