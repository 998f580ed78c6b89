"""The half plane cut into cells by curves, every piece remembering what it came from.

Words: a *node* is a point where pieces end; a *piece* runs between two nodes and meets nothing
between them; a *side* is a piece run one way, with a cell on its left; a *cell* is a connected
part of the plane that no piece enters. Curves may cross, touch and lie on one another; what lies
within the tolerance is one. Origins ride along and are never interpreted.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Curve, Point, Points, Ring, ring_area
from turnability.half_plane.inside import corners_of, polygon_distance, polygon_holds
from turnability.half_plane.pieces import Drawn, Piece, pieces_between_nodes

_NO_AREA = 1e-13
_SIDE_BY_SIDE = 0.15
"""Radians between neighbouring sides at a node up to which they are told apart farther out."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its outer boundary (None for the unbounded one) and its holes.

    `polygons`: the boundary flattened, the outer one first; `mean_width_mm`: twice the area over
    the boundary's length, small for slivers.
    """

    number: int
    outer: Ring | None
    holes: tuple[Ring, ...]
    polygons: tuple[Points, ...] = field(repr=False, compare=False)
    mean_width_mm: float

    def well_inside(self) -> Point | None:
        """A point far from the boundary; None for the unbounded cell, or where none was found."""
        return None if self.outer is None else _well_inside(self)

    def holds(self, points: Points) -> NDArray[np.bool_]:
        """Whether each point (n, 2) lies in the cell, shape (n,); the unbounded one holds none."""
        if self.outer is None:
            return np.zeros(len(points), dtype=bool)
        found = polygon_holds(self.polygons[0], points)
        for hole in self.polygons[1:]:
            if found.any():
                found[found] = ~polygon_holds(hole, points[found])
        return found

    def clear_mm(self, points: Points) -> NDArray[np.float64]:
        """Distance of each point (n, 2) from the boundary in mm, shape (n,)."""
        return polygon_distance(self.polygons, points)


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Pieces between nodes, and the cell on the left of each side (2 i forward, 2 i + 1 back).

    `planar`: whether nodes, pieces and cells number what Euler's formula says (n - p + c = 2 for
    what hangs together). They do not where curves cross without a node, and then cells run into
    one another: two that are one curve but for a little more than the tolerance.
    """

    pieces: tuple[Drawn, ...]
    cells: tuple[Cell, ...]
    cell_of_side: tuple[int, ...]
    next_side: tuple[int, ...]
    planar: bool

    def side(self, number: int) -> Curve:
        """The curve of a side in its running direction."""
        curve = self.pieces[number // 2][0]
        return curve.reversed() if number % 2 else curve

    def boundary(self, is_in: Sequence[bool]) -> list[list[Drawn]]:
        """Loops round the union of the cells that are in (region on the left), with origins."""
        left = [is_in[cell] for cell in self.cell_of_side]
        rim = {s for s in range(len(left)) if left[s] and not left[s ^ 1]}
        loops = []
        while rim:
            first = min(rim)
            loop, side = [], first
            while True:
                rim.discard(side)
                loop.append((self.side(side), self.pieces[side // 2][1]))
                side = self.next_side[side]
                while not (left[side] and not left[side ^ 1]):
                    side = self.next_side[side ^ 1]
                if side == first:
                    break
            loops.append(loop)
        return loops


def arrange(drawn: Iterable[Drawn], within_mm: float, touches: Iterable[Point] = ()) -> Arrangement:
    """Cut the plane by `drawn` curves; what lies within `within_mm` is one point or one curve.

    `touches`: places at which curves touch, where no crossing would tell; they are parted there,
    and not once more beside it where their chords cross.
    """
    return _cells(pieces_between_nodes(drawn, within_mm, touches))


def _cells(pieces: list[Piece]) -> Arrangement:
    following = _following(pieces)
    curves: list[Curve] = [curve for _, _, curve, _ in pieces]

    def side_curve(side: int) -> Curve:
        return curves[side // 2].reversed() if side % 2 else curves[side // 2]

    cycle_of = [-1] * (2 * len(pieces))
    cycles: list[list[int]] = []
    for first in range(len(cycle_of)):
        if cycle_of[first] >= 0:
            continue
        cycle, side = [], first
        while cycle_of[side] < 0:
            cycle_of[side] = len(cycles)
            cycle.append(side)
            side = following[side]
        cycles.append(cycle)
    rings = [tuple(side_curve(s) for s in cycle) for cycle in cycles]
    areas = [ring_area(ring) for ring in rings]
    shapes = [corners_of(ring) for ring in rings]
    # a run out along loose pieces and back has no area but rounding
    around = [math.fsum(curve.length() for curve in ring) for ring in rings]
    positive = [c for c in range(len(cycles)) if areas[c] > _NO_AREA * around[c] ** 2]
    frames = np.array([[*p.min(axis=0), *p.max(axis=0)] for p in shapes]).reshape(-1, 4)
    number_of = {c: k + 1 for k, c in enumerate(positive)}
    holes: dict[int, list[int]] = defaultdict(list)
    cell_of_cycle: dict[int, int] = dict(number_of)
    component = _components(pieces, cycles)
    for c in range(len(cycles)):
        if c in number_of:
            continue
        z, r = rings[c][0].at(0.5)
        here = np.array([[z, r]])
        near = (frames[:, 0] <= z) & (frames[:, 1] <= r) & (frames[:, 2] >= z) & (frames[:, 3] >= r)
        holding = [
            d
            for d in positive
            if near[d] and component[d] != component[c] and polygon_holds(shapes[d], here)[0]
        ]
        home = number_of[min(holding, key=lambda d: areas[d])] if holding else 0
        cell_of_cycle[c] = home
        holes[home].append(c)
    cells = [Cell(0, None, tuple(rings[c] for c in holes[0]), (), math.inf)]
    for c in positive:
        k = number_of[c]
        own = [c, *holes[k]]
        width = 2.0 * math.fsum(areas[h] for h in own) / math.fsum(around[h] for h in own)
        shapes_ = tuple(shapes[h] for h in own)
        cells.append(Cell(k, rings[c], tuple(rings[h] for h in holes[k]), shapes_, width))
    return Arrangement(
        tuple((curve, origins) for _, _, curve, origins in pieces),
        tuple(cells),
        tuple(cell_of_cycle[cycle_of[s]] for s in range(len(cycle_of))),
        tuple(following),
        # pieces that run round the node they begin at count like any others
        len({n for a, b, _, _ in pieces for n in (a, b)}) - len(pieces) + len(cycles)
        == 2 * len(set(component)),
    )


def _following(pieces: list[Piece]) -> list[int]:
    """For each side the next one round the cell on its left."""
    out: dict[int, list[int]] = defaultdict(list)
    for i, (a, b, _, _) in enumerate(pieces):
        out[a].append(2 * i)
        out[b].append(2 * i + 1)
    following = [0] * (2 * len(pieces))
    for sides in out.values():
        order = _around(pieces, sides)
        for k, s in enumerate(order):
            # arriving along the reverse of s, the cell on the left continues along the side
            # next in clockwise order
            following[s ^ 1] = order[k - 1]
    return following


def _around(pieces: list[Piece], sides: list[int]) -> list[int]:
    """The sides that leave one node in anticlockwise order.

    Those that leave side by side are told apart as far out as they run without meeting another:
    where an edge's image touches a fold, they part by less than a node's tolerance at first.
    """

    def bearing(side: int, reach_mm: float) -> float:
        return _bearing(pieces[side // 2][2], side % 2 == 1, reach_mm)

    def length(side: int) -> float:
        return pieces[side // 2][2].length()

    if len(sides) < 3:
        return sides
    reach = 0.2 * min(map(length, sides))
    known = sorted((bearing(side, reach), side) for side in sides)
    turns = [
        (after - before) % math.tau
        for (before, _), (after, _) in itertools.pairwise([*known, known[0]])
    ]
    first = max(range(len(known)), key=lambda k: turns[k]) + 1
    order: list[int] = []
    bundle: list[tuple[float, int]] = []
    for k in range(first, first + len(known)):
        bundle.append(known[k % len(known)])
        if k + 1 == first + len(known) or turns[k % len(known)] > _SIDE_BY_SIDE:
            order.extend(_fanned(bundle, bearing, length))
            bundle = []
    return order


def _fanned(
    bundle: list[tuple[float, int]],
    bearing: Callable[[int, float], float],
    length: Callable[[int], float],
) -> list[int]:
    """Sides with nearly one bearing in anticlockwise order."""
    if len(bundle) == 1:
        return [bundle[0][1]]
    reach = 0.5 * min(length(side) for _, side in bundle)
    middle = bundle[0][0]
    return [
        side
        for _, side in sorted(
            ((bearing(side, reach) - middle + math.pi) % math.tau, side) for _, side in bundle
        )
    ]


def _bearing(curve: Curve, back: bool, reach_mm: float) -> float:
    """Angle at which a piece leaves its node, seen at a common small distance."""
    share = min(reach_mm / curve.length(), 1.0)
    here = curve.end if back else curve.start
    there = curve.at(1.0 - share if back else share)
    return math.atan2(there[1] - here[1], there[0] - here[0])


def _components(pieces: list[Piece], cycles: list[list[int]]) -> list[int]:
    parent: dict[int, int] = {}

    def root(n: int) -> int:
        parent.setdefault(n, n)
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    for a, b, _, _ in pieces:
        parent[root(a)] = root(b)
    return [root(pieces[cycle[0] // 2][0]) for cycle in cycles]


def _well_inside(cell: Cell) -> Point | None:
    rings = [cell.outer or (), *cell.holes]
    size = float(np.ptp(cell.polygons[0], axis=0).max())
    longest = sorted((c for ring in rings for c in ring), key=lambda c: -c.length())[:12]
    tried = []
    for curve in longest:
        step = min(size, curve.length())
        for share in (0.5, 0.25, 0.75):
            tried.append((*curve.at(share), *curve.direction(share), step))
    z, r, dz, dr, step = np.array(tried).T[:, :, None]
    step = step * 0.5 ** np.arange(14)
    points = np.column_stack(((z - dr * step).ravel(), (r + dz * step).ravel()))
    points = points[points[:, 1] > 0.0]
    points = points[cell.holds(points)]
    if not len(points):
        return None
    best = int(cell.clear_mm(points).argmax())
    return float(points[best, 0]), float(points[best, 1])
