"""What would be saved where one flange or head alone sets the size of the stock.

The flange is then a disc on a spigot that passes through it: pressed, shrunk, screwed or welded.
That is another part and another fit, for the designer to weigh.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from turnability.cited import Cited
from turnability.part.model import Profile
from turnability.shop.model import Shop, StockPolicy, StockSize
from turnability.stock.model import Split
from turnability.stock.piece import Body, body_of, holds, mass_kg, turned_length_mm
from turnability.stock.worth import cost_of, section_mm2, worth

LEAST_SAVED = Cited(
    0.25,
    "-",
    "common practice",
    "share of the stock below which a second part is not worth a thought, from memory",
    verified=False,
)
LONGEST_FLANGE = Cited(
    1.0 / 3.0,
    "-",
    "common practice",
    "share of the part's length up to which a head or flange is one, from memory",
    verified=False,
)
Array = NDArray[np.float64]
_SAME_MM = 1e-3
_CHORD_MM = 0.05


def split_of(profile: Profile, choice: StockSize, shop: Shop, policy: StockPolicy) -> Split | None:
    """The cut that saves most of the chosen stock's mass; None where none saves enough."""
    whole = _volume_mm3(choice, body_of(profile), policy)
    best: Split | None = None
    for low, high, core in _flanges(profile):
        through = profile.through_bore_mm
        rest = _dearest_last(Body(profile.length_mm, core, through), shop, policy)
        disc = _dearest_last(Body(high - low, profile.max_diameter_mm, core), shop, policy)
        if rest is None or disc is None:
            continue
        after = _volume_mm3(*rest, policy) + _volume_mm3(*disc, policy)
        saved = 1.0 - after / whole
        if saved < LEAST_SAVED.value or (best is not None and saved <= best.saved_fraction):
            continue
        density = policy.density_kg_per_mm3
        best = Split(
            at_z_mm=_shoulder(profile, low, high),
            saved_mass_kg=None if density is None else density * (whole - after),
            saved_fraction=saved,
            z_mm=(low, high),
            flange_mm=profile.max_diameter_mm,
            core_mm=core,
            core_stock=rest[0].name,
            flange_stock=disc[0].name,
            saved_cost=_saved_cost(choice, profile, rest, disc, shop, policy),
        )
    return best


def _flanges(profile: Profile) -> Iterator[tuple[float, float, float]]:
    """Single stretches (z, z, what is left beside them) that alone are larger than a step."""
    points = [p for curve in profile.outline.ring for p in curve.flatten(_CHORD_MM)]
    # of a rounded outside the corners that stand for it are a hair less than the largest
    largest, bore = max(p[1] for p in points), (profile.through_bore_mm or 0.0) / 2.0
    steps = {round(p[1], 6) for p in points}
    levels = sorted(r for r in steps if bore + _SAME_MM < r < largest - _SAME_MM)
    longest = LONGEST_FLANGE.value * profile.length_mm + _SAME_MM
    ring = np.array([*points, points[0]])

    def is_short(level: float) -> bool:
        low, high = _over(ring, level + _SAME_MM)
        return float(high.max() - low.min()) <= longest

    # what lies above a level only shrinks as that rises
    for level in levels[bisect_left(levels, True, key=is_short) :]:
        low, high = _over(ring, level + _SAME_MM)
        if (low[1:] <= np.maximum.accumulate(high)[:-1] + _SAME_MM).all():
            yield float(low[0]), float(high.max()), 2.0 * float(level)


def _over(ring: Array, level: float) -> tuple[Array, Array]:
    """Where each edge that reaches above a radius does so: least and greatest z, least first."""
    above = np.maximum(ring[:-1, 1], ring[1:, 1]) > level
    (z0, r0), (z1, r1) = ring[:-1][above].T, ring[1:][above].T
    run = np.where(r1 == r0, 1.0, r1 - r0)
    crossing = z0 + (level - r0) / run * (z1 - z0)
    a, b = np.where(r0 > level, z0, crossing), np.where(r1 > level, z1, crossing)
    low = np.minimum(a, b)
    order = np.argsort(low)
    return low[order], np.maximum(a, b)[order]


def _shoulder(profile: Profile, low: float, high: float) -> float:
    """The flange's face toward the longer rest of the part."""
    return high if profile.length_mm - high >= low else low


def _dearest_last(body: Body, shop: Shop, policy: StockPolicy) -> tuple[StockSize, Body] | None:
    fitting = [size for size in shop.stock if holds(size, body, policy)]
    length = turned_length_mm(body, policy)
    best = min(
        fitting,
        key=lambda size: (*worth(size, length, mass_kg(size, length, policy), shop), size.name),
        default=None,
    )
    return None if best is None else (best, body)


def _volume_mm3(size: StockSize, body: Body, policy: StockPolicy) -> float:
    return section_mm2(size) * turned_length_mm(body, policy)


def _saved_cost(
    choice: StockSize,
    profile: Profile,
    rest: tuple[StockSize, Body],
    disc: tuple[StockSize, Body],
    shop: Shop,
    policy: StockPolicy,
) -> float | None:
    costs = [
        cost_of(size, mass_kg(size, turned_length_mm(body, policy), policy), shop)
        for size, body in ((choice, body_of(profile)), rest, disc)
    ]
    known = [cost for cost in costs if cost is not None]
    return known[0] - known[1] - known[2] if len(known) == len(costs) else None
