"""How far the blank stands free without support in an operation, and how slowly it turns then.

The blank, not the part: what is gripped lies behind the part, and the allowance before it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import takewhile

from turnability.cited import Cited
from turnability.part.model import Profile
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, mean_standing_mm
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Machine, Shop
from turnability.stock.model import Stock, raw_across_mm

LEAST_SHARE = Cited(
    0.1, "-", "common practice", "least share of the usual speed on long work, from memory", False
)
_IN_THE_END = ("face", "drill", "ream")


def standing_out(
    profile: Profile,
    setup: Setup,
    stock: Stock | None,
    shop: Shop,
    lathe: Machine | None,
    before: Sequence[Setup] = (),
) -> tuple[tuple[float, ...], frozenset[int]]:
    """Diameters that stand free in each operation, drawn out to length, and which it is drawn in.

    `before` are the setups before.
    """
    size = raw_across_mm(stock, profile.max_diameter_mm)
    allowance = (shop.stock_policy or COMMON_POLICY).end_allowance_mm
    numbers = range(len(setup.operations))
    free = tuple(free_diameters(profile, setup, n, size, allowance, before) for n in numbers)
    piece = None if stock is None else stock.choice
    return free, drawn_in(setup, free, lathe, size if piece is None else piece.through_mm)


def free_diameters(
    profile: Profile,
    setup: Setup,
    number: int,
    size_mm: float,
    allowance_mm: float,
    before: Sequence[Setup] = (),
) -> float:
    """Diameters that stand free while the operation of this index is done; 0 where it is carried.

    The diameter is the mean of what then stands: the part's where its outside is turned already,
    the blank's everywhere else.
    """
    if setup.operations[number].support != "none":
        return 0.0
    low, high = setup.grip.z_mm
    free = profile.length_mm - high if setup.toward_chuck == "low" else low
    out = setup.operations[number].out_mm
    free = free if out is None else min(free, out - allowance_mm)
    if free <= 0.0:
        return 0.0
    part = (max(0.0, profile.length_mm - free), profile.length_mm)
    if setup.toward_chuck == "high":
        part = (0.0, min(free, profile.length_mm))
    cut = {s for one in before for s in _cut(one, one.operations)}
    cut |= _cut(setup, setup.operations[:number])
    return (free + allowance_mm) / mean_standing_mm(profile, part, cut, size_mm)


def _cut(setup: Setup, done: Sequence[Operation]) -> set[str]:
    """What these operations of a setup bring to size, or near it."""
    cut = {s for o in done if o.kind != "part off" for s in (*o.segments, *o.leaves)}
    if any(o.kind == ROUGH and not o.leaves for o in done):
        cut |= {s for o in setup.operations if o.kind == "turn" for s in o.segments}
    return cut


def drawn_in(
    setup: Setup, free: Sequence[float], lathe: Machine | None, through_mm: float
) -> frozenset[int]:
    """Operations done while raw work is drawn into the spindle: those planned, or in a long end.

    `free` are the diameters that stand free in each, drawn out to length; of these the limit
    stands out then, and speeds are as usual. `through_mm` is what the spindle has to pass.
    """
    planned = frozenset(n for n, o in enumerate(setup.operations) if o.out_mm is not None)
    if planned:
        return planned
    long = [
        n
        for n, o in enumerate(setup.operations)
        if free[n] > CHUCK_ONLY_LIMIT.value and o.kind in _IN_THE_END
    ]
    raw = setup.grip.kind in (RAW_BAR, RAW_PIECE)
    if not long or not raw or not passes_the_spindle(lathe, through_mm):
        return frozenset()
    # it is drawn out for the first that is no work in the end, and stays so
    run = range(long[0], len(setup.operations))
    return frozenset(takewhile(lambda n: n in long, run))


def stands_free(free: Sequence[float], drawn: Collection[int]) -> list[float]:
    """The diameters that stand free as it is done: no more than the limit while it is drawn in."""
    limit = CHUCK_ONLY_LIMIT.value
    return [min(ratio, limit) if n in drawn else ratio for n, ratio in enumerate(free)]


def speed_share(diameters: float) -> float:
    """Share of the usual speed: as the first natural frequency of overhanging work falls.

    That goes as d / L², so that beyond 4 diameters the speed falls with the square of L / d.
    """
    limit = CHUCK_ONLY_LIMIT.value
    if diameters <= limit:
        return 1.0
    return max(LEAST_SHARE.value, (limit / diameters) ** 2)


def passes_the_spindle(lathe: Machine | None, size_mm: float) -> bool:
    """Whether stock of this size is known to go through the lathe's spindle."""
    if lathe is None:
        return False
    known = [v for v in (lathe.bar_capacity_mm, lathe.spindle_bore_mm) if v is not None]
    return bool(known) and size_mm <= min(known)
