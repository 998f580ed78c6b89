"""Rims as polynomials, and what is integrated round them, against the kernel and closed forms."""

import math
from collections.abc import Iterator

import cadquery as cq
import numpy as np
import pytest
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_NurbsConvert,
)
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.Geom import Geom_Plane
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Curve, Geom2d_Ellipse, Geom2d_TrimmedCurve
from OCP.Geom2dAPI import Geom2dAPI_ProjectPointOnCurve
from OCP.gp import gp_Ax2d, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.GProp import GProp_GProps
from OCP.ShapeCustom import ShapeCustom
from OCP.TColgp import TColgp_Array1OfPnt2d
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopoDS import TopoDS_Edge

from turnability.part.departures import sheets
from turnability.part.departures.flux import fluxes
from turnability.part.departures.ruled import Ruled
from turnability.part.faces_of_solid import give_cones, kernel_faces
from turnability.part.kernel_faces import KernelFace, give_rims
from turnability.part.moments import moments_of
from turnability.part.rims import together
from turnability.part.surface_points import BSplinePatch, patch_nets, patch_points


def spline_trace(degree: int, rational: bool) -> Geom2d_Curve:
    """A wavy B-spline from (0, 0) to (6, 0) with an uneven knot in the middle."""
    rng = np.random.default_rng(degree)
    count = degree + 3
    poles, weights = TColgp_Array1OfPnt2d(1, count), TColStd_Array1OfReal(1, count)
    for i in range(count):
        y = 0.0 if i in (0, count - 1) else 2.0 + float(rng.random())
        poles.SetValue(i + 1, gp_Pnt2d(6.0 * i / (count - 1), y))
        weights.SetValue(i + 1, 1.0 + rational * float(rng.random()))
    knots, times = TColStd_Array1OfReal(1, 4), TColStd_Array1OfInteger(1, 4)
    for i, (at, much) in enumerate(((0.0, degree + 1), (0.3, 1), (1.7, 1), (2.0, degree + 1))):
        knots.SetValue(i + 1, at)
        times.SetValue(i + 1, much)
    return Geom2d_BSplineCurve(poles, weights, knots, times, degree)


def closed_by_a_line(trace: Geom2d_Curve) -> KernelFace:
    """The plane face between a trace and the straight line between its ends."""
    plane = Geom_Plane(gp_Pnt(1, 2, 3), gp_Dir(1, 1, 2))
    bent = BRepBuilderAPI_MakeEdge(trace, plane).Edge()
    BRepLib.BuildCurves3d_s(bent)
    ends = [trace.Value(trace.LastParameter()), trace.Value(trace.FirstParameter())]
    line = BRepBuilderAPI_MakeEdge(*(plane.Value(p.X(), p.Y()) for p in ends)).Edge()
    wire = BRepBuilderAPI_MakeWire(bent, line).Wire()
    return kernel_faces(BRepBuilderAPI_MakeFace(plane, wire, True).Face())[0]


def half_ellipse() -> Geom2d_Curve:
    ellipse = Geom2d_Ellipse(gp_Ax2d(gp_Pnt2d(2, 1), gp_Dir2d(1, 2)), 5.0, 3.0, True)
    return Geom2d_TrimmedCurve(ellipse, 0.4, 3.9)


TRACES = {
    "plain": lambda: spline_trace(3, rational=False),
    "rational": lambda: spline_trace(3, rational=True),
    "of high degree": lambda: spline_trace(14, rational=False),
    "ellipse": half_ellipse,
}


def off_trace(place: list[float], edge: TopoDS_Edge, face: KernelFace) -> float:
    """How far a place is from an edge's trace."""
    curve = BRepAdaptor_Curve2d(edge, face.face)
    first, last = curve.FirstParameter(), curve.LastParameter()
    trace = BRep_Tool.CurveOnSurface_s(edge, face.face, first, last)
    near = Geom2dAPI_ProjectPointOnCurve(gp_Pnt2d(*place), trace, first, last)
    ends = [curve.Value(t).Distance(gp_Pnt2d(*place)) for t in (first, last)]
    return min(*ends, *(near.Distance(k + 1) for k in range(near.NbPoints())))


@pytest.mark.parametrize("name", TRACES)
def test_a_rim_runs_where_the_kernel_has_its_traces(name: str) -> None:
    face = closed_by_a_line(TRACES[name]())
    give_rims([face])
    rims = together([face.rim])
    t = rims.low[:, None] + (rims.high - rims.low)[:, None] * np.linspace(0.0, 1.0, 9)
    places = rims.at(t)[0]
    for place in places.reshape(-1, 2).tolist():
        assert min(off_trace(place, edge, face) for edge in face.edges()) < 1e-9
    # the steps of a quadrature lead from end to end
    owner, _, steps = rims.nodes(8, 1)
    ends = rims.at(np.column_stack((rims.low, rims.high)))[0]
    run = (ends[:, 1] - ends[:, 0]) * rims.sign[:, None]
    assert steps.reshape(len(run), -1, 2).sum(axis=1) == pytest.approx(run, abs=1e-9)
    assert float(np.abs(run.sum(axis=0)).max()) < 1e-9
    assert not owner.any()
    assert face.rim.gap < 1e-9
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face.face, props, 1e-12, False)
    (found,) = moments_of([face], np.zeros(3), 10.0)
    assert found is not None
    assert found[0] == pytest.approx(props.Mass(), rel=1e-10)


SOLIDS = {
    "box": (lambda: cq.Workplane().box(3, 4, 5), 60.0, 94.0),
    "rod": (lambda: cq.Workplane().circle(3).extrude(5), 45.0 * math.pi, 48.0 * math.pi),
    "frustum": (
        lambda: cq.Workplane(obj=cq.Solid.makeCone(4, 1, 6)),
        42.0 * math.pi,
        math.pi * (17.0 + 5.0 * math.sqrt(45.0)),
    ),
    "ball": (lambda: cq.Workplane().sphere(4), 256.0 * math.pi / 3.0, 64.0 * math.pi),
    "ring": (
        lambda: cq.Workplane(obj=cq.Solid.makeTorus(5, 2)),
        40.0 * math.pi**2,
        40.0 * math.pi**2,
    ),
    "hexagon": (
        lambda: cq.Workplane().polygon(6, 10).extrude(2),
        75.0 * math.sqrt(3.0),
        75.0 * math.sqrt(3.0) + 60.0,
    ),
}


@pytest.mark.parametrize("splines", [False, True])
@pytest.mark.parametrize("name", SOLIDS)
def test_volumes_of_solids_with_a_formula(name: str, splines: bool) -> None:
    draw, volume, area = SOLIDS[name]
    shape = draw().val().rotate((0, 0, 0), (1, 2, 3), 40).moved(cq.Location((40, 5, 6))).wrapped
    if splines:
        shape = BRepBuilderAPI_NurbsConvert(shape).Shape()
    faces = kernel_faces(shape)
    give_cones(faces)
    cones = [face.cone_mm3 for face in faces]
    if splines and name in ("ball", "ring"):  # many poles: left to the kernel unless it errs
        assert cones == [None]
        give_cones(faces, however_dear=True)
        assert faces[0].cone_mm3 == pytest.approx(volume, rel=1e-9)
        return
    assert None not in cones
    assert math.fsum(cones) == pytest.approx(volume, rel=1e-9)
    give_rims(faces)
    found = moments_of(faces, np.array([1.0, 2.0, 3.0]), 60.0)
    assert math.fsum(one[0] for one in found) == pytest.approx(area, rel=1e-9)
    assert math.fsum(one[1] for one in found) == pytest.approx(volume, rel=1e-9)


def drilled() -> Iterator[KernelFace]:
    """Faces of cuts in a bar about z: across it through the axis and beside it, along, askew."""
    bar = cq.Workplane().circle(10).extrude(60)
    tools = [
        cq.Workplane("XZ").circle(3).extrude(40, both=True).translate((0, 0, 12)),
        cq.Workplane("XZ").circle(3).extrude(40, both=True).translate((2, 0, 25)),
        cq.Workplane().center(5, 0).circle(2).extrude(8),
        cq.Workplane(obj=cq.Solid.makeCone(4, 1, 20))
        .rotate((0, 0, 0), (0, 1, 0), 70)
        .translate((-3, 1, 42)),
        cq.Workplane().box(30, 30, 30).rotate((0, 0, 0), (1, 0, 0), 25).translate((0, 0, 76)),
    ]
    for tool in tools:
        bar = bar.cut(tool)
    yield from kernel_faces(bar.val().wrapped)


def test_closed_forms_along_rulings_agree_with_quadrature(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    faces = list(drilled())
    total = 10.0**2 * math.pi * 60.0
    ruled = [(face, sheets.sheets_of(face)) for face in faces]
    monkeypatch.setattr(sheets, "ruled_sheets", lambda face, pierced: None)
    plain = [(face, sheets.sheets_of(face)) for face in faces]
    kinds = {face.kind for face, own in ruled if own and isinstance(own[0], Ruled)}
    assert kinds == {"plane", "cylinder", "cone"}
    assert not any(isinstance(sheet, Ruled) for _, own in plain for sheet in own)
    found, expected = (fluxes(own, 1e-12 * total) for own in (ruled, plain))
    assert max(len(own) for _, own in ruled) > 1  # the axis meets the hole across it
    for (_, own), (flux, through), (other, also) in zip(ruled, found, expected, strict=True):
        assert through == pytest.approx(also, abs=1e-8 * total)
        # on one sheet whole turns may lie between the ways of following
        turns = (
            round((flux - other) / (math.tau * also)) if len(own) == 1 and abs(also) > 1.0 else 0
        )
        if len(own) == 1:
            assert flux == pytest.approx(other + turns * math.tau * also, abs=1e-8 * total)


@pytest.mark.parametrize("shift", [0.0, 0.3])
def test_a_cell_of_a_ruled_face_has_the_sector_that_it_sweeps(shift: float) -> None:
    """A sector's sides are planes of constant angle: their flux is that angle times area and r.

    A quarter of a tube, radii 2 and 5, 7 long, turned by 20 degrees: minus the flux through its
    two sides is a quarter of the tube's volume.
    """
    quarter = (
        cq.Workplane("XZ")
        .moveTo(2, shift)
        .lineTo(5, shift)
        .lineTo(5, 7 + shift)
        .lineTo(2, 7 + shift)
        .close()
        .revolve(90, (0, 0, 0), (0, 1, 0))
        .rotate((0, 0, 0), (0, 0, 1), 20)
    )
    faces = kernel_faces(quarter.val().wrapped)
    own = [(face, sheets.sheets_of(face)) for face in faces]
    sides = [flux for flux, (_, some) in zip(fluxes(own, 1e-12), own, strict=True) if some]
    assert len(sides) == 2
    whole = math.pi * (25.0 - 4.0) * 7.0
    missing = -math.fsum(flux for flux, _ in sides) % whole
    assert min(abs(missing - whole / 4.0), abs(missing - 3.0 * whole / 4.0)) < 1e-9 * whole


@pytest.mark.parametrize(("poles", "degrees"), [((2, 9), (1, 5)), ((7, 4), (3, 2))])
def test_parts_of_a_spline_lie_in_the_hulls_of_their_poles(
    poles: tuple[int, int], degrees: tuple[int, int]
) -> None:
    rng = np.random.default_rng(poles[0])
    nu, nv = poles
    knots = [
        np.array([0.0] * d + [float(k) for k in range(n - d + 1)] + [float(n - d)] * d)
        for n, d in zip(poles, degrees, strict=True)
    ]
    net = np.ones((nu, nv, 4))
    net[..., :3] = rng.random((nu, nv, 3)) + np.arange(nv)[None, :, None]
    patch = BSplinePatch(knots[0], knots[1], *degrees, net, rational=False)
    bounds = (0.1, float(knots[0][-1]), 0.0, float(knots[1][-1]) - 0.2)
    middles, nets = patch_nets(patch, bounds, (6, 3))
    assert len(middles) >= 18
    p = patch_points(patch, middles[:, 0], middles[:, 1])[0]
    assert (p >= nets[..., :3].min(axis=1) - 1e-12).all()
    assert (p <= nets[..., :3].max(axis=1) + 1e-12).all()
    # the corners of all parts together are the corners of the whole
    u0, u1, v0, v1 = bounds
    corners = patch_points(patch, np.array([u0, u0, u1, u1]), np.array([v0, v1, v0, v1]))[0]
    for corner in corners:
        assert float(np.abs(nets[..., :3] - corner).max(axis=2).min()) < 1e-12


def test_planes_are_measured_at_once_and_level_runs_add_nothing() -> None:
    """A slot 200 by 20 by 5: its floor's long sides are level in v or in u."""
    block = cq.Workplane("XY").box(300, 60, 30)
    slot = block.faces(">Z").workplane().slot2D(200, 20).cutBlind(-5)
    faces = kernel_faces(slot.val().rotate((0, 0, 0), (0, 0, 1), 30).wrapped)
    floor = next(face for face in faces if face.kind == "plane" and 3000 < face.area_mm2 < 5000)
    assert floor.area_mm2 == pytest.approx(180 * 20 + math.pi * 100, rel=1e-12)
    ends = [face for face in faces if face.kind == "cylinder"]
    assert [face.area_mm2 for face in ends] == pytest.approx([math.pi * 10 * 5] * 2, rel=1e-12)
    cones = [face.cone_mm3 for face in faces]
    volume = 300 * 60 * 30 - 5 * (180 * 20 + math.pi * 100)
    assert math.fsum(cone for cone in cones if cone) == pytest.approx(volume, rel=1e-12)
    assert None not in cones


@pytest.mark.parametrize("how", ["cylinder", "revolution", "nurbs"])
def test_a_hole_close_beside_the_axis_takes_its_own_volume(how: str) -> None:
    """The angle about the axis turns fast along its wall: pi r² h to the last digits."""
    bar = cq.Workplane().circle(20).extrude(60)
    hole = cq.Workplane().center(4.0, 1.0).circle(3.3).extrude(35)
    shape = bar.cut(hole).val().wrapped
    if how == "revolution":
        shape = ShapeCustom.ConvertToRevolution_s(shape)
    elif how == "nurbs":
        shape = BRepBuilderAPI_NurbsConvert(shape).Shape()
    round_ = [face for face in kernel_faces(shape) if face.kind == "cylinder"]
    (wall,) = (face for face in round_ if face.canonical.Radius() < 4.0)
    ((flux, _),) = fluxes([(wall, sheets.sheets_of(wall))], 1e-7)
    assert -flux == pytest.approx(math.pi * 3.3**2 * 35.0, rel=1e-8)
