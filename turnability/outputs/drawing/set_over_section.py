"""The cut through work that is set over, in the plane of both axes, slab by slab along z.

The part's meridian shows what an eccentric sweeps; where it is cut already its own cylinder stands
in the place of that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from turnability.half_plane.curves import Point

Interval = tuple[float, float]
Line = tuple[Point, Point]

_SAME_MM = 1e-3
_BESIDE = 1e-6
"""Of a slab's length so much beside its ends, where nothing is met twice."""


@dataclass(frozen=True, slots=True)
class Cylinder:
    """One off the part's axis that is cut by now; `turned_deg` from the one that is turned about.

    `own`: it is cut in this chucking, about the very axis that is turned about.
    """

    z_mm: Interval
    radius_mm: float
    offset_mm: float
    turned_deg: float
    bore: bool
    own: bool

    def swept(self) -> Interval:
        """Least and greatest radius about the part's axis to which it comes in a turn."""
        return (
            max(0.0, self.offset_mm - self.radius_mm),
            self.offset_mm + self.radius_mm,
        )

    def chord(self, below_mm: float) -> Interval | None:
        """Where the plane of both axes cuts it; None where it passes beside it."""
        turned = math.radians(self.turned_deg)
        aside = self.offset_mm * math.sin(turned)
        if abs(aside) >= self.radius_mm:
            return None
        middle = self.offset_mm * math.cos(turned) - below_mm
        half = math.sqrt(self.radius_mm**2 - aside**2)
        return (middle - half, middle + half)


@dataclass(frozen=True, slots=True)
class Slab:
    """Where material stands in y at both ends of a piece along z, alike in number."""

    z_mm: Interval
    begin: tuple[Interval, ...]
    end: tuple[Interval, ...]


def slabs_of(
    rings: Sequence[Sequence[Point]], cylinders: Sequence[Cylinder], offset_mm: float
) -> list[Slab]:
    """The cut, y counted from the axis turned about; `rings` (z, r) are the part's own meridian."""
    levels = {round(z, 6) for ring in rings for z, _ in ring}
    levels |= {round(z, 6) for one in cylinders for z in one.z_mm}
    made = []
    for low, high in pairwise(sorted(levels)):
        if high - low > _SAME_MM:
            beside = _BESIDE * (high - low)
            begin = material_at(rings, cylinders, offset_mm, low + beside)
            end = material_at(rings, cylinders, offset_mm, high - beside)
            if len(begin) == len(end):
                made.append(Slab((low, high), tuple(begin), tuple(end)))
    return made


def material_at(
    rings: Sequence[Sequence[Point]], cylinders: Sequence[Cylinder], offset_mm: float, z: float
) -> list[Interval]:
    """Where material stands at a z, in ascending order."""
    radial = _radii(rings, z)
    hole = radial[0][0] if radial else 0.0
    found: list[Interval] = []
    for low, high in radial:
        found += [(-high - offset_mm, -low - offset_mm), (low - offset_mm, high - offset_mm)]
    here = [one for one in cylinders if one.z_mm[0] < z < one.z_mm[1]]
    for one in sorted(here, key=lambda one: one.bore):
        chord = one.chord(offset_mm)
        if one.bore:
            found = _without(found, chord)
            continue
        low, high = one.swept()
        found = _without(found, (-high - offset_mm - _SAME_MM, -low - offset_mm))
        found = _without(found, (low - offset_mm, high - offset_mm + _SAME_MM))
        if chord is not None:
            bored = hole if low == 0.0 else 0.0
            found += _without([chord], (-bored - offset_mm, bored - offset_mm))
    return _joined(found)


def walls_of(slabs: Sequence[Slab]) -> Iterator[Line]:
    """Lines across the axis where material begins or ends."""
    for before, after in pairwise([None, *slabs, None]):
        left = [] if before is None else list(before.end)
        right = [] if after is None else list(after.begin)
        z = after.z_mm[0] if after is not None else before.z_mm[1] if before is not None else 0.0
        for some, others in ((left, right), (right, left)):
            rest = some
            for one in others:
                rest = _without(rest, one)
            yield from (((z, low), (z, high)) for low, high in rest if high - low > 2.0 * _SAME_MM)


def _radii(rings: Sequence[Sequence[Point]], z: float) -> list[Interval]:
    """Where the meridian has material at a z, from the axis outward."""
    crossed = sorted(
        r0 + (z - z0) / (z1 - z0) * (r1 - r0)
        for ring in rings
        for (z0, r0), (z1, r1) in pairwise((*ring, ring[0]))
        if (z0 <= z) != (z1 <= z)
    )
    return list(zip(crossed[::2], crossed[1::2], strict=False))


def _without(some: Sequence[Interval], gone: Interval | None) -> list[Interval]:
    if gone is None or gone[1] <= gone[0]:
        return list(some)
    return [
        piece
        for low, high in some
        for piece in ((low, min(high, gone[0])), (max(low, gone[1]), high))
        if piece[1] - piece[0] > _SAME_MM / 10.0
    ]


def _joined(some: Sequence[Interval]) -> list[Interval]:
    made: list[Interval] = []
    for low, high in sorted(some):
        if made and low <= made[-1][1] + _SAME_MM / 10.0:
            made[-1] = (made[-1][0], max(high, made[-1][1]))
        else:
            made.append((low, high))
    return made
