"""Curves cut at every node on them, so that each piece meets nothing between its ends.

Words are those of `arrangement`. Curves may cross, touch and lie on one another; what lies within
the tolerance is one, and has the origins of all.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Curve, Line, Point, Points, Spline
from turnability.half_plane.intersect import box, crossings, share_at, shares_at

SPLINE_CHORD_MM = 3e-4
"""Splines handed in have chords that miss the true curve by no more than this."""

Origins: TypeAlias = frozenset[int]
Drawn: TypeAlias = tuple[Curve, Origins]
Piece: TypeAlias = tuple[int, int, Curve, Origins]
"""From node, to node, curve, origins."""


def pieces_between_nodes(
    drawn: Iterable[Drawn], within_mm: float, touches: Iterable[Point] = ()
) -> list[Piece]:
    """Curves cut at nodes; what lies within `within_mm` is one point or one curve.

    `touches`: places at which curves touch, where no crossing would tell; they are parted there,
    and not once more beside it where chords of splines cross.
    """
    curves = [
        (piece, origins)
        for curve, origins in drawn
        for piece in _monotone(curve)
        if piece.length() > within_mm
    ]
    return _merge(_split(curves, within_mm, touches), within_mm)


def _monotone(curve: Curve) -> list[Curve]:
    """A spline cut where it turns back in z, unless r never does: no piece can cross itself."""
    if not isinstance(curve, Spline) or len(curve.points) < 4:
        return [curve]
    turns = [_turning_back(np.diff(curve.table[:, axis])) for axis in (0, 1)]
    if not all(turns):
        return [curve]
    cuts = [0, *turns[0], len(curve.points) - 1]
    return [Spline(curve.points[a : b + 1]) for a, b in itertools.pairwise(cuts)]


def _turning_back(steps: NDArray[np.float64]) -> list[int]:
    """Indices of the points where a coordinate turns back."""
    moving = np.nonzero(steps)[0]
    signs = np.sign(steps[moving])
    return [int(moving[k + 1]) for k in np.nonzero(signs[:-1] != signs[1:])[0]]


class _Nodes:
    """Points so far apart that each is one node, found again by a grid."""

    def __init__(self, within_mm: float, known: Iterable[Point]) -> None:
        self.within_mm = within_mm
        self.points: list[Point] = []
        self._grid: dict[tuple[int, int], list[int]] = defaultdict(list)
        for p in known:
            self.at(p)

    def at(self, p: Point) -> int:
        """The node within tolerance of p, made where there is none."""
        size = 2.0 * self.within_mm
        z, r = p[0] / size, p[1] / size
        i, j = math.floor(z - 0.5), math.floor(r - 0.5)
        best, least = -1, self.within_mm
        # a square is twice the tolerance wide: two each way hold all that is near
        for square in ((i, j), (i, j + 1), (i + 1, j), (i + 1, j + 1)):
            for n in self._grid.get(square, ()):
                d = math.dist(self.points[n], p)
                if d <= least:
                    best, least = n, d
        if best < 0:
            best = len(self.points)
            self.points.append(p)
            self._grid[math.floor(z), math.floor(r)].append(best)
        return best


def _split(curves: list[Drawn], within_mm: float, touches: Iterable[Point]) -> list[Piece]:
    """Cut every curve at every node on it: (from node, to node, curve, origins)."""
    nodes = _Nodes(within_mm, [p for curve, _ in curves for p in (curve.start, curve.end)])
    whole = [(nodes.at(c.start), nodes.at(c.end), c, o) for c, o in curves]
    curves = [(c, o) for _, _, c, o in _merge(whole, within_mm)]
    boxes = np.array([box(curve) for curve, _ in curves]).reshape(-1, 4)
    touched = _touched([curve for curve, _ in curves], boxes, touches, within_mm)
    for p in touches:
        nodes.at(p)
    for i in range(len(curves)):
        b = boxes[i]
        near = (
            (boxes[i + 1 :, 0] <= b[2] + within_mm)
            & (boxes[i + 1 :, 2] >= b[0] - within_mm)
            & (boxes[i + 1 :, 1] <= b[3] + within_mm)
            & (boxes[i + 1 :, 3] >= b[1] - within_mm)
        )
        for j in np.nonzero(near)[0] + i + 1:
            found = crossings(curves[i][0], curves[j][0], within_mm)
            pair = (curves[i][0], curves[j][0])
            chords = found and any(isinstance(curve, Spline) for curve in pair)
            for touch in touched[i] & touched[j] if chords else ():
                found = [p for p in found if not _runs_beside(*pair, touch, p)]
            for p in found:
                nodes.at(p)
    known = np.asarray(nodes.points).reshape(-1, 2)
    pieces = []
    for (curve, origins), b in zip(curves, boxes, strict=True):
        near = ((known >= b[:2] - within_mm) & (known <= b[2:] + within_mm)).all(axis=1)
        on: dict[int, float] = {nodes.at(curve.start): 0.0, nodes.at(curve.end): 1.0}
        closed = len(on) == 1
        asked = [n for n in np.nonzero(near)[0].tolist() if n not in on]
        # a spline's chords miss it: what lies on the curve may be that far off them
        slack = SPLINE_CHORD_MM if isinstance(curve, Spline) else 0.0
        shares = shares_at(curve, [nodes.points[n] for n in asked], within_mm + slack)
        on.update((n, t) for n, t in zip(asked, shares, strict=True) if t is not None)
        order = sorted(on.items(), key=lambda item: item[1])
        if closed:
            start = nodes.at(curve.start)
            order = [(start, 0.0), *[item for item in order if item[0] != start], (start, 1.0)]
        for (a, ta), (c, tc) in itertools.pairwise(order):
            part = _part(curve, ta, tc, nodes.points[a], nodes.points[c])
            if part is not None and (a != c or part.length() > 4.0 * within_mm):
                pieces.append((a, c, part, origins))
    return pieces


def _touched(
    curves: Sequence[Curve], boxes: Points, touches: Iterable[Point], within_mm: float
) -> list[set[Point]]:
    """For each curve the touches on it."""
    found: list[set[Point]] = [set() for _ in curves]
    slack = within_mm + SPLINE_CHORD_MM
    for p in touches:
        near = ((boxes[:, :2] <= np.add(p, slack)) & (boxes[:, 2:] >= np.subtract(p, slack))).all(1)
        for i in np.nonzero(near)[0].tolist():
            if share_at(curves[i], p, slack) is not None:
                found[i].add(p)
    return found


def _runs_beside(a: Curve, b: Curve, touch: Point, crossing: Point) -> bool:
    """Whether two curves keep so near between a touch and a crossing that chords may err there."""
    first, last = (share_at(a, p, SPLINE_CHORD_MM) for p in (touch, crossing))
    if first is None or last is None:
        return False
    between = (a.at(first + share * (last - first)) for share in (0.25, 0.5, 0.75))
    return all(share_at(b, p, 2.0 * SPLINE_CHORD_MM) is not None for p in between)


def _part(curve: Curve, t0: float, t1: float, start: Point, end: Point) -> Curve | None:
    """The part of a curve between two shares, its ends moved onto the nodes."""
    if t1 <= t0:
        return None
    if isinstance(curve, Line):
        return Line(start, end) if start != end else None
    if isinstance(curve, Arc):
        if start == end:
            return None
        arc = Arc(start, end, curve.centre, curve.radius, curve.clockwise)
        # ends moved past one another turn a short arc into a whole circle
        return arc if abs(arc.sweep()) < abs(curve.sweep()) + 1e-3 else Line(start, end)
    run = curve.run
    first = int(np.searchsorted(run, t0 * run[-1] + 1e-12, side="right"))
    last = int(np.searchsorted(run, t1 * run[-1] - 1e-12))
    middle = curve.points[first:last]
    inner = [m for m in middle if math.dist(m, start) > 1e-9 and math.dist(m, end) > 1e-9]
    return Spline((start, *inner, end)) if inner else Line(start, end)


def _merge(pieces: list[Piece], within_mm: float) -> list[Piece]:
    """Pieces between the same nodes that lie on one another become one."""
    between: dict[tuple[int, int], list[Piece]] = defaultdict(list)
    for piece in pieces:
        a, b, curve, origins = piece
        group = between[(min(a, b), max(a, b))]
        for k, (c, d, other, more) in enumerate(group):
            if _same(curve, other, 2.0 * within_mm):
                better = other if _rank(other) <= _rank(curve) else curve
                ends = (c, d) if better is other else (a, b)
                group[k] = (*ends, better, origins | more)
                break
        else:
            group.append(piece)
    return [piece for key in sorted(between) for piece in between[key]]


def _same(a: Curve, b: Curve, within_mm: float) -> bool:
    return all(share_at(b, a.at(t), within_mm) is not None for t in (0.25, 0.5, 0.75)) and all(
        share_at(a, b.at(t), within_mm) is not None for t in (0.25, 0.5, 0.75)
    )


def _rank(curve: Curve) -> int:
    return 0 if isinstance(curve, Line) else 1 if isinstance(curve, Arc) else 2
