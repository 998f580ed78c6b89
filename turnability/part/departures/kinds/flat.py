"""Flats: one, with the round opposite, or two parallel ones across each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, same, z_range
from turnability.part.departures.floors import Floor, floors, is_plain, with_ends
from turnability.part.departures.vectors import opposite, parallel
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "flat"
FORM = None
RANK = 75


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Pairs of parallel flats of one length across the axis are one; all others by themselves."""
    left = [floor for floor in floors(cuts) if is_plain(floor)]
    claims = []
    while left:
        first = left.pop(0)
        twin = next((other for other in left if _opposite(first, other)), None)
        if twin is not None:
            left.remove(twin)
        claims.append(_claim(first, twin))
    return claims


def _opposite(a: Floor, b: Floor) -> bool:
    facing = parallel(a.wall.direction, opposite(b.wall.direction)) and (
        a.wall.direction[0] * b.wall.direction[0] + a.wall.direction[1] * b.wall.direction[1] < 0.0
    )
    ends = zip(a.wall.z_mm, b.wall.z_mm, strict=True)
    return facing and a.outer == b.outer and all(same(x, y) for x, y in ends)


def _claim(floor: Floor, twin: Floor | None) -> Claim:
    walls = {id(w): w for f in (floor, twin) if f is not None for w in with_ends(f)}
    low, high = z_range(walls.values())
    out = _round_mm(floor, list(walls.values()))
    across = floor.distance_mm + (twin.distance_mm if twin is not None else out)
    depths = sorted(out - f.distance_mm for f in (floor, twin) if f is not None)
    uneven = not same(depths[0], depths[-1])
    found: dict[str, Parameter] = {
        "across_flats_mm": across,
        "length_mm": high - low,
        "flats": len(depths),
        "depth_mm": depths[-1],
        **({"other_depth_mm": depths[0]} if uneven else {}),
        "surface": "outer" if floor.outer else "inner",
    }
    return Claim(KIND, tuple(walls.values()), found)


def _round_mm(floor: Floor, walls: Sequence[Wall]) -> float:
    """Radius of the round that the flat breaks: where it ends, or of the bore beside it."""
    beside = [w.radius_mm for w in walls if w.kind == "cylinder" and w.coaxial and w.hollow]
    return max(beside) if beside and not floor.outer else floor.wall.r_mm[1]


def _rod(cq: Any) -> Any:
    return cq.Workplane().circle(10.0).extrude(50.0)


def _off(cq: Any, at: float, z: tuple[float, float], turn: float = 0.0) -> Any:
    """A block beyond x = at."""
    block = cq.Workplane().box(20.0, 60.0, z[1] - z[0])
    block = block.translate((at + 10.0, 0, (z[0] + z[1]) / 2.0))
    return block.rotate((0, 0, 0), (0, 0, 1), turn)


EXAMPLES = (
    Example("a plain rod", _rod),
    Example("a keyway is none", lambda cq: _rod(cq).cut(
        cq.Workplane().box(20, 4, 20).translate((17.5, 0, 25))
    )),
    Example(
        "one on the end: across it to the round opposite",
        lambda cq: _rod(cq).cut(_off(cq, 8.0, (35.0, 60.0))),
        ({"across_flats_mm": 18.0, "length_mm": 15.0, "flats": 1, "depth_mm": 2.0},),
    ),
    Example(
        "two parallel",
        lambda cq: _rod(cq).cut(_off(cq, 8.0, (20.0, 30.0))).cut(
            _off(cq, 8.0, (20.0, 30.0), 180.0)
        ),
        ({"across_flats_mm": 16.0, "length_mm": 10.0, "flats": 2},),
    ),
    Example(
        "two parallel, one deeper than the other: 10 - 7 and 10 - 8.5",
        lambda cq: _rod(cq).cut(_off(cq, 8.5, (20.0, 30.0))).cut(
            _off(cq, 7.0, (20.0, 30.0), 180.0)
        ),
        ({"across_flats_mm": 15.5, "flats": 2, "depth_mm": 3.0, "other_depth_mm": 1.5},),
    ),
    Example(
        "inside a bore",
        lambda cq: _rod(cq).cut(
            cq.Workplane().circle(6.0).extrude(50.0).cut(_off(cq, 4.0, (0.0, 60.0)))
        ),
        ({"across_flats_mm": 10.0, "surface": "inner", "flats": 1},),
    ),
    Example(
        "all along, with a hole through it",
        lambda cq: _rod(cq).cut(_off(cq, 7.0, (-1.0, 60.0))).cut(
            cq.Workplane("YZ").center(0, 25).circle(2.0).extrude(60.0, both=True)
        ),
        ({"across_flats_mm": 17.0, "length_mm": 50.0, "flats": 1},),
    ),
)  # fmt: skip
