"""Planes along the axis that hold their foot: flats, and the floors of keyways, outside or in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.part.departures.cut import Cut
from turnability.part.departures.rings import gap, parallel_pair
from turnability.part.departures.vectors import SAME_MM, Z, cross, dot, square
from turnability.part.departures.walls import Wall
from turnability.part.model import Vector


@dataclass(frozen=True, eq=False)
class Floor:
    """A plane along the axis at `distance_mm` from it, whose foot on the axis' side it holds.

    `outer`: it faces away from the axis. `sides`: the planes square to it along the axis that
    face each other across it, none or two.
    """

    cut: Cut
    wall: Wall
    distance_mm: float
    outer: bool
    sides: tuple[Wall, ...]

    @property
    def across(self) -> Vector:
        """Unit vector across the floor, square to the axis."""
        return cross(Z, self.wall.direction)


def floors(cuts: Sequence[Cut], *, run_out: bool = False) -> list[Floor]:
    """All such planes of all cuts; with `run_out` also those that face the axis and end outside."""
    found = []
    for cut in cuts:
        for wall in cut.walls:
            if holds_foot(wall) and not _is_covered(cut, wall):
                offset = wall.offset_mm
                if offset < 0.0 and not run_out and _runs_out(cut, wall):
                    continue
                found.append(Floor(cut, wall, abs(offset), offset > 0.0, _sides(cut, wall)))
    return found


def holds_foot(wall: Wall) -> bool:
    """Whether a plane runs along the axis, off it, and reaches to both sides of its foot."""
    if wall.kind != "plane" or not square(wall.direction, Z) or abs(wall.offset_mm) <= SAME_MM:
        return False
    low, high = wall.extent(cross(Z, wall.direction))
    return low < -SAME_MM and high > SAME_MM


def _runs_out(cut: Cut, wall: Wall) -> bool:
    """Whether a plane that faces the axis ends on an outside: it is the wall of a slot."""
    return any(rim.kind != "plane" and not rim.hollow for rim in cut.rims(wall))


def _is_covered(cut: Cut, floor: Wall) -> bool:
    """Whether another wall faces it on the same side of the axis: it is a wall of some pocket."""
    return any(
        wall.kind == "plane"
        and parallel_pair(floor, wall)
        and wall.offset_mm * floor.offset_mm < 0.0
        and min(wall.z_mm[1], floor.z_mm[1]) - max(wall.z_mm[0], floor.z_mm[0]) > SAME_MM
        for wall in cut.walls
    )


def _sides(cut: Cut, floor: Wall) -> tuple[Wall, ...]:
    across = cross(Z, floor.direction)
    walls = [
        wall
        for wall in cut.walls
        if wall.kind == "plane" and wall.is_along(across) and not holds_foot(wall)
    ]
    pairs = [(a, b) for a in walls for b in walls if parallel_pair(a, b)]
    for a, b in sorted(pairs, key=lambda pair: gap(*pair)):
        if dot(a.direction, across) > 0.0 and _stands_on(floor, a) and _stands_on(floor, b):
            return (a, b)
    return ()


def _stands_on(floor: Wall, side: Wall) -> bool:
    """Whether a side rises from the floor into the void, beside it along the axis."""
    low, high = floor.z_mm
    there = min(high, side.z_mm[1]) - max(low, side.z_mm[0]) > SAME_MM
    return there and side.extent(floor.direction)[1] > floor.offset_mm + SAME_MM


def levels(found: Sequence[Floor]) -> list[list[Floor]]:
    """Floors sorted into lots whose ranges along the axis overlap."""
    lots: list[list[Floor]] = []
    end = float("-inf")
    for floor in sorted(found, key=lambda f: f.wall.z_mm):
        low, high = floor.wall.z_mm
        if low < end - SAME_MM:
            lots[-1].append(floor)
        else:
            lots.append([floor])
        end = max(end, high)
    return lots


def with_ends(floor: Floor) -> tuple[Wall, ...]:
    """A flat with what ends it: shoulders, run-outs across the axis, roundings, the bore beside."""
    ends = [
        wall
        for wall in floor.cut.beside(floor.wall)
        if wall.coaxial or (wall.is_round and square(wall.direction, Z))
    ]
    further = [
        wall
        for end in ends
        for wall in floor.cut.beside(end)
        if wall.kind == "plane" and wall.coaxial
    ]
    return tuple({id(w): w for w in (floor.wall, *ends, *further)}.values())


def is_plain(floor: Floor) -> bool:
    """Whether a flat has no neighbour but its ends and flats: it bounds no pocket or window."""
    known = {id(wall) for wall in with_ends(floor)}
    beside = floor.cut.beside(floor.wall)
    roofed = floor.outer and any(
        wall.kind == "cylinder" and wall.coaxial and wall.hollow for wall in beside
    )
    return (
        not floor.sides
        and not roofed
        and all(id(wall) in known or holds_foot(wall) for wall in beside)
    )
