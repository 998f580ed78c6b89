"""T-slots: a narrow neck above a wider head, in an end, along or across a side, in a bore."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, extent, r_range, same
from turnability.part.departures.rings import gap, parallel_pair
from turnability.part.departures.vectors import SAME_MM, Z, cross, dot, parallel, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Vector

KIND: DepartureKind = "slot"
FORM = "T"
RANK = 68


@dataclass(frozen=True, eq=False)
class _Pair:
    """Two parallel planes that face each other, with the cuts that they are of."""

    cuts: tuple[Cut, Cut]
    a: Wall
    b: Wall

    @property
    def width_mm(self) -> float:
        return gap(self.a, self.b)

    @property
    def middle_mm(self) -> float:
        """Where it stands along the first one's normal."""
        return (self.a.offset_mm - self.b.offset_mm) / 2.0

    def across(self, direction: Vector) -> tuple[float, float]:
        return extent((self.a, self.b), direction)


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """A pair of sides that stands in the middle above a wider pair, with a roof between them.

    `width_mm` and `head_width_mm`: of neck and head; `depth_mm` over both, `head_depth_mm`.
    """
    planes = [(cut, wall) for cut in cuts for wall in cut.walls if wall.kind == "plane"]
    covered = [(cut, wall) for cut, wall in planes if _ceilings(_level_with(cut, wall))]
    claims: list[Claim] = []
    taken: set[int] = set()
    for head in _pairs(covered):
        beside = [(cut, wall) for cut, wall in planes if wall.is_along(head.a.direction)]
        for neck in _pairs(beside):
            up = None if taken & {id(neck.a), id(head.a)} else _up(neck, head)
            if up is None:
                continue
            lot = {id(cut): cut for cut in (*neck.cuts, *head.cuts)}.values()
            walls = tuple(wall for cut in lot for wall in cut.walls)
            taken.update(id(wall) for wall in walls)
            claims.append(_claim(neck, head, up, walls))
    return claims


def _pairs(planes: Sequence[tuple[Cut, Wall]]) -> list[_Pair]:
    return [
        _Pair((cut, other), a, b)
        for i, (cut, a) in enumerate(planes)
        for other, b in planes[i + 1 :]
        if cut.account == other.account and parallel_pair(a, b)
    ]


def _up(neck: _Pair, head: _Pair) -> Vector | None:
    """The way out of the head through the neck; None where they are no neck and head."""
    if head.width_mm <= neck.width_mm + SAME_MM or not parallel(neck.a.direction, head.a.direction):
        return None
    turned = 1.0 if dot(neck.a.direction, head.a.direction) > 0.0 else -1.0
    if not same(neck.middle_mm, turned * head.middle_mm):
        return None
    for up, roof_mm, floor_mm in _ceilings(_beside(head)):
        low, high = head.across(up)
        level = same(neck.across(up)[0], high) and same(roof_mm, high) and same(floor_mm, low)
        if level and high > low + SAME_MM:
            along = cross(head.a.direction, up)
            (a, b), (c, d) = neck.across(along), head.across(along)
            if min(b, d) - max(a, c) > SAME_MM:
                return up
    return None


def _level_with(cut: Cut, side: Wall) -> list[Wall]:
    """Planes beside a plane and square to it."""
    return [
        wall
        for wall in (*cut.beside(side), *cut.rims(side))
        if wall.kind == "plane" and square(wall.direction, side.direction)
    ]


def _beside(head: _Pair) -> list[Wall]:
    """Planes beside both sides and square to them."""
    first, second = (
        _level_with(cut, side) for cut, side in zip(head.cuts, (head.a, head.b), strict=True)
    )
    return [
        wall
        for wall in first
        if any(
            dot(wall.direction, other.direction) > 0.5 and same(wall.offset_mm, other.offset_mm)
            for other in second
        )
    ]


def _ceilings(walls: Sequence[Wall]) -> list[tuple[Vector, float, float]]:
    """Ways up from a floor to a roof that looks at it, and the levels of roof and floor."""
    return [
        (floor.direction, -roof.offset_mm, floor.offset_mm)
        for floor in walls
        for roof in walls
        if parallel_pair(floor, roof)
    ]


def _claim(neck: _Pair, head: _Pair, up: Vector, walls: tuple[Wall, ...]) -> Claim:
    low, high = head.across(up)
    mouth = neck.across(up)[1]
    if square(up, Z):  # to the round, as other slots' depths are told
        near, far = r_range((neck.a, neck.b))
        mouth = far if mouth > 0.0 else -near
    along = neck.across(cross(neck.a.direction, up))
    heading = "axial" if parallel(up, Z) else "radial" if square(up, Z) else "other"
    return Claim(
        KIND,
        walls,
        {
            "form": FORM,
            "width_mm": neck.width_mm,
            "head_width_mm": head.width_mm,
            "depth_mm": mouth - low,
            "head_depth_mm": high - low,
            "length_mm": along[1] - along[0],
            "direction": heading,
        },
    )


EXAMPLES = (
    Example("a stepped slot, wide above, is none", lambda cq: _disc(cq).cut(
        cq.Workplane().box(100, 6, 20).translate((0, 0, 20))
    ).cut(cq.Workplane().box(100, 12, 8).translate((0, 0, 20)))),
    Example(
        "across an end, neck 6, head 12 by 5, 12 deep",
        lambda cq: _disc(cq).cut(_bars(cq)),
        ({"width_mm": 6.0, "head_width_mm": 12.0, "depth_mm": 12.0, "head_depth_mm": 5.0,
          "direction": "axial", "z_mm": (8.0, 20.0), "length_mm": 2.0 * math.sqrt(1600.0 - 9.0)},),
    ),
    Example(
        "along a shaft",
        lambda cq: cq.Workplane().circle(20.0).extrude(60.0).cut(
            cq.Workplane().box(20, 5, 100).translate((20, 0, 30))
            .union(cq.Workplane().box(4, 10, 100).translate((12, 0, 30)))
        ),
        ({"width_mm": 5.0, "head_width_mm": 10.0, "depth_mm": 10.0, "head_depth_mm": 4.0,
          "direction": "radial", "length_mm": 60.0},),
    ),
    Example(
        "in an end, beside the axis, closed, with round ends",
        lambda cq: _disc(cq).cut(
            cq.Workplane(origin=(0, 22, 13)).slot2D(30, 6).extrude(20.0)
            .union(cq.Workplane(origin=(0, 22, 8)).slot2D(36, 12).extrude(5.0))
        ),
        ({"width_mm": 6.0, "head_width_mm": 12.0, "depth_mm": 12.0, "head_depth_mm": 5.0,
          "direction": "axial", "faces": 10},),
    ),
)  # fmt: skip


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(20.0)


def _bars(cq: Any) -> Any:
    neck = cq.Workplane().box(100, 6, 8).translate((0, 0, 16))
    return neck.union(cq.Workplane().box(100, 12, 5).translate((0, 0, 10.5)))
