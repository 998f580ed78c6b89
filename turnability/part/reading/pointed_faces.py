"""Faces of an arc turned about an axis that it crosses: ogives, pointed noses and hollows.

The file stores the whole circle or ellipse that such an arc is part of. Turned, it crosses itself
where it meets the axis, and the face is of one half alone: the outer (an apple) or the inner (a
lemon). The kernel lays seams on such a surface a turn off and loses the face. It is therefore told
the arc, from where the curve meets the axis to where it does so again, on the half that the
face's own edges lie on. A face between two points on the axis may have no edge: exporters lay it on
the half that begins where the circle does, as they do balls (see `turned_circles`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from turnability.part.reading.ovals import ROUND, Oval
from turnability.part.reading.placements import (
    Array,
    origin_of,
    point_of,
    turned_about,
)
from turnability.part.reading.records import (
    Records,
    at,
    references,
    words_in,
)
from turnability.part.reading.restated_balls import AS_STATED, Restated, first_free
from turnability.part.reading.rims_alone import pointed_by_rim
from turnability.part.reading.step_text import StepText

_NEAR = 1e-5
"""Share of the curve's size by which an edge may leave it, and its plane the axis."""
_TOUCHING = 1e-7
"""Share of the curve's size by which one that only touches the axis may miss it, and a ball's
centre."""
_JUST_BEGUN = 0.01
"""Radians from where a curve begins, which may be on the axis."""
_BOUNDS = re.compile(r"\s*\(\s*'(?:[^']|'')*'\s*,\s*(\([^()]*)\)")
"""A face's name and the list of its bounds, up to its end."""
_MOST = 1.75 * math.pi
"""Of a curve that only touches the axis, what is kept from there on."""


class Pointed(NamedTuple):
    """The text for the kernel to read, entities added at its end, and the faces it is for."""

    text: str
    added: int
    faces: frozenset[int]


def with_arcs(text: StepText, also: Restated = AS_STATED) -> Pointed:
    """The file's text with such curves cut to the arcs that faces with a point lie on.

    `also`: what of the text is stated otherwise besides, its faces not looked at. Every entity
    keeps its number and its place; new ones stand after all others.
    """
    records = Records(text)
    turned = set(text.by_keyword.get("SURFACE_OF_REVOLUTION", ()))
    sharing: dict[int, list[int]] = {}
    for face in text.faces if turned else ():
        for surface in text.references(face)[-1:]:
            if surface in turned and face not in also.senses:
                sharing.setdefault(surface, []).append(face)
    changes, more = list(also.changes), list(also.more)
    faces: set[int] = set()
    free = first_free(text) + len(more)
    for surface, shared in sharing.items():
        bounds = _BOUNDS.match(text.parameters(shared[0])) if len(shared) == 1 else None
        alone = pointed_by_rim(records, surface, shared[0]) if bounds is not None else None
        ends = _ends(records, surface, shared) if alone is None else alone.ends
        if alone is None and ends is None:
            continue
        if ends is not None:
            _, curve, axis = records.simple(surface, "SURFACE_OF_REVOLUTION")
            ((about,), (whole,)) = (tuple(references(axis)), tuple(references(curve)))
            cut = f"TRIMMED_CURVE('',#{whole},(#{free + 1}),(#{free + 2}),.T.,.CARTESIAN.)"
            more += [f"#{free}={cut};", _point(free + 1, ends[0]), _point(free + 2, ends[1])]
            place = text.instances[surface]
            changes.append((place.start, place.end, f"('',#{free},#{about})"))
            free += 3
        if bounds is not None and alone is not None and alone.bare:
            more += _bound(free, alone.tip)
            last = text.instances[shared[0]].start + bounds.end(1)
            changes.append((last, last, f",#{free}"))
            free += 4
        faces.update(shared)
    if not changes:
        return Pointed(text.text, 0, frozenset())
    last = max(instance.end for instance in text.instances.values()) + 1
    changes.append((last, last, "\n" + "\n".join(more)))
    pieces, done = [], 0
    for start, stop, said in sorted(changes):
        pieces += [text.text[done:start], said]
        done = stop
    return Pointed("".join((*pieces, text.text[done:])), len(more), frozenset(faces))


def remark_on(count: int) -> tuple[str, ...]:
    """What is said of a solid with so many such faces."""
    if not count:
        return ()
    which = "1 pointed face lies" if count == 1 else f"{count} pointed faces lie"
    surface = "a surface that meets itself" if count == 1 else "surfaces that meet themselves"
    return (f"{which} on {surface} on the axis; read as the part that the file says",)


def _bound(number: int, place: Array) -> tuple[str, ...]:
    """A bound that is a point, of four entities."""
    return (
        f"#{number}=FACE_BOUND('',#{number + 1},.T.);",
        f"#{number + 1}=VERTEX_LOOP('',#{number + 2});",
        f"#{number + 2}=VERTEX_POINT('',#{number + 3});",
        _point(number + 3, place),
    )


def _point(number: int, place: Array) -> str:
    return f"#{number}=CARTESIAN_POINT('',({','.join(f'{x:.17E}' for x in place.tolist())}));"


class _Edge(NamedTuple):
    """Ends of an edge, and its middle where it is a part of a circle or an ellipse."""

    ends: tuple[Array, Array]
    middle: Array | None


def _ends(records: Records, surface: int, faces: Sequence[int]) -> tuple[Array, Array] | None:
    """Where the arc that the faces of a surface are turned from begins and ends.

    None where the curve meets the axis nowhere or its faces do not, where it is a ball's, and
    where the faces' edges do not agree on a half.
    """
    values = records.simple(surface, "SURFACE_OF_REVOLUTION")
    if len(values) != 3:
        return None
    _, curve, axis = values
    origin, about = origin_of(records, axis), turned_about(records, axis)
    curves, axes = tuple(references(curve)), tuple(references(axis))
    if origin is None or len(curves) != 1 or len(axes) != 1:
        return None
    whole = Oval.of(records, curves[0])
    if whole is None or not records.keywords(curves[0]) & {*ROUND}:
        return None
    near = _NEAR * whole.size
    normal = np.cross(whole.along, whole.across)
    out = np.cross(normal / np.linalg.norm(normal), about)
    if np.linalg.norm(out) < 0.5 or abs(float(normal @ about)) > near * whole.size:
        return None
    out /= np.linalg.norm(out)
    if abs(float((whole.centre - origin) @ np.cross(out, about))) > near:
        return None
    off = float((whole.centre - origin) @ out)
    swing = math.hypot(float(whole.along @ out), float(whole.across @ out))
    top = math.atan2(float(whole.across @ out), float(whole.along @ out))
    ball = abs(np.linalg.norm(whole.along) - np.linalg.norm(whole.across)) < near
    if abs(off) > swing * (1.0 + _TOUCHING) or (ball and abs(off) < _TOUCHING * whole.size):
        return None
    edges = [edge for face in faces for edge in _edges(records, face)]
    # Between two points on the axis a face may have no edge: it is where the curve begins.
    begun = None if edges else whole.point(_JUST_BEGUN)
    edges += [_Edge((place, place), begun) for place in _lone(records, faces)]
    pointed = [edge for edge in edges if _meets(edge, origin, about, near)]
    if not pointed:
        return None
    if abs(off) > swing * (1.0 - _TOUCHING):
        cusp = top + (math.pi if off > 0.0 else 0.0)
        outward = math.copysign(1.0, off) * out

        def beyond(place: Array) -> float:
            height, r = _seen(place, origin, about)
            on_curve = origin + height * about + r * outward
            return (whole.angle(on_curve)[0] - cusp) % math.tau

        ways = {way for edge in pointed for way in _ways(edge, beyond, origin, about, near)}
        if len(ways) != 1:
            return None
        begin, end = (cusp, cusp + _MOST) if True in ways else (cusp - _MOST, cusp)
        return whole.point(begin), whole.point(end)
    places = [p for edge in edges for p in edge.ends]
    places += [edge.middle for edge in pointed if edge.middle is not None]
    sides = set()
    for place in places:
        height, r = _seen(place, origin, about)
        if r <= near:
            continue
        if abs(off) < near:  # both halves alike, with normals both ways: as the curve itself lies
            x = float((place - origin) @ out)
            if abs(abs(x) - r) <= near:
                sides.add(x > 0.0)
            continue
        level = origin + height * about
        gaps = {side: whole.angle(level + (r if side else -r) * out)[1] for side in (True, False)}
        best = min(gaps, key=lambda side: gaps[side])
        if gaps[best] > _NEAR * 10.0:
            return None
        sides.add(best)
    if len(sides) != 1:
        return None
    half = math.acos(max(-1.0, min(1.0, -off / swing)))
    if True in sides:
        return whole.point(top - half), whole.point(top + half)
    return whole.point(top + half), whole.point(top - half)


def _ways(
    edge: _Edge, beyond: Callable[[Array], float], origin: Array, about: Array, near: float
) -> Iterator[bool]:
    """Whether an edge from where its curve touches the axis runs onward from there."""
    off = [end for end in edge.ends if _seen(end, origin, about)[1] > near]
    if off and edge.middle is not None:
        yield beyond(edge.middle) < beyond(off[0])


def _seen(place: Array, origin: Array, about: Array) -> tuple[float, float]:
    """How far along the axis a place lies, and how far off it."""
    rel = place - origin
    height = float(rel @ about)
    return height, float(np.linalg.norm(rel - height * about))


def _meets(edge: _Edge, origin: Array, about: Array, near: float) -> bool:
    return any(_seen(end, origin, about)[1] <= near for end in edge.ends)


def _edges(records: Records, face: int) -> Iterator[_Edge]:
    values = records.simple(face, "ADVANCED_FACE") or records.simple(face, "FACE_SURFACE")
    for bound in references(at(values, 1)):
        for keyword in ("FACE_BOUND", "FACE_OUTER_BOUND"):
            for loop in references(at(records.simple(bound, keyword), 1)):
                for oriented in references(at(records.simple(loop, "EDGE_LOOP"), 1)):
                    for edge in references(at(records.simple(oriented, "ORIENTED_EDGE"), 3)):
                        if (found := _edge(records, edge)) is not None:
                            yield found


def _lone(records: Records, faces: Sequence[int]) -> Iterator[Array]:
    """The vertices that are bounds of their own."""
    for face in faces:
        for bound in records.text.references(face)[:-1]:
            for loop in records.text.references(bound):
                for vertex in references(at(records.simple(loop, "VERTEX_LOOP"), 1)):
                    for point in references(at(records.simple(vertex, "VERTEX_POINT"), 1)):
                        if (place := point_of(records, point)) is not None:
                            yield place


def _edge(records: Records, edge: int) -> _Edge | None:
    values = records.simple(edge, "EDGE_CURVE")
    ends = [
        place
        for vertex in references(values[1:3])
        for point in references(at(records.simple(vertex, "VERTEX_POINT"), 1))
        if (place := point_of(records, point)) is not None
    ]
    if len(ends) != 2:
        return None
    begin, end = ends
    oval = next((Oval.of(records, curve) for curve in references(at(values, 3))), None)
    if oval is None:
        return _Edge((begin, end), None)
    if "F" in words_in(at(values, 4)):
        begin, end = end, begin
    first, last = oval.angle(begin)[0], oval.angle(end)[0]
    turn = (last - first) % math.tau
    return _Edge((ends[0], ends[1]), oval.point(first + 0.5 * turn))
