"""Where the solid lacks material that its turned body has: grouped, named, measured."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from OCP.TopoDS import TopoDS_Edge, TopoDS_Shape

from turnability.half_plane.curves import Curve, Ring
from turnability.part.departures.books import Account, close_books
from turnability.part.departures.groups import make_group
from turnability.part.departures.holes import Hole, bolt_circles, evenly_spaced, hole_of, same_line
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Departure, DepartureKind, Parameter


def find_departures(
    solid: TopoDS_Shape,
    faces: Sequence[KernelFace],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    on_body: Collection[int],
    turned: Collection[int],
    turned_curves: Sequence[Curve],
    body: Sequence[Ring],
    z_low_mm: float,
) -> tuple[Departure, ...]:
    """All departures in order of z, then r.

    `turned`: all turned faces; `on_body`: those of them that bound the turned body; all other
    faces are departures' faces.
    `body`: the meridian's rings in the axis frame, whose z = `z_low_mm` is the part's low end.
    """
    off_body = [face for face in faces if face.index not in on_body]
    kinds = {face.index: face.kind for face in faces if face.index in on_body}
    groups = [
        make_group(members, _rims(members, edges, kinds), turned)
        for members in _joined(off_body, edges)
    ]
    accounts = close_books(solid, groups, turned_curves, body)
    holes = {
        i: hole
        for i, account in enumerate(accounts)
        if len(account.groups) == 1
        for hole in [hole_of(account.groups[0])]
        if hole is not None
    }
    made = _merged(accounts, holes)
    made.sort(key=lambda m: (round(m[2][0], 6), round(m[2][1], 6), m[1]))
    return tuple(
        Departure(
            f"D{n}",
            kind,
            indices,
            volume,
            (z[0] - z_low_mm, z[1] - z_low_mm),
            parameters,
        )
        for n, (kind, indices, z, volume, parameters) in enumerate(made, 1)
    )


_Made = tuple[
    DepartureKind, tuple[int, ...], tuple[float, float], float | None, dict[str, Parameter]
]


def _merged(accounts: Sequence[Account], holes: dict[int, Hole]) -> list[_Made]:
    """Bolt circles and cross holes as one departure each, all else as it stands."""
    done: set[int] = set()
    made: list[_Made] = []
    for circle in bolt_circles(list(holes.items())):
        members = [holes[i] for i in circle]
        done.update(circle)
        made.append(
            _make(
                "bolt-circle",
                [accounts[i] for i in circle],
                {
                    "count": len(circle),
                    "circle_diameter_mm": 2.0 * members[0].offset_mm,
                    "hole_diameter_mm": members[0].diameter_mm,
                    "even": evenly_spaced(members),
                },
            )
        )
    for i, account in enumerate(accounts):
        if i in done:
            continue
        done.add(i)
        hole = holes.get(i)
        if hole is None:
            made.append(_make("other", [account], {}))
            continue
        across = [
            j
            for j, other in holes.items()
            if j not in done
            and hole.heading != "axial"
            and abs(other.diameter_mm - hole.diameter_mm) < 1e-3
            and same_line(hole, other)
        ]
        done.update(across)
        if hole.heading == "axial" and hole.widest_mm > 2.0 * hole.offset_mm > 2e-3:
            made.append(_make("eccentric", [account], {"offset_mm": hole.offset_mm}))
            continue
        parameters: dict[str, Parameter] = {
            "diameter_mm": hole.diameter_mm,
            "direction": hole.heading,
            "offset_mm": hole.offset_mm,
            "walls": 1 + len(across),
        }
        if hole.widest_mm > hole.diameter_mm + 1e-3:
            parameters["widest_diameter_mm"] = hole.widest_mm
        made.append(_make("hole", [account, *(accounts[j] for j in across)], parameters))
    return made


def _make(
    kind: DepartureKind, accounts: Sequence[Account], parameters: dict[str, Parameter]
) -> _Made:
    groups = [group for account in accounts for group in account.groups]
    indices = tuple(sorted(i for group in groups for i in group.indices))
    z = (min(g.z_mm[0] for g in groups), max(g.z_mm[1] for g in groups))
    r = (min(g.r_mm[0] for g in groups), max(g.r_mm[1] for g in groups))
    volumes = [account.volume_mm3 for account in accounts]
    known = [v for v in volumes if v is not None]
    # less than nothing: the faces wind round the axis in a way that was not seen
    sane = len(known) == len(volumes) and math.fsum(known) >= 0.0
    volume = math.fsum(known) if sane else None
    return kind, indices, z, volume, {**parameters, "r_mm": r}


def _rims(
    members: Sequence[KernelFace],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    kinds: Mapping[int, str],
) -> frozenset[str]:
    """Kinds of the turned faces that share an edge with the members."""
    mine = {face.index for face in members}
    return frozenset(
        kinds[other]
        for _, owners in edges
        if mine.intersection(owners)
        for other in owners
        if other in kinds
    )


def _joined(
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
