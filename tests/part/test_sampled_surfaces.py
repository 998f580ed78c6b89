"""Many places of a face at once, held against the kernel's own answer for each."""

import math

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_NurbsConvert,
)
from OCP.Geom import Geom_BSplineSurface
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.ShapeCustom import ShapeCustom
from OCP.TColgp import TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal, TColStd_Array2OfReal
from OCP.TopLoc import TopLoc_Location

from turnability.part.edge_memory import once_per_edge
from turnability.part.faces_of_solid import kernel_faces
from turnability.part.kernel_faces import KernelFace
from turnability.part.moved_faces import moved_faces
from turnability.part.surface_points import Array, kernel_points
from turnability.part.turned_body.sampling import polyline, polyline_at_once, summit


def spline_face(poles: tuple[int, int], degrees: tuple[int, int], rational: bool) -> KernelFace:
    """A wavy B-spline surface with uneven knots."""
    rng = np.random.default_rng(poles[0] * 100 + poles[1])
    net = TColgp_Array2OfPnt(1, poles[0], 1, poles[1])
    weights = TColStd_Array2OfReal(1, poles[0], 1, poles[1])
    for i in range(poles[0]):
        for j in range(poles[1]):
            net.SetValue(i + 1, j + 1, gp_Pnt(3.0 * i, 2.0 * j, 5.0 + float(rng.random())))
            weights.SetValue(i + 1, j + 1, 1.0 + rational * float(rng.random()))
    ways = []
    for count, degree in zip(poles, degrees, strict=True):
        spans = count - degree
        knots = TColStd_Array1OfReal(1, spans + 1)
        times = TColStd_Array1OfInteger(1, spans + 1)
        for k in range(spans + 1):
            knots.SetValue(k + 1, k + 0.3 * (k % 2))
            times.SetValue(k + 1, degree + 1 if k in (0, spans) else 1)
        ways.append((knots, times))
    (ku, mu), (kv, mv) = ways
    surface = Geom_BSplineSurface(net, weights, ku, kv, mu, mv, *degrees)
    return kernel_faces(BRepBuilderAPI_MakeFace(surface, 1e-6).Face())[0]


def by_kernel(face: KernelFace, u: float, v: float) -> Array:
    """Point and both derivatives as one row."""
    p, su, sv = gp_Pnt(), gp_Vec(), gp_Vec()
    face.surface.D1(u, v, p, su, sv)
    return np.array([c for d in (p, su, sv) for c in (d.X(), d.Y(), d.Z())])


@pytest.mark.parametrize("rational", [False, True])
@pytest.mark.parametrize(
    ("poles", "degrees"), [((2, 9), (1, 8)), ((5, 4), (3, 2)), ((40, 3), (3, 2)), ((3, 60), (2, 5))]
)
def test_lattices_and_rows_of_splines(
    poles: tuple[int, int], degrees: tuple[int, int], rational: bool
) -> None:
    face = spline_face(poles, degrees, rational)
    u0, u1, v0, v1 = face.bounds
    u, v = np.linspace(u0, u1, 7), np.linspace(v0, v1, 11)
    expected = np.array([[by_kernel(face, a, b) for b in v] for a in u])
    lattice = np.concatenate(face.lattice(u, v), axis=2)
    assert lattice == pytest.approx(expected, rel=1e-10, abs=1e-10)
    x, y, g = face.row_turns(np.repeat(u[:, None], len(v), axis=1), v)
    px, py, pz, ax, ay, az, bx, by, bz = np.moveaxis(expected, 2, 0)
    turning = (az * bx - ax * bz) * px - (ay * bz - az * by) * py  # (Su x Sv) . (z x P)
    assert x == pytest.approx(px)
    assert y == pytest.approx(py)
    assert g == pytest.approx(turning, rel=1e-9, abs=1e-9 * float(np.abs(turning).max()))
    del pz


def test_turns_of_surfaces_with_a_formula() -> None:
    solids = [
        cq.Workplane().box(3, 4, 5),
        cq.Workplane().circle(3).extrude(5),
        cq.Workplane("XZ").polyline([(1, 0), (4, 0), (2, 6), (1, 6)]).close().revolve(),
        cq.Workplane().sphere(4),
        cq.Solid.makeTorus(5, 2),
    ]
    tilted = [
        getattr(s, "val", lambda s=s: s)()
        .rotate((0, 0, 0), (1, 2, 3), 40)
        .moved(cq.Location((4, 5, 6)))
        for s in solids
    ]
    seen = set()
    for solid in tilted:
        for face in kernel_faces(solid.wrapped):
            seen.add(face.kind)
            u0, u1, v0, v1 = face.bounds
            u, v = np.linspace(u0, u1, 6), np.linspace(v0, v1, 5)
            p, su, sv = face.lattice(u, v)
            whole = np.array([[by_kernel(face, a, b) for b in v] for a in u])
            assert np.concatenate((p, su, sv), axis=2) == pytest.approx(whole, abs=1e-9)
            x, y, g = np.broadcast_arrays(*face.lattice_turns(u, v))
            n = np.cross(su, sv)
            assert g == pytest.approx(n[..., 1] * p[..., 0] - n[..., 0] * p[..., 1], abs=1e-9)
            assert x == pytest.approx(p[..., 0])
            assert y == pytest.approx(p[..., 1])
    assert seen == {"plane", "cylinder", "cone", "sphere", "torus"}


def test_faces_taken_as_whole_hold_what_the_kernel_says() -> None:
    plain = cq.Workplane().circle(10).extrude(30)
    drilled = plain.cut(cq.Workplane("XZ").circle(3).extrude(40, both=True).translate((0, 0, 15)))
    halves = plain.union(cq.Workplane().rect(30, 4).extrude(10))
    whole = {True: 0, False: 0}
    for part in (plain, drilled, halves, cq.Workplane().sphere(5)):
        for face in kernel_faces(part.val().wrapped):
            whole[face.is_whole] += 1
            uv = face.inner.uv
            said = [face.holds(u, v) for u, v in uv.tolist()]
            assert face.inner_held.tolist() == said
    assert whole[True] > 0
    assert whole[False] > 0


def test_samples_move_with_the_solid() -> None:
    shape = BRepBuilderAPI_NurbsConvert(cq.Workplane().box(3, 4, 5).val().wrapped).Shape()
    plain = kernel_faces(shape)
    move = gp_Trsf()
    move.SetRotation(gp_Ax1(gp_Pnt(1, 2, 3), gp_Dir(1, 1, 2)), 0.7)
    moved = moved_faces(shape.Moved(TopLoc_Location(move)), plain, move)
    for face in moved:
        u0, u1, v0, v1 = face.bounds
        here = by_kernel(face, (u0 + u1) / 2.0, (v0 + v1) / 2.0)
        even = (face.even.points, face.even.along_u, face.even.along_v)
        assert np.concatenate([a[8, 8] for a in even]) == pytest.approx(here, abs=1e-12)
        u, v = np.array([u0]), np.array([v1])
        assert np.concatenate(face.points(u, v), axis=1)[0] == pytest.approx(
            by_kernel(face, u0, v1)
        )


@pytest.mark.parametrize(
    ("value", "a", "b", "greatest"),
    [
        (math.sin, 0.3, 3.0, 1.0),
        (lambda x: -abs(x - 0.7), 0.0, 1.0, 0.0),
        (lambda x: -((x - 1e-3) ** 4), -1.0, 2.0, 0.0),
        (lambda x: 1.0, 0.0, 1.0, 1.0),
        (lambda x: x, 0.0, 1.0, 1.0),
    ],
)
def test_summits(value, a: float, b: float, greatest: float) -> None:
    asked = []
    found = summit(lambda x: asked.append(x) or value(x), a, b)
    assert found == pytest.approx(greatest, abs=4e-9)
    assert found == max(value(x) for x in asked)
    assert len(asked) <= 61


def test_an_edge_is_asked_once_whichever_way_it_runs() -> None:
    faces = kernel_faces(cq.Workplane().box(1, 2, 3).val().wrapped)
    asked = []

    @once_per_edge
    def length(edge, times: float) -> float:
        asked.append(edge)
        return times

    edges = [edge for face in faces for edge in face.edges()]
    assert [length(edge, 2.0) for edge in edges] == [2.0] * 24
    assert len(asked) == 12
    assert length(edges[0], 3.0) == 3.0
    assert len(asked) == 13
    moved = edges[0].Moved(TopLoc_Location(shift()))
    assert length(moved, 2.0) == 2.0
    assert len(asked) == 14


def shift() -> gp_Trsf:
    move = gp_Trsf()
    move.SetTranslation(gp_Vec(1, 0, 0))
    return move


def test_lines_and_circles_turned_about_a_line_are_where_the_kernel_has_them():
    """Cylinder, cone, torus and sphere as swept surfaces, skew in space, by the kernel's D1."""
    way = cq.Vector(1, 0.3, 0.2)
    made = cq.Solid.makeCylinder(10, 30, cq.Vector(1, 2, 3), way).fuse(
        cq.Solid.makeCone(12, 3, 20, cq.Vector(30, 0, 0), way),
        cq.Solid.makeTorus(20, 4, cq.Vector(), cq.Vector(0.2, 1, 0)),
        cq.Solid.makeSphere(9, angleDegrees1=-90, angleDegrees2=90).translate(cq.Vector(0, 20, 3)),
    )
    rng, seen = np.random.default_rng(1), set()
    for face in kernel_faces(ShapeCustom.ConvertToRevolution_s(made.wrapped)):
        if face.swept is None:
            continue
        seen.add(face.kind)
        u0, u1, v0, v1 = face.bounds
        u, v = rng.uniform(u0, u1, 20), rng.uniform(v0, v1, 20)
        exact = kernel_points(face.surface, u, v)
        for one, other in zip(face.points(u, v), exact, strict=True):
            assert one == pytest.approx(other, abs=1e-12)
        for one, other in zip(face.lattice(u, v[:7]), exact, strict=True):
            assert one[np.arange(7), np.arange(7)] == pytest.approx(other[:7], abs=1e-12)
    assert seen == {"cylinder", "cone", "torus", "sphere"}


def test_polylines_asked_at_once_are_those_asked_place_by_place() -> None:
    def bow(t: Array) -> Array:  # bends ever more sharply, and has a corner-like turn
        return np.column_stack((t**3, np.hypot(np.sin(3.0 * t), 0.02)))

    def one(t: float) -> tuple[float, float]:
        z, r = bow(np.array([t]))[0].tolist()
        return z, r

    at_once, each = polyline_at_once(bow, -0.3, 4.0), polyline(one, -0.3, 4.0)
    assert len(at_once) > 100
    assert at_once == each
