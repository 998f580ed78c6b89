"""The volumes of departures that are pockets, from the areas that their faces cut out of others.

A pocket meets the turned body in closed rims on planes square to the axis: the mouths of a hole.
With those planes carried on over its mouths it is enclosed, and what it holds is what the solid
gains by them: both sides are sums over rims (`part.moments`). That it lies within the turned body
all round is not proven here: the books must close with it. Mouths on other faces are left to
circles round the axis, for a file has their rims on both faces apart, and no more than nearly so.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

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
    on_body: Collection[int],
    bounding: Collection[int],
    body_mm3: float,
) -> list[float | None]:
    """What each group of joined faces holds, in mm3; None of a group that is no plain pocket.

    The part is in its axis frame. `on_body`: indices of turned faces that bound the turned body;
    `bounding`: those of all that do.
    """
    found: list[float | None] = [
        None if any(face.index in bounding for face in group) else _walls(group) for group in groups
    ]
    mouths: list[_Mouths] = []
    by_index = {face.index: face for face in faces}
    for k, some in enumerate(_rims(groups, edges)):
        own = None if found[k] is None else _mouths(k, some, by_index, on_body)
        if own is None:
            found[k] = None
        else:
            mouths.extend(own)
    about = next((face.about for face in faces if face.about is not None), None)
    if about is None or not mouths:
        return found
    size = body_mm3 ** (1.0 / 3.0)
    told = moments_of(mouths, about, size + math.hypot(*about), size * size)
    for mouth, one in zip(mouths, told, strict=True):
        held = found[mouth.pocket]
        found[mouth.pocket] = None if one is None or held is None else held - one[1]
    return [held if held is not None and held > 0.0 else None for held in found]


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
    pocket: int, rim: Edges, faces: Mapping[int, KernelFace], on_body: Collection[int]
) -> list[_Mouths] | None:
    """Where a group meets faces of the body; None where it stands out of one, or has no mouth."""
    own = TopTools_IndexedMapOfShape()
    for edge, _ in rim:
        own.Add(edge)
    z = _widest([range_along(edge, (0.0, 0.0, 1.0)) for edge, _ in rim])
    beside = [faces[i] for i in sorted({i for _, owners in rim for i in owners if i in on_body})]
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
