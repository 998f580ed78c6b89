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

from turnability.setups.bending.halves import Factored, taken_apart

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

    def of(self, rows: NDArray[np.bool_] | NDArray[np.int64]) -> Beams:
        """These rows of them."""
        return Beams(self.nodes, self.bending[rows], self.shear[rows], self.mass[rows])

    def first(self, elements: int) -> Beams:
        """No more of them than so many elements."""
        some = (a[:, :elements] for a in (self.bending, self.shear, self.mass))
        return Beams(self.nodes[: elements + 1], *some)

    def met_by(self, others: Beams, places: Array) -> Beams:
        """Each of these up to a place of its own (k,), the same of the others beyond it."""
        near = (self.nodes[:-1] + self.nodes[1:]) / 2.0 < places[:, None]
        pairs = zip(
            (self.bending, self.shear, self.mass),
            (others.bending, others.shear, others.mass),
            strict=True,
        )
        return Beams(self.nodes, *(np.where(near, mine, other) for mine, other in pairs))


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


def solve(beams: Beams, supports: Sequence[Support], loads: Array) -> Array:
    """Deflection (mm) and tilt (rad) at all nodes, (k, n + 1, 2), under forces (N) and moments.

    Raises ValueError where the supports do not hold the beam.
    """
    return factored(beams, supports).solve(loads)


def critical_speeds_rad_per_s(beams: Beams, supports: Sequence[Support]) -> Array:
    """First natural (and critical) angular frequency of each beam in rad/s, (k,).

    The mass is the consistent one of slender elements, without rotary inertia; the mode is found
    by Lanczos' method. Raises ValueError where a beam has no mass or is not held.
    """
    if not (beams.mass > 0.0).all():
        raise ValueError("a beam without mass has no critical speed")
    apart = factored(beams, supports)
    diagonal, beside = _masses(beams)
    free = np.where(apart.fixed, 0.0, 1.0)
    # no mode is left out of a start like this one, as it would be of an even one
    shape = np.random.default_rng(1).uniform(0.5, 1.5, free.shape) * free
    many, size = len(free), free[0].size
    shapes, pushes = np.zeros((2, many, _MOST_SHAPES, size))
    given = np.zeros((many, _MOST_SHAPES, _MOST_SHAPES))
    found: Array = np.zeros(many)
    for n in range(_MOST_SHAPES):
        # each is made square to those before (twice, for rounding), measured by the mass
        flat = shape.reshape(many, size, 1)
        whole = np.abs(flat).max(axis=(1, 2))
        for _ in range(2):
            flat = flat - shapes[:, :n].transpose(0, 2, 1) @ (pushes[:, :n] @ flat)
        pushed = _product(diagonal, beside, flat.reshape(shape.shape)) * free
        flat, push = flat[..., 0], pushed.reshape(many, size)
        much = np.sqrt(np.maximum((flat * push).sum(axis=1), 0.0))
        # mere rounding is no shape: those before hold all that there is
        new = (np.abs(flat).max(axis=1) > _ROUNDING * whole) & (much > 0.0)
        scale = np.where(new, 1.0 / np.where(new, much, 1.0), 0.0)[:, None]
        shapes[:, n], pushes[:, n] = flat * scale, push * scale
        shape = apart.solve(pushed * scale[..., None])
        last = (pushes[:, : n + 1] @ shape.reshape(many, size, 1))[..., 0]
        given[:, n, : n + 1] = given[:, : n + 1, n] = last
        # the most that any mix of these shapes gives under its own mass
        before, found = (
            found,
            np.linalg.eigvalsh(given[:, : n + 1, : n + 1])[:, -1].astype(np.float64),
        )
        if (np.abs(found - before) <= _SETTLED * found).all():
            break
    speeds: Array = 1.0 / np.sqrt(found)
    return speeds


def factored(beams: Beams, supports: Sequence[Support]) -> Factored:
    """The beams as they are held, taken apart to be solved for many loads."""
    blocks, between, fixed = _held(beams, supports, *_stiffness(beams))
    return taken_apart(blocks, between, fixed)


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
    if not holds(nodes, supports):
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
    (on,) = ((nodes[:-1] < bed.to_mm) & (nodes[1:] > bed.from_mm)).nonzero()
    low, length = nodes[on], nodes[on + 1] - nodes[on]
    start, end = np.maximum(low, bed.from_mm), np.minimum(nodes[on + 1], bed.to_mm)
    half = (end - start) / 2.0
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
    weighted = shape * (bed.stiffness * half)[:, None, None] * weight
    blocks = weighted @ shape.transpose(0, 2, 1)
    diagonal[:, on] += blocks[:, :2, :2]
    diagonal[:, on + 1] += blocks[:, 2:, 2:]
    beside[:, on] += blocks[:, :2, 2:]


def holds(nodes: Array, supports: Sequence[Support]) -> bool:
    """Whether the beam can neither move across nor tilt as a whole."""
    springs = [s for s in supports if isinstance(s, Spring)]
    beds = [s for s in supports if isinstance(s, Bed)]
    for bed in beds:
        if bed.stiffness > 0.0 and min(bed.to_mm, nodes[-1]) > max(bed.from_mm, nodes[0]):
            return True
    across = {s.at_mm for s in springs if s.across > 0.0}
    return len(across) > 1 or (bool(across) and any(s.tilt > 0.0 for s in springs))
