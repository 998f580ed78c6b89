"""Slots with a round floor, as a ball-nosed cutter leaves them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, extent, same
from turnability.part.departures.vectors import Z, on_line, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind

KIND: DepartureKind = "slot"
FORM = "ball-nosed"
RANK = 45


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Cuts of a hollow cylinder and of balls of its own radius on its line, where it ends.

    `width_mm` is the cutter's diameter; `length_mm` is that of the whole slot.
    """
    claims = []
    for cut in cuts:
        rounds = [wall for wall in cut.walls if wall.kind == "cylinder" and not wall.coaxial]
        balls = [wall for wall in cut.walls if wall.kind == "sphere"]
        if len(rounds) != 1 or not balls or len(cut.walls) != 1 + len(balls):
            continue
        wall = rounds[0]
        if not wall.hollow or not all(_ends(ball, wall) for ball in balls):
            continue
        low, high = extent(cut.walls, wall.direction)
        heading = "axial" if wall.is_along(Z) else "other"
        if square(wall.direction, Z):
            heading = "across"
        r_low, r_high = cut.r_mm
        claims.append(
            Claim(
                KIND,
                cut.walls,
                {"form": FORM, "width_mm": 2.0 * wall.radius_mm, "length_mm": high - low,
                 "depth_mm": r_high - r_low, "runs": heading,
                 "ends": "round" if len(balls) > 1 else "open, round"},
            )
        )  # fmt: skip
    return claims


def _ends(ball: Wall, wall: Wall) -> bool:
    return (
        ball.hollow
        and same(ball.radius_mm, wall.radius_mm)
        and on_line(ball.point, wall.point, wall.direction)
    )


def _cutter(cq: Any, length: float) -> Any:
    rod = cq.Workplane("XZ", origin=(0, 0, 20)).circle(2.0).extrude(-length)
    for y in (0.0, length):
        rod = rod.union(cq.Workplane().sphere(2.0).translate((0, y, 20)))
    return rod


EXAMPLES = (
    Example("a hole with a round bottom", lambda cq: cq.Workplane().circle(20.0).extrude(40.0).cut(
        cq.Workplane("YZ", origin=(10, 0, 0)).center(0, 20).circle(3.0).extrude(40.0)
        .union(cq.Workplane().sphere(3.0).translate((10, 0, 20)))
    )),
    Example(
        "along a shaft",
        lambda cq: cq.Workplane().circle(10.0).extrude(40.0).cut(
            _cutter(cq, 12.0).rotate((0, 0, 20), (1, 0, 20), 90).translate((10, 0, -6))
        ),
        ({"width_mm": 4.0, "length_mm": 16.0, "depth_mm": 2.0, "runs": "axial",
          "ends": "round"},),
    ),
    Example(
        "out through the end",
        lambda cq: cq.Workplane().circle(10.0).extrude(40.0).cut(
            _cutter(cq, 12.0).rotate((0, 0, 20), (1, 0, 20), 90).translate((10, 0, 14))
        ),
        ({"width_mm": 4.0, "depth_mm": 2.0, "runs": "axial", "ends": "open, round"},),
    ),
)  # fmt: skip
