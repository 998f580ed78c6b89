"""Slots: across an end, through a wall or a flange, along an arc; and open notches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import (
    Claim,
    Cut,
    Example,
    by_account,
    extent,
    r_range,
    same,
    z_range,
)
from turnability.part.departures.prism import Prism, prism
from turnability.part.departures.rings import gap
from turnability.part.departures.vectors import SAME_MM, Z, cross, dot, parallel, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "slot"
FORM = None
RANK = 80


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Voids between two parallel sides, or two about the axis; both walls of a tube are one slot.

    One that has a floor and square ends all round is a pocket.
    """
    found: list[tuple[Claim, tuple[Wall, Wall]]] = []
    for own in by_account(cuts):
        seen = prism(own)
        if seen is None:
            continue
        pair, arcs = seen.facing(), seen.arcs()
        if arcs is not None and (pair is None or gap(*pair) > _arc_width(arcs)):
            claim = _arc(seen, arcs)
            if claim is not None:
                found.append((claim, arcs))
        elif pair is not None and not _is_sector(seen):
            claim = _straight(seen, pair)
            if claim is not None:
                found.append((claim, pair))
    return _with_spokes(_through_both_walls(found))


def _is_sector(seen: Prism) -> bool:
    """Whether the void lies between half planes from the axis: a part of the round is gone."""
    halves = [
        wall.direction
        for wall in seen.walls
        if wall.kind == "plane" and square(wall.direction, Z) and abs(wall.offset_mm) <= SAME_MM
    ]
    return any(math.hypot(*cross(halves[0], other)) > SAME_MM for other in halves[1:])


def _straight(seen: Prism, pair: tuple[Wall, Wall]) -> Claim | None:
    width = gap(*pair)
    along = cross(pair[0].direction, seen.direction)
    low, high = extent(seen.sides, along)
    ends = seen.ends(along, width)
    closed = "open" not in ends
    if closed and not seen.through and "round" not in ends:
        return None
    across_end = square(pair[0].direction, Z) and not closed and not seen.through
    found: dict[str, Parameter] = {
        "width_mm": width,
        "direction": seen.heading,
        "through": seen.through,
        "depth_mm": seen.depth_mm,
    }
    if across_end and seen.heading == "axial":
        found["place"] = "end"
        middle = abs(pair[0].offset_mm - pair[1].offset_mm) / 2.0
        found["offset_mm"] = middle if middle > SAME_MM else 0.0
    else:
        found["length_mm"] = high - low
        found["ends"] = ends[0] if ends[0] == ends[1] else ", ".join(sorted(ends))
    return Claim(KIND, seen.walls, found)


def _arc_width(arcs: tuple[Wall, Wall]) -> float:
    return arcs[0].radius_mm - arcs[1].radius_mm


def _arc(seen: Prism, arcs: tuple[Wall, Wall]) -> Claim | None:
    if seen.heading != "axial":
        return None
    width = _arc_width(arcs)
    middle = (arcs[0].radius_mm + arcs[1].radius_mm) / 2.0
    ends = [w for w in seen.sides if w.kind == "cylinder" and not w.coaxial and w.hollow]
    found: dict[str, Parameter] = {
        "form": "arc",
        "width_mm": width,
        "circle_diameter_mm": 2.0 * middle,
        "arc_deg": math.degrees(min(arcs[0].turn, arcs[1].turn)),
        "direction": "axial",
        "through": seen.through,
        "depth_mm": seen.depth_mm,
        "ends": "round" if len(ends) == 2 else "square",
    }
    return Claim(KIND, seen.walls, found)


def _through_both_walls(found: Sequence[tuple[Claim, tuple[Wall, Wall]]]) -> list[Claim]:
    """Claims whose sides lie in one pair of planes at one height are one slot."""
    claims, done = [], set()
    for i, (claim, pair) in enumerate(found):
        if i in done:
            continue
        walls, count = list(claim.walls), 1
        for k in range(i + 1, len(found)):
            other, sides = found[k]
            goes_on = claim.parameters["through"] or "place" in claim.parameters
            in_line = k not in done and goes_on and _in_line(pair, sides)
            if in_line and _at_one_height(claim, other):
                done.add(k)
                walls += other.walls
                count += 1
        more: dict[str, Parameter] = {"walls": count} if count > 1 else {}
        claims.append(Claim(KIND, tuple(walls), {**claim.parameters, **more}))
    return claims


def _with_spokes(claims: Sequence[Claim]) -> list[Claim]:
    """Arcs with ends parallel to their neighbours' get the width of what is left between."""
    flat = [[w for w in c.walls if w.kind == "plane" and square(w.direction, Z)] for c in claims]
    made = []
    for i, claim in enumerate(claims):
        like = [k for k, c in enumerate(claims) if k != i and _on_one_ring(c, claim)]
        widths = [
            min((w for k in like for end in flat[k] if (w := _spoke(own, end)) > 0.0), default=0.0)
            for own in (flat[i] if claim.parameters.get("form") == "arc" else ())
        ]
        spokes = bool(widths) and all(w > 0.0 and same(w, widths[0]) for w in widths)
        more: dict[str, Parameter] = {"spoke_width_mm": widths[0]} if spokes else {}
        made.append(Claim(KIND, claim.walls, {**claim.parameters, **more}))
    return made


def _on_one_ring(a: Claim, b: Claim) -> bool:
    if a.parameters.get("form") != b.parameters.get("form"):
        return False
    ends = zip(r_range(a.walls), r_range(b.walls), strict=True)
    return all(same(x, y) for x, y in ends) and _at_one_height(a, b)


def _spoke(one: Wall, other: Wall) -> float:
    """How thick the material between two ends of slots is; 0 where they bound no one spoke."""
    if not parallel(one.direction, other.direction) or dot(one.direction, other.direction) > 0.0:
        return 0.0
    along = cross(Z, one.direction)
    beside = dot(one.middle, along) * dot(other.middle, along) > 0.0
    return max(0.0, -gap(one, other)) if beside else 0.0


def _in_line(a: tuple[Wall, Wall], b: tuple[Wall, Wall]) -> bool:
    return any(
        wall.kind == "plane"
        and wall.is_along(other.direction)
        and math.dist(wall.point, other.point) <= SAME_MM
        and wall.normal[0] * other.normal[0] + wall.normal[1] * other.normal[1] > 0.0
        for wall in a
        for other in b
    ) and same(gap(*a), gap(*b))


def _at_one_height(a: Claim, b: Claim) -> bool:
    ends = zip(z_range(a.walls), z_range(b.walls), strict=True)
    return all(same(x, y) for x, y in ends)


def _rod(cq: Any) -> Any:
    return cq.Workplane().circle(10.0).extrude(40.0)


def _tube(cq: Any) -> Any:
    return cq.Workplane().circle(20.0).circle(16.0).extrude(60.0)


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(8.0)


EXAMPLES = (
    Example("a keyway is none", lambda cq: _rod(cq).cut(
        cq.Workplane().box(10, 4, 20).translate((13, 0, 20))
    )),
    Example("round holes are none", lambda cq: _disc(cq).faces(">Z").workplane()
            .polarArray(25, 0, 360, 3).hole(6.0)),
    Example(
        "a screwdriver's across the end",
        lambda cq: _rod(cq).cut(cq.Workplane().box(40, 2.5, 6).translate((0, 0, 40))),
        ({"width_mm": 2.5, "depth_mm": 3.0, "place": "end", "through": False},),
    ),
    Example(
        "across the end of a tube, through both walls",
        lambda cq: _tube(cq).cut(cq.Workplane().box(60, 5, 20).translate((0, 0, 60))),
        ({"width_mm": 5.0, "depth_mm": 10.0, "place": "end"},),
    ),
    Example(
        "a window with square ends through one wall",
        lambda cq: _tube(cq).cut(cq.Workplane().box(20, 6, 25).translate((20, 0, 30))),
        ({"width_mm": 6.0, "length_mm": 25.0, "ends": "square", "through": True,
          "direction": "radial"},),
    ),
    Example(
        "through both walls, round ends",
        lambda cq: _tube(cq).cut(
            cq.Workplane("XZ").center(0, 30).slot2D(20, 6, 90).extrude(50, both=True)
        ),
        ({"width_mm": 6.0, "length_mm": 20.0, "ends": "round", "through": True, "walls": 2},),
    ),
    Example(
        "through a disc, straight",
        lambda cq: _disc(cq).faces(">Z").workplane().center(20, 0).slot2D(14, 5).cutThruAll(),
        ({"width_mm": 5.0, "length_mm": 14.0, "through": True, "depth_mm": 8.0,
          "direction": "axial", "ends": "round"},),
    ),
    Example(
        # from the floor, 7 off the axis below the middle, along the walls up to the outside
        "leaning by 20 degrees",
        lambda cq: _rod(cq).cut(
            cq.Workplane().box(40, 60, 6).translate((20, 0, 0)).rotate((0, 0, 0), (0, 1, 0), 20)
            .translate((7, 0, 20))
        ),
        ({"width_mm": 6.0, "direction": "other", "through": False,
          "depth_mm": (10.0 - 7.0 + 3.0 * math.sin(math.radians(20)))
          / math.cos(math.radians(20))},),
    ),
    Example(
        "four through a disc along arcs are one",
        lambda cq: _disc(cq).faces(">Z").workplane().hole(10.0).cut(_arcs(cq)),
        ({"count": 4, "form": "arc", "width_mm": 6.0, "circle_diameter_mm": 50.0,
          "arc_deg": 40.0, "through": True},),
    ),
    Example(
        "three between spokes with parallel sides",
        lambda cq: _disc(cq).cut(cq.Workplane().circle(30.0).circle(15.0).extrude(20.0).cut(
            _spokes(cq, 3, 6.0)
        )),
        ({"count": 3, "form": "arc", "width_mm": 15.0, "spoke_width_mm": 6.0},),
    ),
    Example(
        "two between spokes with parallel sides",
        lambda cq: _disc(cq).cut(cq.Workplane().circle(30.0).circle(15.0).extrude(20.0).cut(
            _spokes(cq, 2, 5.0)
        )),
        ({"form": "arc", "spoke_width_mm": 5.0}, {"form": "arc", "spoke_width_mm": 5.0}),
    ),
    Example(
        "open to the outside: a notch",
        lambda cq: _disc(cq).cut(cq.Workplane().box(20, 12, 40).translate((40, 0, 0))),
        ({"width_mm": 12.0, "direction": "radial", "depth_mm": 10.0, "length_mm": 8.0,
          "ends": "open"},),
    ),
)  # fmt: skip


def _arcs(cq: Any) -> Any:
    ring = cq.Workplane().circle(28.0).circle(22.0).extrude(20.0)
    one = ring.intersect(_wedge(cq, 40.0))
    made = one
    for turn in (90, 180, 270):
        made = made.union(one.rotate((0, 0, 0), (0, 0, 1), turn))
    return made


def _spokes(cq: Any, count: int, width: float) -> Any:
    made = cq.Workplane()
    for k in range(count):
        spoke = cq.Workplane().box(60.0, width, 60.0).translate((30.0, 0, 0))
        made = made.union(spoke.rotate((0, 0, 0), (0, 0, 1), 360.0 * k / count))
    return made


def _wedge(cq: Any, angle_deg: float) -> Any:
    half = math.radians(angle_deg / 2.0)
    far = 60.0
    corners = [(0, 0), (far, -far * math.tan(half)), (far, far * math.tan(half))]
    return cq.Workplane().polyline(corners).close().extrude(20.0)
