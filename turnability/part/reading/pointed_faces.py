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
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from turnability.part.reading.placements import (
    Array,
    axes_of,
    origin_of,
    point_of,
    turned_about,
)
from turnability.part.reading.records import (
    Records,
    Value,
    at,
    number_in,
    references,
    words_in,
)
from turnability.part.reading.step_text import StepText

_ROUND = ("CIRCLE", "ELLIPSE")
_ALONG_FACES = ("SURFACE_CURVE", "SEAM_CURVE", "INTERSECTION_CURVE")
_NEAR = 1e-5
"""Share of the curve's size by which an edge may leave it, and its plane the axis."""
_TOUCHING = 1e-7
"""Share of the curve's size by which one that only touches the axis may miss it, and a ball's
centre."""
_JUST_BEGUN = 0.01
"""Radians from where a curve begins, which may be on the axis."""
_MOST = 1.75 * math.pi
"""Of a curve that only touches the axis, what is kept from there on."""


class Pointed(NamedTuple):
    """The text for the kernel to read, entities added at its end, and the faces it is for."""

    text: str
    added: int
    faces: frozenset[int]


def with_arcs(text: StepText) -> Pointed:
    """The file's text with such curves cut to the arcs that faces with a point lie on.

    Every entity keeps its number and its place; new ones stand after all others.
    """
    records = Records(text)
    turned = set(text.by_keyword.get("SURFACE_OF_REVOLUTION", ()))
    sharing: dict[int, list[int]] = {}
    for face in text.faces if turned else ():
        for surface in text.references(face)[-1:]:
            if surface in turned:
                sharing.setdefault(surface, []).append(face)
    changes: list[tuple[int, int, str]] = []
    more: list[str] = []
    faces: set[int] = set()
    free = max(text.instances, default=0) + 1
    for surface, shared in sharing.items():
        found = _arc(records, surface, shared)
        if found is None:
            continue
        curve, begin, end = found
        _, _, axis = records.simple(surface, "SURFACE_OF_REVOLUTION")
        ((about,), (whole,)) = (tuple(references(axis)), tuple(references(curve)))
        cut = f"TRIMMED_CURVE('',#{whole},(#{free + 1}),(#{free + 2}),.T.,.CARTESIAN.)"
        more += [f"#{free}={cut};", _point(free + 1, begin), _point(free + 2, end)]
        place = text.instances[surface]
        changes.append((place.start, place.end, f"('',#{free},#{about})"))
        free += 3
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
    surface = "a surface that crosses itself" if count == 1 else "surfaces that cross themselves"
    return (f"{which} on {surface} on the axis; read as the half that the file says",)


def _point(number: int, place: Array) -> str:
    return f"#{number}=CARTESIAN_POINT('',({','.join(f'{x:.17E}' for x in place.tolist())}));"


class _Oval:
    """A circle or an ellipse: `centre + a cos t x + b sin t y`."""

    def __init__(self, centre: Array, along: Array, across: Array) -> None:
        self.centre, self.along, self.across = centre, along, across
        self.size = float(max(np.linalg.norm(along), np.linalg.norm(across)))

    @classmethod
    def of(cls, records: Records, curve: int) -> _Oval | None:
        """The curve of an entity, also that of one along two faces; None for any other."""
        along = [n for k in _ALONG_FACES for n in references(at(records.simple(curve, k), 1))]
        curve = along[0] if along else curve
        for keyword in _ROUND:
            if not (values := records.simple(curve, keyword)):
                continue
            centre = origin_of(records, at(values, 1))
            radii = [number_in(value) or 0.0 for value in values[2:]]
            if centre is None or not radii or min(radii) <= 0.0:
                return None
            axes = axes_of(records, at(values, 1))
            if np.linalg.norm(axes.x) < 0.5 or np.linalg.norm(axes.y) < 0.5:
                return None  # its directions are one
            return cls(centre, radii[0] * axes.x, radii[-1] * axes.y)
        return None

    def point(self, t: float) -> Array:
        return self.centre + math.cos(t) * self.along + math.sin(t) * self.across

    def angle(self, place: Array) -> tuple[float, float]:
        """Where a place in the plane is along the curve, and how far off, of its distance."""
        rel = place - self.centre
        x = float(rel @ self.along) / float(self.along @ self.along)
        y = float(rel @ self.across) / float(self.across @ self.across)
        return math.atan2(y, x), abs(math.hypot(x, y) - 1.0)


class _Edge(NamedTuple):
    """Ends of an edge, and its middle where it is a part of a circle or an ellipse."""

    ends: tuple[Array, Array]
    middle: Array | None


def _arc(records: Records, surface: int, faces: Sequence[int]) -> tuple[Value, Array, Array] | None:
    """The curve that a surface is turned from, and where the arc of its faces begins and ends.

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
    whole = _Oval.of(records, curves[0])
    if whole is None or not records.keywords(curves[0]) & {*_ROUND}:
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
        return curve, whole.point(begin), whole.point(end)
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
        return curve, whole.point(top - half), whole.point(top + half)
    return curve, whole.point(top + half), whole.point(top - half)


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
    oval = next((_Oval.of(records, curve) for curve in references(at(values, 3))), None)
    if oval is None:
        return _Edge((begin, end), None)
    if "F" in words_in(at(values, 4)):
        begin, end = end, begin
    first, last = oval.angle(begin)[0], oval.angle(end)[0]
    turn = (last - first) % math.tau
    return _Edge((ends[0], ends[1]), oval.point(first + 0.5 * turn))
