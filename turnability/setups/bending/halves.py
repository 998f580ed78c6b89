"""Block-tridiagonal stiffness of many beams at once, taken apart by halves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_AT_ONCE = 32
"""So many nodes of all beams together are quicker solved as a whole than by halves."""


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
class Factored:
    """The stiffness of beams taken apart by halves, to be solved for many loads.

    Cyclic reduction: what stays of a block-tridiagonal matrix when every second node is taken out
    is one again, and all that are taken out at once don't know of each other (R. W. Hockney, "A
    fast direct solution of Poisson's equation using Fourier analysis", J. ACM 12, 1965). Of the few
    nodes that stay the `last` inverse is that of the whole.
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
        kept = right.transpose(1, 0, 2)
        found = (self.last @ kept.reshape(*self.last.shape[:2], 1)).reshape(kept.shape)
        found = found.transpose(1, 0, 2)
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
        shape: Array = found.transpose(1, 2, 0)
        return shape


def taken_apart(blocks: Array, between: Array, fixed: NDArray[np.bool_]) -> Factored:
    """Blocks at the nodes (k, n + 1, 2, 2), and from each to the next (k, n, 2, 2)."""
    diagonal = np.ascontiguousarray(blocks.transpose(2, 3, 0, 1))
    beside = np.ascontiguousarray(between.transpose(2, 3, 0, 1))
    halvings: list[_Halving] = []
    while diagonal.shape[-1] > max(1, _AT_ONCE // len(blocks)):
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
    return Factored(tuple(halvings), _inverse_of_whole(diagonal, beside), fixed)


def _inverse_of_whole(diagonal: Array, beside: Array) -> Array:
    """Of all nodes that are left, (k, 2 n, 2 n): first how far they move, then how they tilt."""
    many, n = diagonal.shape[2:]
    whole, nodes = np.zeros((many, 2, n, 2, n)), np.arange(n)
    whole[:, :, nodes, :, nodes] = diagonal.transpose(3, 2, 0, 1)
    whole[:, :, nodes[:-1], :, nodes[1:]] = beside.transpose(3, 2, 0, 1)
    whole[:, :, nodes[1:], :, nodes[:-1]] = beside.transpose(3, 2, 1, 0)
    inverse: Array = np.linalg.inv(whole.reshape(many, 2 * n, 2 * n)).astype(np.float64)
    return inverse


def _inverse(blocks: Array) -> Array:
    """Inverses of 2 × 2 blocks, (2, 2, …)."""
    (a, b), (c, d) = blocks
    scale = 1.0 / (a * d - b * c)
    return np.stack((np.stack((d * scale, -b * scale)), np.stack((-c * scale, a * scale))))
