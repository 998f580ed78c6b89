"""Cuts with straight walls: the direction a cutter came from, its sides and floors, its sizes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from turnability.part.departures.cut import Cut, area, extent, r_range
from turnability.part.departures.rings import gap, parallel_pair
from turnability.part.departures.vectors import (
    SAME_DIRECTION,
    SAME_MM,
    Z,
    cross,
    dot,
    parallel,
    square,
    unit,
)
from turnability.part.departures.walls import Wall
from turnability.part.model import Vector

_FINISH_SHARE = 0.3
"""Walls that are neither side nor floor (roundings, chamfers) may have this share of the area."""


@dataclass(frozen=True, eq=False)
class Prism:
    """Walls ruled along `direction` (`sides`) and square to it (`floors`, also round ones).

    `direction` points along the axis, or out of the part where it is not parallel to it.
    `floors_on_body`: floors that bound the turned body itself.
    """

    walls: tuple[Wall, ...]
    direction: Vector
    sides: tuple[Wall, ...]
    floors: tuple[Wall, ...]
    floors_on_body: tuple[Wall, ...]

    @property
    def heading(self) -> str:
        """ "axial", "radial" (square to the axis) or "other"."""
        if parallel(self.direction, Z):
            return "axial"
        return "radial" if square(self.direction, Z) else "other"

    @property
    def through(self) -> bool:
        """No floor anywhere."""
        return not self.floors and not self.floors_on_body

    @property
    def depth_mm(self) -> float:
        """From its outermost rim to its deepest floor (or through the wall), along the direction,
        or the radius of one that is square to the axis and does not lie aside of it.
        """
        if self.heading != "radial":
            low, high = extent(self.sides, self.direction)
            return high - low
        r_low, r_high = r_range(self.walls)
        if self.through:
            return r_high - r_low
        floors = (*self.floors, *self.floors_on_body)
        planes = [abs(wall.offset_mm) for wall in floors if wall.kind == "plane"]
        rounds = [wall.radius_mm for wall in floors if wall.kind == "cylinder"]
        if any(wall.hollow for wall in floors) or self._inner:
            return max([*planes, *rounds]) - r_low
        low, high = extent(self.walls, cross(Z, self.direction))
        aside = low > SAME_MM or high < -SAME_MM
        rim = extent(self.walls, self.direction)[1] if aside else r_high
        return max([*(rim - plane for plane in planes), *(r_high - r for r in rounds)])

    @property
    def _inner(self) -> bool:
        planes = [wall for wall in self.floors if wall.kind == "plane"]
        return bool(planes) and all(wall.offset_mm < 0.0 for wall in planes)

    def facing(self) -> tuple[Wall, Wall] | None:
        """The two parallel sides with the narrowest void between them."""
        planes = [wall for wall in self.sides if wall.kind == "plane"]
        pairs = [
            (a, b)
            for i, a in enumerate(planes)
            for b in planes[i + 1 :]
            if parallel_pair(a, b) and self._abreast(a, b)
        ]
        return min(pairs, key=lambda pair: gap(*pair), default=None)

    def _abreast(self, a: Wall, b: Wall) -> bool:
        along = cross(a.direction, self.direction)
        first, second = a.extent(along), b.extent(along)
        return min(first[1], second[1]) - max(first[0], second[0]) > SAME_MM

    def arcs(self) -> tuple[Wall, Wall] | None:
        """The outer and the inner round side about the part's axis, of an arc-shaped slot."""
        outer = [w for w in self.sides if w.kind == "cylinder" and w.coaxial and w.hollow]
        inner = [w for w in self.sides if w.kind == "cylinder" and w.coaxial and not w.hollow]
        if len(outer) == 1 and len(inner) == 1 and outer[0].radius_mm > inner[0].radius_mm:
            return outer[0], inner[0]
        return None

    def ends(self, along: Vector, width: float) -> tuple[str, str]:
        """What closes it at either end of a direction: round, square, rounded, open."""
        low, high = extent(self.sides, along)
        return (self._end(along, low, width), self._end(along, high, width))

    def _end(self, along: Vector, at: float, width: float) -> str:
        found = "open"
        for wall in self.sides:
            if min(abs(s - at) for s in wall.extent(along)) > SAME_MM:
                continue
            if wall.kind == "plane" and wall.is_along(along):
                return "square"
            if wall.kind == "cylinder" and wall.hollow and not wall.coaxial:
                round_ = abs(2.0 * wall.radius_mm - width) <= 2.0 * SAME_MM
                found = "round" if round_ else "rounded"
        return found

    def corner_radius_mm(self) -> float | None:
        """Radius of the hollow corners between sides, where they are all alike."""
        radii = {
            round(w.radius_mm, 4)
            for w in self.sides
            if w.kind == "cylinder" and w.hollow and not w.coaxial and w.turn < 3.0
        }
        return radii.pop() if len(radii) == 1 else None


def prism(cuts: Sequence[Cut]) -> Prism | None:
    """The cuts taken together as one prism; None where no direction explains their walls."""
    walls = tuple(wall for cut in cuts for wall in cut.walls)
    best: tuple[tuple[bool, float], Prism] | None = None
    total = area(walls)
    for direction in _directions(walls):
        sides, floors, other = _sorted(walls, direction)
        if len(sides) < 2 or area(other) > _FINISH_SHARE * total or _opposed(floors, direction):
            continue
        on_body = tuple(_body_floors(cuts, sides, direction))
        found = Prism(walls, _outwards(direction, walls), sides, floors, on_body)
        rank = (not found.through, round(area(sides), 6))
        if best is None or rank > best[0]:
            best = (rank, found)
    return None if best is None else best[1]


def _opposed(floors: Sequence[Wall], direction: Vector) -> bool:
    """Whether some floors look at others: they are sides of a cut from elsewhere."""
    looks = {dot(wall.direction, direction) > 0.0 for wall in floors if wall.kind == "plane"}
    return len(looks) > 1


def _directions(walls: Sequence[Wall]) -> list[Vector]:
    """Along the axis, along round sides, square to floors, along where two sides meet."""
    found: list[Vector] = [Z]
    planes = [wall.direction for wall in walls if wall.kind == "plane"]
    lines = [w.direction for w in walls if w.kind == "cylinder" and w.hollow and not w.coaxial]
    meets = [
        unit(cross(a, b))
        for i, a in enumerate(planes[:12])
        for b in planes[i + 1 : 12]
        if not parallel(a, b)
    ]
    for direction in (*lines, *planes, *meets):
        if not any(parallel(direction, other) for other in found):
            found.append(direction)
    return found


def _sorted(
    walls: Iterable[Wall], direction: Vector
) -> tuple[tuple[Wall, ...], tuple[Wall, ...], tuple[Wall, ...]]:
    sides, floors, other = [], [], []
    axial = parallel(direction, Z)
    for wall in walls:
        if (wall.kind == "plane" and square(wall.direction, direction)) or (
            wall.kind == "cylinder" and wall.is_along(direction)
        ):
            sides.append(wall)
        elif (wall.kind == "plane" and wall.is_along(direction)) or (
            not axial and wall.kind == "cylinder" and wall.coaxial
        ):
            floors.append(wall)
        else:
            other.append(wall)
    return tuple(sides), tuple(floors), tuple(other)


def _body_floors(cuts: Sequence[Cut], sides: Sequence[Wall], direction: Vector) -> Iterable[Wall]:
    """Faces of the turned body that close the void between the sides, found at the sides' rims.

    A floor looks into the void from the end of a side; a face that the cut runs out through
    looks away from it.
    """
    axial = parallel(direction, Z)
    ids = {id(side) for side in sides}
    found = {
        id(rim): rim
        for cut in cuts
        for side in cut.walls
        if id(side) in ids
        for rim in cut.rims(side)
        if rim.coaxial and (_ends_axially(side, rim) if axial else _ends_radially(side, rim))
    }
    return found.values()


def _ends_axially(side: Wall, rim: Wall) -> bool:
    if rim.kind != "plane":
        return False
    low, high = side.z_mm
    up = rim.direction[2] > 0.0
    return abs(rim.offset_mm * rim.direction[2] - (low if up else high)) <= SAME_MM


def _ends_radially(side: Wall, rim: Wall) -> bool:
    if rim.kind != "cylinder":
        return False
    low, high = side.r_mm
    if rim.hollow:
        return abs(rim.radius_mm - high) <= SAME_MM and low < rim.radius_mm - SAME_MM
    return abs(rim.radius_mm - low) <= SAME_MM


def _outwards(direction: Vector, walls: Sequence[Wall]) -> Vector:
    if abs(direction[2]) > 1.0 - SAME_DIRECTION:
        return Z
    middle = sum(wall.area_mm2 * dot(wall.middle, direction) for wall in walls)
    return direction if middle >= 0.0 else (-direction[0], -direction[1], -direction[2])
