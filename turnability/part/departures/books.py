"""The volume that groups of faces take out of the turned body, each from its own faces.

On every circle round the axis the missing angle is the sum of the angles where the circle comes
back into the solid less those where it leaves, and a whole number n of turns that depends on how
the angles were followed. n is constant in the cells that turned faces and the seams of following
part the half plane into; one circle of each cell tells it, others prove it. So a departure's
volume is minus the flux of phi r e_phi through its faces (`part.flux`), and n times what each
cell sweeps.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Shape

from turnability.half_plane.arrangement import Arrangement, Cell, arrange
from turnability.half_plane.curves import Curve, Line, Point, Points, Ring, ring_volume
from turnability.half_plane.inside import holds
from turnability.half_plane.intersect import box
from turnability.part.departures.circles import Meeting, Walled, gaps, meetings, walled
from turnability.part.departures.flux import fluxes
from turnability.part.departures.follow import follow
from turnability.part.departures.groups import Group
from turnability.part.kernel_faces import KernelFace

_WITHIN = 1e-9
"""Each face's flux, as a share of the turned body."""
_CLOSED = 1e-5
_NEARLY_CLOSED = 1e-3
_WHOLE = 1e-3
_CIRCLES = 3
_NO_MATTER = 1e-10
"""Share of the body that a cell sweeps: the kernel, which is dear, is not asked about less."""
_TRIES = 12
_ACROSS = 16
_CLEAR_MM = 1e-5
_CLOSED_MM = 1e-6
"""Ends of curves this close are one."""
_CLOSED_FROM_TO_MM = (_CLOSED_MM, 3e-6, 1e-5, 3e-5, 1e-4)
_NEARLY_MM = 5e-3
_ROOM_MM = 0.1
_ANGLES = (0.7391, 2.8335, 4.9279)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Account:
    """One departure of the books: its joined faces, and what they remove (mm3; None: unknown)."""

    groups: tuple[tuple[KernelFace, ...], ...]
    volume_mm3: float | None


@dataclass(slots=True)
class _Cell:
    """A cell within the turned body: what it sweeps (mm3) and circles that tell of it."""

    swept_mm3: float
    circles: list[list[Meeting]] = field(default_factory=list)
    void_for: tuple[int, ...] = ()


def close_books(
    solid: TopoDS_Shape,
    groups: Sequence[Group],
    turned_curves: Sequence[Curve],
    touches: Sequence[Point],
    body: Sequence[Ring],
) -> list[Account]:
    """What each group removes; groups that only together make sense share one account.

    `touches`: places where curves touch that chords would not tell.
    """
    faces = [walled(face, number) for number, group in enumerate(groups) for face in group.faces]
    jumps = follow(faces)
    total = abs(math.fsum(ring_volume(ring) for ring in body))
    near = _near(turned_curves, groups)
    ends = _to_the_next(jumps, [*(curve for ring in body for curve in ring), *near])
    cells = _cells(solid, groups, faces, [*near, *jumps, *ends], touches, body)
    shared = _Joined(len(groups))
    for cell in cells:
        for a, b in itertools.pairwise(cell.void_for):
            shared.join(a, b)
        for circle in cell.circles:
            for leaving, back, _ in gaps(circle):
                shared.join(leaving, back)
    out = [(0.0, 0.0)] * len(groups)
    own = fluxes([(face.face, face.sheets) for face in faces], _WITHIN * total)
    for face, (flux, plain) in zip(faces, own, strict=True):
        before = out[face.group]
        out[face.group] = (before[0] + flux, before[1] + plain)
    _join_open(groups, out, shared)
    return [_account(members, groups, out, cells) for members in shared.sets()]


def _account(
    members: list[int],
    groups: Sequence[Group],
    fluxes: Sequence[tuple[float, float]],
    cells: Sequence[_Cell],
) -> Account:
    mine = set(members)
    own = tuple(groups[i].faces for i in members)
    parts = [-fluxes[i][0] for i in members]
    for cell in cells:
        n = _turns(cell, mine)
        if n is None:
            return Account(own, None)
        parts.append(n * cell.swept_mm3)
    open_by = abs(math.fsum(fluxes[i][1] for i in members))
    closed = open_by <= _NEARLY_CLOSED * math.fsum(_scale(groups[i]) for i in members)
    return Account(own, math.fsum(parts) if closed else None)


def _turns(cell: _Cell, members: set[int]) -> int | None:
    """The whole number of turns in a cell, on which all its circles must agree."""
    told = set()
    for circle in cell.circles:
        missing = math.fsum(width for leaving, _, width in gaps(circle) if leaving in members)
        followed = math.fsum(
            m.followed if m.leaves else -m.followed for m in circle if m.group in members
        )
        told.add((missing + followed) / math.tau)
    if cell.void_for:
        told.add(1.0 if members.issuperset(cell.void_for) else 0.0)
    if not told:
        return 0
    n = round(min(told))
    return n if all(abs(x - n) <= _WHOLE for x in told) else None


def _scale(group: Group) -> float:
    area = math.fsum(face.area_mm2 for face in group.faces)
    return area * max(group.r_mm[1], 1e-9)


class _Joined:
    """Numbers joined into sets."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def root(self, i: int) -> int:
        while self._parent[i] != i:
            self._parent[i] = self._parent[self._parent[i]]
            i = self._parent[i]
        return i

    def join(self, a: int, b: int) -> None:
        a, b = self.root(a), self.root(b)
        self._parent[max(a, b)] = min(a, b)

    def sets(self) -> list[list[int]]:
        found: dict[int, list[int]] = {}
        for i in range(len(self._parent)):
            found.setdefault(self.root(i), []).append(i)
        return list(found.values())


def _join_open(
    groups: Sequence[Group], fluxes: Sequence[tuple[float, float]], shared: _Joined
) -> None:
    """Groups that a circle leaves by and no circle was seen to come back by: with neighbours."""
    waiting = [
        members
        for members in shared.sets()
        if abs(math.fsum(fluxes[i][1] for i in members))
        > _CLOSED * math.fsum(_scale(groups[i]) for i in members)
    ]
    for one, other in itertools.combinations(waiting, 2):
        if any(_overlap(groups[a], groups[b]) for a in one for b in other):
            shared.join(one[0], other[0])


def _overlap(a: Group, b: Group) -> bool:
    return (
        a.z_mm[0] < b.z_mm[1] - 1e-6
        and b.z_mm[0] < a.z_mm[1] - 1e-6
        and a.r_mm[0] < b.r_mm[1] - 1e-6
        and b.r_mm[0] < a.r_mm[1] - 1e-6
    )


# ---------------------------------------------------------------- cells


def _near(turned_curves: Sequence[Curve], groups: Sequence[Group]) -> list[Curve]:
    """The turned faces' curves that may run through a group's image."""
    frames = []
    for group in groups:
        (z0, z1), (r0, r1), room = group.z_mm, group.r_mm, _room(group)
        frames.append((z0 - room, r0 - room, z1 + room, r1 + room))
    return [
        curve
        for curve in turned_curves
        for z0, r0, z1, r1 in [box(curve)]
        if any(z0 <= f[2] and z1 >= f[0] and r0 <= f[3] and r1 >= f[1] for f in frames)
    ]


def _to_the_next(jumps: Sequence[Curve], others: Sequence[Curve]) -> list[Curve]:
    """Short lines from the ends of jumps to what they nearly reach.

    An edge may end a hair beside the row where the angle jumps, and would leave its cell open.
    """
    if not jumps:
        return []
    runs = [curve.flatten(_CLEAR_MM) for curve in (*jumps, *others)]
    begin = np.concatenate([run[:-1] for run in runs])
    step = np.concatenate([np.diff(run, axis=0) for run in runs])
    owner = np.repeat(np.arange(len(runs)), [len(run) - 1 for run in runs])
    length2 = np.maximum((step * step).sum(axis=1), 1e-300)
    found: list[Curve] = []
    for number, curve in enumerate(jumps):
        for end in (curve.start, curve.end):
            rel = np.array(end) - begin
            share = np.clip((rel * step).sum(axis=1) / length2, 0.0, 1.0)
            off = np.hypot(*(rel - share[:, None] * step).T)
            off[owner == number] = math.inf
            k = int(off.argmin())
            if _CLOSED_MM < off[k] <= _NEARLY_MM:
                foot = begin[k] + share[k] * step[k]
                beyond = foot + (foot - end) * (_CLOSED_MM / off[k])
                found.append(Line(end, (float(beyond[0]), float(beyond[1]))))
    return found


def _cells(
    solid: TopoDS_Shape,
    groups: Sequence[Group],
    faces: Sequence[Walled],
    curves: Sequence[Curve],
    touches: Sequence[Point],
    body: Sequence[Ring],
) -> list[_Cell]:
    """Cells of the turned body that departures reach into, each with what its circles tell."""
    drawn = [*(curve for ring in body for curve in ring), *curves]
    plane = _planar(drawn, touches)
    least = _NO_MATTER * abs(math.fsum(ring_volume(ring) for ring in body))
    points = [group.inside for group in groups]
    classifier: BRepClass3d_SolidClassifier | None = None
    found = []
    for cell in plane.cells:
        if cell.outer is None:
            continue
        middle = cell.well_inside()
        if middle is None or not _in_body(body, *middle):
            continue
        swept = ring_volume(cell.outer) + math.fsum(ring_volume(hole) for hole in cell.holes)
        made = _Cell(swept)
        told = [0] * len(groups)
        for number, spread in enumerate(_spread(_in_cell(cell, p)) for p in points):
            for z, r in spread:
                if told[number] >= _CIRCLES:
                    break
                circle = meetings(faces, z, r)
                if circle:
                    made.circles.append(circle)
                    for met in {m.group for m in circle}:
                        told[met] += 1
        if not made.circles and swept > least:
            near = _nearest(groups, *middle)
            for z, r in _clear_places(cell, middle) if near else ():
                circle = meetings(faces, z, r)
                if circle:
                    made.circles.append(circle)
                elif circle is not None:
                    classifier = classifier or BRepClass3d_SolidClassifier(solid)
                    if not _holds(classifier, z, r):
                        made.void_for = near
                if circle is not None:
                    break
        if made.circles or made.void_for:
            found.append(made)
    return found


def _planar(drawn: Sequence[Curve], touches: Sequence[Point]) -> Arrangement:
    """The cells at the least tolerance that parts them: a file's own gaps may be wider."""
    numbered = [(curve, frozenset((i,))) for i, curve in enumerate(drawn)]
    tried = (arrange(numbered, within, touches) for within in _CLOSED_FROM_TO_MM)
    finest = next(tried)
    return finest if finest.planar else next((plane for plane in tried if plane.planar), finest)


def _holds(classifier: BRepClass3d_SolidClassifier, z: float, r: float) -> bool:
    """Whether the solid holds a circle that meets none of its departures' faces."""
    for angle in _ANGLES:  # one would do, did the kernel never err beside a seam
        classifier.Perform(gp_Pnt(r * math.cos(angle), r * math.sin(angle), z), 1e-9)
        if classifier.State() == TopAbs_IN:
            return True
    return False


def _in_cell(cell: Cell, points: Points) -> Points:
    """Those points that lie in a cell and clear of its rim."""
    points = points[cell.holds(points)]
    if not len(points):
        return points
    # rims are flattened to 1e-4 of their size, and the points of turned faces lie on them
    clear = max(_CLEAR_MM, 3e-4 * float(np.ptp(cell.polygons[0], axis=0).max()))
    return points[cell.clear_mm(points) > clear]


def _clear_places(cell: Cell, middle: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """The middle of a cell, then places all over it, clear of its rim."""
    yield middle
    low, high = cell.polygons[0].min(axis=0), cell.polygons[0].max(axis=0)
    shares = (np.arange(_ACROSS) + 0.5) / _ACROSS
    z, r = (low[k] + (high[k] - low[k]) * shares for k in (0, 1))
    yield from _spread(_in_cell(cell, np.stack(np.meshgrid(z, r), axis=2).reshape(-1, 2)))


def _spread(points: Points) -> list[tuple[float, float]]:
    """A few of many points, far apart in their order."""
    order = [int(k * 0.618034 * len(points)) % len(points) for k in range(min(_TRIES, len(points)))]
    return [(float(points[k, 0]), float(points[k, 1])) for k in dict.fromkeys(order)]


def _nearest(groups: Sequence[Group], z: float, r: float) -> tuple[int, ...]:
    """The groups that reach a place; where none does as it was measured, those that may."""
    for share in (0.0, 1.0):
        found = []
        for i, group in enumerate(groups):
            (z0, z1), (_, most), room = group.z_mm, group.r_mm, share * _room(group)
            if z0 - room < z < z1 + room and r < most + room:
                found.append(i)
        if found:
            return tuple(found)
    return ()


def _room(group: Group) -> float:
    """How far a group may reach beyond what was measured of it at samples."""
    (z0, z1), (r0, r1) = group.z_mm, group.r_mm
    return _ROOM_MM + 0.1 * (z1 - z0 + r1 - r0)


def _in_body(body: Sequence[Ring], z: float, r: float) -> bool:
    point = np.array([[z, r]])
    return sum(bool(holds(ring, point)[0]) for ring in body) % 2 == 1
