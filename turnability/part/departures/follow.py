"""Angles followed from face to face over shared edges, and the images of what must be jumped."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict, deque
from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Edge
from OCP.TopTools import TopTools_IndexedMapOfShape

from turnability.half_plane.curves import Curve, Point, Spline
from turnability.part.departures.circles import Walled
from turnability.part.departures.ruled import Ruled
from turnability.part.departures.sheets import AnySheet, Wall, angles, place
from turnability.part.turned_body.edge_images import edge_image
from turnability.part.turned_body.sampling import half_plane_point, one_image
from turnability.part.turned_body.turning_back import image_curves
from turnability.part.winding import edge_points

_SHARES = (0.08, 0.29, 0.5, 0.71, 0.92)
_LOOKS = 33
_HALVINGS = 40

Array = NDArray[np.float64]


def follow(faces: Sequence[Walled]) -> list[Curve]:
    """Shift the sheets of faces by whole turns so that they agree over most shared edges.

    The images of the other edges, of seams that are a turn apart, and of the rows where sheets of
    one face meet are returned: the angle jumps there.
    """
    jumps: list[Curve] = []
    for one in faces:
        jumps.extend(_between_sheets(one))
    shared: list[tuple[TopoDS_Edge, int, int, Array]] = []
    beside: dict[int, list[tuple[int, int]]] = defaultdict(list)
    edges = _edges(faces)
    along = _along(faces, [sides for _, sides in edges])
    for (edge, ((a, _), (b, _))), (one_side, other) in zip(edges, along, strict=True):
        apart = np.round((one_side - other) / math.tau)
        shared.append((edge, a, b, apart))
        if a != b and float(np.ptp(apart)) == 0.0:
            beside[a].append((b, int(apart[0])))
            beside[b].append((a, -int(apart[0])))
    turns = _turns(len(faces), beside)
    for number, one in enumerate(faces):
        for sheet in one.sheets:
            sheet.shift = math.tau * turns[number]
    for edge, a, b, apart in shared:
        if (apart + turns[a] - turns[b]).any():
            jumps.extend(image for image in edge_image(edge) if not _is_among(image, jumps))
    return jumps


def _is_among(image: Curve, others: Sequence[Curve]) -> bool:
    return isinstance(image, Spline) and any(
        isinstance(other, Spline) and one_image(image, other) for other in others
    )


def _edges(
    faces: Sequence[Walled],
) -> list[tuple[TopoDS_Edge, list[tuple[int, TopoDS_Edge]]]]:
    """Edges between two faces, or twice round one, with each side's own edge."""
    order = TopTools_IndexedMapOfShape()
    sides: dict[int, list[tuple[int, TopoDS_Edge]]] = defaultdict(list)
    for number, one in enumerate(faces):
        if not one.sheets:
            continue
        walk = TopExp_Explorer(one.face.face, TopAbs_EDGE)
        while walk.More():
            edge = TopoDS.Edge_s(walk.Current())
            if not BRep_Tool.Degenerated_s(edge):
                sides[order.Add(edge)].append((number, edge))
            walk.Next()
    return [
        (TopoDS.Edge_s(order.FindKey(key)), both) for key, both in sides.items() if len(both) == 2
    ]


def _along(
    faces: Sequence[Walled], edges: Sequence[Sequence[tuple[int, TopoDS_Edge]]]
) -> list[list[Array]]:
    """The followed angle at the same places along both sides of each edge."""
    places: list[Array] = []
    by_face: dict[int, list[int]] = defaultdict(list)
    for sides in edges:
        traces = [
            (number, BRepAdaptor_Curve2d(edge, faces[number].face.face)) for number, edge in sides
        ]
        shares = {*_SHARES, *_between_cuts(faces, traces, sides[0][1])}
        for number, trace in traces:
            by_face[number].append(len(places))
            first, last = trace.FirstParameter(), trace.LastParameter()
            points = [trace.Value(first + share * (last - first)) for share in sorted(shares)]
            places.append(np.array([(p.X(), p.Y()) for p in points]))
    found = [np.empty(0)] * len(places)
    for number, own in by_face.items():
        counts = np.cumsum([len(places[k]) for k in own])[:-1]
        told = angles(faces[number].sheets, np.concatenate([places[k] for k in own]))
        for k, part in zip(own, np.split(told, counts), strict=True):
            found[k] = part
    return [found[2 * k : 2 * k + 2] for k in range(len(edges))]


def _past_axis(edge: TopoDS_Edge) -> Iterator[float]:
    """Shares of an edge near which it passes through the axis, or close by."""
    across = edge_points(edge, _LOOKS)[:, :2]
    before, step = across[:-1], np.diff(across, axis=0)
    for k in np.nonzero((before * across[1:]).sum(axis=1) < 0.0)[0].tolist():
        yield float(k - (before[k] @ step[k]) / (step[k] @ step[k])) / (_LOOKS - 1)


def _between_cuts(
    faces: Sequence[Walled],
    sides: Sequence[tuple[int, BRepAdaptor_Curve2d]],
    edge: TopoDS_Edge,
) -> list[float]:
    """Shares of an edge half-way between places where its angle may jump on one of its faces.

    There it passes through the axis or from sheet to sheet, at times for a short way only.
    """
    cuts = [0.0, 1.0, *_past_axis(edge)]
    for number, trace in sides:
        sheets = faces[number].sheets
        levels = [sheet.high for sheet in sheets[:-1]]
        if not levels:
            continue
        first, last = trace.FirstParameter(), trace.LastParameter()

        def row(
            share: float,
            own: AnySheet = sheets[0],
            t: BRepAdaptor_Curve2d = trace,
            a: float = first,
            b: float = last,
        ) -> float:
            p = t.Value(a + share * (b - a))
            return float(place(own, np.array([[p.X(), p.Y()]]))[0, 1])

        looks = np.linspace(0.0, 1.0, _LOOKS).tolist()
        rows = [row(share) for share in looks]
        for level in levels:
            for (low, v0), (high, v1) in itertools.pairwise(zip(looks, rows, strict=True)):
                if (v0 > level) != (v1 > level):
                    cuts.append(_crossing(row, level, low, high, v0 > level))
    cuts.sort()
    return [(a + b) / 2.0 for a, b in itertools.pairwise(cuts) if len(cuts) > 2]


def _crossing(
    row: Callable[[float], float], level: float, low: float, high: float, above: bool
) -> float:
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if (row(middle) > level) == above:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _turns(count: int, beside: dict[int, list[tuple[int, int]]]) -> list[int]:
    turns: list[int | None] = [None] * count
    for first in range(count):
        if turns[first] is not None:
            continue
        turns[first] = 0
        waiting = deque([first])
        while waiting:
            a = waiting.popleft()
            for b, apart in beside[a]:
                if turns[b] is None:
                    turns[b] = (turns[a] or 0) + apart
                    waiting.append(b)
    return [turn or 0 for turn in turns]


def _between_sheets(one: Walled) -> list[Curve]:
    """Images of the rows where the sheets of a face meet, cut where the axis pierces them."""
    found = []
    for sheet in one.sheets[:-1]:
        if isinstance(sheet, Wall):
            continue
        swapped = isinstance(sheet, Ruled) and sheet.swapped

        def spot(a: float, b: float = sheet.high, swapped: bool = swapped) -> Point:
            at = (b, a) if swapped else (a, b)
            return half_plane_point(one.face.surface.Value(*at))

        for low, high in itertools.pairwise(sheet.breaks.tolist()):
            found.extend(image_curves(spot, low, high))
    return found
