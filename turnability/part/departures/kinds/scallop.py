"""Round-walled cuts that are open along their whole length: less than a hole, no slot."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.vectors import Z, on_line, parallel, square
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "scallop"
RANK = 86


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Cuts of one hollow cylinder off the axis, with the floors that close it along its line.

    `length_mm` along its own line, `depth_mm` along the part's radius.
    """
    claims = []
    for cut in cuts:
        rounds = [wall for wall in cut.walls if wall.kind == "cylinder"]
        if len(rounds) != 1 or rounds[0].coaxial or not rounds[0].hollow:
            continue
        wall = rounds[0]
        if not all(other is wall or _closes(other, wall) for other in cut.walls):
            continue
        low, high = wall.extent(wall.direction)
        heading = "axial" if wall.is_along(Z) else "other"
        if square(wall.direction, Z):
            heading = "across"
        r_low, r_high = cut.r_mm
        claims.append(
            Claim(
                KIND,
                cut.walls,
                {"form": FORM, "diameter_mm": 2.0 * wall.radius_mm, "direction": heading,
                 "length_mm": high - low, "depth_mm": r_high - r_low,
                 "through": len(cut.walls) == 1},
            )
        )  # fmt: skip
    return claims


def _closes(wall: Wall, round_: Wall) -> bool:
    """Whether a wall is a floor square to the cylinder's line, or turns about that line."""
    if wall.kind == "plane":
        return parallel(wall.direction, round_.direction)
    return wall.hollow and on_line(wall.point, round_.point, round_.direction)


EXAMPLES = (
    Example("a hole clear of the edge", lambda cq: cq.Workplane().circle(30.0).extrude(8.0)
            .faces(">Z").workplane().pushPoints([(20.0, 0.0)]).hole(6.0)),
    Example(
        "a hole beside the bore that has run into it",
        lambda cq: cq.Workplane().circle(20.0).circle(6.0).extrude(40.0).cut(
            cq.Workplane().center(7.0, 0.0).circle(4.0).extrude(15.0)
        ),
        ({"diameter_mm": 8.0, "direction": "axial", "length_mm": 15.0, "depth_mm": 5.0,
          "through": False},),
    ),
    Example(
        "four round bites out of the edge of a disc",
        lambda cq: cq.Workplane().circle(30.0).extrude(8.0).cut(
            cq.Workplane().polarArray(32.0, 0, 360, 4).circle(6.0).extrude(8.0)
        ),
        ({"count": 4, "diameter_mm": 12.0, "length_mm": 8.0, "through": True},),
    ),
    Example(
        "a round clearance milled across a shaft",
        lambda cq: cq.Workplane().circle(15.0).extrude(60.0).cut(
            cq.Workplane("XZ").center(20.0, 30.0).circle(10.0).extrude(40.0, both=True)
        ),
        ({"diameter_mm": 20.0, "direction": "across", "depth_mm": 5.0},),
    ),
)  # fmt: skip
