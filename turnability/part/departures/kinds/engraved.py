"""Engraved text and marks: small closed figures with many walls and one shallow floor."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, extent
from turnability.part.departures.prism import Prism, prism
from turnability.part.departures.rings import alike
from turnability.part.departures.vectors import square_to
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "other"
FORM = "engraved text"
RANK = 65
_DEEPEST_MM = 1.0
_DEEPEST_SHARE = 0.2
"""Depth over the figure's size; deeper ones are pockets."""
_MANY_SIDES = 7
"""A figure of fewer sides alone may be a pocket; beside others of its depth it is a letter too."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Shallow figures of one floor level together, if any has the many sides of letters."""
    shallow = [(cut, seen) for cut in cuts if (seen := _shallow(cut)) is not None]
    lots = alike(
        shallow,
        lambda item: (item[1].depth_mm, *_level(item[1])),
        lambda item: (item[1].heading, item[1].floors[0].kind),
    )
    claims = []
    for lot in lots:
        if max(len(seen.sides) for _, seen in lot) < _MANY_SIDES:
            continue
        found: dict[str, Parameter] = {
            "form": FORM,
            "depth_mm": lot[0][1].depth_mm,
            "figures": len(lot),
            "direction": lot[0][1].heading,
        }
        claims.append(Claim(KIND, tuple(w for cut, _ in lot for w in cut.walls), found))
    return claims


def _shallow(cut: Cut) -> Prism | None:
    seen = prism([cut])
    if seen is None or len(seen.floors) != 1 or len(seen.sides) < 2:
        return None
    depth = seen.depth_mm
    x, y = square_to(seen.direction)
    (x0, x1), (y0, y1) = extent(cut.walls, x), extent(cut.walls, y)
    size = math.hypot(x1 - x0, y1 - y0)
    if depth > min(_DEEPEST_MM, _DEEPEST_SHARE * size):
        return None
    return seen


def _level(seen: Prism) -> tuple[float, ...]:
    floor: Wall = seen.floors[0]
    return (floor.radius_mm,) if floor.kind == "cylinder" else (floor.offset_mm,)


EXAMPLES = (
    Example("a shallow round recess beside the axis", lambda cq: _disc(cq).faces(">Z")
            .workplane().pushPoints([(20.0, 0.0)]).hole(8.0, 0.3)),
    Example("a shallow pocket of four sides", lambda cq: _disc(cq).faces(">Z").workplane()
            .center(20, 0).rect(10, 6).cutBlind(-0.5)),
    Example(
        "three letters in an end, 0.3 deep: an E, an F and an I",
        lambda cq: _disc(cq).cut(_letters(cq)),
        ({"depth_mm": 0.3, "figures": 3, "direction": "axial"},),
    ),
)  # fmt: skip


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(8.0)


def _letters(cq: Any) -> Any:
    def bars(x: float, rows: Sequence[float]) -> Any:
        made = cq.Workplane().box(1.0, 7.0, 2.0).translate((x, 0, 8.7))
        for y in rows:
            made = made.union(cq.Workplane().box(3.5, 1.0, 2.0).translate((x + 1.25, y, 8.7)))
        return made

    return bars(15.0, (-3.0, 0.0, 3.0)).add(bars(21.0, (0.0, 3.0))).add(bars(27.0, ())).combine()
