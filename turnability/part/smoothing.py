"""Pieces of the meridian's rim put together again: one spline's parts, and noise within 1 µm."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from turnability.half_plane.arrangement import Drawn, Origins
from turnability.half_plane.curves import Curve, Line, Spline

CALM_MM = 1e-3
"""Waviness of faces that are not turned, up to this, is one line: the profile's own tolerance."""


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
