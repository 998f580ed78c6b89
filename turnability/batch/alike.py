"""Parts with one meridian, and those that differ in a single length or diameter."""

from __future__ import annotations

import hashlib
import math
from array import array
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Profile

_STEP_MM = 0.01
_OFFSET_MM = 0.00314
"""Where one step gives way to the next: at no size that anybody draws, in mm or in inch."""
_MOST_TWINS = 400
"""Of so many parts of one outline and the same lengths at most each is compared with each."""

Shape = tuple[tuple[int, ...], ...]
_One = tuple[str, "array[float]", "array[float]"]
"""A part of a course: its name, the steps between its levels of z, its levels of r."""


@dataclass(frozen=True, slots=True)
class Twins:
    """Parts that differ in one length or one diameter only, with that size of each in mm."""

    parts: tuple[str, ...]
    what: Literal["length", "diameter"]
    sizes_mm: tuple[float, ...]


class Alike:
    """Takes parts one after the other and tells which are alike; keeps no profile.

    Bring each part under a name of its own.
    """

    def __init__(self) -> None:
        self._same: dict[bytes, list[str]] = {}
        self._courses: dict[bytes, list[_One]] = {}

    def add(self, name: str, profile: Profile) -> None:
        """One more part."""
        shape = _short(min(_shape(profile, False), _shape(profile, True)))
        names = self._same.setdefault(shape, [])
        names.append(name)
        if len(names) > 1:
            return  # the first of them stands for all
        ways = [_course(profile, turned) for turned in (False, True)]
        course, z, r = min(ways, key=lambda way: (way[0], way[1], way[2]))
        one = (name, array("d", _steps(z)), array("d", r))
        self._courses.setdefault(_short(course), []).append(one)

    def same(self) -> tuple[tuple[str, ...], ...]:
        """Groups of parts with the same meridian to 0.01 mm, whichever way round it lies."""
        return tuple(tuple(names) for names in self._same.values() if len(names) > 1)

    def near_twins(self) -> tuple[Twins, ...]:
        """Groups whose outlines run alike, with one length or one diameter between them different.

        Of parts that are the same the first stands for all.
        """
        found: list[Twins] = []
        for alike in self._courses.values():
            if len(alike) > 1:
                found += _by_length(alike)
                found += _by_diameter(alike)
        return tuple(sorted(found, key=lambda one: (-len(one.parts), one.parts)))


def _by_length(alike: Sequence[_One]) -> Iterator[Twins]:
    """Those of one course that have all radii and all lengths but one in common."""
    groups: dict[tuple[int, tuple[int, ...], tuple[int, ...]], list[tuple[float, str]]] = {}
    for name, steps, r in alike:
        whole, radii = _rounded(steps), _rounded(r)
        for i, step in enumerate(steps):
            key = (i, whole[:i] + whole[i + 1 :], radii)
            groups.setdefault(key, []).append((step, name))
    for members in groups.values():
        if len(members) > 1:
            sizes, names = zip(*sorted(members), strict=True)
            yield Twins(names, "length", sizes)


def _by_diameter(alike: Sequence[_One]) -> Iterator[Twins]:
    """Pairs of one course that have all lengths in common."""
    groups: dict[tuple[int, ...], list[_One]] = {}
    for one in alike:
        groups.setdefault(_rounded(one[1]), []).append(one)
    for members in groups.values():
        for i, (name, _, r1) in enumerate(members[:_MOST_TWINS]):
            for other, _, r2 in members[i + 1 : _MOST_TWINS]:
                if twins := _twins(name, other, r1, r2):
                    yield twins


def _short(shape: Shape) -> bytes:
    """A name for a shape that may be kept a million times."""
    return hashlib.blake2b(repr(shape).encode(), digest_size=16).digest()


def _twins(one: str, other: str, r1: Sequence[float], r2: Sequence[float]) -> Twins | None:
    """Two parts of the same lengths where one diameter, with its edges, differs."""
    radii = [(a, b) for a, b in zip(r1, r2, strict=True) if _differ(a, b)]
    if not radii or any(_differ(b - a, radii[0][1] - radii[0][0]) for a, b in radii):
        return None
    a, b = radii[-1]
    return Twins((one, other), "diameter", (2.0 * a, 2.0 * b))


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
