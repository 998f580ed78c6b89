"""A tool's outlines made ready to be moved: mirrored for its end, extended, in convex pieces."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Points
from turnability.half_plane.flatten import touching_edges, touching_points
from turnability.half_plane.regions import Region, following, whole_rings
from turnability.half_plane.restore import MovedChords
from turnability.half_plane.sums import Convex, convex_of, convex_pieces, cycles
from turnability.reach.ground import Ground
from turnability.reach.model import Toward
from turnability.shop.model import Access, Outlines

ENDLESS_MM = 1e5
"""How far a body goes on without end: farther than any part and window."""
BEHIND_MM = 0.02
"""How far the edge must run ahead of what follows in its track: more than room asks for."""
_LEVEL_MM = 1e-6
_MIRROR = np.array([-1.0, 1.0])


@dataclass(frozen=True, slots=True, eq=False)
class Pass:
    """A straight pass from far outside, along `ahead` (a ray as a convex piece).

    `body_negated` is what of the body does not follow in the track of the cutting outline;
    `along_z` is False where it goes in along r.
    """

    along_z: bool
    ahead: Convex
    body_negated: tuple[Convex, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Mover:
    """Convex pieces of the cutting outline and, turned by half a turn, of both outlines.

    `reach` is how far any corner but the endless edge lies from the point; `cutting_box` is the
    least and greatest (z, r) of the cutting outline. `key` is the same for outside tools that are
    one and the same however they came to be so: a left-hand one is a right-hand one from the other
    end. `below` is what of the body stands at a height (mm) below the edge.
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
    below: tuple[tuple[float, tuple[Convex, ...]], ...] = ()
    below_negated: tuple[tuple[float, tuple[Convex, ...]], ...] = ()

    @property
    def from_high(self) -> bool:
        """True when the tool comes from the end of greatest z."""
        return self.toward == "low"


def mover_of(
    outlines: Outlines, access: Access, on_axis: bool, toward: Toward, ground: Ground
) -> Mover:
    """Prepare outlines for the part held at one end; mirrored in z when that is the high end."""
    known = ground.memory.get((id(outlines), access, on_axis, toward))
    if known is not None:
        return cast(Mover, known[1])
    # only arcs ask where the part can touch them
    curved = any(isinstance(c, Arc) for ring in (*outlines.cutting, *outlines.body) for c in ring)
    normals = ground.normals.tobytes() if curved else b""
    made = _mover(outlines, access, on_axis, toward, normals)
    # the outlines are kept, for a key of others could be the same after them
    ground.memory[id(outlines), access, on_axis, toward] = (outlines, made)
    return made


@lru_cache(maxsize=4096)
def _mover(
    outlines: Outlines, access: Access, on_axis: bool, toward: Toward, normals: bytes
) -> Mover:
    if toward == "high":
        return _mirrored(_mover(outlines, access, on_axis, "low", normals))
    directions = np.frombuffer(normals)
    edged = [touching_edges(ring, directions) for ring in outlines.cutting if ring]
    bodies = [touching_points(ring, directions) for ring in outlines.body if ring]
    corners = np.concatenate([*(points for points, _ in edged), *bodies, np.zeros((1, 2))])
    column = 1 if access == "outer" else 0
    bodies = _endless(bodies, column)
    below = []
    for one in outlines.below:
        rings = [touching_points(ring, directions) for ring in one.body if ring]
        corners = np.concatenate([corners, *rings])
        pieces = [piece for ring in _endless(rings, column) for piece in convex_pieces(ring)]
        below.append((one.height_mm, tuple(pieces)))
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
            (height, tuple(convex_of(turned(piece.corners)) for piece in pieces))
            for height, pieces in low.below
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
    below: list[tuple[float, tuple[Convex, ...]]],
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
            (height, tuple(piece.negated() for piece in pieces)) for height, pieces in below
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


@lru_cache(maxsize=4096)
def passes_of(mover: Mover) -> tuple[Pass, ...]:
    """The straight passes that a tool can make: along z, and for outside tools inward."""
    if mover.on_axis or mover.below or not mover.bodies or not mover.rings:
        return ()
    along = [(-1.0, 0.0) if mover.from_high else (1.0, 0.0)]
    if mover.access == "outer":
        along = [(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0)]
    body = Region.of(mover.bodies)
    made = []
    for z, r in along:
        track = Region.of(cycles(mover.rings, [_ray(-z, -r, BEHIND_MM)]))
        # a little narrower with few corners: concave arcs would fall into many pieces
        track = track.grown(-BEHIND_MM, "mitre").simplified(0.9 * BEHIND_MM)
        left = [piece for ring in whole_rings(body - track) for piece in convex_pieces(ring)]
        made.append(Pass(r == 0.0, _ray(z, r, 0.0), tuple(piece.negated() for piece in left)))
    return tuple(made)


def _ray(z: float, r: float, begin: float) -> Convex:
    """A ray along one axis from the origin, without width: sums with it stay exact."""
    far = 10.0 * ENDLESS_MM
    return convex_of(np.array([[begin * z, begin * r], [far * z, far * r]]))


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
