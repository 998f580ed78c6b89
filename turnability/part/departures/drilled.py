"""Round holes among the walls of cuts: what turns about one line, with its floors and seats."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from turnability.part.departures.cut import Cut, extent, r_range
from turnability.part.departures.rings import distance, polygon
from turnability.part.departures.vectors import (
    SAME_DIRECTION,
    SAME_MM,
    Z,
    cross,
    dot,
    minus,
    on_line,
    opposite,
    parallel,
    plus,
    square_to,
)
from turnability.part.departures.walls import Wall, same_line
from turnability.part.model import Parameter, Vector

_WHOLE_TURN = math.tau - 1e-3
_MOSTLY = 1.5 * math.pi
_MORE_THAN_HALF = math.pi + 0.1
"""A hole that breaks out of a side keeps more than so much of its wall, radians; along the axis
what keeps less is a scallop.
"""
_SEAT_WIDER_MM = 2e-3


@dataclass(frozen=True, eq=False)
class Drilled:
    """A round hole: its walls, its line (`direction` leads into the material where it is blind).

    `outside_mm`: radius of the round that it begins on. `sizes`: what else is measured on it, by
    the report's keys.
    """

    walls: tuple[Wall, ...]
    point: Vector
    direction: Vector
    diameter_mm: float
    through: bool
    outside_mm: float = 0.0
    sizes: dict[str, Parameter] = field(default_factory=dict)

    @property
    def offset_mm(self) -> float:
        """Distance between its line and the part's axis."""
        x, y, _ = self.direction
        across = math.hypot(x, y)
        if across <= SAME_DIRECTION:
            return math.hypot(self.point[0], self.point[1])
        return abs(self.point[0] * y - self.point[1] * x) / across

    @property
    def heading(self) -> str:
        """ "axial", "radial" (it meets the part's axis at a right angle) or "other"."""
        if parallel(self.direction, Z):
            return "axial"
        square = abs(self.direction[2]) <= SAME_DIRECTION
        return "radial" if square and self.offset_mm <= SAME_MM else "other"

    @property
    def holds_axis(self) -> bool:
        """An axial hole that the part's axis runs through: an offset bore."""
        return self.heading == "axial" and 2.0 * self.offset_mm < self.widest_mm

    @property
    def widest_mm(self) -> float:
        """Diameter of its widest cylinder."""
        return 2.0 * max(wall.radius_mm for wall in self.walls if wall.kind == "cylinder")

    @property
    def turn(self) -> float:
        """Angle about the part's axis at which an axial hole stands, radians from 0 to 2 pi."""
        return math.atan2(self.point[1], self.point[0]) % math.tau


def drilled(cut: Cut) -> list[Drilled]:
    """The round holes of a cut. Coaxial round walls are none, nor what is half round at most."""
    seeds = [
        wall
        for wall in cut.walls
        if wall.kind == "cylinder" and wall.hollow and not wall.coaxial
        if wall.turn > (_MOSTLY if wall.is_along(Z) else _MORE_THAN_HALF)
    ]
    found = []
    done: set[int] = set()
    for seed in sorted(seeds, key=lambda wall: -wall.area_mm2):
        if id(seed) in done:
            continue
        members = _members(cut, seed)
        whole = any(
            wall.turn >= _WHOLE_TURN for wall in members if wall.kind == "cylinder" and wall.hollow
        )
        if not whole and len(members) < len(cut.walls):
            continue  # a run of some other cut, rounded
        nut = _nut_seat(cut, seed, members)
        done.update(id(wall) for wall in members)
        found.append(_measured(cut, seed, members, nut))
    return found


def _members(cut: Cut, seed: Wall) -> tuple[Wall, ...]:
    """Walls round the seed's line, and the floors and seats square to it between them."""
    mine = [
        wall
        for wall in cut.walls
        if (wall.is_round and same_line(seed, wall))
        or (
            wall.kind == "sphere"
            and wall.hollow
            and on_line(wall.point, seed.point, seed.direction)
        )
    ]
    ids = {id(wall) for wall in mine}
    widest = max(wall.radius_mm for wall in mine if wall.kind == "cylinder") + SAME_MM
    across = square_to(seed.direction)
    for wall in cut.walls:
        if wall.kind == "plane" and wall.is_along(seed.direction):
            ranges = [(wall.extent(x), dot(seed.point, x)) for x in across]
            inside = all(low > at - widest and high < at + widest for (low, high), at in ranges)
            if inside and any(id(other) in ids for other in cut.beside(wall)):
                mine.append(wall)
    return tuple(mine)


def _nut_seat(cut: Cut, seed: Wall, members: Sequence[Wall]) -> tuple[Wall, ...]:
    """A hexagonal or square seat round the hole where it is all else that the cut has."""
    taken = {id(wall) for wall in members}
    rest = [wall for wall in cut.walls if id(wall) not in taken]
    sides = polygon(rest, seed.point, seed.direction, (6, 4))
    floors = [wall for wall in rest if wall.kind == "plane" and wall.is_along(seed.direction)]
    alone = len(sides) + len(floors) == len(rest)
    return sides if sides and alone and distance(sides[0], seed.point) < 0.0 else ()


def _measured(cut: Cut, seed: Wall, members: tuple[Wall, ...], nut: tuple[Wall, ...]) -> Drilled:
    direction = seed.direction
    floors = [floor for floor in (_floor(wall, seed) for wall in members) if floor is not None]
    low_end = next((floor for floor in floors if floor.up), None)
    high_end = next((floor for floor in floors if not floor.up), None)
    cylinders = [wall for wall in members if wall.kind == "cylinder" and wall.hollow]
    radius = min(wall.radius_mm for wall in cylinders)
    if low_end is not None and high_end is not None and high_end.at < low_end.at:
        # drilled from either side, with material left between
        depth = high_end.end(cylinders[0].radius_mm) - extent(members, direction)[0]
        both: dict[str, Parameter] = {"depth_mm": depth, **high_end.sizes(), "walls": 2}
        return Drilled(members, seed.point, direction, 2.0 * radius, False, sizes=both)
    if low_end is not None and high_end is None:
        direction, high_end = opposite(direction), low_end.turned()
    hole = Drilled(members, seed.point, direction, 2.0 * radius, high_end is None)
    sizes = {**_depths(hole, cut, high_end), **_mouths(hole, cylinders, high_end)}
    if nut:
        low, high = extent(nut, direction)
        sizes["counterbore_across_flats_mm"] = -2.0 * distance(nut[0], seed.point)
        sizes["counterbore_depth_mm"] = high - low
        depth_mm = sizes["depth_mm"]
        sizes["depth_mm"] = (high - low) + (depth_mm if isinstance(depth_mm, float) else 0.0)
        seats = (w for side in nut for w in cut.beside(side))
        members = tuple({id(w): w for w in (*members, *nut, *seats)}.values())
    return replace(hole, walls=members, sizes=sizes, outside_mm=_rounds(hole, cut)[0])


@dataclass(frozen=True, eq=False)
class _Floor:
    """What closes a hole at `at` along its line; `up`: it looks along the line's direction."""

    wall: Wall
    at: float
    up: bool

    def turned(self) -> _Floor:
        return _Floor(self.wall, -self.at, not self.up)

    def end(self, radius_mm: float) -> float:
        """Where the full diameter ends: a drill's point doesn't count, a ball's does."""
        if self.wall.kind != "cone":
            return self.at
        rise = radius_mm / math.tan(self.wall.half_angle)
        return self.at + (rise if self.up else -rise)

    def sizes(self) -> dict[str, Parameter]:
        if self.wall.kind == "cone":
            angle = math.degrees(2.0 * self.wall.half_angle)
            return {"bottom": "drill-point", "point_angle_deg": angle}
        return {"bottom": "flat" if self.wall.kind == "plane" else "round"}


def _floor(wall: Wall, seed: Wall) -> _Floor | None:
    """The wall as what closes the hole: it holds the hole's own line."""
    d = seed.direction
    if wall.kind == "plane":
        place = plus(seed.point, d, dot(wall.point, d) - dot(seed.point, d))
        closes = wall.holds(place)
        return _Floor(wall, dot(place, d), dot(wall.direction, d) > 0.0) if closes else None
    if wall.kind == "cone" and wall.hollow and wall.reaches_apex:
        at = dot(wall.point, d)
        return _Floor(wall, at, dot(wall.middle, d) > at)
    if wall.kind == "sphere":
        for side in (1.0, -1.0):
            pole = plus(wall.point, d, side * wall.radius_mm)
            if wall.holds(pole):
                return _Floor(wall, dot(pole, d), side < 0.0)
    return None


def _depths(hole: Drilled, cut: Cut, floor: _Floor | None) -> dict[str, Parameter]:
    """Depth from the outermost rim to the end of the cylinder; a drill's point doesn't count.

    Where a radial hole ends on the body's own cylinders, their radii tell exactly.
    """
    d = hole.direction
    mouth, end = extent(hole.walls, d)
    r_low, r_high = r_range(hole.walls)
    outside, inside = _rounds(hole, cut)
    radial = hole.heading == "radial"
    if floor is None:
        if not radial:
            return {"depth_mm": end - mouth}
        across = mouth < 0.0 < end and min(-mouth, end) > 0.5 * r_high
        if across:
            # from one side to the other: flats there are nearer than the round
            return {
                "depth_mm": end - mouth if end - mouth < 2.0 * outside - 2e-3 else 2.0 * outside
            }
        return {"depth_mm": outside - inside if inside < outside else r_high - r_low}
    if radial and abs(-mouth - outside) <= 2e-3:
        mouth = -outside
    bottom = floor.end(hole.diameter_mm / 2.0)
    return {"depth_mm": bottom - mouth, **floor.sizes()}


def _rounds(hole: Drilled, cut: Cut) -> tuple[float, float]:
    """Radii of the outside and the bore that a hole ends on, else its greatest and least r."""
    rims = [r for w in hole.walls for r in cut.rims(w) if r.kind == "cylinder" and r.coaxial]
    low, high = r_range(hole.walls)
    return (
        max((rim.radius_mm for rim in rims if not rim.hollow), default=high),
        max((rim.radius_mm for rim in rims if rim.hollow), default=low),
    )


def _mouths(hole: Drilled, cylinders: Sequence[Wall], floor: _Floor | None) -> dict[str, Parameter]:
    """Counterbore and countersink: the widest seat and cone at an open end."""
    d = hole.direction
    found: dict[str, Parameter] = {}
    ends = extent(hole.walls, d)
    narrow = [wall for wall in cylinders if 2.0 * wall.radius_mm < hole.diameter_mm + 2e-4]
    wide = max(cylinders, key=lambda wall: wall.radius_mm)
    if 2.0 * wide.radius_mm > hole.diameter_mm + _SEAT_WIDER_MM:
        low, high = wide.extent(d)
        outwards = low + high < sum(extent(narrow, d))
        found["counterbore_diameter_mm"] = 2.0 * wide.radius_mm
        found["counterbore_depth_mm"] = high - ends[0] if outwards else ends[1] - low
    sinks = []
    for wall in hole.walls:
        if wall.kind == "cone" and wall.hollow and not (floor and wall is floor.wall):
            apex = dot(wall.point, d)
            sinks += [
                (2.0 * abs(s - apex) * math.tan(wall.half_angle), wall)
                for s in wall.extent(d)
                if min(abs(s - end) for end in ends) <= SAME_MM
            ]
    if sinks:
        across, cone = max(sinks, key=lambda item: item[0])
        if across > hole.diameter_mm + _SEAT_WIDER_MM:
            found["countersink_diameter_mm"] = across
            found["countersink_angle_deg"] = math.degrees(2.0 * cone.half_angle)
    return found


def parameters(hole: Drilled) -> dict[str, Parameter]:
    """A single hole's parameters by the report's keys."""
    found: dict[str, Parameter] = {
        "diameter_mm": hole.diameter_mm,
        "direction": hole.heading,
        "through": hole.through,
        "offset_mm": hole.offset_mm if hole.offset_mm > SAME_MM else 0.0,
        **hole.sizes,
    }
    if hole.heading == "other":
        found["angle_deg"] = math.degrees(math.acos(min(1.0, abs(hole.direction[2]))))
    return found


def one_line(a: Drilled, b: Drilled) -> bool:
    """Whether two holes run along one line (a cross hole through both walls)."""
    c = cross(minus(b.point, a.point), a.direction)
    return parallel(a.direction, b.direction) and dot(c, c) <= SAME_MM**2


def holes_in(cuts: Iterable[Cut]) -> list[Drilled]:
    """All round holes of all cuts."""
    return [hole for cut in cuts for hole in drilled(cut)]
