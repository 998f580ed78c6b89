"""Areas of faces, and the volume that they close, from their rims.

By Green's theorem an integral over a face is one round its rim, of what has been integrated along
one parameter: in closed form on planes, on surfaces that turn about a line of their own, and along
rulings. The kernel's quadrature has the rest.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Face

from turnability.part.canonical_points import Formula, generated
from turnability.part.rims import Rim, Rims, gauss, together
from turnability.part.surface_points import (
    BSplinePatch,
    cross,
    lengths,
    patch_rows,
    ruled_along,
    rulings_at,
)

Array: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]

_NODES = 10
_NODES_FLAT = 14
"""Of a plane: exact up to degree 27, twice that of the longest series of a rim."""
_FINEST = 16
_SETTLED = 1e-10
_NODES_KNOTTED, _MANY_KNOTS = 5, 10
_CLOSED, _NEARLY_CLOSED = 1e-6, 1e-4
"""Widest gap in a rim, as a share of the face, that does not leave the face to the kernel: of any
face, and of one so small that it does not matter."""
_SMALL = 1e-7
_MANY_POLES, _MANY_RATIONAL = 24, 8
"""Of a spline that is no ruled one, and such splines of a solid: more the kernel does sooner."""
_VERY_MANY_POLES = 1000
_ALONG = 8
_ACROSS = 12
"""Nodes along a ruling, and along each smooth piece of a row of any B-spline."""
_PIECE = math.pi / 2.0

Integrand: TypeAlias = Callable[[Ints, Array, Array], tuple[Array, Array]]
"""Owners, a and b (k,) to what has been integrated along a: of area and of the cone's volume."""


class Measured(Protocol):
    """What is asked of a face here."""

    face: TopoDS_Face
    kind: str
    bounds: tuple[float, float, float, float]
    rim: Rim | None

    @property
    def formula(self) -> Formula:
        """What its surface is, where it has a formula."""

    @property
    def has_formula(self) -> bool:
        """Whether the surface is stored as a plane, cylinder, cone, sphere or torus."""

    @property
    def patch(self) -> BSplinePatch | None:
        """Its B-spline, if it is one."""


def moments_of(
    faces: Sequence[Measured],
    about: Array,
    reach_mm: float,
    more_mm2: float = 0.0,
    *,
    however_dear: bool = False,
) -> list[tuple[float, float] | None]:
    """Each face's area (mm2), and the volume (mm3) between it and a point, outwards.

    Those of all faces of a solid add up to its volume. `reach_mm`: about how far the faces are
    from the point; `more_mm2`: area of others. None where the kernel must be asked, which is
    sooner done with splines of many poles and errs on some; `however_dear`: those too.
    """
    found: list[tuple[float, float] | None] = [None] * len(faces)
    for members, swapped, integrand, cuts in _lots(
        faces, about, _VERY_MANY_POLES if however_dear else _MANY_POLES
    ):
        some = [faces[i] for i in members]
        rims = together([rim for face in some if (rim := face.rim) is not None])
        if swapped:
            rims = replace(rims, coefficients=rims.coefficients[..., ::-1])
        # what runs along a row adds nothing
        rims = rims.of((rims.coefficients[:, 1:, 1] != 0.0).any(axis=1))
        flat = some[0].has_formula and some[0].kind == "plane"
        if not flat:
            rims = rims.cut(cuts) if cuts is not None else rims.split(_parts(rims))
        areas, cones, settled = _integrated(rims, integrand, len(some), reach_mm, exact=flat)
        for place, i in enumerate(members):
            if settled[place]:
                side = -1.0 if faces[i].face.Orientation() == TopAbs_REVERSED else 1.0
                found[i] = abs(float(areas[place])), side * float(cones[place])
    enough = _SMALL * (more_mm2 + math.fsum(one[0] for one in found if one is not None))
    for i, face in enumerate(faces):
        one, gap = found[i], _gap(face)
        if one is not None and gap > _CLOSED and gap * one[0] > enough:
            found[i] = None
    return found


def are_quick(faces: Sequence[Measured]) -> bool:
    """Whether all of some faces are likely to be known here, and sooner than by the kernel."""
    rational = 0
    for face in faces:
        if face.has_formula:
            continue
        patch = face.patch
        if patch is None or (ruled_along(patch) is None and patch.poles.size > 4 * _MANY_POLES):
            return False
        rational += patch.rational
    return rational <= _MANY_RATIONAL


def _gap(face: Measured) -> float:
    return math.inf if face.rim is None else face.rim.gap


def _lots(
    faces: Sequence[Measured], about: Array, most_poles: int
) -> Iterator[tuple[list[int], bool, Integrand, list[Array] | None]]:
    """Faces that one integrand serves, whether a is their v, and where their rims are cut."""
    formula: dict[str, list[int]] = defaultdict(list)
    ruled: dict[tuple[bytes, int, str], list[int]] = defaultdict(list)
    others: list[tuple[int, BSplinePatch]] = []
    for i, face in enumerate(faces):
        if _gap(face) > _NEARLY_CLOSED:
            continue
        if face.has_formula:
            formula[face.kind].append(i)
            continue
        patch = face.patch
        along = None if patch is None else ruled_along(patch)
        if patch is not None and along is not None:
            knots = patch.knots_v if along == "u" else patch.knots_u
            degree = patch.degree_v if along == "u" else patch.degree_u
            ruled[knots.tobytes(), degree, along].append(i)
        elif patch is not None and patch.poles.size <= 4 * most_poles:
            others.append((i, patch))
    for kind, members in formula.items():
        yield members, False, _formula(kind, [faces[i] for i in members], about), None
    for (text, degree, along), members in ruled.items():
        patches = [p for i in members if (p := faces[i].patch) is not None]
        knots = np.frombuffer(text)
        integrand = _ruled(patches, along, knots, degree, about)
        yield members, along == "v", integrand, [np.unique(knots)] * len(members)
    for i, patch in others:
        u0, u1, _, _ = faces[i].bounds
        inner = [k for k in np.unique(patch.knots_u).tolist() if u0 < k < u1]
        integrand = partial(_of_patch, patch, np.array([u0, *inner, u1]), about)
        yield [i], False, integrand, [np.unique(patch.knots_v)]


def _parts(rims: Rims) -> Ints:
    """How many parts of a piece turn by no more than a quarter about the surface's own axis."""
    ends = rims.at(np.column_stack((rims.low, (rims.low + rims.high) / 2.0, rims.high)))[0]
    turn = np.abs(np.diff(ends[..., 0], axis=1)).sum(axis=1)
    level = np.ptp(ends[..., 1], axis=1) <= 0.0
    found: Ints = np.where(level, 1, np.ceil(np.minimum(turn / _PIECE, 1e3) - 1e-9)).astype(np.intp)
    return np.maximum(found, 1)


def _integrated(
    rims: Rims, integrand: Integrand, count: int, reach_mm: float, *, exact: bool = False
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Areas, cones and which have settled, (count,) each; panels are doubled where one has not.

    `exact`: of a plane, whose integrands are polynomials.
    """
    if exact:
        owner, at, step = rims.nodes(_NODES_FLAT, 1)
        areas, cones = (
            np.bincount(owner, some * step[:, 1], count).astype(np.float64)
            for some in integrand(owner, at[:, 0], at[:, 1])
        )
        return areas, cones, np.ones(count, dtype=bool)
    areas, cones = np.zeros(count), np.zeros(count)
    settled = np.zeros(count, dtype=bool)
    nodes = _NODES if len(rims.low) <= _MANY_KNOTS * count else _NODES_KNOTTED
    panels = 1
    while panels <= _FINEST and not settled.all():
        some = rims if panels <= 2 else rims.of(~settled[rims.owner])
        owner, at, step = some.nodes(nodes, panels)
        area, cone = integrand(owner, at[:, 0], at[:, 1])
        area, cone = (
            np.bincount(owner, some_of * step[:, 1], count).astype(np.float64)
            for some_of in (area, cone)
        )
        if panels > 1:
            near = np.abs(area - areas) <= _SETTLED * np.abs(area)
            near &= np.abs(cone - cones) <= _SETTLED * np.abs(area) * reach_mm
            # also those that had settled and were not asked again
            area, cone = np.where(settled, areas, area), np.where(settled, cones, cone)
            settled |= near
        areas, cones = area, cone
        panels *= 2
    return areas, cones, settled


def _formula(kind: str, faces: Sequence[Measured], about: Array) -> Integrand:
    """Planes, and surfaces r(v) from their own axis: along u, the angle about it."""
    origin, x, y, z = np.array([face.formula.frame for face in faces]).transpose(1, 0, 2)
    origin = origin - about
    side = np.array([face.formula.side for face in faces])
    start = np.array([face.bounds[0] for face in faces])
    if kind == "plane":
        height = side * (origin * z).sum(axis=1)
        return lambda owner, a, b: (a - start[owner], height[owner] * (a - start[owner]) / 3.0)
    sizes = np.array([face.formula.sizes for face in faces])
    ox, oy, oz = ((origin * way).sum(axis=1) for way in (x, y, z))

    def integrated(owner: Ints, a: Array, b: Array) -> tuple[Array, Array]:
        own = sizes[owner].T
        r, dr, h, dh = generated(kind, (own[0], own[1]), b)
        u = a - start[owner]
        across = ox[owner] * np.sin(a) - oy[owner] * np.cos(a)
        cone = r * (dh * across + u * (r * dh - dr * (h + oz[owner])))
        return np.abs(r) * np.hypot(dr, dh) * u, side[owner] * cone / 3.0

    return integrated


def _ruled(
    patches: Sequence[BSplinePatch], along: str, knots: Array, degree: int, about: Array
) -> Integrand:
    """B-splines of degree one along a, of one set of knots along b."""
    order = (0, 1, 2) if along == "u" else (1, 0, 2)
    poles = np.array([patch.poles[..., :3].transpose(order) for patch in patches]) - about
    ends = np.array([(p.knots_u if along == "u" else p.knots_v)[[0, -1]] for p in patches])

    def integrated(owner: Ints, a: Array, b: Array) -> tuple[Array, Array]:
        first, way, slope, way_slope = rulings_at(poles, knots, degree, owner, b)
        low, high = ends[owner].T
        run = (a - low)[:, None]
        way, way_slope = (d / (high - low)[:, None] for d in (way, way_slope))
        n0, n1 = cross(way, slope), cross(way, way_slope)
        cone = run[:, 0] * ((first * n0).sum(axis=1) + run[:, 0] / 2.0 * (first * n1).sum(axis=1))
        x, w = gauss(_ALONG)
        area = sum(
            weight / 2.0 * lengths(n0 + run * ((share + 1.0) / 2.0) * n1)
            for share, weight in zip(x.tolist(), w.tolist(), strict=True)
        )
        return run[:, 0] * area, cone / 3.0

    return integrated


def _of_patch(
    patch: BSplinePatch, breaks: Array, about: Array, owner: Ints, a: Array, b: Array
) -> tuple[Array, Array]:
    """One B-spline of any kind, smooth along a between the breaks."""
    del owner
    x, w = gauss(_ACROSS)
    ends = np.minimum(breaks[1:, None], a)
    # beyond the last break, or before the first, the piece at the end is stretched
    ends[-1] = np.where(a > breaks[-2], a, ends[-1])
    width = np.maximum(ends - breaks[:-1, None], 0.0)
    width[0] = np.where(a < breaks[0], a - breaks[0], width[0])
    shares = (x + 1.0) / 2.0
    at = (breaks[:-1, None, None] + width[:, None, :] * shares[:, None]).reshape(-1, len(a))
    weights = (width[:, None, :] * (w / 2.0)[:, None]).reshape(-1, len(a))
    p, along_a, along_b = patch_rows(patch, at, b)
    n = cross(along_a, along_b)
    cone = ((p - about) * n).sum(axis=2)
    area: Array = (lengths(n) * weights).sum(axis=0)
    return area, (cone * weights).sum(axis=0) / 3.0
