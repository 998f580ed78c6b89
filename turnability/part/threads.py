"""Modelled threads, known by the geometry of their flanks.

A surface is carried into itself by the screw motion of lead 2 pi h about the axis where its normal
is square to the motion's velocity r e_phi + h e_z everywhere: h = -r n_phi / n_z. On a taper t of
diameter by length the section moves outward too, by t/2 h e_r. Each flank gives its h so, whatever
the surface is stored as; flanks that agree make one thread.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.TopoDS import TopoDS_Edge

from turnability.part.kernel_faces import KernelFace
from turnability.part.model import HelicalThread
from turnability.part.surface_points import Array, cross, lengths
from turnability.part.thread_crests import FOLLOWS, crest_of, is_carried
from turnability.part.winding import edge_points, winding

_SAME_LEAD = 0.01
_LEAST_SPREAD = math.radians(30.0)
"""A flank must be seen to wind: any small patch follows some screw motion."""
_LEAST_TURNS = 0.7
"""Caps have threads of less than a turn, both of their flanks at one lead."""
_LEAST_SLOPE = 0.05
_LEAST_DEPTH = 0.02
"""A flank is at least this share of its lead deep: slivers beside the flanks are not."""
_SAME_PHASE = 0.08
_SAME_RADIUS = 0.02
_LEAST_TAPER = 0.02
"""A smaller change of diameter by length is the waves of splines (taper threads have 1/16)."""
_SAME_TAPER = 0.1
_SAME_MM = 0.02
_RIM = 9
_ALONG = 65


@dataclass(frozen=True, slots=True)
class _Flank:
    face: KernelFace
    h_mm: float
    area: float
    outward: float
    up: bool
    level_mm: tuple[float, float]
    z_mm: tuple[float, float]
    points: Array
    normals: Array
    taper: float


def find_threads(
    faces: Sequence[KernelFace],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    turned: Collection[int],
    z_low_mm: float,
) -> tuple[HelicalThread, ...]:
    """Threads in the axis frame, in order of z, then of diameter.

    `turned`: indices of the faces that turn about the axis; `z_low_mm`: where the part begins.
    """
    flanks = [
        flank
        for face in faces
        if face.index not in turned and face.kind != "plane"
        for flank in [_flank(face)]
        if flank is not None
    ]
    others = {face.index: face for face in faces if face.index not in turned}
    neighbours = _neighbours(edges, others)
    found = [
        (_depth_mm(run), thread)
        for alike in _alike(flanks)
        for run in _runs(alike)
        for thread in [_thread(run, others, neighbours, edges, z_low_mm)]
        if thread is not None
    ]
    told: list[HelicalThread] = []
    for _, thread in sorted(found, key=lambda pair: -pair[0]):
        if not any(_is_rounding(thread, other) for other in told):
            told.append(thread)
    return tuple(sorted(told, key=lambda thread: (thread.z_mm, thread.major_mm)))


def _depth_mm(flanks: Sequence[_Flank]) -> float:
    return max(f.level_mm[1] for f in flanks) - min(f.level_mm[0] for f in flanks)


def _is_rounding(one: HelicalThread, thread: HelicalThread) -> bool:
    """Whether it is no more than a rounded crest or root of a thread with deeper flanks, or the
    underside of its ridge where that stands out past its core."""
    lead, other = one.pitch_mm * one.starts, thread.pitch_mm * thread.starts
    if one.hand != thread.hand or abs(lead - other) > _SAME_LEAD * other:
        return False
    over = min(one.z_mm[1], thread.z_mm[1]) - max(one.z_mm[0], thread.z_mm[0])
    if over <= 0.5 * (one.z_mm[1] - one.z_mm[0]):
        return False
    if one.surface != thread.surface:  # no wall is left between two threads of the same radii
        return one.minor_mm >= thread.minor_mm - _SAME_MM and one.major_mm <= (
            thread.major_mm + _SAME_MM
        )
    return bool({*one.faces} & {*thread.faces})


def _flank(face: KernelFace) -> _Flank | None:
    """The face as a thread's flank; None where no screw motion carries it, or it winds too little.

    Source of the condition: kinematics of the screw motion (see the module's text).
    """
    inner, held = face.inner, face.inner_held
    if int(held.sum()) < 3:
        return None
    points, su, sv = (a[held] for a in (inner.points, inner.along_u, inner.along_v))
    normals = cross(su, sv)
    sizes = lengths(normals)
    r = np.hypot(points[:, 0], points[:, 1])
    if float(sizes.min()) <= 0.0 or float(r.min()) <= 0.0:
        return None
    normals *= (-1.0 if face.reversed else 1.0) / sizes[:, None]
    around = normals[:, 1] * points[:, 0] - normals[:, 0] * points[:, 1]
    n_r = (normals[:, 0] * points[:, 0] + normals[:, 1] * points[:, 1]) / r
    n_z = normals[:, 2]
    if abs(float(np.sign(n_z).sum())) < len(n_z):
        return None
    taper = _taper(face)
    along = n_z + 0.5 * taper * n_r
    slope = float((along * along).mean())
    if math.sqrt(slope) < _LEAST_SLOPE:
        return None
    h = -float((around * along).mean()) / slope
    off = math.sqrt(float(((around + h * along) ** 2).mean()))
    level = r - 0.5 * taper * points[:, 2]
    if float(np.ptp(level)) < _LEAST_DEPTH * math.tau * abs(h):
        return None
    if off > FOLLOWS * abs(h) or not _winds(face, points):
        return None
    return _Flank(
        face,
        h,
        face.area_mm2,
        float(n_r.mean()),
        bool(n_z[0] > 0.0),
        (float(level.min()), float(level.max())),
        (float(points[:, 2].min()), float(points[:, 2].max())),
        points,
        normals,
        taper,
    )


def _taper(face: KernelFace) -> float:
    """The change of diameter by length along the face's long edges; 0 where they do not agree."""
    slopes = []
    for edge in face.edges():
        found = winding(edge)
        if found is not None and found.turn_rad >= math.tau * _LEAST_TURNS:
            points = edge_points(edge, _ALONG)
            r = np.hypot(points[:, 0], points[:, 1])
            slopes.append(2.0 * float(np.polyfit(points[:, 2], r, 1)[0]))
    if not slopes or min(abs(slope) for slope in slopes) < _LEAST_TAPER:
        return 0.0
    mean = sum(slopes) / len(slopes)
    even = all(abs(slope - mean) <= _SAME_TAPER * abs(mean) for slope in slopes)
    return mean if even else 0.0


def _winds(face: KernelFace, points: Array) -> bool:
    """Whether a face turns so far that only a screw motion can carry it.

    Points on a lattice may lie a whole turn apart, so that its long edges have a say too.
    """
    if _spread(points) >= _LEAST_SPREAD:
        return True
    found = (winding(edge) for edge in face.edges())
    return any(edge is not None and edge.turn_rad >= _LEAST_SPREAD for edge in found)


def _spread(points: Array) -> float:
    """The angle that the points cover, radians, at most a turn."""
    angles = np.sort(np.arctan2(points[:, 1], points[:, 0]) % math.tau)
    gaps = np.diff(np.append(angles, angles[0] + math.tau))
    return math.tau - float(gaps.max())


def _alike(flanks: Sequence[_Flank]) -> Iterable[list[_Flank]]:
    """Flanks of one lead, hand, taper and side at radii that overlap."""
    waiting = sorted(flanks, key=lambda flank: -flank.area)
    while waiting:
        first = waiting[0]
        low, high = first.level_mm
        kept = [
            flank
            for flank in waiting
            if abs(flank.h_mm - first.h_mm) <= _SAME_LEAD * abs(first.h_mm)
            and abs(flank.taper - first.taper) <= _SAME_TAPER * abs(first.taper)
            and (flank.outward > 0.0) == (first.outward > 0.0)
            and flank.level_mm[0] < high
            and low < flank.level_mm[1]
        ]
        members = {id(flank) for flank in kept}
        waiting = [flank for flank in waiting if id(flank) not in members]
        yield kept


def _runs(flanks: Sequence[_Flank]) -> Iterable[list[_Flank]]:
    """The flanks in runs along z without gaps wider than their lead."""
    run: list[_Flank] = []
    reached = -math.inf
    for flank in sorted(flanks, key=lambda flank: flank.z_mm):
        if run and flank.z_mm[0] > reached + math.tau * abs(flank.h_mm):
            yield run
            run = []
        run.append(flank)
        reached = max(reached, flank.z_mm[1])
    if run:
        yield run


def _thread(
    flanks: Sequence[_Flank],
    others: dict[int, KernelFace],
    neighbours: dict[int, set[int]],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    z_low_mm: float,
) -> HelicalThread | None:
    h = _along_edges(flanks)
    lead = math.tau * abs(h)
    low = min(flank.z_mm[0] for flank in flanks)
    high = max(flank.z_mm[1] for flank in flanks)
    sides = [[f for f in flanks if f.up], [f for f in flanks if not f.up]]
    if high - low < _LEAST_TURNS * lead or not all(sides):
        return None
    starts = max(_starts(side, h) for side in sides)
    taper = sum(flank.taper * flank.area for flank in flanks) / sum(f.area for f in flanks)
    outside = sum(flank.outward * flank.area for flank in flanks) > 0.0
    members = _members(flanks, others, neighbours)
    own_faces = {flank.face.index for flank in flanks}
    wound = [
        others[i] for i in sorted(members) if i in own_faces or is_carried(others[i], h, taper)
    ]
    rims = np.concatenate([_rim(face) for face in wound])
    own = np.concatenate([_rim(flank.face) for flank in flanks])
    r = np.hypot(rims[:, 0], rims[:, 1])
    major, minor = 2.0 * float(r.max()), 2.0 * float(r.min())
    low, high = float(own[:, 2].min()), float(own[:, 2].max())
    middle_mm = 0.5 * (min(f.level_mm[0] for f in flanks) + max(f.level_mm[1] for f in flanks))
    crest = None if taper else crest_of(edges, others, members, outside, middle_mm)
    if crest is not None and abs(crest.r_mm - 0.5 * (major if outside else minor)) > _SAME_MM:
        # its cutter went on into a shoulder, where the marks it left are no thread
        if outside:
            major = 2.0 * crest.r_mm
        else:
            minor = 2.0 * crest.r_mm
        beyond = own[
            (np.hypot(own[:, 0], own[:, 1]) - crest.r_mm) * (1 if outside else -1) > _SAME_MM
        ]
        middle = 0.5 * (low + high)
        if (beyond[:, 2] < middle).any():
            low = max(low, crest.z_mm[0])
        if (beyond[:, 2] > middle).any():
            high = min(high, crest.z_mm[1])
    return HelicalThread(
        "outer" if outside else "inner",
        "right" if h > 0.0 else "left",
        starts,
        lead / starts,
        major,
        minor,
        (_flank_angle(sides[1]), _flank_angle(sides[0])),
        (low - z_low_mm, high - z_low_mm),
        tuple(sorted(members)),
        taper,
    )


def _along_edges(flanks: Sequence[_Flank]) -> float:
    """h (mm) of the flanks together: of their edges that wind at one radius, else of the normals.

    Over whole turns an edge tells the lead far better than a normal, which bends with the
    splines' own waves.
    """
    rise, turn = 0.0, 0.0
    for flank in flanks:
        nearly = _SAME_RADIUS * math.tau * abs(flank.h_mm)
        for found in (winding(edge) for edge in flank.face.edges()):
            if found is None or found.turn_rad < _LEAST_SPREAD:
                continue
            if found.radii_mm <= nearly + 0.5 * abs(flank.taper * found.rise_mm):
                rise += found.rise_mm
                turn += found.turn_rad
    if turn > 0.0:
        return rise / turn
    areas = np.array([flank.area for flank in flanks])
    return float((areas * [flank.h_mm for flank in flanks]).sum() / areas.sum())


def _starts(flanks: Sequence[_Flank], h: float) -> int:
    """How many flanks of one side wind side by side: places of z - h phi at one radius."""
    slope = 0.5 * max((flank.taper for flank in flanks), key=abs)
    levelled = [
        np.hypot(flank.points[:, 0], flank.points[:, 1]) - slope * flank.points[:, 2]
        for flank in flanks
    ]
    middle = float(np.median([0.5 * (r.min() + r.max()) for r in levelled]))
    lead = math.tau * abs(h)
    phases: list[tuple[float, float]] = []
    for flank, r in zip(flanks, levelled, strict=True):
        k = int(np.argmin(np.abs(r - middle)))
        x, y, z = flank.points[k]
        n = flank.normals[k]
        n_r = (n[0] * x + n[1] * y) / math.hypot(x, y)
        z += -n_r / n[2] * (middle - r[k])
        phases.append((((z - h * math.atan2(y, x)) / lead) % 1.0, flank.area))
    places: list[list[float]] = []
    for phase, area in sorted(phases, key=lambda p: -p[1]):
        for place in places:
            if abs((phase - place[0] + 0.5) % 1.0 - 0.5) <= _SAME_PHASE:
                place[1] += area
                break
        else:
            places.append([phase, area])
    largest = max(area for _, area in places)
    return sum(area >= 0.2 * largest for _, area in places)


def _flank_angle(flanks: Sequence[_Flank]) -> float:
    """Mean angle of flanks of one side from the radial plane in the axial section, degrees."""
    total, weight = 0.0, 0.0
    for flank in flanks:
        r = np.hypot(flank.points[:, 0], flank.points[:, 1])
        n = flank.normals
        n_r = (n[:, 0] * flank.points[:, 0] + n[:, 1] * flank.points[:, 1]) / r
        total += flank.area * float(np.degrees(np.arctan2(np.abs(n_r), np.abs(n[:, 2]))).mean())
        weight += flank.area
    return total / weight


def _neighbours(
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]], others: Collection[int]
) -> dict[int, set[int]]:
    found: dict[int, set[int]] = defaultdict(set)
    for _, owners in edges:
        own = {i for i in owners if i in others}
        for i in own:
            found[i] |= own - {i}
    return found


def _members(
    flanks: Sequence[_Flank], others: dict[int, KernelFace], neighbours: dict[int, set[int]]
) -> set[int]:
    """The flanks and all faces joined to them that are not turned: crest, root, run-out, and what
    else cuts into them."""
    members = {flank.face.index for flank in flanks}
    waiting = list(members)
    while waiting:
        for i in neighbours[waiting.pop()]:
            if i not in members:
                members.add(i)
                waiting.append(i)
    return members


def _rim(face: KernelFace) -> Array:
    """Points along the face's edges, shape (n, 3)."""
    edges = (edge for edge in face.edges() if not BRep_Tool.Degenerated_s(edge))
    return np.concatenate([np.empty((0, 3)), *(edge_points(edge, _RIM) for edge in edges)])
