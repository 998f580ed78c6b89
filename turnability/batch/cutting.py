"""What to buy for all parts together: bars with the least waste, and how few sizes would do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

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
    room: list[float] = []
    for i in order:
        for k, left in enumerate(room):
            if lengths_mm[i] <= left + 1e-9:
                bars[k].append(i)
                room[k] -= lengths_mm[i]
                break
        else:
            bars.append([i])
            room.append(bar_mm - lengths_mm[i])
    least = _at_least(lengths_mm, bar_mm)
    if len(bars) > least and len(lengths_mm) <= _MOST_EXACT:
        solved, least = _solved(lengths_mm, bar_mm, len(bars), least)
        bars = solved or bars
    return CuttingList(tuple(tuple(bar) for bar in bars), least)


def _at_least(lengths: Sequence[float], bar: float) -> int:
    """A lower bound: by total length, and by pieces that share no bar (Martello and Toth's L2)."""
    best = math.ceil(sum(lengths) / bar - 1e-9)
    for limit in {length for length in lengths if length <= bar / 2.0} | {0.0}:
        alone = sum(length > bar - limit for length in lengths)
        middle = [length for length in lengths if bar / 2.0 < length <= bar - limit]
        small = sum(length for length in lengths if limit <= length <= bar / 2.0)
        spare = len(middle) * bar - sum(middle)
        more = math.ceil(max(0.0, small - spare) / bar - 1e-9)
        best = max(best, alone + len(middle) + more)
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
    sizes = sorted({diameter for diameter, _ in pieces})
    area = [math.pi / 4.0 * size * size for size in sizes]
    length = [sum(long for d, long in pieces if d == size) for size in sizes]
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
