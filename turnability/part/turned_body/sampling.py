"""Space curves seen in the half plane: points, extremes and polylines that are exact enough.

Everything here is in the axis frame: the axis is z, r = hypot(x, y).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from OCP.gp import gp_Pnt

from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline
from turnability.half_plane.intersect import shares_at

CHORD_MM = 2.5e-4
"""Polylines miss the true curve by no more than this (the report promises 1 µm)."""
_CHORD_SHARE = 4e-3
"""And by no more than this share of their length: small parts want true volumes too."""
_CORNER = 0.2
"""Radians by which a smooth curve's chords never turn."""
COARSE = 16
BESIDE = 1e-3
SUMMIT = 1e-9
"""Share of its bracket to which a summit is narrowed down."""
_DEEPEST = 12
_STRAIGHT_MM = 1e-7
_ARC_OFF_MM = 1e-6
"""How far points may lie off the arc that is put through them."""
_SAME_END_MM = 1e-4

Array = NDArray[np.float64]
Place = Callable[[float], Point]
"""Parameter to (z, r)."""
Places = Callable[[Array], Array]
"""Parameters (n,) to (z, r), (n, 2)."""


def half_plane_point(p: gp_Pnt) -> Point:
    """(z, r) of a point in space."""
    return (p.Z(), math.hypot(p.X(), p.Y()))


def extremes(value: Callable[[float], float], low: float, high: float) -> tuple[float, float]:
    """Least and greatest value of a smooth function on [low, high]."""
    t = np.linspace(low, high, 2 * COARSE + 1)
    v = [value(float(x)) for x in t]
    return (
        -_greatest(lambda x: -value(x), t, [-x for x in v]),
        _greatest(value, t, v),
    )


def _greatest(value: Callable[[float], float], t: Any, v: list[float]) -> float:
    best = max(v)
    for i in range(1, len(v) - 1):
        if v[i] >= v[i - 1] and v[i] >= v[i + 1] and (v[i] > v[i - 1] or v[i] > v[i + 1]):
            best = max(best, summit(value, float(t[i - 1]), float(t[i + 1])))
    for end, inner in ((0, 1), (-1, -2)):
        if v[end] >= v[inner]:  # just beside the end it may be greater still
            a, b = float(t[end]), float(t[inner])
            if value(a + BESIDE * (b - a)) > v[end]:
                best = max(best, summit(value, min(a, b), max(a, b)))
    return best


def summit(value: Callable[[float], float], a: float, b: float) -> float:
    """Greatest value of a function with one summit between a and b."""
    return summit_at(value, a, b)[1]


def summit_at(value: Callable[[float], float], a: float, b: float) -> tuple[float, float]:
    """Where between a and b a function with one summit there is greatest, and its value.

    Golden sections, and parabolas where they do better (R. P. Brent, Algorithms for Minimization
    without Derivatives, 1973, chapter 5; from memory).
    """
    share = (3.0 - math.sqrt(5.0)) / 2.0
    least = SUMMIT * (b - a)
    x = w = v = a + share * (b - a)
    fx = fw = fv = value(x)
    step = before = 0.0
    for _ in range(60):
        middle = (a + b) / 2.0
        if abs(x - middle) <= 2.0 * least - (b - a) / 2.0:
            break
        r, q = (x - w) * (fx - fv), (x - v) * (fx - fw)
        rise, across = (x - v) * q - (x - w) * r, 2.0 * (q - r)
        if across > 0.0:
            rise = -rise
        across = abs(across)
        last, before = before, step
        if abs(rise) < abs(0.5 * across * last) and across * (a - x) < rise < across * (b - x):
            step = rise / across
            if min(x + step - a, b - x - step) < 2.0 * least:
                step = math.copysign(least, middle - x)
        else:
            before = (b if x < middle else a) - x
            step = share * before
        u = x + (step if abs(step) >= least else math.copysign(least, step))
        fu = value(u)
        if fu >= fx:
            a, b = (x, b) if u >= x else (a, x)
            v, fv, w, fw, x, fx = w, fw, x, fx, u, fu
            continue
        a, b = (u, b) if u < x else (a, u)
        if fu >= fw or w == x:
            v, fv, w, fw = w, fw, u, fu
        elif fu >= fv or v in (x, w):
            v, fv = u, fu
    return x, fx


def one_image(a: Spline, b: Spline) -> bool:
    """Whether two splines through sampled points are the same curve, sampled twice.

    Holes that cross leave two or four edges that look alike; their chords would cross each other
    at every point.
    """
    ends = ((a.start, a.end), (b.start, b.end), (b.end, b.start))
    same = any(
        math.dist(ends[0][0], first) <= _SAME_END_MM and math.dist(ends[0][1], last) <= _SAME_END_MM
        for first, last in ends[1:]
    )
    return same and runs_along(a.points, b.points) and runs_along(b.points, a.points)


def on_points_of(curve: Curve, other: Spline) -> Spline | None:
    """`curve` by the points of another spline that it is a part of; None where it is none.

    Faces cut from one swept surface are sampled apart, and their chords would cross everywhere.
    """
    points = curve.points if isinstance(curve, Spline) else [curve.at(k / 8.0) for k in range(9)]
    if curve.length() > other.length() or not runs_along(points, other.points):
        return None
    ends = shares_at(other, (curve.start, curve.end), 3.0 * CHORD_MM)
    if ends[0] is None or ends[1] is None:
        return None
    low, high = sorted((ends[0], ends[1]))
    shares = other.run / other.run[-1]
    inner = [
        p for p, share in zip(other.points, shares.tolist(), strict=True) if low < share < high
    ]
    if ends[0] > ends[1]:
        inner.reverse()
    kept = [
        p for p in inner if min(math.dist(p, curve.start), math.dist(p, curve.end)) > _SAME_END_MM
    ]
    return Spline((curve.start, *kept, curve.end))


def runs_along(points: Sequence[Point], other: Sequence[Point]) -> bool:
    """Whether all points lie on another polyline, as near as either is true."""
    p = np.asarray(other)
    start, step = p[:-1], np.diff(p, axis=0)
    rel = np.asarray(points)[:, None, :] - start[None, :, :]
    along = (rel * step).sum(axis=2) / np.maximum((step * step).sum(axis=1), 1e-300)
    off = rel - np.clip(along, 0.0, 1.0)[:, :, None] * step
    return bool(np.hypot(off[..., 0], off[..., 1]).min(axis=1).max() <= 3.0 * CHORD_MM)


def polyline(place: Place, low: float, high: float, coarse: int = COARSE) -> list[Point]:
    """Points of an image curve whose chords miss it by at most `CHORD_MM`."""
    params = np.linspace(low, high, coarse + 1)
    points = [place(float(params[0]))]
    for a, b in itertools.pairwise(params):
        end = place(float(b))
        points.extend(_between(place, float(a), float(b), points[-1], end, _DEEPEST))
        points.append(end)
    return points


def polyline_at_once(places: Places, low: float, high: float) -> list[Point]:
    """The same points of an image curve that is asked for many places at a time."""
    t = np.linspace(low, high, COARSE + 1)
    p = places(t)
    known_t, known_p = [t], [p]
    a, b, start, end = t[:-1], t[1:], p[:-1], p[1:]
    for _ in range(_DEEPEST):
        middle = (a + b) / 2.0
        asked = places(np.concatenate((middle, (a + middle) / 2.0)))
        point, quarter = asked[: len(a)], asked[len(a) :]
        within = np.minimum(CHORD_MM, _CHORD_SHARE * np.hypot(*(end - start).T))
        off = np.maximum(_all_off(start, end, point), _all_off(start, end, quarter))
        far = off > within
        if not far.any():
            break
        a, b, middle = a[far], b[far], middle[far]
        start, end, point = start[far], end[far], point[far]
        known_t.append(middle)
        known_p.append(point)
        a, b = np.concatenate((a, middle)), np.concatenate((middle, b))
        start, end = np.concatenate((start, point)), np.concatenate((point, end))
    order = np.argsort(np.concatenate(known_t))
    return [(z, r) for z, r in np.concatenate(known_p)[order].tolist()]


def _all_off(a: Array, b: Array, p: Array) -> Array:
    """Distances (n,) of points from segments, (n, 2) each."""
    way, rel = b - a, p - a
    length2 = (way * way).sum(axis=1)
    share = np.where(length2 > 0.0, (rel * way).sum(axis=1) / np.maximum(length2, 1e-300), 0.0)
    off: Array = np.hypot(*(rel - np.clip(share, 0.0, 1.0)[:, None] * way).T)
    return off


def _between(place: Place, a: float, b: float, start: Point, end: Point, depth: int) -> list[Point]:
    middle = (a + b) / 2.0
    point = place(middle)
    quarter = place((a + middle) / 2.0)
    within = min(CHORD_MM, _CHORD_SHARE * math.dist(start, end))
    if depth == 0 or max(_off(start, end, point), _off(start, end, quarter)) <= within:
        return []
    return [
        *_between(place, a, middle, start, point, depth - 1),
        point,
        *_between(place, middle, b, point, end, depth - 1),
    ]


def _off(a: Point, b: Point, p: Point) -> float:
    dz, dr = b[0] - a[0], b[1] - a[1]
    n2 = dz * dz + dr * dr
    t = ((p[0] - a[0]) * dz + (p[1] - a[1]) * dr) / n2 if n2 > 0.0 else 0.0
    t = min(max(t, 0.0), 1.0)
    return math.hypot(p[0] - a[0] - t * dz, p[1] - a[1] - t * dr)


def _arc_through(points: list[Point]) -> Arc | Line | None:
    """The arc that all points (which lie on the true curve) run along, or None.

    One as flat as its points may lie off it is a line: the angle of its centre could not be told.
    """
    if len(points) < 5:
        return None
    p = np.asarray(points)
    (z0, r0), (z1, r1), (z2, r2) = p[0], p[len(p) // 2], p[-1]
    d = 2.0 * (z0 * (r1 - r2) + z1 * (r2 - r0) + z2 * (r0 - r1))
    if abs(d) < 1e-12:
        return None
    s0, s1, s2 = z0 * z0 + r0 * r0, z1 * z1 + r1 * r1, z2 * z2 + r2 * r2
    zc = (s0 * (r1 - r2) + s1 * (r2 - r0) + s2 * (r0 - r1)) / d
    rc = (s0 * (z2 - z1) + s1 * (z0 - z2) + s2 * (z1 - z0)) / d
    rel = p - (zc, rc)
    radius = float(np.hypot(*rel[0]))
    if float(np.abs(np.hypot(*rel.T) - radius).max()) > _ARC_OFF_MM:
        return None
    cross = rel[:-1, 0] * rel[1:, 1] - rel[:-1, 1] * rel[1:, 0]
    turn = np.arctan2(cross, (rel[:-1] * rel[1:]).sum(axis=1))
    if not ((turn > 0.0).all() or (turn < 0.0).all()) or abs(float(turn.sum())) > 6.2:
        return None
    if radius * float(turn.sum()) ** 2 <= 8.0 * _ARC_OFF_MM:
        return Line(points[0], points[-1])
    return Arc(points[0], points[-1], (float(zc), float(rc)), radius, bool(turn[0] < 0.0))


def curve_through(points: list[Point]) -> Curve | None:
    """A polyline as a curve: None for a mere point, a line where all points lie on one."""
    p = np.asarray(points)
    middle = p.mean(axis=0)
    span = p - middle
    size = float(np.abs(span).max())
    if size <= 1e-6:
        return None
    _, _, axes = np.linalg.svd(span, full_matrices=False)
    along, off = span @ axes[0], span @ axes[1]
    if float(np.abs(off).max()) <= max(_STRAIGHT_MM, 1e-10 * size):
        low, high = int(along.argmin()), int(along.argmax())
        return Line(points[low], points[high])
    arc = _arc_through(points)
    if arc is not None:
        return arc
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-9:
            kept.append(point)
    return Spline(_evened(kept)) if len(kept) > 1 else None


def _evened(points: list[Point]) -> tuple[Point, ...]:
    """Points of a smooth curve moved so that their chords enclose what the curve encloses.

    Chords all lie on the hollow side of their curve, which a volume to 1e-6 does not bear. Each
    inner point gives way by the mean sag of its chords, less than `CHORD_MM`; the ends stay.
    """
    step = np.diff(np.asarray(points), axis=0)
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    bends = np.abs(np.arctan2(cross, (step[:-1] * step[1:]).sum(axis=1)))
    # a seen circle runs out and back: where it turns it stays as it is
    cuts = [0, *(np.nonzero(bends > _CORNER)[0] + 1).tolist(), len(points) - 1]
    found = [points[0]]
    for a, b in itertools.pairwise(cuts):
        found.extend(_evened_run(points[a : b + 1])[1:])
    return tuple(found)


def _evened_run(points: list[Point]) -> list[Point]:
    if len(points) < 5:
        return points
    p = np.array(points)
    lengths = np.hypot(*np.diff(p, axis=0).T)
    missing = _sagging_areas(p, lengths)
    share = np.full(len(p), 0.5)
    own = np.zeros(len(p))
    own[:-1] += missing * share[:-1]
    own[1:] += missing * share[1:]
    own[1], own[-2] = own[1] + own[0], own[-2] + own[-1]  # the ends cannot move
    across = p[2:] - p[:-2]
    width = np.maximum(np.hypot(*across.T), 1e-12)
    # a point moved by d across the line between its neighbours adds d * width / 2
    by = (2.0 * own[1:-1] / width)[:, None] * np.column_stack((across[:, 1], -across[:, 0]))
    by /= width[:, None]
    by[np.hypot(*by.T) > CHORD_MM] = 0.0
    p[1:-1] += by
    return [(float(z), float(r)) for z, r in p]


def _sagging_areas(p: Array, lengths: Array) -> Array:
    """For each chord the area between it and the cubic through it and its two neighbours.

    Positive to the right of the running direction.
    """
    run = np.concatenate(([0.0], np.cumsum(lengths)))
    first = np.clip(np.arange(len(p) - 1) - 1, 0, len(p) - 4)
    at = first[:, None] + np.arange(4)
    t, q = run[at], p[at]
    x, w = np.polynomial.legendre.leggauss(3)
    nodes = run[:-1, None] + lengths[:, None] * (x + 1.0) / 2.0
    value, slope = _lagrange(t, q, nodes)
    rel = value - p[:-1, None, :]
    cross = rel[..., 0] * slope[..., 1] - rel[..., 1] * slope[..., 0]
    area: Array = (cross * w).sum(axis=1) * lengths / 4.0
    return area


def _lagrange(t: Array, q: Array, x: Array) -> tuple[Array, Array]:
    """Cubics through q (n, 4, 2) at t (n, 4): values and slopes at x (n, m), (n, m, 2) each."""
    value = np.zeros((*x.shape, 2))
    slope = np.zeros((*x.shape, 2))
    for i in range(4):
        others = [j for j in range(4) if j != i]
        over = np.prod([t[:, i] - t[:, j] for j in others], axis=0)[:, None]
        gaps = [x - t[:, j, None] for j in others]
        basis = gaps[0] * gaps[1] * gaps[2] / over
        rise = (gaps[0] * gaps[1] + gaps[0] * gaps[2] + gaps[1] * gaps[2]) / over
        value += basis[..., None] * q[:, None, i, :]
        slope += rise[..., None] * q[:, None, i, :]
    return value, slope
