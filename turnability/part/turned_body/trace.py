"""Fold curves of free surfaces, traced on the face's own parameters.

The surface's normal around the axis, g(u, v) = (Su x Sv) . (z x P), is sampled on a grid; where it
changes sign along a grid edge its zero is found, zeros are joined through the grid's squares, and
each join is refined until its image is exact enough.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict

import numpy as np
from OCP.gp import gp_Pnt, gp_Vec

from turnability.half_plane.curves import Curve, Point
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import around_axis as around
from turnability.part.turned_body.sampling import CHORD_MM, curve_through, half_plane_point

_GRID = 10
_NEARLY_TURNED = 2e-3
_STEPS = 14
_SETTLED = 1e-9
_DEEPEST = 8

Spot = tuple[float, float]


def around_axis(face: KernelFace, u: float, v: float) -> float:
    """The part of the (unscaled) normal that points around the axis, times r."""
    p, su, sv = gp_Pnt(), gp_Vec(), gp_Vec()
    face.surface.D1(u, v, p, su, sv)
    n = su.Crossed(sv)
    size = n.Magnitude()
    return (n.Y() * p.X() - n.X() * p.Y()) / size if size > 0.0 else 0.0


def traced_folds(face: KernelFace) -> list[Curve]:
    """Images of the zeros of `around_axis` on the face's parameter rectangle."""
    u0, u1, v0, v1 = face.bounds
    us, vs = np.linspace(u0, u1, _GRID + 1), np.linspace(v0, v1, _GRID + 1)
    p, su, sv = face.lattice(us, vs)
    x, y, turning = around(p, su, sv)
    if (turning > 0.0).all() or (turning < 0.0).all():
        return []
    g = turning / np.maximum(np.linalg.norm(np.cross(su, sv), axis=2), 1e-300)
    r = float(np.hypot(x, y).max())
    if float(np.abs(g).max()) <= _NEARLY_TURNED * r:
        return []  # a thread's crest: a strip that nearly turns, told well enough by its edges
    zeros: dict[tuple[int, int, int], Spot] = {}
    sign = g > 0.0
    for i in range(_GRID + 1):
        for j in range(_GRID + 1):
            here = (float(us[i]), float(vs[j]))
            if i < _GRID and sign[i, j] != sign[i + 1, j]:
                zeros[(0, i, j)] = _zero(face, here, (float(us[i + 1]), here[1]))
            if j < _GRID and sign[i, j] != sign[i, j + 1]:
                zeros[(1, i, j)] = _zero(face, here, (here[0], float(vs[j + 1])))
    joins: dict[tuple[int, int, int], list[tuple[int, int, int]]] = defaultdict(list)
    for i in range(_GRID):
        for j in range(_GRID):
            rim = [k for k in ((0, i, j), (1, i + 1, j), (0, i, j + 1), (1, i, j)) if k in zeros]
            for a, b in zip(rim[::2], rim[1::2], strict=False):
                joins[a].append(b)
                joins[b].append(a)
    return _chains(face, zeros, joins)


def _chains(
    face: KernelFace,
    zeros: dict[tuple[int, int, int], Spot],
    joins: dict[tuple[int, int, int], list[tuple[int, int, int]]],
) -> list[Curve]:
    found: list[Curve] = []
    done: set[tuple[tuple[int, int, int], tuple[int, int, int]]] = set()
    for first in sorted(joins, key=lambda k: len(joins[k])):  # open ends first
        for second in joins[first]:
            if (first, second) in done:
                continue
            chain, a, b = [zeros[first]], first, second
            while True:
                done |= {(a, b), (b, a)}
                chain.append(zeros[b])
                onward = [c for c in joins[b] if (b, c) not in done]
                if not onward:
                    break
                a, b = b, onward[0]
            points = [_image(face, chain[0])]
            for spot, following in itertools.pairwise(chain):
                points.extend(_refined(face, spot, following, _DEEPEST))
                points.append(_image(face, following))
            curve = curve_through(points)
            if curve is not None:
                found.append(curve)
    return found


def _refined(face: KernelFace, a: Spot, b: Spot, depth: int) -> list[Point]:
    start, end = _image(face, a), _image(face, b)
    if depth == 0 or math.dist(start, end) < 4.0 * CHORD_MM:
        return []
    spot = _onto_fold(face, a, b)
    middle = _image(face, spot)
    dz, dr = end[0] - start[0], end[1] - start[1]
    n = math.hypot(dz, dr)
    off = abs((middle[0] - start[0]) * dr - (middle[1] - start[1]) * dz) / n
    if off <= CHORD_MM:
        return []
    return [
        *_refined(face, a, spot, depth - 1),
        middle,
        *_refined(face, spot, b, depth - 1),
    ]


def _onto_fold(face: KernelFace, a: Spot, b: Spot) -> Spot:
    """The zero nearest the middle of a and b, looked for across the join."""
    u0, u1, v0, v1 = face.bounds
    mu, mv = (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0
    su, sv = (u1 - u0) or 1.0, (v1 - v0) or 1.0
    du, dv = -(b[1] - a[1]) / sv * su, (b[0] - a[0]) / su * sv
    for reach in (0.25, 0.5, 1.0):
        left = _clip(face, (mu - reach * du, mv - reach * dv))
        right = _clip(face, (mu + reach * du, mv + reach * dv))
        if (around_axis(face, *left) > 0.0) != (around_axis(face, *right) > 0.0):
            return _zero(face, left, right)
    return (mu, mv)


def _clip(face: KernelFace, spot: Spot) -> Spot:
    u0, u1, v0, v1 = face.bounds
    return (min(max(spot[0], u0), u1), min(max(spot[1], v0), v1))


def _zero(face: KernelFace, a: Spot, b: Spot) -> Spot:
    """Where `around_axis` changes sign between a and b, by false position (Illinois)."""
    low, high = 0.0, 1.0

    def at(t: float) -> Spot:
        return (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))

    g_low, g_high = around_axis(face, *a), around_axis(face, *b)
    t, last = 0.5, 0
    for _ in range(_STEPS):
        if g_low == g_high:
            break
        before, t = t, (low * g_high - high * g_low) / (g_high - g_low)
        if abs(t - before) < _SETTLED:
            break
        g = around_axis(face, *at(t))
        if g == 0.0 or high - low < 1e-12:
            break
        if (g > 0.0) == (g_high > 0.0):
            high, g_high = t, g
            g_low, last = (g_low / 2.0 if last == 1 else g_low), 1
        else:
            low, g_low = t, g
            g_high, last = (g_high / 2.0 if last == -1 else g_high), -1
    return at(t)


def _image(face: KernelFace, spot: Spot) -> Point:
    return half_plane_point(face.surface.Value(*spot))
