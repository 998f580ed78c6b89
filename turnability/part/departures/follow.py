"""Angles followed from face to face over shared edges, and the images of what must be jumped."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict, deque
from collections.abc import Sequence

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
from turnability.part.departures.sheets import Wall, angles
from turnability.part.turned_body.edge_images import edge_image
from turnability.part.turned_body.sampling import half_plane_point, image_curves, one_image

_SHARES = (0.08, 0.29, 0.5, 0.71, 0.92)

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
    along = _along(faces, [side for _, sides in edges for side in sides])
    for k, (edge, ((a, _), (b, _))) in enumerate(edges):
        apart = np.round((along[2 * k] - along[2 * k + 1]) / math.tau)
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


def _along(faces: Sequence[Walled], sides: Sequence[tuple[int, TopoDS_Edge]]) -> Array:
    """The followed angle at a few places along each side, shape (sides, places)."""
    places = np.empty((len(sides), len(_SHARES), 2))
    by_face: dict[int, list[int]] = defaultdict(list)
    for k, (number, edge) in enumerate(sides):
        by_face[number].append(k)
        trace = BRepAdaptor_Curve2d(edge, faces[number].face.face)
        first, last = trace.FirstParameter(), trace.LastParameter()
        points = [trace.Value(first + share * (last - first)) for share in _SHARES]
        places[k] = [(p.X(), p.Y()) for p in points]
    found = np.empty(places.shape[:2])
    for number, own in by_face.items():
        uv = places[own].reshape(-1, 2)
        found[own] = angles(faces[number].sheets, uv).reshape(len(own), -1)
    return found


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

        def place(a: float, b: float = sheet.high, swapped: bool = swapped) -> Point:
            at = (b, a) if swapped else (a, b)
            return half_plane_point(one.face.surface.Value(*at))

        for low, high in itertools.pairwise(sheet.breaks.tolist()):
            found.extend(image_curves(place, low, high))
    return found
