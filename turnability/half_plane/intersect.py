"""Where two curves of the half plane meet, and where a point lies along a curve.

Everything is found to rounding for lines and arcs; a spline counts as its chords.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Point, Points, Spline


def box(curve: Curve) -> tuple[float, float, float, float]:
    """Least z, least r, greatest z, greatest r of a curve."""
    if isinstance(curve, Spline):
        (z0, r0), (z1, r1) = curve.table.min(axis=0).tolist(), curve.table.max(axis=0).tolist()
        return z0, r0, z1, r1
    points = [curve.start, curve.end]
    if isinstance(curve, Arc):
        begin, sweep = curve.start_angle(), curve.sweep()
        for quarter in range(-8, 9):
            t = (quarter * math.pi / 2.0 - begin) / sweep
            if 0.0 < t < 1.0:
                points.append(curve.at(t))
    z = [p[0] for p in points]
    r = [p[1] for p in points]
    return min(z), min(r), max(z), max(r)


def share_at(curve: Curve, point: Point, within_mm: float) -> float | None:
    """Share of the length (0 to 1) at which `curve` passes `point` within `within_mm`, or None."""
    if isinstance(curve, Line):
        (z0, r0), (z1, r1) = curve.start, curve.end
        dz, dr = z1 - z0, r1 - r0
        n = math.hypot(dz, dr)
        along = ((point[0] - z0) * dz + (point[1] - r0) * dr) / n
        off = abs((point[0] - z0) * dr - (point[1] - r0) * dz) / n
        if off > within_mm or along < -within_mm or along > n + within_mm:
            return None
        return min(max(along / n, 0.0), 1.0)
    if isinstance(curve, Arc):
        dz, dr = point[0] - curve.centre[0], point[1] - curve.centre[1]
        if abs(math.hypot(dz, dr) - curve.radius) > within_mm:
            return None
        sweep = curve.sweep()
        turn = math.atan2(dr, dz) - curve.start_angle()
        turn = turn % math.tau if sweep > 0.0 else -((-turn) % math.tau)
        slack = within_mm / curve.radius
        if abs(turn) <= abs(sweep):
            return turn / sweep
        over = abs(turn) - abs(sweep)
        before = math.tau - abs(turn)
        if min(over, before) > slack:
            return None
        return 1.0 if over < before else 0.0
    return _shares_on_chords(curve, np.array([point]), within_mm)[0]


def crossings(a: Curve, b: Curve, within_mm: float) -> list[Point]:
    """Points that two curves have in common (within `within_mm`), overlaps left out.

    Where curves run along one another, their ends tell the rest (`share_at`).
    """
    if isinstance(a, Spline) or isinstance(b, Spline):
        return _chord_crossings(a, b, within_mm)
    if isinstance(a, Line) and isinstance(b, Line):
        points = _line_line(a, b)
    elif isinstance(a, Arc) and isinstance(b, Arc):
        points = _arc_arc(a, b, within_mm)
    elif isinstance(a, Line) and isinstance(b, Arc):
        points = _line_arc(a, b, within_mm)
    else:
        points = _line_arc(b, a, within_mm) if isinstance(a, Arc) and isinstance(b, Line) else []
    return [
        p
        for p in points
        if share_at(a, p, within_mm) is not None and share_at(b, p, within_mm) is not None
    ]


def _line_line(a: Line, b: Line) -> list[Point]:
    (az, ar), (bz, br) = a.start, b.start
    az1, ar1 = a.end[0] - az, a.end[1] - ar
    bz1, br1 = b.end[0] - bz, b.end[1] - br
    cross = az1 * br1 - ar1 * bz1
    if abs(cross) < 1e-10 * a.length() * b.length():
        return []
    t = ((bz - az) * br1 - (br - ar) * bz1) / cross
    return [(az + t * az1, ar + t * ar1)]


def _line_arc(line: Line, arc: Arc, within_mm: float) -> list[Point]:
    n = line.length()
    uz, ur = (line.end[0] - line.start[0]) / n, (line.end[1] - line.start[1]) / n
    cz, cr = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    along = cz * uz + cr * ur
    off = abs(cz * ur - cr * uz)
    if off > arc.radius + within_mm:
        return []
    half = math.sqrt(max(arc.radius**2 - off**2, 0.0))
    if half**2 <= 2.0 * arc.radius * within_mm * 1e-3:
        half = 0.0
    steps = (along,) if half == 0.0 else (along - half, along + half)
    return [(line.start[0] + s * uz, line.start[1] + s * ur) for s in steps]


def _arc_arc(a: Arc, b: Arc, within_mm: float) -> list[Point]:
    dz, dr = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    d = math.hypot(dz, dr)
    if d <= within_mm:
        return []  # concentric: apart, or one circle
    if d > a.radius + b.radius + within_mm or d < abs(a.radius - b.radius) - within_mm:
        return []
    along = (d * d + a.radius**2 - b.radius**2) / (2.0 * d)
    half = math.sqrt(max(a.radius**2 - along**2, 0.0))
    uz, ur = dz / d, dr / d
    base = (a.centre[0] + along * uz, a.centre[1] + along * ur)
    if half**2 <= 2.0 * a.radius * within_mm * 1e-3:
        return [base]
    return [(base[0] - half * ur, base[1] + half * uz), (base[0] + half * ur, base[1] - half * uz)]


def shares_at(curve: Curve, points: Sequence[Point], within_mm: float) -> list[float | None]:
    """`share_at` of many points."""
    if not isinstance(curve, Spline):
        return [share_at(curve, point, within_mm) for point in points]
    step = max(1, 200_000 // len(curve.points))
    return [
        share
        for k in range(0, len(points), step)
        for share in _shares_on_chords(curve, np.array(points[k : k + step]), within_mm)
    ]


def _shares_on_chords(curve: Spline, points: Points, within_mm: float) -> list[float | None]:
    p, run = curve.table, curve.run
    d = np.diff(p, axis=0)
    dz, dr = d[:, 0], d[:, 1]
    z, r = points[:, :1] - p[:-1, 0], points[:, 1:] - p[:-1, 1]
    t = np.clip((z * dz + r * dr) / np.maximum(dz * dz + dr * dr, 1e-300), 0.0, 1.0)
    off = np.hypot(z - t * dz, r - t * dr)
    best = off.argmin(axis=1)
    row = np.arange(len(points))
    at = (run[best] + t[row, best] * (run[best + 1] - run[best])) / run[-1]
    near = off[row, best] <= within_mm
    return [share if ok else None for share, ok in zip(at.tolist(), near.tolist(), strict=True)]


def _chord_crossings(a: Curve, b: Curve, within_mm: float) -> list[Point]:
    p, q = _chords(a, within_mm), _chords(b, within_mm)
    d, e = np.diff(p, axis=0), np.diff(q, axis=0)
    lo_p, hi_p = np.minimum(p[:-1], p[1:]), np.maximum(p[:-1], p[1:])
    lo_q, hi_q = np.minimum(q[:-1], q[1:]), np.maximum(q[:-1], q[1:])
    near = (
        (lo_p[:, None, 0] <= hi_q[None, :, 0] + within_mm)
        & (lo_q[None, :, 0] <= hi_p[:, None, 0] + within_mm)
        & (lo_p[:, None, 1] <= hi_q[None, :, 1] + within_mm)
        & (lo_q[None, :, 1] <= hi_p[:, None, 1] + within_mm)
    )
    i, j = np.nonzero(near)
    if not len(i):
        return []
    cross = d[i, 0] * e[j, 1] - d[i, 1] * e[j, 0]
    size = np.hypot(*d[i].T) * np.hypot(*e[j].T)
    rel = q[j] - p[i]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (rel[:, 0] * e[j, 1] - rel[:, 1] * e[j, 0]) / cross
        u = (rel[:, 0] * d[i, 1] - rel[:, 1] * d[i, 0]) / cross
        slack_t = within_mm / np.hypot(*d[i].T)
        slack_u = within_mm / np.hypot(*e[j].T)
        ok = (
            (np.abs(cross) > 1e-9 * size)
            & (t >= -slack_t)
            & (t <= 1.0 + slack_t)
            & (u >= -slack_u)
            & (u <= 1.0 + slack_u)
        )
    found = p[i][ok] + np.clip(t[ok], 0.0, 1.0)[:, None] * d[i][ok]
    return [(float(z), float(r)) for z, r in found]


def _chords(curve: Curve, within_mm: float) -> Points:
    if isinstance(curve, Arc):
        return _arc_chords(curve, min(within_mm, 1e-4))
    return curve.flatten(within_mm)


@lru_cache(maxsize=256)
def _arc_chords(arc: Arc, chord_mm: float) -> Points:
    """An arc crosses many splines in turn."""
    return arc.flatten(chord_mm)
