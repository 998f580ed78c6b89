"""The volumes of departures that are pockets, from the areas that their faces cut out of others.

A pocket meets the turned body in closed rims on planes square to the axis: the mouths of a hole.
With those planes carried on over its mouths it is enclosed, and what it holds is what the solid
gains by them: both sides are sums over rims (`part.moments`). That it lies within the turned body
all round is not proven here: the books must close with it. Mouths on other faces are left to
circles round the axis, for a file has their rims on both faces apart, and no more than nearly so.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face
from OCP.TopTools import TopTools_IndexedMapOfShape

from turnability.part.canonical_points import Formula
from turnability.part.edge_ranges import range_along
from turnability.part.kernel_faces import KernelFace
from turnability.part.kernel_rims import rims_of
from turnability.part.moments import moments_of
from turnability.part.rims import Rim
from turnability.part.surface_points import BSplinePatch

_BEYOND = 1e-6
"""Share of its own depth by which a pocket may stand out of the plane that it opens into."""

_WELL_ASIDE = 0.2
"""Share of a pocket's extent by which it keeps off the axis: faces bulge between their samples."""

_PARALLEL = 1e-9

Edges = Sequence[tuple[TopoDS_Edge, tuple[int, ...]]]


@dataclass(slots=True)
class _Mouths:
    """The rims in which one pocket meets one plane; asked of as a face is (`Measured`)."""

    pocket: int
    face: TopoDS_Face
    kind: str
    bounds: tuple[float, float, float, float]
    formula: Formula
    rim: Rim | None
    has_formula: bool = True
    patch: BSplinePatch | None = None


def pocket_volumes(
    groups: Sequence[Sequence[KernelFace]],
    faces: Sequence[KernelFace],
    edges: Edges,
    turned: Collection[int],
    size_mm: float,
    told: Mapping[frozenset[int], float],
) -> list[float | None]:
    """What each group of joined faces holds, in mm3; None of a group that is no plain pocket.

    The part is in its axis frame and about so large. `turned`: indices of the turned faces that the
    groups meet; `told`: what is known already, by the indices of a group's faces.
    """
    known = [told.get(frozenset(face.index for face in group)) for group in groups]
    found = [
        _walls(group) if one is None else one for group, one in zip(groups, known, strict=True)
    ]
    mouths: list[_Mouths] = []
    by_index = {face.index: face for face in faces}
    for k, some in enumerate(_rims(groups, edges)):
        if known[k] is not None:
            continue
        own = None if found[k] is None else _mouths(k, some, by_index, turned)
        if own is None:
            found[k] = None
        else:
            mouths.extend(own)
    about = next((face.about for face in faces if face.about is not None), None)
    if about is None or not mouths:
        return found
    sums = moments_of(mouths, about, size_mm + math.hypot(*about), size_mm * size_mm)
    for mouth, one in zip(mouths, sums, strict=True):
        held = found[mouth.pocket]
        found[mouth.pocket] = None if one is None or held is None else held - one[1]
    return [held if held is not None and held > 0.0 else None for held in found]


def pockets_aside(
    faces: Sequence[KernelFace], edges: Edges, turned: Collection[int], size_mm: float
) -> dict[frozenset[int], float]:
    """Pockets beside the axis, by the indices of their faces, and what they hold in mm3.

    They are made of faces that do not turn, and of level floors that meet no others.
    No circle round the axis runs through such a pocket all the way, and it leaves it through a wall
    into the solid, for no level circle passes a mouth: the pocket lies within the turned body, of
    which its faces tell nothing.
    """
    walls = joined([face for face in faces if face.index not in turned], edges)
    aside = {face.index for group in walls if _lies_aside(group) for face in group}
    elsewhere = {
        i for _, owners in edges for i in owners if any(k != i and k not in aside for k in owners)
    }
    floors = {f.index for f in faces if f.kind == "plane" and f.index not in elsewhere}
    own = [face for face in faces if face.index in aside | floors]
    groups = [group for group in joined(own, edges) if _lies_aside(group)]
    held = pocket_volumes(groups, faces, edges, set(turned) - floors, size_mm, {})
    found = [(group, one) for group, one in zip(groups, held, strict=True) if one is not None]
    kept = _unlike(found, [face for face in faces if face.index not in turned])
    return {frozenset(face.index for face in group): volume for group, volume in kept}


def _unlike(
    found: Sequence[tuple[Sequence[KernelFace], float]], others: Sequence[KernelFace]
) -> list[tuple[Sequence[KernelFace], float]]:
    """Those pockets whose images lie on no image of a face that is in none of them.

    Where the turned body ends on such an image, it is said to end on all faces that have it.
    """
    kept = list(found)
    while True:
        within = {face.index for group, _ in kept for face in group}
        radii = {r for face in others if face.index not in within for r in _radii(face)}
        left = [one for one in kept if not any(radii & _radii(face) for face in one[0])]
        if len(left) == len(kept):
            return kept
        kept = left


def _radii(face: KernelFace) -> set[float]:
    """How far from the axis a plane or cylinder along it is seen, to 1 nm."""
    if not face.has_formula or face.kind not in ("plane", "cylinder"):
        return set()
    origin, _, _, way = face.formula.frame.tolist()
    if face.kind == "plane":
        level = abs(origin[0] * way[0] + origin[1] * way[1])
        return set() if abs(way[2]) > _PARALLEL else {round(level, 6)}
    if math.hypot(way[0], way[1]) > _PARALLEL:
        return set()
    off, radius = math.hypot(origin[0], origin[1]), face.formula.sizes[0]
    return {round(abs(off - radius), 6), round(off + radius, 6)}


def _lies_aside(group: Sequence[KernelFace]) -> bool:
    """Whether joined faces lie on one side of a plane along the axis, and well off it."""
    across = np.concatenate([face.even.points[..., :2].reshape(-1, 2) for face in group])
    middle = across.mean(axis=0)
    along = across @ middle
    low, high = float(along.min()), float(along.max())
    return low > _WELL_ASIDE * (high - low)


def _walls(group: Sequence[KernelFace]) -> float | None:
    """What lies between a group's faces and the place that all cones end in, mm3."""
    cones = [face.cone_mm3 for face in group if face.cone_mm3 is not None]
    return -math.fsum(cones) if len(cones) == len(group) else None


def _rims(
    groups: Sequence[Sequence[KernelFace]], edges: Edges
) -> list[list[tuple[TopoDS_Edge, tuple[int, ...]]]]:
    """The edges of each group, with the indices of all faces that they bound."""
    group_of = {face.index: k for k, group in enumerate(groups) for face in group}
    found: list[list[tuple[TopoDS_Edge, tuple[int, ...]]]] = [[] for _ in groups]
    for edge, owners in edges:
        for k in {group_of[i] for i in owners if i in group_of}:
            found[k].append((edge, owners))
    return found


def _mouths(
    pocket: int, rim: Edges, faces: Mapping[int, KernelFace], turned: Collection[int]
) -> list[_Mouths] | None:
    """Where a group meets faces of the body; None where it stands out of one, or has no mouth."""
    own = TopTools_IndexedMapOfShape()
    for edge, _ in rim:
        own.Add(edge)
    z = _widest([range_along(edge, (0.0, 0.0, 1.0)) for edge, _ in rim])
    beside = [faces[i] for i in sorted({i for _, owners in rim for i in owners if i in turned})]
    if not beside or not all(_is_level(face, z) for face in beside):
        return None
    asked = [(f.face, [e for e in f.edges() if own.Contains(e)], f.bounds) for f in beside]
    return [
        _Mouths(pocket, face.face, face.kind, face.bounds, face.formula, one)
        for face, one in zip(beside, rims_of(asked), strict=True)
    ]


def _is_level(face: KernelFace, z: tuple[float, float]) -> bool:
    """Whether a face is a plane, on whose solid side lies what reaches so far along the axis."""
    if face.kind != "plane" or not face.has_formula:
        return False
    level, up = float(face.formula.frame[0, 2]), float(face.formula.frame[3, 2])
    up *= -face.formula.side if face.reversed else face.formula.side
    room = _BEYOND * (z[1] - z[0])
    return z[1] <= level + room if up > 0.0 else z[0] >= level - room


def _widest(ranges: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return min(low for low, _ in ranges), max(high for _, high in ranges)


def joined(
    faces: Sequence[KernelFace], edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]]
) -> list[list[KernelFace]]:
    """Faces that share edges, directly or through others."""
    parent = {face.index: face.index for face in faces}

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for _, owners in edges:
        mine = [i for i in owners if i in parent]
        for i in mine[1:]:
            parent[root(i)] = root(mine[0])
    groups: dict[int, list[KernelFace]] = defaultdict(list)
    for face in faces:
        groups[root(face.index)].append(face)
    return [groups[key] for key in sorted(groups)]
