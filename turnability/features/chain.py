"""The chain that recognisers read: sharp sides by zone, finishes, hollows from every direction."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from turnability.features import limits
from turnability.features.hollows import Hollow, find_hollows
from turnability.features.model import ThreadStatement
from turnability.features.sides import Finish, Side, sharpened
from turnability.half_plane.curves import Arc, Curve, Line, Spline
from turnability.part.model import Departure, HelicalThread, Loop, Profile, Segment

Facing = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class Chain:
    """One outline, read once for all recognisers.

    `sides` run from the innermost point of the low end through the bores, the high end and the
    outside back to the low end. `outside`, `inside` hold the hollows seen from r = infinity and
    from the axis, `from_high`, `from_low` those seen from either end. `taken`: segments that
    recognisers of a lower rank own already, `threaded` those that are threads'. `segments`: the
    outline as it is, from the low end's innermost point. `threads`: those modelled in the solid;
    `statements`: those that are stated; `departures`: where the solid lacks material.
    """

    length_mm: float
    sides: tuple[Side, ...]
    finishes: tuple[Finish, ...]
    outside: tuple[Hollow, ...]
    inside: tuple[Hollow, ...]
    from_high: tuple[Hollow, ...]
    from_low: tuple[Hollow, ...]
    cavities: tuple[Loop, ...]
    taken: frozenset[str] = frozenset()
    threaded: frozenset[str] = frozenset()
    segments: tuple[Segment, ...] = ()
    threads: tuple[HelicalThread, ...] = ()
    statements: tuple[ThreadStatement, ...] = ()
    departures: tuple[Departure, ...] = ()

    def zone(self, *zones: str) -> tuple[Side, ...]:
        """The sides of some zones, in running order."""
        return tuple(side for side in self.sides if side.zone in zones)

    def free(self) -> Iterator[tuple[Side, Segment]]:
        """Sides with a segment that nothing owns yet; the axis is no surface."""
        for side in self.sides:
            segment = side.segment
            if segment and segment.surface != "axis" and segment.id not in self.taken:
                yield side, segment

    def owned(self, sides: Iterable[Side]) -> tuple[str, ...]:
        """Ids of the sides' segments that may still be owned."""
        ids = (name for side in sides if side.surface != "axis" for name in side.ids)
        return tuple(name for name in ids if name not in self.taken)

    def finishing(self, ids: Iterable[str]) -> frozenset[str]:
        """Ids of the finishes of corners that one of these segments makes."""
        touched = set(ids)
        return frozenset(f.segment.id for f in self.finishes if touched.intersection(f.between))

    def finishing_both(self, ids: Iterable[str]) -> frozenset[str]:
        """Ids of the finishes of corners that two of these segments make."""
        both = set(ids)
        return frozenset(
            f.segment.id for f in self.finishes if f.between and both.issuperset(f.between)
        )


def read_chain(
    profile: Profile,
    threads: tuple[HelicalThread, ...] = (),
    statements: tuple[ThreadStatement, ...] = (),
    departures: tuple[Departure, ...] = (),
) -> Chain:
    """The chain of a profile's outline, with what is known of the solid beside it."""
    sides, finishes = sharpened(profile.outline.segments)
    sides, high, low = _zoned(sides)
    through = sides[: _first_high(sides)]
    return Chain(
        length_mm=profile.length_mm,
        sides=sides,
        finishes=finishes,
        outside=find_hollows([s for s in sides if s.zone == "outer"], lambda p: p[1]),
        inside=find_hollows(through, lambda p: -p[1]),
        from_high=find_hollows(sides[:low], lambda p: p[0]),
        from_low=find_hollows([*sides[high:], *through], lambda p: -p[0]),
        cavities=profile.loops[1:],
        segments=profile.outline.segments,
        threads=threads,
        statements=statements,
        departures=departures,
    )


def spread(curves: Iterable[Curve]) -> tuple[tuple[float, float], tuple[float, float]]:
    """(least z, greatest z), (smallest diameter, largest diameter) of curves."""
    z: list[float] = []
    r: list[float] = []
    for curve in curves:
        points = [curve.start, curve.end]
        if isinstance(curve, Spline):
            points = list(curve.points)
        elif isinstance(curve, Arc):
            begin, sweep = curve.start_angle(), curve.sweep()
            for k in range(-8, 9):
                t = (k * math.pi / 2.0 - begin) / sweep
                if 0.0 < t < 1.0:
                    points.append(curve.at(t))
        z += [p[0] for p in points]
        r += [p[1] for p in points]
    return (min(z), max(z)), (2.0 * min(r), 2.0 * max(r))


def facing(side: Side) -> Facing:
    """Which end of the part an end surface looks at."""
    (_, r0), (_, r1) = side.curve.start, side.curve.end
    return "high" if r1 > r0 else "low"


def _zoned(sides: Sequence[Side]) -> tuple[tuple[Side, ...], int, int]:
    """Sides turned to begin at the low end's innermost point, zones named; where the outside
    begins and where the low end begins."""
    (low_z, high_z), _ = spread(side.curve for side in sides)
    lows = _at_level(sides, low_z)
    n = len(sides)
    inmost = min(lows, key=lambda place: place[1])[0]
    shift = math.ceil(inmost) % n
    turned = [*sides[shift:], *sides[:shift]]
    highs = [place for place, _ in _at_level(turned, high_z)]
    first, last = math.floor(min(highs)), math.ceil(max(highs))
    low = min((math.floor(p) for p, _ in _at_level(turned, low_z) if p >= last), default=n)
    zoned = []
    for i, side in enumerate(turned):
        if side.surface == "axis":
            zone = "axis"
        elif i < first:
            zone = "inner"
        elif i < last or i >= low:
            zone = "end"
        else:
            zone = "outer"
        zoned.append(replace(side, zone=zone))  # type: ignore[arg-type]
    return tuple(zoned), last, low


def _first_high(sides: Sequence[Side]) -> int:
    """Where the high end begins: the bores and the axis come before it."""
    for i, side in enumerate(sides):
        if side.zone not in ("inner", "axis"):
            return i
    return len(sides)


def _at_level(sides: Sequence[Side], z: float) -> list[tuple[float, float]]:
    """(place, r) where the ring touches the level: i at the start of side i, i + 0.5 within it."""
    touching = []
    for i, side in enumerate(sides):
        start = side.curve.start
        if abs(start[0] - z) <= limits.SAME_MM:
            touching.append((float(i), start[1]))
        if isinstance(side.curve, Line):
            continue
        ends = (side.curve.start, side.curve.end)
        if any(abs(p[0] - z) <= limits.SAME_MM for p in ends):
            continue
        (least, most), _ = spread([side.curve])
        if min(abs(least - z), abs(most - z)) <= limits.SAME_MM:
            touching.append((i + 0.5, side.curve.at(0.5)[1]))
    return touching
