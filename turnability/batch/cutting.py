"""What to buy for all parts together: bars with the least waste, and how few sizes would do."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

_MOST_EXACT = 24
"""Up to so many pieces the solver is asked where the simple way is not proven to be the best."""
_SOLVER_S = 5.0


@dataclass(frozen=True, slots=True)
class CuttingList:
    """Pieces by bar (indices into the lengths given), and the fewest bars that could ever do.

    It is the best there is where `bars` has no more than `at_least`.
    """

    bars: tuple[tuple[int, ...], ...]
    at_least: int

    @property
    def gap(self) -> int:
        """How many bars fewer a better list might need; 0 where this one is proven the best."""
        return len(self.bars) - self.at_least


def cutting_list(lengths_mm: Sequence[float], bar_mm: float) -> CuttingList:
    """Cut pieces (kerf and grip included in each) from bars of one length, few bars first.

    Longest first into the first bar with room, then exactly by a solver where few pieces are left
    in doubt. Raises ValueError where a piece is longer than a bar.
    """
    if any(length > bar_mm for length in lengths_mm):
        raise ValueError(f"a piece is longer than the bar of {bar_mm:g} mm")
    order = sorted(range(len(lengths_mm)), key=lambda i: -lengths_mm[i])
    bars: list[list[int]] = []
    room = _Room(len(order), bar_mm)
    for i in order:
        k = room.take(lengths_mm[i])
        if k == len(bars):
            bars.append([])
        bars[k].append(i)
    least = _at_least(lengths_mm, bar_mm)
    if len(bars) > least and len(lengths_mm) <= _MOST_EXACT:
        solved, least = _solved(lengths_mm, bar_mm, len(bars), least)
        bars = solved or bars
    return CuttingList(tuple(tuple(bar) for bar in bars), least)


class _Room:
    """What is left of each bar in a tree of largest rooms, so that the first fit is soon found."""

    def __init__(self, count: int, bar_mm: float) -> None:
        self._leaves = 1 << max(0, count - 1).bit_length()
        self._tree = [bar_mm] * (2 * self._leaves)

    def take(self, length_mm: float) -> int:
        """The first bar with so much room, which it gives."""
        tree, at = self._tree, 1
        while at < self._leaves:
            at *= 2
            if tree[at] + 1e-9 < length_mm:
                at += 1
        bar = at - self._leaves
        tree[at] -= length_mm
        while at > 1:
            at //= 2
            tree[at] = max(tree[2 * at], tree[2 * at + 1])
        return bar


def _at_least(lengths: Sequence[float], bar: float) -> int:
    """A lower bound: by total length, and by pieces that share no bar (Martello and Toth's L2)."""
    ordered = sorted(lengths)
    sums = list(accumulate(ordered, initial=0.0))
    best = math.ceil(sums[-1] / bar - 1e-9)
    half = bisect_right(ordered, bar / 2.0)
    for limit in {*ordered[:half], 0.0}:
        alone = len(ordered) - max(half, bisect_right(ordered, bar - limit))
        middle = len(ordered) - half - alone
        taken = sums[half + middle] - sums[half]
        small = sums[half] - sums[bisect_left(ordered, limit, 0, half)]
        more = math.ceil(max(0.0, small - (middle * bar - taken)) / bar - 1e-9)
        best = max(best, alone + middle + more)
    return best


def _solved(
    lengths: Sequence[float], bar: float, most: int, least: int
) -> tuple[list[list[int]] | None, int]:
    """Fewer bars than `most` if there are any, and the bound as far as the solver came."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    n, m = len(lengths), most - 1
    cost = np.concatenate([np.ones(m), np.zeros(n * m)])
    each = np.zeros((n, m + n * m))
    fits = np.zeros((m, m + n * m))
    for i in range(n):
        each[i, m + i * m : m + (i + 1) * m] = 1.0
    for k in range(m):
        fits[k, k] = -bar
        fits[k, m + k :: m] = lengths
    result = milp(
        cost,
        constraints=[LinearConstraint(each, 1.0, 1.0), LinearConstraint(fits, -np.inf, 1e-9)],
        integrality=np.ones_like(cost),
        bounds=Bounds(0.0, 1.0),
        options={"time_limit": _SOLVER_S},
    )
    if result.status == 2:  # no list with fewer bars exists
        return None, most
    if result.x is None:
        return None, least
    x = np.round(result.x[m:]).reshape(n, m)
    bars = [[i for i in range(n) if x[i, k] > 0.5] for k in range(m)]
    used = [one for one in bars if one]
    return used, len(used) if result.status == 0 else least


def fewest_sizes(
    pieces: Sequence[tuple[float, float]],
) -> tuple[tuple[int, tuple[float, ...], float], ...]:
    """For 1, 2, … sizes of round bar: which ones serve all pieces with the least extra volume.

    `pieces` are (diameter, length) in mm of one material; each takes the next size that holds it.
    Exact (dynamic programming over the sorted diameters). Gives (count, sizes, extra mm3).
    """
    lengths: dict[float, float] = defaultdict(float)
    for diameter, long in pieces:
        lengths[diameter] += long
    sizes = sorted(lengths)
    area = [math.pi / 4.0 * size * size for size in sizes]
    length = [lengths[size] for size in sizes]
    n = len(sizes)
    extra = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for k in range(i, n):
            extra[i][k] = sum((area[k] - area[j]) * length[j] for j in range(i, k + 1))
    best: list[tuple[float, tuple[int, ...]]] = [(extra[0][k], (k,)) for k in range(n)]
    made = []
    for count in range(1, n + 1):
        volume, ends = best[n - 1]
        made.append((count, tuple(sizes[k] for k in ends), volume))
        best = [
            min(
                (
                    (best[j][0] + extra[j + 1][k], (*best[j][1], k))
                    for j in range(k)
                    if len(best[j][1]) == count
                ),
                default=(math.inf, tuple(range(k + 1))),
            )
            for k in range(n)
        ]
    assert all(a[2] >= b[2] - 1e-6 for a, b in pairwise(made))
    return tuple(made)
