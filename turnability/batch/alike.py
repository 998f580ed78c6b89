"""Parts with one meridian, and those that differ in a single length or diameter."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Profile

_STEP_MM = 0.01
_OFFSET_MM = 0.00314
"""Where one step gives way to the next: at no size that anybody draws, in mm or in inch."""
_MOST_TWINS = 400
"""Of so many parts of one outline at most each is compared with each."""

Shape = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Twins:
    """Two parts that differ in one length or one diameter only, in mm."""

    one: str
    other: str
    what: Literal["length", "diameter"]
    sizes_mm: tuple[float, float]


def same(parts: Iterable[tuple[str, Profile]]) -> tuple[tuple[str, ...], ...]:
    """Groups of parts with the same meridian to 0.01 mm, whichever way round it lies."""
    groups: dict[Shape, list[str]] = defaultdict(list)
    for name, profile in parts:
        groups[min(_shape(profile, False), _shape(profile, True))].append(name)
    return tuple(tuple(names) for names in groups.values() if len(names) > 1)


def near_twins(parts: Iterable[tuple[str, Profile]]) -> tuple[Twins, ...]:
    """Pairs whose outlines run alike, with one length or one diameter between them different."""
    groups: dict[Shape, list[tuple[str, list[float], list[float]]]] = defaultdict(list)
    for name, profile in parts:
        ways = [_course(profile, turned) for turned in (False, True)]
        best = min(ways, key=lambda way: (way[0], way[1], way[2]))
        groups[best[0]].append((name, best[1], best[2]))
    found = []
    for alike in groups.values():
        for i, (one, z1, r1) in enumerate(alike[:_MOST_TWINS]):
            for other, z2, r2 in alike[i + 1 : _MOST_TWINS]:
                if twins := _twins(one, other, z1, z2, r1, r2):
                    found.append(twins)
    return tuple(found)


def _twins(
    one: str,
    other: str,
    z1: Sequence[float],
    z2: Sequence[float],
    r1: Sequence[float],
    r2: Sequence[float],
) -> Twins | None:
    steps1, steps2 = _steps(z1), _steps(z2)
    lengths = [i for i, (a, b) in enumerate(zip(steps1, steps2, strict=True)) if _differ(a, b)]
    radii = [(a, b) for a, b in zip(r1, r2, strict=True) if _differ(a, b)]
    if len(lengths) == 1 and not radii:
        return Twins(one, other, "length", (steps1[lengths[0]], steps2[lengths[0]]))
    if (
        not lengths
        and radii
        and not any(_differ(b - a, radii[0][1] - radii[0][0]) for a, b in radii)
    ):
        a, b = radii[-1]
        return Twins(one, other, "diameter", (2.0 * a, 2.0 * b))
    return None


def _steps(levels: Sequence[float]) -> list[float]:
    return [b - a for a, b in pairwise(levels)]


def _differ(a: float, b: float) -> bool:
    return abs(a - b) > 0.5 * _STEP_MM


def _shape(profile: Profile, turned: bool) -> Shape:
    """Each piece by its kind, ends, middle and radius in steps, whatever comes first."""
    made = []
    for segment in profile.segments:
        curve = segment.curve
        ends = sorted(_rounded(_placed(p, profile, turned)) for p in (curve.start, curve.end))
        radius = curve.radius if isinstance(curve, Arc) else 0.0
        kind = 0 if isinstance(curve, Line) else 1 if isinstance(curve, Arc) else 2
        (size,) = _rounded((radius,))
        bulge = 0
        if isinstance(curve, Arc):  # which way it bends, however it is walked
            bulge = 1 if curve.clockwise else -1
        made.append((kind, bulge, size, *ends[0], *ends[1]))
    return tuple(sorted(made))


def _course(profile: Profile, turned: bool) -> tuple[Shape, list[float], list[float]]:
    """How the outline runs between levels of z and r, and those levels."""
    pieces = [s.curve for s in profile.segments]
    points = [_placed(p, profile, turned) for c in pieces for p in (c.start, c.end)]
    z, r = _levels(p[0] for p in points), _levels(p[1] for p in points)
    made = []
    for i, curve in enumerate(pieces):
        ranks = sorted((_rank(p[0], z), _rank(p[1], r)) for p in points[2 * i : 2 * i + 2])
        kind = 0 if isinstance(curve, Line) else 1 if isinstance(curve, Arc) else 2
        made.append((kind, *ranks[0], *ranks[1]))
    return tuple(sorted(made)), z, r


def _levels(values: Iterable[float]) -> list[float]:
    levels: list[float] = []
    for value in sorted(values):
        if not levels or _differ(value, levels[-1]):
            levels.append(value)
    return levels


def _rank(value: float, levels: Sequence[float]) -> int:
    return min(range(len(levels)), key=lambda i: abs(levels[i] - value))


def _placed(point: tuple[float, float], profile: Profile, turned: bool) -> tuple[float, float]:
    z, r = point
    return (profile.length_mm - z if turned else z, r)


def _rounded(values: Iterable[float]) -> tuple[int, ...]:
    return tuple(math.floor((value + _OFFSET_MM) / _STEP_MM) for value in values)
