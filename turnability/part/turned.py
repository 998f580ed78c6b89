"""From one solid to a `Part`: axis, turned body, meridian, departures, books."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import replace

from OCP.TopoDS import TopoDS_Shape

from turnability.part.about import volume_of
from turnability.part.axis import axis_candidates, contract_direction, origin_on_axis
from turnability.part.choice import choose
from turnability.part.departures.find import find_departures
from turnability.part.faces_of_solid import give_cones, kernel_faces
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import (
    Axis,
    Face,
    FaceRole,
    HelicalThread,
    Part,
    Profile,
    Source,
    Symmetry,
)
from turnability.part.open_books import where_open
from turnability.part.said import (
    BOOKS_IN_DOUBT,
    OPEN_BOOKS,
    books_error,
    doubts_on,
    remarks_on,
)
from turnability.part.threads import find_threads
from turnability.part.working_size import at_true_size, enlarged


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
    axis_s = time.perf_counter() - begun
    found, symmetry = choose(shape, plain, candidates, by)
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
    departures = find_departures(found, profile)
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
        profile = replace(profile, solid_volume_mm3=volume_of(found.solid, found.faces))
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
