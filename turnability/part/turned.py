"""From one solid to a `Part`: axis, turned body, meridian, departures, books."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Trsf
from OCP.GProp import GProp_GProps
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Edge, TopoDS_Shape

from turnability.half_plane.curves import Arc, Curve, Line, Point, Ring, Spline, ring_area
from turnability.half_plane.intersect import box
from turnability.part.axis import (
    Line3,
    axis_candidates,
    contract_direction,
    origin_on_axis,
    to_axis_frame,
)
from turnability.part.departures.find import find_departures
from turnability.part.kernel_faces import (
    KernelFace,
    edges_with_faces,
    give_cones,
    kernel_faces,
    moved_faces,
)
from turnability.part.model import (
    Axis,
    Departure,
    Face,
    FaceRole,
    HelicalThread,
    Part,
    Profile,
    Source,
    Symmetry,
)
from turnability.part.open_books import where_open
from turnability.part.profile import Piece, make_profile
from turnability.part.said import (
    BOOKS_IN_DOUBT,
    OPEN_BOOKS,
    books_error,
    doubts_on,
    remarks_on,
)
from turnability.part.symmetry import Measures, axis_words, measure, no_axis
from turnability.part.threads import find_threads
from turnability.part.turned_body.meridian import Meridian, meridian
from turnability.part.working_size import at_true_size, enlarged

_VOLUME_EPS = 1e-9
_VOLUME_EPS_FREE = 1e-10
"""What comes out is nearer by far on modelled threads: 1e-6 would do for those alone."""
_VOLUME_EPS_SWEPT = 1e-12
"""On a swept spline it is not: 1e-6 came out as 2e-5, 1e-9 as 4e-7."""
_MORE_AXES = 2
_BALANCED = 0.05
"""How far an axis may pass by the centre of mass, as a share of the edge of an equal cube."""


def part_of(
    shape: TopoDS_Shape,
    source: Source,
    step_ids: Sequence[int | None],
    remarks: tuple[str, ...] = (),
) -> Part:
    """Work out one solid (in the product's own coordinates, mm).

    `step_ids`: entity numbers by the face map's order, None where there is no file. Never raises
    for an odd solid: where no axis carries it, `profile` is None and `symmetry.reason` says why.
    """
    larger, by = enlarged(shape)
    return at_true_size(_part_of(larger, by, source, step_ids, remarks), by)


def _part_of(
    shape: TopoDS_Shape,
    by: float,
    source: Source,
    step_ids: Sequence[int | None],
    remarks: tuple[str, ...],
) -> Part:
    """The same at the size that it is worked out at; what is said in words is of its true size."""
    begun = time.perf_counter()
    plain = kernel_faces(shape)
    ids = list(step_ids) or [None] * len(plain)
    candidates = axis_candidates(shape, plain)
    hopeless = no_axis(plain, candidates[0] if candidates else None, by)
    axis_s = time.perf_counter() - begun
    found: _About | None = None
    symmetry = Symmetry(0.0, (), hopeless)
    for line in [] if hopeless is not None else _worth_trying(shape, plain, candidates):
        tried = _about(shape, plain, line)
        why_not = _why_not(tried, by)
        if why_not is None:
            found = tried
            break
        if symmetry.reason is None:  # the heaviest axis tells best what the part is
            symmetry = Symmetry(tried.measures.turned_area if tried.measures else 0.0, (), why_not)
    if found is None or found.profile is None or found.measures is None:
        return Part(
            source,
            None,
            symmetry,
            _plain_faces(plain, ids),
            None,
            (),
            remarks,
            axis_s=axis_s,
            profile_s=time.perf_counter() - begun - axis_s,
        )
    body, profile, z_low, faces = found.body, found.profile, found.z_low, found.faces
    departures = _departures(found, profile)
    threads = find_threads(faces, found.edges, body.turned_faces, z_low)
    volumes = [d.volume_mm3 for d in departures if not d.counted_elsewhere]
    known = [v for v in volumes if v is not None]
    profile = replace(
        profile,
        departures_volume_mm3=math.fsum(known) if len(known) == len(volumes) else None,
    )
    if abs(books_error(profile) or 0.0) > OPEN_BOOKS:
        # the kernel's quadrature may be what misses it: it errs by some 1e-6 on rational splines
        give_cones(found.faces, however_dear=True)
        profile = replace(profile, solid_volume_mm3=_volume(found.solid, found.faces))
    error = books_error(profile)
    open_z = None
    if error is None or abs(error) > BOOKS_IN_DOUBT:
        open_z = where_open(found.solid, faces, profile, departures, z_low)
    return Part(
        source,
        Axis(
            origin_on_axis(found.line, found.move, z_low), contract_direction(found.line.direction)
        ),
        Symmetry(found.measures.turned_area, tuple(d.id for d in departures), None),
        _faces(plain, ids, profile, body.turned_faces, threads),
        profile,
        departures,
        (*remarks, *remarks_on(body, faces, profile, departures, by)),
        tuple(doubts_on(body, profile, found.edges, open_z, by)),
        threads,
        open_z_mm=open_z,
        axis_s=axis_s,
        profile_s=time.perf_counter() - begun - axis_s,
    )


@dataclass(frozen=True, slots=True)
class _About:
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


def _about(shape: TopoDS_Shape, plain: list[KernelFace], line: Line3) -> _About:
    move = to_axis_frame(line)
    solid = shape.Moved(TopLoc_Location(move))
    faces = moved_faces(solid, plain, move)
    edges = edges_with_faces(solid, faces)
    body = meridian(solid, faces, edges)
    made = _About(line, move, solid, faces, edges, body)
    loops = _in_frame(body)
    if loops is None:
        return made
    z_low, pieces = loops
    if len(body.turned_faces) < len(faces):  # whole turned faces are quick work for the kernel
        give_cones(faces)
    volume = _volume(solid, faces)
    profile = make_profile(pieces, volume)
    measures = measure(faces, body.turned_faces, pieces, volume, profile.volume_mm3)
    return replace(made, z_low=z_low, profile=profile, measures=measures)


def _why_not(tried: _About, by: float) -> str | None:
    where = axis_words(tried.line, by)
    if tried.measures is None:
        return f"no closed outline could be found about the nearest axis, which runs {where}"
    return tried.measures.reason(where)


def _worth_trying(
    shape: TopoDS_Shape, faces: Sequence[KernelFace], lines: Sequence[Line3]
) -> Iterator[Line3]:
    """The heaviest axis, then a few others that the solid is balanced about.

    The pins of a flange may hold more round surface than the flange, whose axis is the part's.
    """
    yield lines[0]
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    middle = props.CentreOfMass()
    away = np.array([middle.X(), middle.Y(), middle.Z()])
    tried = 0
    for line in lines[1:]:
        if tried == _MORE_AXES or no_axis(faces, line) is not None:
            return
        off = np.linalg.norm(np.cross(away - line.point, line.direction))
        if off <= _BALANCED * (abs(props.Mass()) ** (1.0 / 3.0)):
            tried += 1
            yield line


def _in_frame(body: Meridian) -> tuple[float, list[list[Piece]]] | None:
    """The loops moved to z = 0 at the low end: the widest outline and the cavities."""
    areas = [ring_area(tuple(curve for curve, _ in loop)) for loop in body.loops]
    if not areas or max(areas) <= 0.0:
        return None
    main = max(range(len(areas)), key=lambda i: areas[i])
    z_low = min(box(curve)[0] for curve, _ in body.loops[main])
    kept = [body.loops[main], *(loop for i, loop in enumerate(body.loops) if areas[i] < 0.0)]
    return z_low, [[(_moved(curve, -z_low), faces) for curve, faces in loop] for loop in kept]


def _moved(curve: Curve, dz: float) -> Curve:
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


def _volume(solid: TopoDS_Shape, faces: Sequence[KernelFace]) -> float:
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


def _departures(found: _About, profile: Profile) -> tuple[Departure, ...]:
    body, z_low = found.body, found.z_low
    rings: list[Ring] = [
        tuple(_moved(curve, z_low) for curve in loop.ring) for loop in profile.loops
    ]
    bounding = {i for segment in profile.segments for i in segment.faces}
    on_body = bounding & body.turned_faces
    if len(on_body) == len(found.faces):
        return ()
    return find_departures(
        found.solid,
        found.faces,
        found.edges,
        on_body,
        body.turned_curves,
        body.touches,
        rings,
        z_low,
    )


def _plain_faces(faces: Sequence[KernelFace], ids: Sequence[int | None]) -> tuple[Face, ...]:
    return tuple(Face(face.index, ids[face.index - 1], "unknown") for face in faces)


def _faces(
    faces: Sequence[KernelFace],
    ids: Sequence[int | None],
    profile: Profile,
    turned: frozenset[int],
    threads: Sequence[HelicalThread],
) -> tuple[Face, ...]:
    """Each face's role: by the longest of its segments where it bounds the turned body."""
    threaded = {i for thread in threads for i in thread.faces}
    segments: dict[int, list[tuple[float, str, FaceRole]]] = {}
    for segment in profile.segments:
        if segment.surface == "axis":
            continue
        for index in segment.faces:
            segments.setdefault(index, []).append(
                (segment.curve.length(), segment.id, segment.surface)
            )
    made = []
    for face in faces:
        own = segments.get(face.index, [])
        role: FaceRole = max(own)[2] if own and face.index in turned else "milled"
        if face.index in threaded:
            role = "thread"
        made.append(Face(face.index, ids[face.index - 1], role, tuple(id_ for _, id_, _ in own)))
    return tuple(made)
