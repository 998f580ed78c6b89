"""Edges of a file that have no length, left out.

Where a face was divided in the very place where an edge ended already, exporters leave an edge that
begins and ends in one vertex and lies on a curve that is not closed. Such an edge is a point. The
kernel takes it for the whole curve, and faces beside it reach as far as that does.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from turnability.part.reading.placements import point_of
from turnability.part.reading.records import Records, Value, at, number_in, references
from turnability.part.reading.step_text import StepText

_ONE_VERTEX = re.compile(
    r"#(\d+)\s*=\s*EDGE_CURVE\s*\(\s*'(?:[^']|'')*'\s*,\s*#(\d+)\s*,\s*#\2\s*,\s*#(\d+)"
)
_ALONG_FACES = ("SURFACE_CURVE", "SEAM_CURVE", "INTERSECTION_CURVE")
_OPEN = 1e-3
"""Share of the way along its poles by which the ends of an open curve are apart; a closed one may
be badly closed."""


def without_empty_edges(text: StepText) -> tuple[StepText, frozenset[int]]:
    """The file with such edges out of their loops, and the faces that were bounded by them.

    Every entity keeps its number and its place. Edges that are the whole of a loop stay.
    """
    records = Records(text)
    stated = (tuple(map(int, hit.groups())) for hit in _ONE_VERTEX.finditer(text.text))
    empty = {edge for edge, _, curve in stated if edge in text.instances and _open(records, curve)}
    if not empty:
        return text, frozenset()
    uses = {
        use: edge
        for use in text.by_keyword.get("ORIENTED_EDGE", ())
        for edge in text.references(use)[-1:]
        if edge in empty
    }
    loops = {loop: text.references(loop) for loop in text.by_keyword.get("EDGE_LOOP", ())}
    for listed in loops.values():
        if all(use in uses for use in listed):
            empty -= {uses[use] for use in listed}
    gone = {use for use, edge in uses.items() if edge in empty}
    told = text.text
    changed = set()
    for loop, listed in loops.items():
        if gone.intersection(listed):
            place = text.instances[loop]
            left = [f"#{use}" for use in listed if use not in gone]
            said = f"('',({','.join(left)}))"
            # as long as it was, so that all else keeps its place
            told = told[: place.start] + said.ljust(place.end - place.start) + told[place.end :]
            changed.add(loop)
    faces = frozenset(
        face
        for face in text.faces
        for bound in text.references(face)[:-1]
        if changed.intersection(text.references(bound))
    )
    return replace(text, text=told), faces


def remark_on_emptied(count: int) -> tuple[str, ...]:
    """What is said of a solid with so many faces beside such edges."""
    if not count:
        return ()
    which = "1 face lists" if count == 1 else f"{count} faces list"
    return (f"{which} edges without length (one vertex, an open curve); they were left out",)


def _open(records: Records, curve: int) -> bool:
    """Whether a curve is one whose ends are apart; a closed one may bound a face alone."""
    along = [n for k in _ALONG_FACES for n in references(at(records.simple(curve, k), 1))]
    curve = along[0] if along else curve
    if records.simple(curve, "LINE"):
        return True
    values = records.simple(curve, "B_SPLINE_CURVE")
    knots = records.simple(curve, "B_SPLINE_CURVE_WITH_KNOTS")
    if len(knots) > len(values):  # a simple entity: its name, and all that the parts say
        values, knots = knots[1:6], knots[6:]
    if not values or not _clamped(at(knots, 0), number_in(at(values, 0))):
        return False
    poles = [point_of(records, n) for n in references(at(values, 1))]
    if len(poles) < 2 or any(pole is None for pole in poles):
        return False
    places = np.array(poles)
    way = float(np.linalg.norm(np.diff(places, axis=0), axis=1).sum())
    return float(np.linalg.norm(places[-1] - places[0])) > _OPEN * way


def _clamped(multiplicities: Value, degree: float | None) -> bool:
    """Whether a B-spline begins and ends at its poles."""
    if degree is None or not isinstance(multiplicities, tuple) or not multiplicities:
        return False
    ends = (multiplicities[0], multiplicities[-1])
    return all((number_in(end) or 0.0) > degree for end in ends)
