"""Raised text and marks: small figures left standing when the face round them was cut down."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from turnability.part.departures.cut import Claim, Cut, Example, same
from turnability.part.departures.figures import Figure, standing_out, texts
from turnability.part.departures.vectors import SAME_MM
from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

KIND: DepartureKind = "other"
FORM = "raised text"
RANK = 36
_WIDEST = math.pi
"""Radians: what winds farther round the axis is a ring, or what is left of one."""


def find(cuts: Sequence[Cut]) -> list[Claim]:
    """Shallow figures of one height, if any has the form of a letter: out of a flat, or of a round
    or an end that then carries a low ring, from which all but the figures is missing.

    `height_mm` above what they stand on; `figures`: closed ones.
    """
    claims = [
        Claim(
            KIND,
            tuple({id(wall): wall for figure in text for wall in figure.walls}.values()),
            _told(text),
        )
        for text in texts(standing_out(cuts))
    ]
    for (top, ground), around in _rings(cuts):
        tops = {min(rim.indices): rim for cut in around for rim in _rims(cut) if _level(rim, top)}
        figures = [Figure(ground, (rim,), (rim,), _height(top, ground)) for rim in tops.values()]
        if not all(figure.is_shallow and not _winds(figure.walls[0]) for figure in figures):
            continue
        if any(figure.is_letter for figure in figures):
            walls = tuple(wall for cut in around for wall in cut.walls)
            claims.append(Claim(KIND, walls, _told(figures)))
    return claims


def _told(figures: Sequence[Figure]) -> dict[str, Parameter]:
    return {
        "form": FORM,
        "height_mm": figures[0].depth_mm,
        "figures": len(figures),
        "direction": figures[0].heading,
    }


def _rings(cuts: Sequence[Cut]) -> list[tuple[tuple[Wall, Wall], list[Cut]]]:
    """Cuts that reach from one level of the body's faces, or of theirs, to one above it.

    With one face of the level above and one of that below.
    """
    lots: list[tuple[tuple[Wall, Wall], list[Cut]]] = []
    for cut in cuts:
        pair = _levels(cut)
        if pair is None:
            continue
        for known, lot in lots:
            if _level(pair[0], known[0]) and _level(pair[1], known[1]):
                lot.append(cut)
                break
        else:
            lots.append((pair, [cut]))
    return lots


def _levels(cut: Cut) -> tuple[Wall, Wall] | None:
    """A face at the cut's upper and one at its lower end, both looking the same way."""
    faces = [wall for wall in (*_rims(cut), *cut.walls) if wall.coaxial]
    for kind in ("cylinder", "plane"):
        own = [wall for wall in faces if wall.kind == kind]
        for looks in (True, False):
            alike = [wall for wall in own if _looks(wall) == looks]
            if len(alike) < 2:
                continue
            top, ground = max(alike, key=_up), min(alike, key=_up)
            low, high = cut.r_mm if kind == "cylinder" else cut.z_mm
            ends = sorted((_at(top), _at(ground)))
            if _up(top) > _up(ground) + SAME_MM and same(ends[0], low) and same(ends[1], high):
                return top, ground
    return None


def _rims(cut: Cut) -> Iterable[Wall]:
    return [rim for wall in cut.walls for rim in cut.rims(wall)]


def _looks(wall: Wall) -> bool:
    """Away from the axis; of an end: up."""
    return not wall.hollow if wall.kind == "cylinder" else wall.direction[2] > 0.0


def _at(wall: Wall) -> float:
    """Its radius, or its place along the axis."""
    return wall.radius_mm if wall.kind == "cylinder" else wall.offset_mm * wall.direction[2]


def _up(wall: Wall) -> float:
    """How far out of the material it lies, the way that it looks."""
    return _at(wall) if _looks(wall) else -_at(wall)


def _height(top: Wall, ground: Wall) -> float:
    return _up(top) - _up(ground)


def _level(a: Wall, b: Wall) -> bool:
    return a.kind == b.kind and a.coaxial and _looks(a) == _looks(b) and same(_at(a), _at(b))


def _winds(top: Wall) -> bool:
    """Whether a figure lies round the axis, or over it."""
    (low, high), reach = top.r_mm, math.hypot(*top.middle[:2])
    if top.kind == "plane":
        return low <= SAME_MM or high - low > reach
    u0, u1, _, _ = top.faces[0].bounds
    return u1 - u0 > _WIDEST


EXAMPLES = (
    Example("a low pad on an end is none", lambda cq: _disc(cq).union(
        cq.Workplane().box(8, 5, 0.4).translate((20, 0, 8.2))
    )),
    Example("engraved letters are none", lambda cq: _disc(cq).cut(_text(cq, -0.3))),
    Example(
        "three letters on an end, 0.4 high",
        lambda cq: _disc(cq).union(_text(cq, 0.4)),
        ({"height_mm": 0.4, "figures": 3, "direction": "axial", "z_mm": (8.0, 8.4)},),
    ),
    Example(
        "three letters out of the side, 0.3 high",
        lambda cq: cq.Workplane().circle(15.0).extrude(60.0).union(
            cq.Workplane("XZ", origin=(0, 0, 30)).text("NET", 5, 30, combine=False)
            .intersect(cq.Workplane().circle(15.3).extrude(60.0))
        ),
        ({"height_mm": 0.3, "figures": 3, "direction": "radial"},),
    ),
    Example(
        "three letters on a flat, 0.3 high",
        lambda cq: cq.Workplane().circle(15.0).extrude(60.0).cut(
            cq.Workplane().box(40, 10, 30).translate((0, -17, 30))
        ).union(cq.Workplane("XZ", origin=(0, -12, 30)).text("NET", 5, 0.3, combine=False)),
        ({"height_mm": 0.3, "figures": 3, "direction": "radial"},),
    ),
)  # fmt: skip


def _disc(cq: Any) -> Any:
    return cq.Workplane().circle(40.0).extrude(8.0)


def _text(cq: Any, height: float) -> Any:
    return cq.Workplane(origin=(20, 0, 8)).text("NET", 6, height, combine=False)
