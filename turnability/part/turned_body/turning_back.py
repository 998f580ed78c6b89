"""Images of edges cut where they turn back: the rim of a pin's end runs to and fro on one line."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Curve, Point
from turnability.part.turned_body.sampling import (
    BESIDE,
    COARSE,
    SUMMIT,
    Place,
    curve_through,
    polyline,
    runs_along,
    summit_at,
)

_ON_AXIS_MM = 1e-6


def image_curves(place: Place, low: float, high: float) -> list[Curve]:
    """The image of a curve, cut where it turns back on itself; what it runs twice comes once.

    Where two holes meet, the edge between them runs to and fro on one line of the half plane.
    """
    points = polyline(place, low, high)
    cuts = [low, high]
    if len(_turns_back(points)) or any(_turns_beside_ends(place, low, high)):
        cuts = _turning_points(place, low, high)
    if _comes_down(points):
        cuts = sorted({*cuts, *_on_axis(place, low, high)})
    if len(cuts) == 2:
        whole = curve_through(points)
        return [] if whole is None else [whole]
    runs = [polyline(place, a, b) for a, b in itertools.pairwise(cuts)]
    # the longest first: an edge that begins beside a turn has a short run that misses the turn
    runs.sort(key=_length, reverse=True)
    found: list[Curve] = []
    seen: list[list[Point]] = []
    for points in runs:
        curve = curve_through(points)
        if curve is None or any(runs_along(points, other) for other in seen):
            continue
        seen.append(points)
        found.append(curve)
    return found


def _turns_back(points: Sequence[Point]) -> NDArray[np.intp]:
    """Places in the list of those points where a polyline turns by more than a right angle."""
    steps = np.diff(np.asarray(points), axis=0)
    turns: NDArray[np.intp] = np.nonzero((steps[1:] * steps[:-1]).sum(axis=1) < 0.0)[0] + 1
    return turns


def _turning_points(place: Place, low: float, high: float) -> list[float]:
    """Parameters, ends among them, between which an image does not turn back."""
    params = np.linspace(low, high, 2 * COARSE + 1).tolist()
    points = [place(t) for t in params]
    at_low, at_high = _turns_beside_ends(place, low, high)
    # places between which it turns, and which way it goes before it does
    turns = [(params[i - 1], params[i + 1], points[i - 1], points[i])
             for i in _turns_back(points).tolist()]  # fmt: skip
    if at_low:
        turns.insert(0, (low, params[1], points[1], points[0]))
    if at_high:
        turns.append((params[-2], high, points[-2], points[-1]))
    cuts = [low]
    for a, b, before, after in turns:
        way = np.subtract(after, before)
        at = summit_at(lambda t, way=way: float(np.dot(place(t), way)), a, b)[0]  # type: ignore[misc]
        if cuts[-1] < at < high:
            cuts.append(at)
    return [*cuts, high]


def _turns_beside_ends(place: Place, low: float, high: float) -> tuple[bool, bool]:
    """Whether an image turns back so near to its first or last point that no sample lies beyond."""
    step = (high - low) / (2 * COARSE)
    return _turns_beside(place, low, step), _turns_beside(place, high, -step)


def _turns_beside(place: Place, end: float, step: float) -> bool:
    here = place(end)
    first, far = (np.subtract(place(end + t * step), here) for t in (BESIDE, 1.0))
    return float(np.dot(first, far)) < 0.0


def _length(points: Sequence[Point]) -> float:
    return float(np.hypot(*np.diff(np.asarray(points), axis=0).T).sum())


def _comes_down(points: Sequence[Point]) -> bool:
    """Whether a polyline may come down to the axis between two of its points."""
    p = np.asarray(points)
    r, inner = p[:, 1], p[1:-1, 1]
    least = (inner <= r[:-2]) & (inner <= r[2:])
    return bool((least & (inner <= np.hypot(*(p[2:] - p[:-2]).T))).any())


def _on_axis(place: Place, low: float, high: float) -> list[float]:
    """Parameters within an image's range where it comes down to the axis, to turn back there."""
    params = np.linspace(low, high, 2 * COARSE + 1).tolist()
    points = [place(t) for t in params]
    found = []
    for i in range(1, len(points) - 1):
        before, here, after = points[i - 1 : i + 2]
        if here[1] <= min(before[1], after[1]):
            at, above = summit_at(lambda t: -place(t)[1], params[i - 1], params[i + 1])
            if -above <= max(_ON_AXIS_MM, 4.0 * SUMMIT * math.dist(before, after)):
                found.append(at)
    return found
