"""The solid in the frame of one axis: its turned body and the measures that judge it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Trsf
from OCP.GProp import GProp_GProps
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Edge, TopoDS_Shape

from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline, ring_area
from turnability.half_plane.intersect import box
from turnability.part.axis import Line3, to_axis_frame
from turnability.part.faces_of_solid import give_cones
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Profile
from turnability.part.moved_faces import edges_with_faces, moved_faces
from turnability.part.profile import Piece, make_profile
from turnability.part.symmetry import Measures, measure
from turnability.part.turned_body.meridian import Meridian, meridian

_VOLUME_EPS = 1e-9
_VOLUME_EPS_FREE = 1e-10
"""What comes out is nearer by far on modelled threads: 1e-6 would do for those alone."""
_VOLUME_EPS_SWEPT = 1e-12
"""On a swept spline it is not: 1e-6 came out as 2e-5, 1e-9 as 4e-7."""


@dataclass(frozen=True, slots=True)
class About:
    """The solid in the frame of one axis; no profile where no closed outline was found."""

    line: Line3
    move: gp_Trsf
    solid: TopoDS_Shape
    faces: list[KernelFace]
    edges: list[tuple[TopoDS_Edge, tuple[int, ...]]]
    body: Meridian
    z_low: float = 0.0
    profile: Profile | None = None
    measures: Measures | None = None


def about(shape: TopoDS_Shape, plain: list[KernelFace], line: Line3) -> About:
    """Lay the line on z and work out the turned body about it."""
    move = to_axis_frame(line)
    solid = shape.Moved(TopLoc_Location(move))
    faces = moved_faces(solid, plain, move)
    edges = edges_with_faces(solid, faces)
    body = meridian(solid, faces, edges)
    made = About(line, move, solid, faces, edges, body)
    loops = _in_frame(body)
    if loops is None:
        return made
    z_low, pieces = loops
    give_cones(faces)
    volume = volume_of(solid, faces)
    profile = make_profile(pieces, volume)
    measures = measure(faces, edges, body.turned_faces, pieces, volume, profile.volume_mm3)
    return replace(made, z_low=z_low, profile=profile, measures=measures)


def _in_frame(body: Meridian) -> tuple[float, list[list[Piece]]] | None:
    """The loops moved to z = 0 at the low end: the widest outline and the cavities."""
    areas = [ring_area(tuple(curve for curve, _ in loop)) for loop in body.loops]
    if not areas or max(areas) <= 0.0:
        return None
    main = max(range(len(areas)), key=lambda i: areas[i])
    z_low = min(box(curve)[0] for curve, _ in body.loops[main])
    kept = [body.loops[main], *(loop for i, loop in enumerate(body.loops) if areas[i] < 0.0)]
    return z_low, [[(moved_curve(curve, -z_low), faces) for curve, faces in loop] for loop in kept]


def moved_curve(curve: Curve, dz: float) -> Curve:
    """The curve pushed along z."""

    def shift(p: Point) -> Point:
        return (p[0] + dz, p[1])

    if isinstance(curve, Line):
        return Line(shift(curve.start), shift(curve.end))
    if isinstance(curve, Arc):
        return Arc(
            shift(curve.start),
            shift(curve.end),
            shift(curve.centre),
            curve.radius,
            curve.clockwise,
        )
    return Spline(tuple(shift(p) for p in curve.points))


def volume_of(solid: TopoDS_Shape, faces: Sequence[KernelFace]) -> float:
    """The solid's volume.

    By the kernel where not all faces tell: its plain quadrature misses free-form faces by up to a
    percent.
    """
    cones = [face.cone_mm3 for face in faces if face.cone_mm3 is not None]
    if len(cones) == len(faces):
        return math.fsum(cones)
    kinds = {face.kind for face in faces}
    eps = _VOLUME_EPS_SWEPT if "revolution" in kinds else _VOLUME_EPS
    if "free" in kinds:
        eps = min(eps, _VOLUME_EPS_FREE)
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, props, eps, False, False)
    return float(props.Mass())
