"""Equal things round an axis: alike by their sizes, at angles evenly spaced or not."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

from turnability.part.departures.cut import same
from turnability.part.departures.vectors import dot, minus, parallel, square, square_to
from turnability.part.departures.walls import Wall
from turnability.part.model import Vector

T = TypeVar("T")
_EVEN_RAD = 1e-4


def alike(
    things: Iterable[T], sizes: Callable[[T], Sequence[float]], names: Callable[[T], Hashable]
) -> list[list[T]]:
    """Things sorted into lots of equal names and equal sizes (within a micrometre)."""
    lots: list[list[T]] = []
    for thing in things:
        mine = tuple(sizes(thing))
        for lot in lots:
            other = tuple(sizes(lot[0]))
            alike_ = names(thing) == names(lot[0]) and len(other) == len(mine)
            if alike_ and all(same(a, b) for a, b in zip(other, mine, strict=True)):
                lot.append(thing)
                break
        else:
            lots.append([thing])
    return lots


def evenly_spaced(turns: Iterable[float], within: float = _EVEN_RAD) -> bool:
    """Whether angles (radians) divide the whole turn into equal parts."""
    at = sorted(turn % math.tau for turn in turns)
    steps = [b - a for a, b in itertools.pairwise(at)]
    steps.append(at[0] + math.tau - at[-1])
    return max(steps) - min(steps) <= within


def turn_of(walls: Sequence[Wall]) -> float | None:
    """The angle about the axis at which walls stand; None where they lie across it."""
    rims = [wall.rim_centre for wall in walls]
    x, y = (math.fsum(length * centre[k] for length, centre in rims) for k in range(2))
    total = math.fsum(length for length, _ in rims)
    reach = max(wall.r_mm[1] for wall in walls)
    return math.atan2(y, x) if math.hypot(x, y) > 0.02 * reach * total else None


def polygon(
    planes: Iterable[Wall], point: Vector, direction: Vector, counts: Sequence[int]
) -> tuple[Wall, ...]:
    """The planes along a line that stand round it as a regular polygon, or none.

    All at one distance from the line, all facing it or all away from it, their normals evenly
    spaced; `counts`: numbers of sides to look for, the preferred first.
    """
    along = [wall for wall in planes if wall.kind == "plane" and square(wall.direction, direction)]
    lots = alike(along, lambda wall: (distance(wall, point),), lambda wall: wall.kind)
    x, y = square_to(direction)
    for count in counts:
        for lot in lots:
            if abs(distance(lot[0], point)) <= 1e-3:
                continue
            turns = [math.atan2(dot(w.direction, y), dot(w.direction, x)) for w in lot]
            chosen = _even_ones(turns, count)
            if chosen:
                return tuple(lot[i] for i in chosen)
    return ()


def distance(plane: Wall, point: Vector) -> float:
    """How far a plane stands from a place, along its outward normal."""
    return dot(minus(plane.point, point), plane.direction)


def _even_ones(turns: Sequence[float], count: int) -> list[int]:
    """Places of all turns where they fill an even division into `count`, all of it; else none."""
    step = math.tau / count
    for first in turns:
        found: list[int] = []
        filled = set()
        for i, turn in enumerate(turns):
            steps = (turn - first) / step
            if abs(steps - round(steps)) * step <= _EVEN_RAD:
                found.append(i)
                filled.add(round(steps) % count)
        if len(filled) == count and len(found) == len(turns):
            return found
    return []


def parallel_pair(a: Wall, b: Wall) -> bool:
    """Whether two planes face each other across a void."""
    if not parallel(a.direction, b.direction) or dot(a.direction, b.direction) > 0.0:
        return False
    return gap(a, b) > 0.0


def gap(a: Wall, b: Wall) -> float:
    """Width of the void between two planes of opposite normals (negative: material)."""
    return -(a.offset_mm + b.offset_mm)
