"""Points and derivatives of a face's surface at many parameters at once.

The kernel answers one point a call, and the call costs more than the sum. B-splines are worked out
by de Boor's recursion (Piegl and Tiller, The NURBS Book, A2.2 and A3.5, from memory), canonical
surfaces by their formulas (`canonical_points`), all else point by point.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve2d, BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.gp import gp_Pnt, gp_Vec

Array: TypeAlias = NDArray[np.float64]

_FEW_POLES = 24
"""Up to so many, all are taken with weights that may be nought, in one product."""
_AT_ONCE = 200_000
"""Multiplications in one product: more, and the matrix library would wake a thread for it."""


@dataclass(frozen=True, slots=True)
class BSplinePatch:
    """A B-spline surface: flat knots and degree both ways, homogeneous poles (nu, nv, 4)."""

    knots_u: Array
    knots_v: Array
    degree_u: int
    degree_v: int
    poles: Array
    rational: bool


def patch_of(surface: BRepAdaptor_Surface) -> BSplinePatch | None:
    """The surface's B-spline in the adaptor's own place; None where it is of another type."""
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_BSplineSurface:
        return None
    spline = surface.BSpline()
    if spline.IsUPeriodic() or spline.IsVPeriodic():
        spline = spline.Copy()
        spline.SetUNotPeriodic()
        spline.SetVNotPeriodic()
    nu, nv = spline.NbUPoles(), spline.NbVPoles()
    rational = bool(spline.IsURational() or spline.IsVRational())
    poles = np.ones((nu, nv, 4))
    for i in range(nu):
        for j in range(nv):
            p = spline.Pole(i + 1, j + 1)
            poles[i, j, :3] = p.X(), p.Y(), p.Z()
            if rational:
                poles[i, j, 3] = spline.Weight(i + 1, j + 1)
    poles[..., :3] *= poles[..., 3:]
    return BSplinePatch(
        _flat(spline.UKnot, spline.UMultiplicity, spline.NbUKnots()),
        _flat(spline.VKnot, spline.VMultiplicity, spline.NbVKnots()),
        spline.UDegree(),
        spline.VDegree(),
        poles,
        rational,
    )


def _flat(knot: Any, times: Any, count: int) -> Array:
    return np.repeat(
        [knot(i) for i in range(1, count + 1)], [times(i) for i in range(1, count + 1)]
    )


def moved_patch(patch: BSplinePatch, turn: Array, shift: Array) -> BSplinePatch:
    """The patch after the rigid move x -> turn x + shift; `turn` (3, 3), `shift` (3,)."""
    poles = patch.poles.copy()
    poles[..., :3] = patch.poles[..., :3] @ turn.T + patch.poles[..., 3:] * shift
    return replace(patch, poles=poles)


def patch_points(patch: BSplinePatch, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """Points and both first derivatives at parameters (n,), each of shape (n, 3)."""
    iu, bu, du = _basis(patch.knots_u, patch.degree_u, u)
    iv, bv, dv = _basis(patch.knots_v, patch.degree_v, v)
    local = patch.poles[iu[:, :, None], iv[:, None, :]]
    along_v = np.einsum("nb,nabk->nak", bv, local)
    s = np.einsum("na,nak->nk", bu, along_v)
    su = np.einsum("na,nak->nk", du, along_v)
    sv = np.einsum("na,nak->nk", bu, np.einsum("nb,nabk->nak", dv, local))
    return _divided(s, su, sv, patch.rational)


def patch_rows(patch: BSplinePatch, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """The same at u (k, n) on the row of each v (n,), each of shape (k, n, 3)."""
    iu, bu, du = _basis(patch.knots_u, patch.degree_u, u.ravel())
    low, high = int(iu.min(initial=len(patch.poles))), int(iu.max(initial=0)) + 1
    if high - low > 4 * len(u):
        across = np.broadcast_to(v, u.shape).ravel()
        p, su, sv = (a.reshape(*u.shape, 3) for a in patch_points(patch, u.ravel(), across))
        return p, su, sv
    own = patch.poles[low:high, :, : _width(patch)].transpose(1, 0, 2)
    value, slope = _along(own, patch.knots_v, patch.degree_v, v)
    iu -= low
    row = np.tile(np.arange(len(v)), len(u))
    parts = [(iu[:, a], bu[:, a, None], du[:, a, None]) for a in range(bu.shape[1])]
    s = _sum(value[row, i] * b for i, b, _ in parts)
    su = _sum(value[row, i] * d for i, _, d in parts)
    sv = _sum(slope[row, i] * b for i, b, _ in parts)
    p, su, sv = _divided(s, su, sv, patch.rational)
    return p.reshape(*u.shape, 3), su.reshape(*u.shape, 3), sv.reshape(*u.shape, 3)


def patch_lattice(patch: BSplinePatch, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """The same for each u (n,) with each v (m,), each of shape (n, m, 3)."""
    value, slope = _along(patch.poles[..., : _width(patch)], patch.knots_u, patch.degree_u, u)
    both = np.concatenate((value, slope), axis=2).transpose(1, 0, 2)
    s, sv = _along(both, patch.knots_v, patch.degree_v, v)
    w = _width(patch)
    s, sv = s.transpose(1, 0, 2), sv.transpose(1, 0, 2)
    return _divided(s[..., :w], s[..., w:], sv[..., :w], patch.rational)


def _along(poles: Array, knots: Array, degree: int, x: Array) -> tuple[Array, Array]:
    """Curves through poles (p, ...) at x (n,), and their slopes, (n, ...) each."""
    at, weights, slopes = _basis(knots, degree, x)
    if len(poles) > _FEW_POLES:
        spread = (slice(None), *[None] * (poles.ndim - 1))
        value, slope = (
            _sum(poles[at[:, a]] * w[:, a][spread] for a in range(degree + 1))
            for w in (weights, slopes)
        )
        return value, slope
    table = np.zeros((2, len(x), len(poles)))
    rows = np.arange(len(x))[:, None]
    table[0][rows, at], table[1][rows, at] = weights, slopes
    lines, columns = table.reshape(-1, len(poles)), poles.reshape(len(poles), -1)
    step = max(1, _AT_ONCE // columns.size)
    found = np.concatenate([lines[k : k + step] @ columns for k in range(0, len(lines), step)])
    found = found.reshape(2, len(x), *poles.shape[1:])
    return found[0], found[1]


@dataclass(frozen=True, slots=True)
class SplineTrace:
    """A B-spline in a face's parameters: flat knots, degree, homogeneous poles (n, 3)."""

    knots: Array
    degree: int
    poles: Array


def trace_of(curve: BRepAdaptor_Curve2d) -> SplineTrace | None:
    """The trace of an edge as a B-spline; None where it is of another type."""
    if curve.GetType() != GeomAbs_CurveType.GeomAbs_BSplineCurve:
        return None
    spline = curve.BSpline()
    if spline.IsPeriodic():
        return None
    rational = bool(spline.IsRational())
    poles = np.ones((spline.NbPoles(), 3))
    for i in range(len(poles)):
        p = spline.Pole(i + 1)
        poles[i, :2] = p.X(), p.Y()
        if rational:
            poles[i, 2] = spline.Weight(i + 1)
    poles[:, :2] *= poles[:, 2:]
    knots = _flat(spline.Knot, spline.Multiplicity, spline.NbKnots())
    return SplineTrace(knots, spline.Degree(), poles)


def _sum(parts: Iterable[Array]) -> Array:
    """Sum of one array or more, written into the first."""
    total, *others = parts
    for part in others:
        total += part
    return total


def _width(patch: BSplinePatch) -> int:
    return 4 if patch.rational else 3


def _divided(s: Array, su: Array, sv: Array, rational: bool) -> tuple[Array, Array, Array]:
    """Points and derivatives in space from homogeneous ones, (..., 4) each."""
    p = s[..., :3]
    if not rational:
        return p, su[..., :3], sv[..., :3]
    w = s[..., 3:]
    p = p / w
    return p, (su[..., :3] - su[..., 3:] * p) / w, (sv[..., :3] - sv[..., 3:] * p) / w


def _basis(knots: Array, degree: int, x: Array) -> tuple[NDArray[np.intp], Array, Array]:
    """Indices of the poles that count, their weights and the weights' slopes; (n, degree + 1)."""
    begins, inverse, table = _polynomials(knots.tobytes(), degree)
    span = np.clip(np.searchsorted(knots, x, side="right") - 1, degree, len(knots) - degree - 2)
    at = span - degree
    t = (x - begins[at]) * inverse[at]
    powers = np.ones((len(x), degree + 1))
    for k in range(1, degree + 1):
        np.multiply(powers[:, k - 1], t, out=powers[:, k])
    own = table[at]
    rises = powers[:, :-1] * (np.arange(1, degree + 1) * inverse[at][:, None])
    weights = (powers[:, None, :] @ own)[:, 0]
    slopes = (rises[:, None, :] @ own[:, 1:])[:, 0]
    return at[:, None] + np.arange(degree + 1), weights, slopes


@lru_cache(maxsize=4096)
def _polynomials(knots: bytes, degree: int) -> tuple[Array, Array, Array]:
    """For each span its begin, one over its width, and the weights as powers of the share of it.

    The table is (spans, powers, weights); spans without width have nothing true in it.
    """
    flat = np.frombuffer(knots)
    begins = flat[degree : len(flat) - degree - 1]
    width = flat[degree + 1 : len(flat) - degree] - begins
    windows = np.lib.stride_tricks.sliding_window_view(flat[1:-1], 2 * degree)
    return begins, 1.0 / np.where(width > 0.0, width, 1.0), span_polynomials(windows, degree)


def span_polynomials(windows: Array, degree: int) -> Array:
    """Weights of the poles of B-spline spans as powers of the share of the span.

    `windows` (spans, 2 degree): the knots about each span, which lies in their middle. What comes
    is (spans, powers, weights).
    """
    w = windows.T
    begins = w[degree - 1]
    width = w[degree] - begins
    n = np.zeros((degree + 1, degree + 1, len(windows)))  # power, weight, span
    n[0, 0] = 1.0
    for j in range(1, degree + 1):
        right, left = w[degree : degree + j], w[degree - j : degree]
        gap = np.where(right > left, right - left, 1.0)
        share = n[:, :j] / gap
        grown = np.zeros_like(n)
        # times (right - x) for one weight and (x - left) for the next, x = begin + width t
        grown[:, :j] += share * (right - begins)
        grown[1:, :j] -= share[:-1] * width
        grown[:, 1 : j + 1] += share * (begins - left)
        grown[1:, 1 : j + 1] += share[:-1] * width
        n = grown
    return np.ascontiguousarray(n.transpose(2, 0, 1))


def rulings_at(
    poles: Array, knots: Array, degree: int, owner: NDArray[np.intp], b: Array
) -> tuple[Array, Array, Array, Array]:
    """Begin and way to the end of the ruling at b (k,) of patch `owner` (k,), and their slopes.

    `poles` (patches, 2, n, 3): of patches with one set of knots along b. What comes is (k, 3) each.
    """
    at, weights, slopes = _basis(knots, degree, b)
    first, last = (poles[owner[:, None], end, at] for end in (0, 1))
    way = last - first
    return (
        (weights[:, None, :] @ first)[:, 0],
        (weights[:, None, :] @ way)[:, 0],
        (slopes[:, None, :] @ first)[:, 0],
        (slopes[:, None, :] @ way)[:, 0],
    )


def patch_nets(
    patch: BSplinePatch, bounds: tuple[float, float, float, float], pieces: tuple[int, int]
) -> tuple[Array, Array]:
    """Middles (n, 2) of pieces of a patch within its bounds, and their homogeneous poles (n, m, 4).

    Each lies in the hull of its poles. `pieces`: how many at least along the way that has more
    poles, and across it.
    """
    u0, u1, v0, v1 = bounds
    u_pieces, v_pieces = pieces if patch.poles.shape[0] > patch.poles.shape[1] else pieces[::-1]
    u, across = _bernstein(patch.knots_u, patch.degree_u, u0, u1, u_pieces)
    v, along = _bernstein(patch.knots_v, patch.degree_v, v0, v1, v_pieces)
    some = np.tensordot(across, patch.poles, axes=(2, 0))  # piece, pole, v poles, 4
    nets = np.tensordot(some, along, axes=(2, 2))  # piece, pole, 4, v piece, v pole
    shape = (len(u) * len(v), across.shape[1] * along.shape[1], 4)
    middles = np.column_stack((np.repeat(u, len(v)), np.tile(v, len(u))))
    return middles, nets.transpose(0, 3, 1, 4, 2).reshape(shape)


def _bernstein(
    knots: Array, degree: int, low: float, high: float, pieces: int
) -> tuple[Array, Array]:
    """Middles of parts of a spline, and the weights of its poles in each part's own Bezier poles.

    (parts,) and (parts, degree + 1, poles); parts end at knots.
    """
    inner = np.linspace(low, high, pieces + 1)
    at = np.unique(np.concatenate((inner, knots[(knots > low) & (knots < high)])))
    begins, inverse, table = _polynomials(knots.tobytes(), degree)
    middle = (at[1:] + at[:-1]) / 2.0
    span = np.searchsorted(knots, middle, side="right") - 1 - degree
    span = np.clip(span, 0, len(begins) - 1)
    first, width = (at[:-1] - begins[span]) * inverse[span], np.diff(at) * inverse[span]
    power = np.arange(degree + 1)
    choose = np.array([[math.comb(j, k) for j in power] for k in power], dtype=float)
    lower = np.maximum(power[None, :] - power[:, None], 0)  # j - k
    # powers of the share of the span as powers of the share of the part
    shifted = choose * first[:, None, None] ** lower * width[:, None, None] ** power[:, None]
    to_poles = choose.T / choose[:, -1]
    own = to_poles @ (shifted @ table[span])
    found = np.zeros((len(middle), degree + 1, len(knots) - degree - 1))
    rows = np.arange(len(middle))[:, None, None]
    found[rows, power[None, :, None], (span[:, None] + power)[:, None, :]] = own
    return middle, found


def ruled_along(patch: BSplinePatch) -> str | None:
    """The parameter along which a plain B-spline is straight from end to end; None for none."""
    if not patch.rational:
        if patch.degree_u == 1 and patch.poles.shape[0] == 2:
            return "u"
        if patch.degree_v == 1 and patch.poles.shape[1] == 2:
            return "v"
    return None


def cross(a: Array, b: Array) -> Array:
    """Vector products of (..., 3)."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=-1)


def lengths(a: Array) -> Array:
    """Lengths (...) of vectors (..., 3)."""
    found: Array = np.sqrt(np.einsum("...k,...k->...", a, a))
    return found


def around_axis(p: Array, su: Array, sv: Array) -> tuple[Array, Array, Array]:
    """x, y and g = (Su x Sv) . (z x P) from points and derivatives (..., 3)."""
    x, y = p[..., 0], p[..., 1]
    n_x = su[..., 1] * sv[..., 2] - su[..., 2] * sv[..., 1]
    n_y = su[..., 2] * sv[..., 0] - su[..., 0] * sv[..., 2]
    return x, y, n_y * x - n_x * y


def kernel_points(surface: BRepAdaptor_Surface, u: Array, v: Array) -> tuple[Array, Array, Array]:
    """The same from the kernel, point by point."""
    p, su, sv = np.empty((3, len(u), 3))
    point, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    for i, (a, b) in enumerate(zip(u.tolist(), v.tolist(), strict=True)):
        surface.D1(a, b, point, along_u, along_v)
        p[i] = point.X(), point.Y(), point.Z()
        su[i] = along_u.X(), along_u.Y(), along_u.Z()
        sv[i] = along_v.X(), along_v.Y(), along_v.Z()
    return p, su, sv
