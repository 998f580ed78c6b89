"""The volume that groups of faces take out of the turned body, each from its own faces.

Groups whose images in the half plane overlap are summed round one common angle that none of
their faces touches (see `part.flux`); where the solid is open at that angle, the open part of the
section is measured cell by cell. Where no such angle exists the volume stays unknown.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.ElSLib import ElSLib
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Edge, TopoDS_Shape

from turnability.half_plane.arrangement import arrange
from turnability.half_plane.curves import Curve, Points, Ring, ring_volume
from turnability.half_plane.inside import holds
from turnability.part.departures.flux import removed_by, tube_volume
from turnability.part.departures.groups import Group
from turnability.part.departures.holes import Hole, hole_of
from turnability.part.kernel_faces import KernelFace
from turnability.part.turned_body.edge_images import edge_image

Known: TypeAlias = dict[tuple[float, ...], tuple[float, float]]
_CLEAR = 2e-3
"""Radians that the common angle keeps from every face."""
_SHARES = tuple((k + 0.37) / 29.0 for k in range(29))
_CLOSED = 1e-5
_NEARLY_CLOSED = 1e-3

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Account:
    """One departure of the books: its groups and what they remove (mm3; None: unknown)."""

    groups: tuple[Group, ...]
    volume_mm3: float | None


def close_books(
    solid: TopoDS_Shape,
    groups: Sequence[Group],
    turned_curves: Sequence[Curve],
    body: Sequence[Ring],
) -> list[Account]:
    """What each group removes; groups that only together make sense share one account."""
    classifier = BRepClass3d_SolidClassifier(solid)
    known: Known = {}
    accounts: list[Account] = []
    for cluster in _clusters(groups):
        accounts.extend(_cluster_accounts(cluster, classifier, turned_curves, body, known))
    return accounts


def _cluster_accounts(
    cluster: list[Group],
    classifier: BRepClass3d_SolidClassifier,
    turned_curves: Sequence[Curve],
    body: Sequence[Ring],
    known: Known,
) -> list[Account]:
    cut = _common_angle(cluster)
    if cut is not None:
        inside = np.concatenate([group.inside for group in cluster])
        if _whole_at(cut, inside, classifier, body):
            sums = [_removed(group, cut, known) for group in cluster]
            return _closed_accounts(cluster, sums, cut)
    accounts, rest = [], []
    for group in cluster:
        account = _alone(group, classifier, body, known)
        if account is None:
            rest.append(group)
        else:
            accounts.append(account)
    if not rest:
        return accounts
    if cut is None:
        cut = _corner_angle(cluster)
    if cut is None:
        return [*accounts, *(Account((group,), None) for group in rest)]
    # not from the equal ones: where the section is open at the cut, equal groups differ
    sums = [removed_by(group.faces, cut) for group in rest]
    if _whole_at(cut, np.concatenate([group.inside for group in rest]), classifier, body):
        return [*accounts, *_closed_accounts(rest, sums, cut)]
    # the section at the cut is open: what is missing there belongs to all of the rest
    gap = _open_section(cut, rest, classifier, turned_curves, body)
    total = gap + math.fsum(volume for volume, _ in sums)
    return [*accounts, Account(tuple(rest), total)]


def _alone(
    group: Group,
    classifier: BRepClass3d_SolidClassifier,
    body: Sequence[Ring],
    known: Known,
) -> Account | None:
    """A group about an angle of its own, or a hole by the surfaces it ends on.

    Where the solid is whole at an angle, at the group's own image, no gap of the group is there.
    """
    for cut in _free_angles(group):
        if _whole_at(cut, group.inside, classifier, body):
            sums = _removed(group, cut, known)
            if abs(sums[1]) <= _closed_within(group) and sums[0] >= 0.0:
                return Account((group,), sums[0])
            return None  # one wall of a slot
    volume = _tube(group)
    return None if volume is None else Account((group,), volume)


def _free_angles(group: Group) -> list[float]:
    """Angles spread over the widest run that the group's faces do not reach."""
    gap = _widest_gap([group])
    if gap is None:
        return []
    low, high = gap
    return [low + (high - low) * share for share in (0.5, *_SHARES)]


def _tube(group: Group) -> float | None:
    """What a hole right across the axis, or round it (an offset bore), takes out of the body."""
    hole = hole_of(group)
    if hole is None or not group.rims:
        return None
    if group.rims == {"cylinder"} and hole.heading == "radial" and _crosses_axis(group, hole):
        return tube_volume(group.faces, "z")
    if group.rims == {"plane"} and hole.heading == "axial":
        core = hole.diameter_mm / 2.0 - hole.offset_mm
        if hole.widest_mm > hole.diameter_mm + 1e-6 or core < 0.0:
            return None
        length = group.z_mm[1] - group.z_mm[0]
        return tube_volume(group.faces, "r") - math.pi * core * core * length
    return None


def _on_face(face: KernelFace, point: gp_Pnt) -> bool:
    u, v = ElSLib.Parameters_s(face.canonical, point)
    return face.holds(u, v, with_rim=True)


def _crosses_axis(group: Group, hole: Hole) -> bool:
    """Whether a radial hole's wall meets the part's axis: it runs on through solid there."""
    poles = [gp_Pnt(0.0, 0.0, hole.point[2] + side * hole.diameter_mm / 2.0) for side in (1, -1)]
    return all(
        any(
            _on_face(face, pole)
            for face in group.faces
            if face.kind == "cylinder" and face.recovered_gap_mm is None
        )
        for pole in poles
    )


def _removed(group: Group, cut: float, known: Known) -> tuple[float, float]:
    """Minus the flux and the openness of a group; equal closed groups are measured once."""
    key = (
        *(round(x, 4) for x in sorted(face.area_mm2 for face in group.faces)),
        *(round(x, 4) for x in (*group.z_mm, *group.r_mm)),
    )
    if key in known:
        return known[key]
    sums = removed_by(group.faces, cut)
    if abs(sums[1]) <= _closed_within(group):  # open ones may be mirror images: opposite signs
        known[key] = sums
    return sums


def _closed_within(group: Group) -> float:
    area = math.fsum(face.area_mm2 for face in group.faces)
    return _CLOSED * area * max(group.r_mm[1], 1e-9)


def _closed_accounts(
    cluster: Sequence[Group], sums: Sequence[tuple[float, float]], cut: float
) -> list[Account]:
    """One account for each group that is closed; open ones are taken with their neighbours.

    The two walls of a slot are open each: a circle leaves through one and comes back through
    the other. Round the axis from the cut, walls are added until the sum is closed.
    """
    order = sorted(
        range(len(cluster)),
        key=lambda i: (min((s[0] for s in cluster[i].spans), default=cut) - cut) % math.tau,
    )
    accounts: list[Account] = []
    waiting: list[int] = []
    for i in order:
        group = cluster[i]
        within = _closed_within(group)
        if not waiting and abs(sums[i][1]) <= within:
            accounts.append(Account((group,), sums[i][0]))
            continue
        waiting.append(i)
        if abs(math.fsum(sums[k][1] for k in waiting)) <= within:
            members = tuple(cluster[k] for k in waiting)
            accounts.append(Account(members, math.fsum(sums[k][0] for k in waiting)))
            waiting = []
    if waiting:
        # the file's own gaps: the sum is kept where they are small, and the books tell how near
        members = tuple(cluster[k] for k in waiting)
        open_by = abs(math.fsum(sums[k][1] for k in waiting))
        scale = sum(_closed_within(group) for group in members) / _CLOSED
        volume = math.fsum(sums[k][0] for k in waiting)
        accounts.append(Account(members, volume if open_by <= _NEARLY_CLOSED * scale else None))
    return accounts


def _at_angle(edge: TopoDS_Edge, angle: float) -> bool:
    """Whether an edge lies in the plane through the axis at an angle (on either side)."""
    curve = BRepAdaptor_Curve(edge)
    low, high = curve.FirstParameter(), curve.LastParameter()
    points = (curve.Value(low + (high - low) * t) for t in (0.1, 0.5, 0.9))
    return all(abs(p.Y() * math.cos(angle) - p.X() * math.sin(angle)) <= 1e-5 for p in points)


# ---------------------------------------------------------------- angles


def _clusters(groups: Sequence[Group]) -> list[list[Group]]:
    """Groups whose images overlap, directly or through others."""
    clusters: list[list[Group]] = []
    for group in groups:
        touching = [c for c in clusters if any(_overlap(group, other) for other in c)]
        joined = [group, *(g for c in touching for g in c)]
        clusters = [c for c in clusters if c not in touching] + [joined]
    return clusters


def _overlap(a: Group, b: Group) -> bool:
    return (
        a.z_mm[0] < b.z_mm[1] - 1e-6
        and b.z_mm[0] < a.z_mm[1] - 1e-6
        and a.r_mm[0] < b.r_mm[1] - 1e-6
        and b.r_mm[0] < a.r_mm[1] - 1e-6
    )


def _common_angle(cluster: Sequence[Group]) -> float | None:
    """The middle of the widest run of angles that no face of the cluster reaches."""
    gap = _widest_gap(cluster)
    return None if gap is None else (gap[0] + gap[1]) / 2.0


def _widest_gap(cluster: Sequence[Group]) -> tuple[float, float] | None:
    spans = sorted((low % math.tau, high - low) for group in cluster for low, high in group.spans)
    if any(width >= math.tau - 1e-9 for _, width in spans):
        return None
    widest, gap, reached = 2.0 * _CLEAR, None, -math.inf
    wrapped = [(low + turn, width) for turn in (0.0, math.tau) for low, width in spans]
    for low, width in wrapped:
        # on the second turn all that reaches over from the first is known
        if low >= math.tau and low - reached > widest:
            widest, gap = low - reached, (reached, low)
        reached = max(reached, low + width)
    return gap


def _corner_angle(cluster: Sequence[Group]) -> float | None:
    """An angle of corners that all faces only touch (a hexagon's)."""
    spans = [span for group in cluster for span in group.spans]
    candidates = sorted({angle for group in cluster for angle in group.corners})
    for angle in candidates:
        if not any(_strictly_in(angle, span) for span in spans):
            return angle
    return None


def _strictly_in(angle: float, span: tuple[float, float]) -> bool:
    width = span[1] - span[0]
    past = (angle - span[0]) % math.tau
    if width <= 1e-5:  # a wall that runs through the axis lies in that very half plane
        return min(past, math.tau - past) <= 1e-4
    if width >= math.tau - 1e-9:  # a whole turn, open at its seam if at all
        return width > math.tau + 1e-6 or 1e-6 < past < math.tau - 1e-6
    return 1e-6 < past < width - 1e-6


def _whole_at(
    angle: float, inside: Points, classifier: BRepClass3d_SolidClassifier, body: Sequence[Ring]
) -> bool:
    """Whether the solid is whole at an angle, at image points of the faces."""
    points = inside[:: max(1, len(inside) // 12)]
    return all(
        _is_in(classifier, float(z), float(r), angle)
        for z, r in points
        if _in_body(body, float(z), float(r))
    )


def _is_in(classifier: BRepClass3d_SolidClassifier, z: float, r: float, angle: float) -> bool:
    classifier.Perform(gp_Pnt(r * math.cos(angle), r * math.sin(angle), z), 1e-9)
    return bool(classifier.State() == TopAbs_IN)


def _in_body(body: Sequence[Ring], z: float, r: float) -> bool:
    point = np.array([[z, r]])
    return sum(bool(holds(ring, point)[0]) for ring in body) % 2 == 1


def _open_section(
    cut: float,
    cluster: Sequence[Group],
    classifier: BRepClass3d_SolidClassifier,
    turned_curves: Sequence[Curve],
    body: Sequence[Ring],
) -> float:
    """Volume swept by the part of the body's section that is open at the cut, near the cluster."""
    corners = [
        curve
        for group in cluster
        for face in group.faces
        for edge in face.edges()
        if not BRep_Tool.Degenerated_s(edge) and _at_angle(edge, cut)
        for curve in edge_image(edge)
    ]
    curves = [*turned_curves, *(curve for ring in body for curve in ring), *corners]
    plane = arrange(((curve, frozenset((i,))) for i, curve in enumerate(curves)), 1e-6)
    found = []
    for cell in plane.cells:
        inside = cell.well_inside()
        if cell.outer is None or inside is None:
            continue
        z, r = inside
        near = any(g.z_mm[0] < z < g.z_mm[1] and g.r_mm[0] < r < g.r_mm[1] for g in cluster)
        if not near:
            continue
        if _in_body(body, z, r) and not _is_in(classifier, z, r, cut):
            found.append(ring_volume(cell.outer) + sum(ring_volume(hole) for hole in cell.holes))
    return math.fsum(found)
