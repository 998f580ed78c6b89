"""A tool's outlines made ready to be moved: mirrored for its end, extended, in convex pieces."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Curve, Line, Points, Ring
from turnability.half_plane.flatten import (
    CHORD_MM,
    outline_points,
    touching_edges,
    touching_points,
)
from turnability.half_plane.places import TOUCH_MM
from turnability.half_plane.regions import Region
from turnability.half_plane.restore import MovedChords
from turnability.half_plane.rings import following
from turnability.half_plane.sums import Convex, convex_of, convex_pieces
from turnability.reach.ground import Ground
from turnability.reach.model import Toward
from turnability.shop.model import Access, Outlines, Tool

ENDLESS_MM = 1e5
"""How far a body goes on without end: farther than any part and window."""
_LEVEL_MM = 1e-6
_MIRROR = np.array([-1.0, 1.0])


@dataclass(frozen=True, slots=True, eq=False)
class Lower:
    """Convex pieces of a body at a height (mm) below its edge; `part_only` where no stock asks."""

    height_mm: float
    pieces: tuple[Convex, ...]
    part_only: bool


@dataclass(frozen=True, slots=True, eq=False)
class Mover:
    """Convex pieces of the cutting outline and, turned by half a turn, of both outlines.

    `reach` is how far any corner but the endless edge lies from the point; `cutting_box` is the
    least and greatest (z, r) of the cutting outline. `key` is the same for outside tools that are
    one and the same however they came to be so: a left-hand one is a right-hand one from the other
    end. `below` is what of the body stands below the edge.
    """

    key: Hashable
    access: Access
    on_axis: bool
    toward: Toward
    cutting: tuple[Convex, ...]
    body: tuple[Convex, ...]
    cutting_negated: tuple[Convex, ...]
    body_negated: tuple[Convex, ...]
    cutting_box: tuple[float, float, float, float]
    reach: float
    chords: MovedChords
    rings: tuple[Points, ...]
    radii: tuple[NDArray[np.float64], ...]
    bodies: tuple[Points, ...]
    below: tuple[Lower, ...] = ()
    below_negated: tuple[Lower, ...] = ()

    @property
    def from_high(self) -> bool:
        """True when the tool comes from the end of greatest z."""
        return self.toward == "low"


class _Itself:
    """Things as a key, each as itself: comparing by value would take long."""

    __slots__ = ("ids", "things")

    def __init__(self, *things: object) -> None:
        self.things, self.ids = things, tuple(map(id, things))

    def __eq__(self, other: object) -> bool:
        # what is held here keeps its id
        return isinstance(other, _Itself) and self.ids == other.ids

    def __hash__(self) -> int:
        return hash(self.ids)


def mover_of(
    outlines: Outlines, access: Access, on_axis: bool, toward: Toward, ground: Ground
) -> Mover:
    """Prepare outlines for the part held at one end; mirrored in z when that is the high end."""
    return _mover_of(_Itself(outlines), access, on_axis, toward, _normals(ground))


def bare_outlines(cutting: tuple[Ring, ...]) -> Outlines:
    """A cutting outline without a body: the same object for the same rings."""
    return _bare(_Itself(*cutting))


@lru_cache(maxsize=4096)
def _bare(key: _Itself) -> Outlines:
    return Outlines(cast(tuple[Ring, ...], key.things), ())


def movers_of(
    tools: Sequence[Tool], toward: Sequence[Toward], ground: Ground
) -> tuple[tuple[Tool, Toward, Mover], ...]:
    """Every tool from every end."""
    return _movers(_Itself(*tools), tuple(toward), _normals(ground))


@lru_cache(maxsize=64)
def _movers(
    key: _Itself, toward: tuple[Toward, ...], normals: bytes
) -> tuple[tuple[Tool, Toward, Mover], ...]:
    tools = cast(tuple[Tool, ...], key.things)
    return tuple(
        (tool, end, _mover_of(_Itself(tool.outlines), tool.access, tool.on_axis, end, normals))
        for tool in tools
        for end in toward
    )


def _normals(ground: Ground) -> bytes:
    known = ground.memory.get("normals")
    if known is None:
        known = ground.memory["normals"] = ground.normals.tobytes()
    return cast(bytes, known)


@lru_cache(maxsize=16384)
def _mover_of(key: _Itself, access: Access, on_axis: bool, toward: Toward, normals: bytes) -> Mover:
    outlines = cast(Outlines, key.things[0])
    # only arcs ask where the part can touch them
    curved = any(isinstance(c, Arc) for ring in (*outlines.cutting, *outlines.body) for c in ring)
    return _mover(outlines, access, on_axis, toward, normals if curved else b"")


@lru_cache(maxsize=4096)
def _mover(
    outlines: Outlines, access: Access, on_axis: bool, toward: Toward, normals: bytes
) -> Mover:
    if toward == "high":
        return _mirrored(_mover(outlines, access, on_axis, "low", normals))
    directions = np.frombuffer(normals)
    bodies = [touching_points(ring, directions) for ring in outlines.body if ring]
    cutting = _without_buried_arcs(_Itself(outlines))
    edged = [touching_edges(ring, directions) for ring in cutting if ring]
    corners = np.concatenate([*(points for points, _ in edged), *bodies, np.zeros((1, 2))])
    column = 1 if access == "outer" else 0
    bodies = _endless(bodies, column)
    below = []
    for one in outlines.below:
        rings = [touching_points(ring, directions) for ring in one.body if ring]
        corners = np.concatenate([corners, *rings])
        pieces = [piece for ring in _endless(rings, column) for piece in convex_pieces(ring)]
        below.append(Lower(one.height_mm, tuple(pieces), one.part_only))
    return _made(
        access,
        on_axis,
        toward,
        edged,
        bodies,
        [piece for points, _ in edged for piece in convex_pieces(points)],
        [piece for ring in bodies for piece in convex_pieces(ring)],
        float(np.abs(corners).max()),
        below,
    )


@lru_cache(maxsize=4096)
def _without_buried_arcs(key: _Itself) -> tuple[Ring, ...]:
    """The cutting outline with a chord for each arc that the body covers by more than touching.

    An insert's corner behind its holder touches nothing and takes away nothing: where it is, the
    body has to be, too. A third of an insert's corners are such.
    """
    outlines = cast(Outlines, key.things[0])
    body = Region.of([outline_points(ring) for ring in outlines.body if ring])

    def drawn(curve: Curve) -> Curve:
        if not isinstance(curve, Arc) or curve.clockwise:
            return curve
        around = Region.of([curve.flatten(CHORD_MM)]).grown(2.0 * TOUCH_MM, "mitre")
        return Line(curve.start, curve.end) if (around - body).empty else curve

    if body.empty:
        return outlines.cutting
    return tuple(tuple(map(drawn, ring)) for ring in outlines.cutting)


def _mirrored(low: Mover) -> Mover:
    """The same for the part held at its high end."""

    def turned(ring: Points) -> Points:
        mirrored: Points = ring[::-1] * _MIRROR
        return mirrored

    return _made(
        low.access,
        low.on_axis,
        "high",
        [
            (turned(points), np.concatenate((radii[-2::-1], radii[-1:])))
            for points, radii in zip(low.rings, low.radii, strict=True)
        ],
        [turned(ring) for ring in low.bodies],
        [convex_of(turned(piece.corners)) for piece in low.cutting],
        [convex_of(turned(piece.corners)) for piece in low.body],
        low.reach,
        [
            replace(one, pieces=tuple(convex_of(turned(piece.corners)) for piece in one.pieces))
            for one in low.below
        ],
    )


def _made(
    access: Access,
    on_axis: bool,
    toward: Toward,
    edged: list[tuple[Points, NDArray[np.float64]]],
    bodies: list[Points],
    cutting: list[Convex],
    body: list[Convex],
    reach: float,
    below: list[Lower],
) -> Mover:
    all_cutting = np.concatenate([points for points, _ in edged] or [np.zeros((1, 2))])
    (z0, r0), (z1, r1) = all_cutting.min(axis=0).tolist(), all_cutting.max(axis=0).tolist()
    return Mover(
        key=_key([*cutting, *body], len(cutting))
        if access == "outer" and not on_axis and not below
        else object(),
        access=access,
        on_axis=on_axis,
        toward=toward,
        cutting=tuple(cutting),
        body=tuple(body),
        cutting_negated=tuple(piece.negated() for piece in cutting),
        body_negated=tuple(piece.negated() for piece in body),
        cutting_box=(z0, r0, z1, r1),
        reach=reach,
        chords=_chords(edged),
        rings=tuple(points for points, _ in edged),
        radii=tuple(radii for _, radii in edged),
        bodies=tuple(bodies),
        below=tuple(below),
        below_negated=tuple(
            replace(one, pieces=tuple(piece.negated() for piece in one.pieces)) for one in below
        ),
    )


def _key(pieces: list[Convex], cutting: int) -> Hashable:
    """What two tools have in common that are the same: the corners of their convex pieces."""
    counts = tuple(len(piece.corners) for piece in pieces)
    if not counts:
        return (0,)
    corners = np.round(np.concatenate([piece.corners for piece in pieces]), 9) + 0.0
    order = np.lexsort((corners[:, 1], corners[:, 0], np.repeat(np.arange(len(counts)), counts)))
    return (cutting, counts, corners[order].tobytes())


def _chords(edged: list[tuple[Points, NDArray[np.float64]]]) -> MovedChords:
    vectors = [np.zeros((0, 2))]
    radii = [np.zeros(0)]
    for points, radius in edged:
        convex = radius > 0.0
        vectors.append((following(points) - points)[convex])
        radii.append(radius[convex])
    return MovedChords(np.concatenate(vectors), np.concatenate(radii))


def _endless(rings: list[Points], column: int) -> list[Points]:
    """Rings with the edges at the greatest z (column 0) or r (1) carried on without end."""
    if not rings:
        return []
    top = max(float(ring[:, column].max()) for ring in rings)
    done = []
    for ring in rings:
        at_top = ring[:, column] >= top - _LEVEL_MM
        edge = at_top & np.roll(at_top, -1)
        carried: list[Points] = []
        for i in range(len(ring)):
            carried.append(ring[i : i + 1])
            if edge[i]:
                pair = np.stack((ring[i], ring[(i + 1) % len(ring)]))
                pair[:, column] = top + ENDLESS_MM
                carried.append(pair)
        done.append(np.concatenate(carried))
    return done
