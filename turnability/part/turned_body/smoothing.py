"""Pieces of the meridian's rim put together again: one spline's parts, and noise within 1 µm."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Spline
from turnability.half_plane.pieces import Drawn, Origins

CALM_MM = 7e-4
"""Waviness of faces that are not turned, up to this, is one line: 1 µm with a chord's error."""
CREST_MM = 1e-2
"""Waviness of a modelled thread's crest, up to this, is one cylinder."""
_SAME_CREST_MM = 2e-4
_LONG = 20.0
"""A piece is one to speak of from so many times the tolerance on."""
_HARDLY = 4.0
_BACK = -1.0 + 1e-4
"""Cosine of the turn where a loop runs back over itself."""


def joined_splines(loop: Sequence[Drawn], images: Sequence[Curve]) -> list[Drawn]:
    """Neighbours cut from one spline become one again."""
    pieces = list(loop)
    at = 0
    while len(pieces) > 2 and at < len(pieces) - 1:
        (a, first), (b, second) = pieces[at], pieces[at + 1]
        shared = {o for o in first & second if isinstance(images[o], Spline)}
        if (shared and not isinstance(a, Line | Spline)) or not isinstance(b, Line | Spline):
            shared = set()
        if not shared:
            at += 1
            continue
        points = [*_points(a), *_points(b)[1:]]
        pieces[at : at + 2] = [(Spline(tuple(points)), first | second)]
    return pieces


def calmed(loop: Sequence[Drawn], is_turned: Callable[[Origins], bool]) -> list[Drawn]:
    """Runs of faces that are not turned and wave by no more than `CALM_MM` become lines."""
    found: list[Drawn] = []
    at = 0
    while at < len(loop):
        if is_turned(loop[at][1]):
            found.append(loop[at])
            at += 1
            continue
        end, points = at, list(_points(loop[at][0]))
        best: int | None = at if _straight(points) else None
        while end + 1 < len(loop) and not is_turned(loop[end + 1][1]):
            end += 1
            points.extend(_points(loop[end][0])[1:])
            if not _straight(points):
                break
            best = end
        if best is None or (best == at and isinstance(loop[at][0], Line)):
            found.append(loop[at])
            at += 1
            continue
        origins = frozenset(o for _, own in loop[at : best + 1] for o in own)
        start, stop = loop[at][0].start, loop[best][0].end
        if math.dist(start, stop) > 0.0:
            found.append((Line(start, stop), origins))
        at = best + 1
    return found


def crests(loop: Sequence[Drawn], is_free: Callable[[Origins], bool]) -> list[Drawn]:
    """Runs of free-form faces that stay within `CREST_MM` of a cylinder become that cylinder.

    Its radius is the one that most of the run's length has.
    """
    found: list[Drawn] = []
    at = 0
    while at < len(loop):
        end = at
        while (
            end < len(loop) and is_free(loop[end][1]) and _level([c for c, _ in loop[at : end + 1]])
        ):
            end += 1
        if end - at < 3:
            found.append(loop[at])
            at += 1
            continue
        run = loop[at:end]
        r = _commonest_radius([curve for curve, _ in run])
        origins = frozenset(o for _, own in run for o in own)
        start, stop = run[0][0].start, run[-1][0].end
        joints = [start, (start[0], r), (stop[0], r), stop]
        found.extend(
            (Line(a, b), origins)
            for a, b in itertools.pairwise(joints)
            if math.dist(a, b) > CREST_MM
        )
        at = end
    return _rejoined(found)


def doubles_back(loop: Sequence[Drawn], within_mm: float) -> bool:
    """Whether a loop runs out and back over one curve, as no rim of a body does.

    Two copies of one curve that end a hair beside each other leave such a slit between them.
    """
    long = [curve for curve, _ in loop if curve.length() > _LONG * within_mm]
    for i, curve in enumerate(long):
        before = long[i - 1]
        (az, ar), (bz, br) = before.direction(1.0), curve.direction(0.0)
        if az * bz + ar * br > _BACK or math.dist(before.end, curve.start) > _LONG * within_mm:
            continue
        if before.length() < curve.length():
            a, b = before.at(0.5), curve.at(0.5 * before.length() / curve.length())
        else:
            a, b = before.at(1.0 - 0.5 * curve.length() / before.length()), curve.at(0.5)
        if math.dist(a, b) <= _LONG * within_mm:
            return True
    return False


def welded(loop: Sequence[Drawn], within_mm: float) -> list[Drawn]:
    """Pieces hardly longer than the tolerance left out: two nodes of what is one place."""
    kept = [(c, own) for c, own in loop if c.length() > _HARDLY * within_mm]
    if len(kept) < 3:
        return list(loop)
    return [
        (_from(kept[i - 1][0].end, curve), own)
        if curve.start != kept[i - 1][0].end
        else (curve, own)
        for i, (curve, own) in enumerate(kept)
    ]


def _from(start: tuple[float, float], curve: Curve) -> Curve:
    if isinstance(curve, Line):
        return Line(start, curve.end)
    if isinstance(curve, Spline):
        return Spline((start, *curve.points[1:]))
    return Arc(start, curve.end, curve.centre, curve.radius, curve.clockwise)


def _level(curves: Sequence[Curve]) -> bool:
    r = [p[1] for curve in curves for p in _points(curve)]
    return max(r) - min(r) <= CREST_MM


def _commonest_radius(curves: Sequence[Curve]) -> float:
    lengths: dict[int, list[tuple[float, float]]] = {}
    for curve in curves:
        points = _points(curve)
        for (z0, r0), (z1, r1) in itertools.pairwise(points):
            middle = (r0 + r1) / 2.0
            lengths.setdefault(round(middle / _SAME_CREST_MM), []).append((abs(z1 - z0), middle))
    most = max(lengths.values(), key=lambda pairs: sum(length for length, _ in pairs))
    total = sum(length for length, _ in most)
    return sum(length * r for length, r in most) / total


def _rejoined(loop: Sequence[Drawn]) -> list[Drawn]:
    """Ends that moved by no more than `CREST_MM` are brought together again."""
    found: list[Drawn] = []
    for i, (piece, origins) in enumerate(loop):
        curve, before = piece, loop[i - 1][0].end
        if isinstance(piece, Line) and piece.start != before:
            curve = Line(before, piece.end)
        elif curve.start != before and found and isinstance(found[-1][0], Line):
            found[-1] = (Line(found[-1][0].start, curve.start), found[-1][1])
        found.append((curve, origins))
    return found


def _points(curve: Curve) -> list[tuple[float, float]]:
    return [(float(z), float(r)) for z, r in curve.flatten(1e-4)]


def _straight(points: Sequence[tuple[float, float]]) -> bool:
    p = np.asarray(points)
    d = p[-1] - p[0]
    n = float(np.hypot(*d))
    if n <= 0.0:
        return False
    off = np.abs((p[:, 0] - p[0, 0]) * d[1] - (p[:, 1] - p[0, 1]) * d[0]) / n
    along = ((p - p[0]) @ d) / n
    monotone = bool((np.diff(along) > -CALM_MM).all())
    return monotone and float(off.max()) <= CALM_MM
