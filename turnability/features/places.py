"""Where a surface stands in the part: what it opens to, what it narrows to, what it ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from turnability.cited import Cited
from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.grooving import grooves, is_steep
from turnability.features.hollows import Hollow
from turnability.features.sides import Side, is_parallel, is_radial, is_slanted, slope_deg
from turnability.half_plane.curves import Point

SPIGOT_LENGTH = Cited(
    0.5, "mm/mm", "common practice", "length by diameter; a longer one is a journal", False
)
SPIGOT_SHOULDER = Cited(
    0.1, "mm/mm", "common practice", "height of its shoulder by its diameter, at least", False
)
COUNTERBORE_DEPTH = Cited(
    1.0, "mm/mm", "common practice", "depth by diameter; a deeper one is a stepped bore", False
)


_COUNTERSINK_DEG = (25.0, 75.0)
"""Half angles of countersinks (common practice: 60 to 120 degrees); flatter mouths are leads."""


def narrowest_mm(chain: Chain, z0: float, z1: float) -> float:
    """Smallest diameter of the bores between two places; 0 where the axis is material."""
    least = float("inf")
    for side in chain.zone("inner", "axis"):
        points = side.curve.flatten(limits.SAME_MM)
        for (za, ra), (zb, rb) in pairwise(points):
            if max(za, zb) < z0 - limits.SAME_MM or min(za, zb) > z1 + limits.SAME_MM:
                continue
            for z in (min(max(z, z0), z1) for z in (za, zb)):
                share = (z - za) / (zb - za) if abs(zb - za) > limits.SAME_MM else None
                within = (ra, rb) if share is None else (ra + share * (rb - ra),)
                if share is None and not z0 - limits.SAME_MM <= za <= z1 + limits.SAME_MM:
                    continue
                least = min(least, *(2.0 * float(r) for r in within))
    return least


def opens_to(
    chain: Chain, z: tuple[float, float], diameter_mm: float
) -> Literal["low", "high", "both"] | None:
    """Toward which ends the way out of a bore is nowhere narrower than it; None: neither."""
    least = diameter_mm - 2.0 * limits.SAME_MM
    low = narrowest_mm(chain, 0.0, z[0]) >= least
    high = narrowest_mm(chain, z[1], chain.length_mm) >= least
    if low and high:
        return "both"
    return "low" if low else "high" if high else None


def throat(chain: Chain, side: Side) -> tuple[float, float] | None:
    """(z, diameter) of a narrowest place that the side makes or touches, as a nozzle has it.

    From there the bore widens both ways along cones or curves, never by a step, and a straight part
    is no longer than both of them together (a bore with countersinks is none); None: no throat.
    """
    inner = list(chain.zone("inner"))
    place = next((i for i, one in enumerate(inner) if one is side), None)
    if place is None or is_radial(side.curve):
        return None
    (z0, z1), (small, _) = spread([side.curve])
    if small <= 2.0 * limits.SAME_MM:
        return None
    first = last = place
    while first > 0 and _is_least(inner[first - 1], small):
        first -= 1
    while last + 1 < len(inner) and _is_least(inner[last + 1], small):
        last += 1
    at = [p for p in (side.curve.start, side.curve.end) if 2.0 * p[1] <= small + limits.SAME_MM]
    ends = (2.0 * inner[first].curve.start[1], 2.0 * inner[last].curve.end[1])
    before = first > 0 and ends[0] <= small + limits.SAME_MM
    after = last + 1 < len(inner) and ends[1] <= small + limits.SAME_MM
    opens_low = _widens(inner[first - 1], small) if before else ends[0] > small + limits.SAME_MM
    opens_high = _widens(inner[last + 1], small) if after else ends[1] > small + limits.SAME_MM
    if not (opens_low and opens_high):
        return None
    straight = sum(one.curve.length() for one in inner[first : last + 1] if _is_least(one, small))
    beside = [inner[first - 1]] if before else [inner[first]]
    beside += [inner[last + 1]] if after else [inner[last]]
    spans = (spread([one.curve])[0] for one in beside if not _is_least(one, small))
    if straight > sum(high - low for low, high in spans):
        return None
    middle = sum(p[0] for p in at) / len(at) if at else 0.5 * (z0 + z1)
    return middle, _rounded_mm(chain, at, small)


def _rounded_mm(chain: Chain, at: Sequence[Point], small: float) -> float:
    """The diameter that the rounding of a throat's sharp edge leaves; the edge's own without."""
    rounded = [
        spread([finish.curve])[1][0]
        for finish in chain.finishes
        if finish.corner is not None
        and any(math.dist(finish.corner, p) <= limits.SAME_MM for p in at)
    ]
    return max(rounded, default=small)


def _is_least(side: Side, small: float) -> bool:
    return is_parallel(side.curve) and abs(2.0 * side.curve.start[1] - small) <= limits.SAME_MM


def _widens(side: Side, small: float) -> bool:
    """A cone or a curve that rises from the smallest diameter."""
    (_, _), (least, most) = spread([side.curve])
    return (
        not is_radial(side.curve)
        and not is_parallel(side.curve)
        and least >= small - 2.0 * limits.SAME_MM
        and most > small + 2.0 * limits.SAME_MM
    )


def is_spigot(chain: Chain, side: Side) -> bool:
    """A short cylinder that stands out of a face at either end, whatever grooves are sunk into it:
    it locates in a bore."""
    (z0, z1), (d, _) = spread([side.curve])
    longest = SPIGOT_LENGTH.value * d
    if z1 - z0 > longest or min(z0, chain.length_mm - z1) > longest:
        return False
    first, last = _over_grooves(chain, side)
    (z0, z1), _ = spread([chain.sides[first].curve, chain.sides[last].curve])
    if z1 - z0 > longest:
        return False
    before, after = chain.sides[first - 1], chain.sides[(last + 1) % len(chain.sides)]
    ends = (0.0, chain.length_mm)
    for face, shoulder in ((before, after), (after, before)):
        if not is_radial(face.curve) or not is_radial(shoulder.curve):
            continue
        at_end = min(abs(face.curve.start[0] - end) for end in ends) <= limits.SAME_MM
        (_, _), (small, large) = spread([face.curve])
        (_, _), (_, high) = spread([shoulder.curve])
        falls = large <= d + 2.0 * limits.SAME_MM and small < d
        if at_end and falls and high - d >= 2.0 * SPIGOT_SHOULDER.value * d:
            return True
    return False


def _over_grooves(chain: Chain, side: Side) -> tuple[int, int]:
    """Places of the first and the last side of a cylinder that grooves interrupt."""
    sides = chain.sides
    place = next(i for i, one in enumerate(sides) if one is side)
    if is_radial(sides[place - 1].curve) and is_radial(sides[(place + 1) % len(sides)].curve):
        beside = {id(sides[place - 1]), id(sides[(place + 1) % len(sides)])}
        sunk = {id(own) for cut in grooves(chain, chain.outside) for own in cut.own}
        if not beside & sunk:
            return place, place
    else:
        return place, place
    reached = {}
    for step in (-1, 1):
        at = place
        while True:
            k = at + step
            while 0 <= k < len(sides) and id(sides[k]) in sunk:
                k += step
            if not 0 <= k < len(sides) or abs(k - at) == 1:
                break
            if not is_parallel(sides[k].curve) or (
                abs(sides[k].curve.start[1] - side.curve.start[1]) > limits.SAME_MM
            ):
                break
            at = k
        reached[step] = at
    return reached[-1], reached[1]


def is_neck(chain: Chain, side: Side) -> bool:
    """The floor of a hollow with steep walls that is too wide for a groove: its longest cylinder,
    for steps in it and reliefs at its ends are none, and those at the same diameter."""
    for hollow in chain.outside:
        if is_steep(hollow) and any(side is own for own in hollow.own):
            longest = max(_level(chain, hollow), key=lambda one: one.curve.length(), default=side)
            if abs(longest.curve.start[1] - side.curve.start[1]) <= limits.SAME_MM:
                return True
    return False


def _level(chain: Chain, hollow: Hollow) -> list[Side]:
    """A hollow's own cylinders, without the floors of the grooves in it."""
    cut = {id(side) for groove in grooves(chain, chain.outside) for side in groove.own}
    return [one for one in hollow.own if is_parallel(one.curve) and id(one) not in cut]


def end_recess_mm(chain: Chain, side: Side) -> float | None:
    """How deep a face lies below both of its neighbours, as the floor of a wide ring sunk into an
    end; None where it does not. (A narrow one is an end groove.)"""
    for hollows, sign in ((chain.from_high, 1.0), (chain.from_low, -1.0)):
        for hollow in hollows:
            height = sign * side.curve.start[0]
            floor = any(side is own for own in hollow.own)
            if floor and height <= hollow.bottom + limits.SAME_MM:
                return hollow.depth_mm
    return None


def _neighbours(chain: Chain, side: Side) -> tuple[Side, Side]:
    place = next(i for i, one in enumerate(chain.sides) if one is side)
    return chain.sides[place - 1], chain.sides[(place + 1) % len(chain.sides)]


def end_form(chain: Chain, side: Side) -> Literal["convex end", "concave end"] | None:
    """A cone or curve that closes an end of the part to the axis: bulging out or hollow."""
    (z0, z1), (small, _) = spread([side.curve])
    if small > 2.0 * limits.SAME_MM:
        return None
    tip = min((side.curve.start, side.curve.end), key=lambda p: p[1])
    for end, outward in ((0.0, -1.0), (chain.length_mm, 1.0)):
        if abs(tip[0] - end) <= limits.SAME_MM and side.surface != "inner":
            return "convex end"
        mouth = z0 if outward < 0.0 else z1
        if abs(mouth - end) <= limits.SAME_MM and side.surface == "inner":
            return "concave end"
    return None


def takes_whole_end(chain: Chain, side: Side) -> bool:
    """An inside cone runs from the axis to the outside's edge: no face is left of that end."""
    wide = max((side.curve.start, side.curve.end), key=lambda p: p[1])
    before, after = _neighbours(chain, side)
    return any(
        other.surface == "outer"
        and any(math.dist(wide, p) <= limits.SAME_MM for p in (other.curve.start, other.curve.end))
        for other in (before, after)
    )


def cone_form(chain: Chain, side: Side) -> str | None:
    """What an inside cone does: "countersink" at the mouth of a bore, "reversed" where it opens
    inward, away from the only end it can be reached from; an end's form; else None."""
    told = end_form(chain, side)
    if told is not None or side.surface != "inner" or not is_slanted(side.curve):
        return told
    (z0, z1), (small, large) = spread([side.curve])
    wide = max((side.curve.start, side.curve.end), key=lambda p: p[1])
    widens_high = wide[0] > 0.5 * (z0 + z1)
    ends = ((0.0, False), (chain.length_mm, True))
    if any(abs(wide[0] - end) <= limits.SAME_MM and high == widens_high for end, high in ends):
        flared = _COUNTERSINK_DEG[0] <= slope_deg(side.curve) <= _COUNTERSINK_DEG[1]
        return "countersink" if flared and z1 - z0 < 0.5 * large else None
    beyond = (z1, chain.length_mm) if widens_high else (0.0, z0)
    other = (0.0, z0) if widens_high else (z1, chain.length_mm)
    if narrowest_mm(chain, *beyond) < small and narrowest_mm(chain, *other) >= small - (
        2.0 * limits.SAME_MM
    ):
        return "reversed"
    return None
