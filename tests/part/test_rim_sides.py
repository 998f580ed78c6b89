"""Places of faces told by chords along their rims, held against the kernel's own answer for each.

Areas of whole faces against closed forms: Pappus and Guldin, and Archimedes' for a ball's zone.
"""

import math

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from turnability.part.canonical_points import formula_parameters
from turnability.part.faces_of_solid import kernel_faces
from turnability.part.kernel_faces import KernelFace, give_rims
from turnability.part.rim_sides import chords_of
from turnability.part.whole_faces import whole_moments


def drilled_body() -> cq.Workplane:
    """Planes, cylinders, cones, balls and tori with round, straight and skew-cut rims."""
    body = cq.Workplane("XY").circle(20).extrude(30).faces(">Z").chamfer(2).edges("<Z").fillet(3)
    body = body.cut(cq.Workplane("XZ").center(3, 15).circle(4).extrude(40, both=True))
    body = body.cut(cq.Workplane("XY").polygon(6, 14).extrude(12))
    body = body.cut(cq.Workplane("XY", origin=(12, 0, 12)).sphere(9))
    skew = cq.Workplane("XY").transformed((25, 35, 0), (0, 0, 32)).ellipse(6, 3)
    return body.cut(skew.extrude(12, both=True))


@pytest.fixture(scope="module")
def faces() -> list[KernelFace]:
    """The faces as drawn, and all as B-splines."""
    solid = drilled_body().val().wrapped
    found = [*kernel_faces(solid), *kernel_faces(BRepBuilderAPI_NurbsConvert(solid).Shape())]
    assert {face.kind for face in found} == {"plane", "cylinder", "cone", "sphere", "torus", "free"}
    return found


def test_lattices_are_held_as_the_kernel_says(faces: list[KernelFace]) -> None:
    told = 0
    for face in faces:
        u0, u1, v0, v1 = face.bounds
        shares = np.linspace(0.01, 0.99, 21)  # the middle too, where ends of edges lie
        u, v = u0 + (u1 - u0) * shares, v0 + (v1 - v0) * shares
        want = [face.holds(a, b) for a in u.tolist() for b in v.tolist()]
        assert face.held(u, v).tolist() == want
        give_rims([face])
        assert face.rim is not None
        chords = chords_of(face.rim, face.bounds)
        assert chords is not None
        within, beside = chords.lattice_sides(u, v)
        sure = ~beside.ravel()
        assert within.ravel()[sure].tolist() == np.array(want)[sure].tolist()
        told += int(sure.sum())
    assert told > 0.9 * 21 * 21 * len(faces)


def test_scattered_places_are_held_rim_and_all(faces: list[KernelFace]) -> None:
    rng = np.random.default_rng(5)
    for face in (face for face in faces if face.has_formula):
        u0, u1, v0, v1 = face.bounds
        u = u0 + (u1 - u0) * np.append(rng.random(60) * 1.4 - 0.2, (0.0, 1.0, 0.0, 1.0))
        v = v0 + (v1 - v0) * np.append(rng.random(60) * 1.4 - 0.2, (0.0, 0.0, 1.0, 1.0))
        if face.kind == "sphere":
            v = np.clip(v, -math.pi / 2.0, math.pi / 2.0)
        points = face.points(u, v)[0]
        a, b = formula_parameters(face.formula, points)
        back = face.points(a, b)[0]
        assert np.allclose(back, points, atol=1e-9)
        want = [
            face.holds(x, y, with_rim=True) for x, y in zip(a.tolist(), b.tolist(), strict=True)
        ]
        assert face.held_at(a, b).tolist() == want


def test_a_rim_that_runs_the_wrong_way_tells_nothing(faces: list[KernelFace]) -> None:
    from dataclasses import replace

    plane = next(face for face in faces if face.kind == "plane" and not face.is_whole)
    give_rims([plane])
    assert plane.rim is not None
    assert chords_of(plane.rim, plane.bounds) is not None
    assert chords_of(replace(plane.rim, sign=-plane.rim.sign), plane.bounds) is None
    assert chords_of(replace(plane.rim, gap=1e-3), plane.bounds) is None


def test_whole_faces_by_closed_forms() -> None:
    cone = cq.Workplane("XZ").polyline([(4, 0), (10, 0), (7, 9), (4, 9)]).close().revolve()
    ring = cq.Workplane("XZ").center(9, 2).circle(3).revolve(360, (-9, -2, 0), (-9, 0, 0))
    ball = cq.Workplane("XY").sphere(5)
    box = cq.Workplane("XY").box(2, 3, 7)
    outer, bore = 2 * math.pi * 8.5 * math.hypot(3, 9), 2 * math.pi * 4 * 9
    for drawn, areas, volume in (
        (cone, {"cone": [outer], "cylinder": [bore]}, None),
        (ring, {"torus": [4 * math.pi**2 * 9 * 3]}, 2 * math.pi**2 * 9 * 3**2),
        (ball, {"sphere": [4 * math.pi * 25]}, 4 / 3 * math.pi * 125),
        (box, {"plane": [6, 6, 14, 14, 21, 21]}, 42),
    ):
        solid = drawn.val().wrapped
        whole = [face for face in kernel_faces(solid) if face.is_whole]
        for about in (np.zeros(3), np.array((40.0, -3.0, 11.0))):
            found = whole_moments(whole, about)
            for kind, want in areas.items():
                own = [a for f, (a, _) in zip(whole, found, strict=True) if f.kind == kind]
                assert sorted(own) == pytest.approx(want, rel=1e-12)
            if volume is not None:
                assert math.fsum(cone for _, cone in found) == pytest.approx(volume, rel=1e-12)


def test_whole_faces_as_the_kernel_measures_them(faces: list[KernelFace]) -> None:
    whole = [face for face in faces if face.has_formula and face.is_whole]
    assert whole
    for face, (area, _) in zip(whole, whole_moments(whole, np.zeros(3)), strict=True):
        props = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face.face, props, 1e-10, False)
        assert area == pytest.approx(abs(props.Mass()), rel=1e-9)
