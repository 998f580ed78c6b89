"""Engraved text and marks: small closed figures with many walls and one shallow floor."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example
from turnability.part.departures.figures import let_in, texts
from turnability.part.model import DepartureKind

KIND: DepartureKind = "other"
FORM = "engraved text"
RANK = 38


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Shallow figures of one depth beside each other, if any has the form of a letter.

    `depth_mm` from the face that they are in, on a round one where they are deepest; `figures`:
    closed ones, a full stop or the dot of an i counted too.
    """
    return [
        Claim(
            KIND,
            tuple({id(wall): wall for figure in text for wall in figure.walls}.values()),
            {
                "form": FORM,
                "depth_mm": text[0].depth_mm,
                "figures": len(text),
                "direction": text[0].heading,
            },
        )
        for text in texts(let_in(cuts))
    ]


EXAMPLES = (
    Example("a shallow round recess beside the axis", lambda cq: _disc(cq).faces(">Z")
            .workplane().pushPoints([(20.0, 0.0)]).hole(8.0, 0.3)),
    Example("a shallow pocket of four sides", lambda cq: _disc(cq).faces(">Z").workplane()
            .center(20, 0).rect(10, 6).cutBlind(-0.5)),
    Example("one with round corners", lambda cq: _disc(cq).cut(
        cq.Workplane(origin=(20, 0, 7.2)).rect(14, 10).extrude(5.0).edges("|Z").fillet(2.0)
    )),
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
