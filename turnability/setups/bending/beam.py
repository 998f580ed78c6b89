"""Stepped, hollow beams with shear, by finite elements that are exact for point loads.

Each element is uniform, so its stiffness is the closed form of Timoshenko's beam and nodes stand
where the exact beam would have them. Lengths in mm, forces in N, moduli in N/mm². Many beams of
one mesh are solved at once: the work as it stands at each cutting place is another beam.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Spring:
    """A support at a node: stiffness across (N/mm) and against tilt (N·mm/rad), inf for rigid."""

    at_mm: float
    across: float = 0.0
    tilt: float = 0.0


@dataclass(frozen=True, slots=True)
class Bed:
    """A grip over a length: so many N/mm of give for each mm of length (N/mm²)."""

    from_mm: float
    to_mm: float
    stiffness: float


Support = Spring | Bed
RIGID = math.inf
_MOST_SHAPES = 60
_ROUNDING = 1e-12
_SETTLED = 1e-11
_GAUSS = np.polynomial.legendre.leggauss(4)


def clamped(at_mm: float) -> Spring:
    """A rigid clamp."""
    return Spring(at_mm, RIGID, RIGID)


def pinned(at_mm: float) -> Spring:
    """A rigid centre, free to tilt."""
    return Spring(at_mm, RIGID)


@dataclass(frozen=True, slots=True, eq=False)
class Beams:
    """Beams of one mesh. `nodes` (n + 1,) in mm upwards; the others of shape (k, n).

    `bending` is E·I in N·mm², `shear` κ·G·A in N (inf: no shear), `mass` in t/mm (N·s²/mm²).
    """

    nodes: Array
    bending: Array
    shear: Array
    mass: Array

    @property
    def lengths(self) -> Array:
        """Length of each element, (n,)."""
        steps: Array = np.diff(self.nodes)
        return steps


def round_beams(
    nodes_mm: ArrayLike,
    outer_mm: ArrayLike,
    inner_mm: ArrayLike,
    *,
    e: float,
    poisson: float = 0.3,
    density_kg_per_mm3: float = 0.0,
    with_shear: bool = True,
) -> Beams:
    """Beams of round section from outer and inner diameters of each element, (n,) or (k, n).

    The shear coefficient is Cowper's for a hollow circle (1966, from memory). Raises ValueError
    for nodes that do not run upwards or for a section that is no section.
    """
    nodes = np.asarray(nodes_mm, dtype=float)
    outer, inner = np.broadcast_arrays(
        np.atleast_2d(np.asarray(outer_mm, dtype=float)),
        np.atleast_2d(np.asarray(inner_mm, dtype=float)),
    )
    if outer.shape[1] != len(nodes) - 1 or not (np.diff(nodes) > 0.0).all():
        raise ValueError("nodes run upwards, with one element between two of them")
    if not ((outer > inner) & (inner >= 0.0)).all():
        raise ValueError("every section needs an outer diameter above its inner one")
    inertia = math.pi / 64.0 * (outer**4 - inner**4)
    area = math.pi / 4.0 * (outer**2 - inner**2)
    shear = np.full(outer.shape, math.inf)
    if with_shear:
        shear = shear_coefficient(inner / outer, poisson) * e / (2.0 * (1.0 + poisson)) * area
    return Beams(nodes, e * inertia, shear, density_kg_per_mm3 * 1e-3 * area)


def shear_coefficient(ratio: Array, poisson: float) -> Array:
    """Cowper's κ for a hollow circle of inner over outer diameter `ratio`, 0 for solid."""
    m = 1.0 + ratio**2
    found: Array = (
        6.0
        * (1.0 + poisson)
        * m**2
        / ((7.0 + 6.0 * poisson) * m**2 + (20.0 + 12.0 * poisson) * ratio**2)
    )
    return found


def give_at(beams: Beams, supports: Sequence[Support], at: ArrayLike) -> Array:
    """How far each beam gives per newton at its own node `at` (indices, (k,)), in mm/N.

    Raises ValueError where the supports do not hold the beam.
    """
    nodes = np.broadcast_to(np.asarray(at, dtype=int), (len(beams.bending),))
    loads = np.zeros((len(beams.bending), len(beams.nodes), 2))
    loads[np.arange(len(nodes)), nodes, 0] = 1.0
    shape = solve(beams, supports, loads)
    given: Array = shape[np.arange(len(nodes)), nodes, 0]
    return given


def solve(beams: Beams, supports: Sequence[Support], loads: Array) -> Array:
    """Deflection (mm) and tilt (rad) at all nodes, (k, n + 1, 2), under forces (N) and moments.

    Raises ValueError where the supports do not hold the beam.
    """
    return _factored(beams, supports).solve(loads)


def critical_speeds_rad_per_s(beams: Beams, supports: Sequence[Support]) -> Array:
    """First natural (and critical) angular frequency of each beam in rad/s, (k,).

    The mass is the consistent one of slender elements, without rotary inertia; the mode is found
    by Lanczos' method. Raises ValueError where a beam has no mass or is not held.
    """
    if not (beams.mass > 0.0).all():
        raise ValueError("a beam without mass has no critical speed")
    factored = _factored(beams, supports)
    diagonal, beside = _masses(beams)
    # no mode is left out of a start like this one, as it would be of an even one
    shape = np.random.default_rng(1).uniform(0.5, 1.5, diagonal.shape[:3])
    shape = np.where(factored.fixed, 0.0, shape)
    shapes, pushes = np.zeros((2, len(diagonal), 0, *shape.shape[1:]))
    all_given = np.zeros((len(diagonal), _MOST_SHAPES, _MOST_SHAPES))
    found: Array = np.zeros(len(diagonal))
    while shapes.shape[1] < _MOST_SHAPES:
        # each is made square to those before (twice, for rounding), measured by the mass
        whole = np.abs(shape).max(axis=(1, 2))
        for _ in range(2):
            along = np.einsum("kmij,kij->km", pushes, shape)
            shape = shape - np.einsum("km,kmij->kij", along, shapes)
        pushed = np.where(factored.fixed, 0.0, _product(diagonal, beside, shape))
        size = np.sqrt(np.maximum((shape * pushed).sum(axis=(1, 2)), 0.0))
        # mere rounding is no shape: those before hold all that there is
        new = (np.abs(shape).max(axis=(1, 2)) > _ROUNDING * whole) & (size > 0.0)
        scale = np.where(new, 1.0 / np.where(new, size, 1.0), 0.0)[:, None, None]
        shape, pushed = shape * scale, pushed * scale
        shapes = np.concatenate((shapes, shape[:, None]), axis=1)
        pushes = np.concatenate((pushes, pushed[:, None]), axis=1)
        shape = factored.solve(pushed)
        last = np.einsum("kmij,kij->km", pushes, shape)
        many = shapes.shape[1]
        given = all_given[:, :many, :many]
        given[:, -1, :] = given[:, :, -1] = last
        # the most that any mix of these shapes gives under its own mass
        before, found = found, np.linalg.eigvalsh(given)[:, -1].astype(np.float64)
        if (np.abs(found - before) <= _SETTLED * found).all():
            break
    speeds: Array = 1.0 / np.sqrt(found)
    return speeds


@dataclass(frozen=True, slots=True, eq=False)
class _Halving:
    """Every second node taken out: its inverse, and how it follows its neighbours before and after.

    `inverses` and `before` (2, 2, k, m) for all nodes taken out, `after` only for those that have a
    node after them.
    """

    inverses: Array
    before: Array
    after: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Factored:
    """The stiffness of beams taken apart by halves, to be solved for many loads.

    Cyclic reduction: what stays of a block-tridiagonal matrix when every second node is taken out
    is one again, and all that are taken out at once don't know of each other (R. W. Hockney, "A
    fast direct solution of Poisson's equation using Fourier analysis", J. ACM 12, 1965).
    """

    halvings: tuple[_Halving, ...]
    last: Array
    fixed: NDArray[np.bool_]

    def solve(self, loads: Array) -> Array:
        """Deflections and tilts, (k, n + 1, 2)."""
        held = np.where(self.fixed, 0.0, np.broadcast_to(loads, self.fixed.shape))
        right = np.ascontiguousarray(held.transpose(2, 0, 1))
        out: list[Array] = []
        for half in self.halvings:
            taken, kept = right[..., 1::2], right[..., 0::2].copy()
            follows = half.after.shape[-1]
            kept[..., : taken.shape[-1]] -= np.einsum("jikn,jkn->ikn", half.before, taken)
            kept[..., 1 : follows + 1] -= np.einsum(
                "jikn,jkn->ikn", half.after, taken[..., :follows]
            )
            out.append(taken)
            right = kept
        found: Array = np.einsum("ijkn,jkn->ikn", self.last, right)
        for half, taken in zip(self.halvings[::-1], out[::-1], strict=True):
            follows = half.after.shape[-1]
            own = np.einsum("ijkn,jkn->ikn", half.inverses, taken)
            own -= np.einsum("ijkn,jkn->ikn", half.before, found[..., : taken.shape[-1]])
            own[..., :follows] -= np.einsum(
                "ijkn,jkn->ikn", half.after, found[..., 1 : follows + 1]
            )
            whole = np.empty((*found.shape[:2], found.shape[2] + own.shape[2]))
            whole[..., 0::2], whole[..., 1::2] = found, own
            found = whole
        return found.transpose(1, 2, 0)


def _factored(beams: Beams, supports: Sequence[Support]) -> _Factored:
    blocks, between, fixed = _held(beams, supports, *_stiffness(beams))
    diagonal = np.ascontiguousarray(blocks.transpose(2, 3, 0, 1))
    beside = np.ascontiguousarray(between.transpose(2, 3, 0, 1))
    halvings: list[_Halving] = []
    while diagonal.shape[-1] > 1:
        inverses = _inverse(diagonal[..., 1::2])
        # from the node before to the one taken out, and on from there to the node after
        here, there = beside[..., 0::2], beside[..., 1::2]
        follows = there.shape[-1]
        before = np.einsum("ijkn,ljkn->ilkn", inverses, here)
        after = np.einsum("ijkn,jlkn->ilkn", inverses[..., :follows], there)
        diagonal = diagonal[..., 0::2].copy()
        diagonal[..., : here.shape[-1]] -= np.einsum("ijkn,jlkn->ilkn", here, before)
        diagonal[..., 1 : follows + 1] -= np.einsum("jikn,jlkn->ilkn", there, after)
        beside = -np.einsum("ijkn,jlkn->ilkn", here[..., :follows], after)
        halvings.append(_Halving(inverses, before, after))
    return _Factored(tuple(halvings), _inverse(diagonal), fixed)


def _product(diagonal: Array, beside: Array, shape: Array) -> Array:
    """Blocks times a shape, (k, n + 1, 2)."""
    made = np.einsum("knij,knj->kni", diagonal, shape)
    made[:, :-1] += np.einsum("knij,knj->kni", beside, shape[:, 1:])
    made[:, 1:] += np.einsum("knji,knj->kni", beside, shape[:, :-1])
    product: Array = made
    return product


def _stiffness(beams: Beams) -> tuple[Array, Array]:
    """Stiffness in blocks: (k, n + 1, 2, 2) at the nodes, (k, n, 2, 2) from each to the next."""
    length = beams.lengths[None, :]
    ei = beams.bending
    phi = 12.0 * ei / (beams.shear * length**2)
    scale = ei / (length**3 * (1.0 + phi))
    k, n = ei.shape
    diagonal = np.zeros((k, n + 1, 2, 2))
    beside = np.zeros((k, n, 2, 2))
    across, couple = 12.0 * scale, 6.0 * length * scale
    own, other = (4.0 + phi) * length**2 * scale, (2.0 - phi) * length**2 * scale
    for side, sign in ((slice(0, n), 1.0), (slice(1, n + 1), -1.0)):
        diagonal[:, side, 0, 0] += across
        diagonal[:, side, 0, 1] += sign * couple
        diagonal[:, side, 1, 0] += sign * couple
        diagonal[:, side, 1, 1] += own
    beside[:, :, 0, 0] = -across
    beside[:, :, 0, 1] = couple
    beside[:, :, 1, 0] = -couple
    beside[:, :, 1, 1] = other
    return diagonal, beside


def _masses(beams: Beams) -> tuple[Array, Array]:
    """Consistent mass, in blocks like the stiffness."""
    length = beams.lengths[None, :]
    scale = beams.mass * length / 420.0
    k, n = scale.shape
    diagonal = np.zeros((k, n + 1, 2, 2))
    beside = np.zeros((k, n, 2, 2))
    for side, sign in ((slice(0, n), 1.0), (slice(1, n + 1), -1.0)):
        diagonal[:, side, 0, 0] += 156.0 * scale
        diagonal[:, side, 0, 1] += sign * 22.0 * length * scale
        diagonal[:, side, 1, 0] += sign * 22.0 * length * scale
        diagonal[:, side, 1, 1] += 4.0 * length**2 * scale
    beside[:, :, 0, 0] = 54.0 * scale
    beside[:, :, 0, 1] = -13.0 * length * scale
    beside[:, :, 1, 0] = 13.0 * length * scale
    beside[:, :, 1, 1] = -3.0 * length**2 * scale
    return diagonal, beside


def _held(
    beams: Beams, supports: Sequence[Support], diagonal: Array, beside: Array
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """The stiffness with its supports: springs and beds added, rigid ones as fixed freedoms.

    Raises ValueError where the beam could still move as a whole.
    """
    nodes = beams.nodes
    if not _holds(nodes, supports):
        raise ValueError("the supports do not hold the beam")
    fixed = np.zeros(diagonal.shape[:3], dtype=bool)
    for support in supports:
        if isinstance(support, Bed):
            _lay(support, nodes, diagonal, beside)
            continue
        node = int(np.argmin(np.abs(nodes - support.at_mm)))
        for freedom, stiffness in ((0, support.across), (1, support.tilt)):
            if math.isinf(stiffness):
                fixed[:, node, freedom] = True
            else:
                diagonal[:, node, freedom, freedom] += stiffness
    for node, freedom in zip(*np.nonzero(fixed[0]), strict=True):
        diagonal[:, node, freedom, :] = diagonal[:, node, :, freedom] = 0.0
        diagonal[:, node, freedom, freedom] = 1.0
        if node > 0:
            beside[:, node - 1, :, freedom] = 0.0
        if node < beside.shape[1]:
            beside[:, node, freedom, :] = 0.0
    return diagonal, beside, fixed


def _lay(bed: Bed, nodes: Array, diagonal: Array, beside: Array) -> None:
    """Add a bed to the stiffness, over just that part of each element that lies on it."""
    at, weight = _GAUSS  # exact for a product of two cubics
    low, length = nodes[:-1], np.diff(nodes)
    start, end = np.maximum(low, bed.from_mm), np.minimum(nodes[1:], bed.to_mm)
    half = np.maximum(end - start, 0.0) / 2.0
    s = (((start + end) / 2.0 - low)[:, None] + half[:, None] * at) / length[:, None]
    across = length[:, None]
    shape = np.stack(
        [
            1.0 - 3.0 * s**2 + 2.0 * s**3,
            across * s * (1.0 - s) ** 2,
            s**2 * (3.0 - 2.0 * s),
            across * s**2 * (s - 1.0),
        ],
        axis=1,
    )
    blocks = np.einsum("n,nag,g,nbg->nab", bed.stiffness * half, shape, weight, shape)
    diagonal[:, :-1] += blocks[:, :2, :2]
    diagonal[:, 1:] += blocks[:, 2:, 2:]
    beside += blocks[:, :2, 2:]


def _holds(nodes: Array, supports: Sequence[Support]) -> bool:
    """Whether the beam can neither move across nor tilt as a whole."""
    springs = [s for s in supports if isinstance(s, Spring)]
    beds = [s for s in supports if isinstance(s, Bed)]
    for bed in beds:
        if bed.stiffness > 0.0 and min(bed.to_mm, nodes[-1]) > max(bed.from_mm, nodes[0]):
            return True
    across = {s.at_mm for s in springs if s.across > 0.0}
    return len(across) > 1 or (bool(across) and any(s.tilt > 0.0 for s in springs))


def _inverse(blocks: Array) -> Array:
    """Inverses of 2 × 2 blocks, (2, 2, …)."""
    (a, b), (c, d) = blocks
    scale = 1.0 / (a * d - b * c)
    return np.stack((np.stack((d * scale, -b * scale)), np.stack((-c * scale, a * scale))))
