"""Equal gaps all round, ruled along the axis or wound: what splines, teeth and knurls share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from turnability.part.departures.cut import Cut, area, r_range, same, z_range
from turnability.part.departures.rings import alike, evenly_spaced, turn_of
from turnability.part.departures.vectors import Z, dot, minus
from turnability.part.departures.walls import Wall, wall_of
from turnability.part.model import Parameter

LEAST_COUNT = 6
"""Fewer equal gaps are slots or keyways of their own (ISO 14 begins at six)."""
_EVEN_RAD = 1e-3
_FLANK = 0.3
"""Least part round the axis of a flank's normal."""


@dataclass(frozen=True, eq=False)
class Teeth:
    """A ring of equal gaps: how many, at equal angles or not, all their walls, where they open."""

    count: int
    even: bool
    walls: tuple[Wall, ...]
    surface: Literal["outer", "inner", "end"]

    def sizes(self) -> dict[str, Parameter]:
        """Their sizes by the report's keys; those of an end are as deep as they are long."""
        r, z = r_range(self.walls), z_range(self.walls)
        long = "depth_mm" if self.surface == "end" else "length_mm"
        found: dict[str, Parameter] = {
            "count": self.count,
            "outside_diameter_mm": 2.0 * r[1],
            "inside_diameter_mm": 2.0 * r[0],
            long: z[1] - z[0],
            "even": self.even,
            "surface": self.surface,
        }
        return found

    @property
    def outer(self) -> bool:
        """Whether the gaps open outwards."""
        return self.surface == "outer"

    @property
    def depth_mm(self) -> float:
        """Depth of the gaps, into an end along the axis, else along the radius."""
        low, high = z_range(self.walls) if self.surface == "end" else r_range(self.walls)
        return high - low

    @property
    def profile_deg(self) -> float | None:
        """Angle between the two planes that each gap consists of; None where it is no such V."""
        sides = [wall_of(f) for wall in self.walls if not wall.coaxial for f in wall.faces]
        if any(wall.kind != "plane" for wall in sides) or len(sides) != 2 * self.count:
            return None
        first, *others = sides
        across = [w for w in others if dot(minus(w.middle, first.middle), first.normal) > 0.0]
        other = min(across, key=lambda w: math.dist(w.middle, first.middle), default=None)
        if other is None:
            return None
        return 180.0 - math.degrees(math.acos(max(-1.0, min(1.0, dot(first.normal, other.normal)))))

    @property
    def pitch_mm(self) -> float:
        """Distance of the gaps round the larger (outside) or smaller (inside) diameter."""
        return math.pi * 2.0 * r_range(self.walls)[1 if self.outer else 0] / self.count

    @property
    def flanks(self) -> tuple[Wall, ...]:
        """The walls that look round the axis, not away from it or at it."""
        return tuple(wall for wall in self.walls if abs(_round(wall)[1]) > _FLANK)


def teeth(cuts: Sequence[Cut]) -> list[Teeth]:
    """All rings of equal gaps that reach an outside or a bore, at least `LEAST_COUNT` of them."""
    found = []
    gaps = [cut for cut in cuts if _is_gap(cut)]
    for lot in alike(gaps, lambda cut: (*cut.z_mm, *cut.r_mm), lambda cut: None):
        if len(lot) >= LEAST_COUNT and _equal_areas(lot):
            walls = tuple(wall for cut in lot for wall in cut.walls)
            even = evenly_spaced((turn_of(cut.walls) or 0.0 for cut in lot), _EVEN_RAD)
            found.append(Teeth(len(lot), even, walls, _opens(walls, lot[0])))
    for cut in cuts:
        if len(cut.walls) >= LEAST_COUNT:
            # opposite flanks of face teeth lie in one plane and count as one wall
            count = _count_in(cut.walls) or _count_in(_single(cut.walls))
            if count >= LEAST_COUNT:
                found.append(Teeth(count, True, cut.walls, _opens(cut.walls, cut)))
    return found


def _is_gap(cut: Cut) -> bool:
    """Open to an outside or a bore, and closed across by its own walls, not by a floor square to
    the axis alone: no single plane, no window.
    """
    if not any(rim.kind != "plane" for wall in cut.walls for rim in cut.rims(wall)):
        return False
    floors = {id(wall) for wall in cut.walls if wall.kind == "plane" and wall.is_along(Z)}
    pieces = list(cut.without(floors))
    if len(pieces) != 1 or any(w.is_round and not _winds_along(w) for w in pieces[0].walls):
        return False
    walls = pieces[0].walls
    return len(walls) >= 2 or (walls[0].kind == "cylinder" and not walls[0].coaxial)


def _winds_along(wall: Wall) -> bool:
    """Whether a round wall runs along the axis or turns about it."""
    return wall.coaxial or abs(wall.direction[2]) > 0.5


def _equal_areas(lot: Sequence[Cut]) -> bool:
    areas = [area(cut.walls) for cut in lot]
    return max(areas) - min(areas) <= 1e-3 * max(areas)


def _round(wall: Wall) -> tuple[float, float, float]:
    """Parts of a wall's normal away from the axis, round it and along it."""
    x, y, _ = wall.middle
    r = math.hypot(x, y) or 1.0
    out, turn = (x / r, y / r, 0.0), (-y / r, x / r, 0.0)
    return dot(wall.normal, out), dot(wall.normal, turn), wall.normal[2]


def _count_in(walls: Sequence[Wall]) -> int:
    """How often one turn by 360 / count degrees maps walls that hang together on themselves."""
    lots = [
        lot
        for lot in alike(walls, _wall_sizes, lambda wall: wall.kind)
        if not (len(lot) == 1 and lot[0].coaxial)
    ]
    if not lots or min(len(lot) for lot in lots) < LEAST_COUNT:
        return 0
    flank = any(
        abs(_round(lot[0])[1]) > _FLANK or (lot[0].kind == "cylinder" and not lot[0].coaxial)
        for lot in lots
    )
    return math.gcd(*(_count(lot) for lot in lots)) if flank else 0


def _wall_sizes(wall: Wall) -> tuple[float, ...]:
    out, turn, along = (round(c, 3) for c in _round(wall))
    return (wall.area_mm2, *wall.z_mm, *wall.r_mm, out, turn, along)


def _count(lot: Sequence[Wall]) -> int:
    """Into how many equal parts the walls' places divide the turn (0: into none)."""
    turns = sorted(math.atan2(wall.middle[1], wall.middle[0]) % math.tau for wall in lot)
    for count in range(len(lot), LEAST_COUNT - 1, -1):
        if len(lot) % count:
            continue
        step = len(lot) // count
        moved = [
            (turns[(i + step) % len(turns)] - turns[i]) % math.tau - math.tau / count
            for i in range(len(turns))
        ]
        if max(abs(m) for m in moved) <= _EVEN_RAD:
            return count
    return 0


def _single(walls: Sequence[Wall]) -> list[Wall]:
    """Each face as a wall of its own, where some walls have several."""
    if all(len(wall.faces) == 1 for wall in walls):
        return []
    return [wall_of(face) for wall in walls for face in wall.faces]


def _opens(walls: Sequence[Wall], cut: Cut) -> Literal["outer", "inner", "end"]:
    """Where the gaps open: their walls look that way more than any other."""
    out, _, along = (
        math.fsum(wall.area_mm2 * part for wall, part in zip(walls, parts, strict=True))
        for parts in zip(*(_round(wall) for wall in walls), strict=True)
    )
    if abs(along) > abs(out):
        return "end"
    return "outer" if _looks_out(walls, cut) else "inner"


def _looks_out(walls: Sequence[Wall], cut: Cut) -> bool:
    """Whether the gaps open away from the axis: by what they end on, else by how flanks lean."""
    rims = [rim for wall in cut.walls for rim in cut.rims(wall) if rim.kind != "plane"]
    low, high = r_range(walls)
    if any(not rim.hollow and same(rim.r_mm[1], high) for rim in rims):
        return True
    if any(rim.hollow and same(rim.r_mm[0], low) for rim in rims):
        return False
    return math.fsum(wall.area_mm2 * _round(wall)[0] for wall in walls) > 0.0
