"""Solids that a file writes anew, turned end for end: an earlier solid of it in another place.

Assemblies are often written flat. A solid that stands the other way round has its low end where
the first has its high one and would be told as another part. It is told as that first one, in the
first one's coordinates, as a solid that the file places again is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepTools import BRepTools
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from turnability.part.axis import contract_direction
from turnability.part.model import Part, Profile, Stated
from turnability.part.reading.read import ReadSolid

Array: TypeAlias = NDArray[np.float64]

_SAME_MM = 1e-5
"""Places this near are one: files write coordinates to 1e-6 mm or finer."""
_SAME_SHARE = 1e-9
"""And by this share of the solid's size."""
_SHARES = (0.137, 0.618, 0.871)
"""Odd ones: places by halves may all lie in one plane, where a mirror image looks the same."""


def turned_copies(
    part: Part, read: ReadSolid, others: Sequence[ReadSolid]
) -> tuple[list[ReadSolid], set[int]]:
    """Those of other solids of the file that are this one turned end for end, and the numbers of
    those that are this one otherwise moved, which need not be asked for copies of their own.

    A mirror image is none, nor is one of which the file says other things.
    """
    if part.axis is None or part.profile is None or _is_same_either_way(part, part.profile):
        return [], set()
    places: tuple[tuple[object, ...], Array] | None = None
    found: list[ReadSolid] = []
    upright: set[int] = set()
    for other in others:
        if other.shape.IsEqual(read.shape) or not _said_alike(read, other):
            continue
        places = places or (_kinds(read.shape), _places(read.shape))
        if _kinds(other.shape) != places[0]:
            continue
        turn = rotation(places[1], _places(other.shape))
        if turn is not None and _is_end_for_end(turn, part):
            found.append(other)
        elif turn is not None:
            upright.add(other.source.solid)
    return found, upright


def with_places(part: Part, copies: Sequence[ReadSolid]) -> Part:
    """The part with the places of its copies among its own."""
    added = {
        one.solid: replace(one, turned=True) for copy in copies for one in copy.source.instances
    }
    instances = (*part.source.instances, *(added[number] for number in sorted(added)))
    return replace(part, source=replace(part.source, instances=instances))


def as_copy(first: Part, read: ReadSolid, learnt: Sequence[str]) -> Part:
    """What is told of a copy: all of the first, `learnt` of it too, but for what was read here."""
    faces = tuple(
        replace(face, step_id=number)
        for face, number in zip(first.faces, read.step_ids, strict=True)  # said alike: as many
    )
    return replace(
        first,
        source=replace(read.source, instances=first.source.instances),
        faces=faces,
        remarks=(*read.remarks, *learnt),
    )


def rotation(one: Array, other: Array) -> Array | None:
    """The rotation (3, 3) that with a shift carries places (n, 3) to others, row by row; or None.

    The nearest in the mean of squares (W. Kabsch, Acta Cryst. A32 (1976) 922; from memory), held
    against each place.
    """
    if one.shape != other.shape or len(one) < 3:
        return None
    a, b = one - one.mean(axis=0), other - other.mean(axis=0)
    left, _, right = np.linalg.svd(a.T @ b)
    proper = np.diag((1.0, 1.0, math.copysign(1.0, float(np.linalg.det(left @ right)))))
    turn: Array = (left @ proper @ right).T
    off = float(np.abs(a @ turn.T - b).max())
    return turn if off <= _SAME_MM + _SAME_SHARE * float(np.abs(a).max()) else None


def _is_end_for_end(turn: Array, part: Part) -> bool:
    """Whether the axis, carried along, would be told the other way round."""
    assert part.axis is not None
    carried = turn @ np.array(part.axis.direction)
    told = contract_direction((float(carried[0]), float(carried[1]), float(carried[2])))
    return float(carried @ np.array(told)) < 0.0


def _is_same_either_way(part: Part, profile: Profile) -> bool:
    """Whether it looks the same from both ends: wherever it stands, its profile tells that."""
    if part.departures or part.threads:
        return False
    seen: tuple[set[tuple[float, ...]], set[tuple[float, ...]]] = (set(), set())
    for segment in profile.segments:
        places = [segment.curve.at(share) for share in (0.0, 0.5, 1.0)]
        for kept, (begin, sign) in zip(seen, ((0.0, 1.0), (profile.length_mm, -1.0)), strict=True):
            ways = [round(x, 4) + 0.0 for z, r in places for x in (begin + sign * z, r)]
            kept.add(min(tuple(ways), (*ways[4:], *ways[2:4], *ways[:2])))
    return seen[0] == seen[1]


def _said_alike(one: ReadSolid, other: ReadSolid) -> bool:
    a, b = one.source, other.source
    return (
        len(one.step_ids) == len(other.step_ids) > 0
        and a.length_unit == b.length_unit
        and one.doubts == other.doubts
        and one.facts.faces == other.facts.faces
        and one.facts.stated == other.facts.stated == Stated()
        and not any(i.mirrored or i.scale != 1.0 for s in (a, b) for i in s.instances)
    )


def _mapped(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> list[TopoDS_Shape]:
    order = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, kind, order)
    return [order.FindKey(i) for i in range(1, order.Extent() + 1)]


def _kinds(shape: TopoDS_Shape) -> tuple[object, ...]:
    """What lies on each face, which way round it is, and how many edges there are."""
    faces = [TopoDS.Face_s(face) for face in _mapped(shape, TopAbs_FACE)]
    return (
        *((BRepAdaptor_Surface(f, False).GetType(), f.Orientation()) for f in faces),
        len(_mapped(shape, TopAbs_EDGE)),
    )


def _places(shape: TopoDS_Shape) -> Array:
    """Places (n, 3) on all faces and edges, in the order of the solid's maps."""
    found = []
    for one in _mapped(shape, TopAbs_FACE):
        face = TopoDS.Face_s(one)
        surface = BRepAdaptor_Surface(face, True)
        u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
        for a in _SHARES:
            for b in _SHARES:
                found.append(surface.Value(u0 + a * (u1 - u0), v0 + b * (v1 - v0)))
    for one in _mapped(shape, TopAbs_EDGE):
        edge = TopoDS.Edge_s(one)
        if BRep_Tool.Degenerated_s(edge):
            continue
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        found.extend(curve.Value(first + share * (last - first)) for share in (0.0, *_SHARES))
    return np.array([(p.X(), p.Y(), p.Z()) for p in found]).reshape(-1, 3)
