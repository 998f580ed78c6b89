"""One face of a solid as the meridian needs it: its surface, which places are its own, its edges.

Everything here holds kernel objects and stays inside `part/`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepTopAdaptor import BRepTopAdaptor_FClass2d
from OCP.GeomAbs import GeomAbs_Shape
from OCP.gp import gp_Pnt2d
from OCP.TColStd import TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_EDGE, TopAbs_IN, TopAbs_ON, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face

from turnability.part.canonical_points import (
    Formula,
    formula_of,
    formula_points,
    formula_turns,
)
from turnability.part.kernel_rims import rims_of
from turnability.part.rim_sides import RimChords, chords_of
from turnability.part.rims import Rim
from turnability.part.surface_points import (
    Array,
    BSplinePatch,
    around_axis,
    kernel_points,
    patch_lattice,
    patch_of,
    patch_points,
    patch_rows,
)
from turnability.part.swept import Swept, swept_of, swept_points
from turnability.part.whole_faces import runs_round

EVEN = 17
INNER = 9
_INNER_SHARES = (np.arange(INNER) + 0.5) / INNER
_ON_RIM = 1e-9
_SINGLY = 12
"""So many single places are told by a rim's chords before the kernel makes ready for more."""

Canonical: TypeAlias = Any
"""gp_Pln, gp_Cylinder, gp_Cone, gp_Sphere or gp_Torus; None for a free-form surface."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """Parameters u (n,) and v (m,); points and both first derivatives there, (n, m, 3) each."""

    u: Array
    v: Array
    points: Array
    along_u: Array
    along_v: Array


@dataclass(frozen=True, slots=True)
class Inner:
    """Parameters (n, 2), points and first derivatives (n, 3)."""

    uv: Array
    points: Array
    along_u: Array
    along_v: Array


@dataclass(slots=True)
class KernelFace:
    """One face: `kind` plane, cylinder, cone, sphere, torus, revolution or free.

    `cone_mm3`: the volume between it and the place `about`, the same for all faces of the solid,
    whose own volume is the sum; None where it is not known, or was not asked for (`give_cones`).
    """

    index: int
    face: TopoDS_Face
    surface: BRepAdaptor_Surface
    kind: str
    canonical: Canonical
    recovered_gap_mm: float | None
    bounds: tuple[float, float, float, float]
    area_mm2: float = 0.0
    about: Array | None = None
    cone_mm3: float | None = None
    rim: Rim | None = None
    _classifier: BRepTopAdaptor_FClass2d | None = None
    _whole: bool | None = None
    _edges: tuple[TopoDS_Edge, ...] | None = None
    _formula: Formula | None = None
    _even: Lattice | None = None
    _inner: Inner | None = None
    _inner_held: NDArray[np.bool_] | None = None
    _patch: BSplinePatch | None = None
    _patch_known: bool = False
    _swept: Swept | None = None
    _swept_known: bool = False
    _may_fold: bool | None = None
    _chords: RimChords | None = None
    _singly: int = 0
    _chords_asked: bool = False

    @property
    def reversed(self) -> bool:
        """Whether the face's outward normal is against the surface's own."""
        return bool(self.face.Orientation() == TopAbs_REVERSED)

    def holds(self, u: float, v: float, with_rim: bool = False) -> bool:
        """Whether the surface point (u, v) belongs to the face (its rim only on request)."""
        if self._classifier is None:
            told = self._told(u, v)
            if told is not None:
                return told
            self._classifier = BRepTopAdaptor_FClass2d(self.face, 1e-9)
        state = self._classifier.Perform(gp_Pnt2d(u, v))
        return bool(state == TopAbs_IN or (with_rim and state == TopAbs_ON))

    def _told(self, u: float, v: float) -> bool | None:
        """The same where no kernel is needed: not beside the rim."""
        u0, u1, v0, v1 = self.bounds
        x, y = _ON_RIM * (u1 - u0), _ON_RIM * (v1 - v0)
        if not (u0 + x < u < u1 - x and v0 + y < v < v1 - y):
            return None  # it may be whole turns off
        if self._whole:
            return True
        if (self.rim is None and not self._chords_asked) or self._singly >= _SINGLY:
            return None
        self._singly += 1
        chords = self._chords_known()
        if chords is None:
            return None
        within, beside = chords.sides(np.array([u]), np.array([v]))
        return None if beside[0] else bool(within[0])

    def held(self, u: Array, v: Array) -> NDArray[np.bool_]:
        """Which of each u (n,) with each v (m,), well inside the bounds, are the face's; (n * m,).

        Both rise.
        """
        count = len(u) * len(v)
        if self.is_whole:
            return np.ones(count, dtype=bool)
        chords = self._chords_known()
        found, waiting = np.zeros(count, dtype=bool), np.ones(count, dtype=bool)
        if chords is not None:
            found, waiting = (side.ravel() for side in chords.lattice_sides(u, v))
            found &= ~waiting
        for k in np.nonzero(waiting)[0].tolist():
            found[k] = self.holds(*_of_lattice(u, v, k))
        return found

    def held_at(self, u: Array, v: Array) -> NDArray[np.bool_]:
        """Which places (n,) belong to the face or its rim; of a surface with a formula.

        Angles may be whole turns off the bounds.
        """
        u0, u1, v0, v1 = self.bounds
        if self.kind != "plane":
            u = u0 - _ON_RIM + (u - u0 + _ON_RIM) % math.tau
        if self.kind == "torus":
            v = v0 - _ON_RIM + (v - v0 + _ON_RIM) % math.tau
        in_u = (u >= u0 - _ON_RIM) & (u <= u1 + _ON_RIM)
        found: NDArray[np.bool_] = in_u & (v >= v0 - _ON_RIM) & (v <= v1 + _ON_RIM)
        if self.is_whole or not found.any():
            return found
        chords = self._chords_known()
        waiting = found.copy()
        if chords is not None:
            within, beside = chords.sides(u, v)
            waiting &= beside
            found &= within
        for k in np.nonzero(waiting)[0].tolist():
            found[k] = self.holds(u[k], v[k], with_rim=True)
        return found

    def _chords_known(self) -> RimChords | None:
        if not self._chords_asked:
            give_rims([self])
            assert self.rim is not None
            self._chords, self._chords_asked = chords_of(self.rim, self.bounds), True
        return self._chords

    @property
    def is_whole(self) -> bool:
        """Whether the face is all that its bounds hold: its edges run round those and no others."""
        if self._whole is None:
            self._whole = runs_round(self.face, self.edges(), self.bounds)
        return self._whole

    @property
    def has_formula(self) -> bool:
        """Whether the surface is stored as a plane, cylinder, cone, sphere or torus."""
        return self.canonical is not None and self.recovered_gap_mm is None

    @property
    def formula(self) -> Formula:
        """What its surface is; only where it `has_formula`."""
        if self._formula is None:
            self._formula = formula_of(self.kind, self.canonical)
        return self._formula

    @property
    def is_told_quickly(self) -> bool:
        """Whether its points come in closed form: so stored, or as a line or circle turned by u."""
        return self.has_formula or self.swept is not None

    def points(self, u: Array, v: Array) -> tuple[Array, Array, Array]:
        """Points of the surface and both first derivatives at parameters (n,), (n, 3) each."""
        if self.has_formula:
            return formula_points(self.formula, u, v)
        patch = self.patch
        if patch is not None:
            return patch_points(patch, u, v)
        if self.swept is not None:
            return swept_points(self.swept, u, v)
        return kernel_points(self.surface, u, v)

    def lattice(self, u: Array, v: Array) -> tuple[Array, Array, Array]:
        """The same for each u (n,) with each v (m,), (n, m, 3) each."""
        if self.has_formula:
            found = formula_points(self.formula, u[:, None], v[None, :])
            p, su, sv = np.broadcast_arrays(*found)
            return p, su, sv
        patch = self.patch
        if patch is not None:
            return patch_lattice(patch, u, v)
        if self.swept is not None:
            found = swept_points(self.swept, u[:, None], v[None, :])
            p, su, sv = np.broadcast_arrays(*found)
            return p, su, sv
        found = kernel_points(self.surface, np.repeat(u, len(v)), np.tile(v, len(u)))
        p, su, sv = (a.reshape(len(u), len(v), 3) for a in found)
        return p, su, sv

    def turns(self, u: Array, v: Array) -> tuple[Array, Array, Array]:
        """x, y and g = (Su x Sv) . (z x P) at parameters (n,), (n,) each."""
        if self.has_formula:
            return formula_turns(self.formula, u, v)
        return around_axis(*self.points(u, v))

    def row_turns(self, u: Array, v: Array) -> tuple[Array, Array, Array]:
        """The same at u (k, n) on the row of each v (n,), (k, n) each."""
        if self.has_formula:
            return formula_turns(self.formula, u, v[None, :])
        patch = self.patch
        if patch is not None:
            return around_axis(*patch_rows(patch, u, v))
        found = self.turns(u.ravel(), np.broadcast_to(v, u.shape).ravel())
        x, y, g = (a.reshape(u.shape) for a in found)
        return x, y, g

    def lattice_turns(self, u: Array, v: Array) -> tuple[Array, Array, Array]:
        """The same for each u (n,) with each v (m,), (n, m) each."""
        if self.has_formula:
            return formula_turns(self.formula, u[:, None], v[None, :])
        return around_axis(*self.lattice(u, v))

    @property
    def patch(self) -> BSplinePatch | None:
        """The surface's B-spline; None where it is none."""
        if not self._patch_known:
            self._patch, self._patch_known = patch_of(self.surface), True
        return self._patch

    @property
    def swept(self) -> Swept | None:
        """The line or circle whose turning the surface is stored as; None where it is not."""
        if not self._swept_known:
            self._swept, self._swept_known = swept_of(self.surface), True
        return self._swept

    def knots(self) -> tuple[list[float], list[float]]:
        """Parameters u and v, ends among them, between which the surface is smooth."""
        if self.has_formula:
            u0, u1, v0, v1 = self.bounds
            return [u0, u1], [v0, v1]
        found = []
        for count, fill in (
            (self.surface.NbUIntervals, self.surface.UIntervals),
            (self.surface.NbVIntervals, self.surface.VIntervals),
        ):
            number = count(GeomAbs_Shape.GeomAbs_CN)
            at = TColStd_Array1OfReal(1, number + 1)
            fill(at, GeomAbs_Shape.GeomAbs_CN)
            found.append([at.Value(i) for i in range(1, number + 2)])
        return found[0], found[1]

    def own_points(self, shares: Array) -> Array:
        """Points (n, 3) of the face on a grid of shares of its bounds."""
        u0, u1, v0, v1 = self.bounds
        u, v = u0 + (u1 - u0) * shares, v0 + (v1 - v0) * shares
        found: Array = self.lattice(u, v)[0].reshape(-1, 3)[self.held(u, v)]
        return found

    @property
    def even(self) -> Lattice:
        """The surface over the bounds, rims among it, `EVEN` places each way."""
        if self._even is None:
            u0, u1, v0, v1 = self.bounds
            u, v = np.linspace(u0, u1, EVEN), np.linspace(v0, v1, EVEN)
            self._even = Lattice(u, v, *self.lattice(u, v))
        return self._even

    @property
    def may_fold(self) -> bool:
        """Whether the normal's part around the axis, which is z, is seen to change its sign."""
        if self._may_fold is None:
            even = self.even
            around = around_axis(even.points, even.along_u, even.along_v)[2]
            self._may_fold = not ((around > 0.0).all() or (around < 0.0).all())
        return self._may_fold

    @property
    def few(self) -> tuple[Array, Array, Array]:
        """Every other place of `even` each way: points and first derivatives, (n, 3) each."""
        even = self.even
        p, su, sv = (a[::2, ::2].reshape(-1, 3) for a in (even.points, even.along_u, even.along_v))
        return p, su, sv

    @property
    def inner(self) -> Inner:
        """The surface in the middles of `INNER` equal parts of the bounds each way."""
        if self._inner is None:
            u, v = self._inner_places()
            uv = np.column_stack((np.repeat(u, INNER), np.tile(v, INNER)))
            p, su, sv = (a.reshape(-1, 3) for a in self.lattice(u, v))
            self._inner = Inner(uv, p, su, sv)
        return self._inner

    @property
    def inner_held(self) -> NDArray[np.bool_]:
        """Which places of `inner` are the face's own, (n,)."""
        if self._inner_held is None:
            self._inner_held = self.held(*self._inner_places())
        return self._inner_held

    def _inner_places(self) -> tuple[Array, Array]:
        u0, u1, v0, v1 = self.bounds
        return u0 + (u1 - u0) * _INNER_SHARES, v0 + (v1 - v0) * _INNER_SHARES

    def edges(self) -> tuple[TopoDS_Edge, ...]:
        """The face's edges, each as often as it runs round the face."""
        if self._edges is None:
            self._edges = _edges(self.face)
        return self._edges


def give_rims(faces: Iterable[KernelFace]) -> None:
    """Give those faces their rims that have none yet."""
    bare = [face for face in faces if face.rim is None]
    rims = rims_of([(face.face, face.edges(), face.bounds) for face in bare])
    for face, rim in zip(bare, rims, strict=True):
        face.rim = rim


def _of_lattice(u: Array, v: Array, k: int) -> tuple[float, float]:
    """One of the places of each u with each v."""
    return float(u[k // len(v)]), float(v[k % len(v)])


def _edges(face: TopoDS_Face) -> tuple[TopoDS_Edge, ...]:
    found = []
    walk = TopExp_Explorer(face, TopAbs_EDGE)
    while walk.More():
        found.append(TopoDS.Edge_s(walk.Current()))
        walk.Next()
    return tuple(found)
