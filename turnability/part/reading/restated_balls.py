"""Spherical faces that the CAD kernel reads wrongly, stated otherwise in the file's text.

Where a face of a ball lies on a surface whose poles or seams its rim meets, the kernel at times
takes the other side of the rim, parts the face, or cuts its rim at a place beside it. Which side
the face is, its rim says as the file has it: what lies to the left of it, seen from where the face
looks (ISO 10303-42, face_bound). The same side of the same rim is therefore stated on a sphere
whose pole and seam lie clear of the rim, or, where each would meet it, as that of half a ball, on
a surface without any.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from turnability.part.reading.ball_rims import Rim
from turnability.part.reading.laid_balls import seamless_net
from turnability.part.reading.placements import Array, point_of
from turnability.part.reading.records import Records, Value, at, references, words_in
from turnability.part.reading.spheres import Ball, ball_on, outward_of, xyz
from turnability.part.reading.step_text import StepText
from turnability.part.reading.turned_circles import TurnedCircles

Entity = Callable[[int], Any]
"""The kernel's own record of an entity, by its number."""

_ALONG = 64
_OFF = 1e-2
"""Share of the ball's radius by which an edge's ends may lie off its curve."""
_ALONG_FACES = ("SURFACE_CURVE", "SEAM_CURVE", "INTERSECTION_CURVE")


class Restated(NamedTuple):
    """Changes of a text (from, to, what stands there), entities to add, and the faces' new senses.

    A sense is whether the face looks as its new surface does.
    """

    changes: tuple[tuple[int, int, str], ...] = ()
    more: tuple[str, ...] = ()
    senses: Mapping[int, bool] = {}


def first_free(text: StepText) -> int:
    """The number from which on no entity of a text has one."""
    return max(text.instances, default=0) + 1


def remark_on_restated(count: int) -> str:
    """What is said of a solid with so many such faces."""
    which = "1 spherical face was" if count == 1 else f"{count} spherical faces were"
    return (
        f"{which} not read as the file says; read again on spheres whose poles and seams lie clear "
        "of their rims"
    )


AS_STATED = Restated()


class _Use(NamedTuple):
    """An edge as it runs along a face: the entity, whether forward, and the vertices it joins."""

    edge: int
    forward: bool
    begin: int
    end: int


def balls_restated(text: StepText, entity: Entity, faces: Iterable[int]) -> Restated:
    """Those of `faces` that lie on balls and have a rim, stated anew."""
    free = first_free(text)
    records, circles = Records(text), TurnedCircles(text)
    changes: list[tuple[int, int, str]] = []
    more: list[str] = []
    senses: dict[int, bool] = {}
    for face in faces:
        told = _told(records, circles, entity, face)
        surface = None if told is None else _surface(told.ball, told.rim, free)
        if told is None or surface is None:
            continue
        number = free + len(surface)
        bounds: list[int] = []
        for loop in told.loops:
            uses = [f"#{number + 2 + i}" for i in range(len(loop))]
            bounds.append(number)
            surface.append(f"#{number}=FACE_BOUND('',#{number + 1},.T.);")
            surface.append(f"#{number + 1}=EDGE_LOOP('',({','.join(uses)}));")
            for name, use in zip(uses, loop, strict=True):
                way = ".T." if use.forward else ".F."
                surface.append(f"{name}=ORIENTED_EDGE('',*,*,#{use.edge},{way});")
            number += 2 + len(loop)
        place = text.instances[face]
        listed = ",".join(f"#{n}" for n in bounds)
        sense = ".T." if told.outward else ".F."
        changes.append((place.start, place.end, f"('',({listed}),#{free},{sense})"))
        senses[face] = told.outward
        more += surface
        free = number
    return Restated(tuple(changes), tuple(more), senses)


class _Told(NamedTuple):
    """The ball of a face, whether it looks away from its centre, its rim, and that in loops."""

    ball: Ball
    outward: bool
    rim: Rim
    loops: list[list[_Use]]


def _told(records: Records, circles: TurnedCircles, entity: Entity, face: int) -> _Told | None:
    from OCP.GeomAdaptor import GeomAdaptor_Surface
    from OCP.StepToGeom import StepToGeom

    values = records.simple(face, "ADVANCED_FACE") or records.simple(face, "FACE_SURFACE")
    named = next(references(at(values, 2)), None)
    stored = None if named is None else entity(named)
    drawn = None if stored is None else StepToGeom.MakeSurface_s(stored)
    if drawn is None:
        return None
    surface = GeomAdaptor_Surface(drawn)
    ball = ball_on(surface)
    if ball is None:
        return None
    natural = circles.outward(face)
    if natural is None:
        natural = outward_of(surface, ball)
    uses = list(_uses(records, at(values, 1)))
    times = Counter(use.edge for use in uses)
    once = [use for use in uses if times[use.edge] == 1]
    if natural is None or not once:
        return None
    outward = natural == _is_true(at(values, 3))
    lines = []
    for use in once:
        line = _line(records, entity, use, ball)
        if line is None:
            return None
        lines.append(line if outward else line[::-1])
    return _Told(ball, outward, Rim(lines), _loops(once))


def _uses(records: Records, bounds: Value) -> Iterator[_Use]:
    """The edges of a face as they run along it, those of seams among them."""
    for bound in references(bounds):
        for keyword in ("FACE_BOUND", "FACE_OUTER_BOUND"):
            stated = records.simple(bound, keyword)
            for loop in references(at(stated, 1)):
                for use in references(at(records.simple(loop, "EDGE_LOOP"), 1)):
                    oriented = records.simple(use, "ORIENTED_EDGE")
                    forward = _is_true(at(oriented, 4)) == _is_true(at(stated, 2))
                    for edge in references(at(oriented, 3)):
                        ends = tuple(references(records.simple(edge, "EDGE_CURVE")[1:3]))
                        if len(ends) == 2:
                            begin, end = ends if forward else ends[::-1]
                            yield _Use(edge, forward, begin, end)


def _line(records: Records, entity: Entity, use: _Use, ball: Ball) -> Array | None:
    """Unit places along an edge as it runs along the face; None where its ends lie off it."""
    from OCP.StepToGeom import StepToGeom

    values = records.simple(use.edge, "EDGE_CURVE")
    same = _is_true(at(values, 4))
    ends = [_vertex(records, n) for n in (use.begin, use.end)]
    named = next(references(at(values, 3)), None)
    if named is None or ends[0] is None or ends[1] is None:
        return None
    along = [n for k in _ALONG_FACES for n in references(at(records.simple(named, k), 1))]
    stored = entity(along[0] if along else named)
    curve = None if stored is None else StepToGeom.MakeCurve_s(stored)
    if curve is None:
        return None
    onward = use.forward == same
    begin, end = (ends[0], ends[1]) if onward else (ends[1], ends[0])
    first, period = curve.FirstParameter(), curve.LastParameter() - curve.FirstParameter()
    a, b = (_nearest(curve, place, _OFF * ball.radius) for place in (begin, end))
    if a is None or b is None:
        return None
    if curve.IsClosed():
        if use.begin == use.end or b <= a:
            b += period
        ts = first + (np.linspace(a, b, _ALONG + 1) - first) % period
    elif a < b:
        ts = np.linspace(a, b, _ALONG + 1)
    else:
        return None
    places = np.array([xyz(curve.Value(t)) for t in ts.tolist()]) - ball.centre
    places /= np.linalg.norm(places, axis=1)[:, None]
    return places if onward else places[::-1]


def _nearest(curve: Any, place: Array, within: float) -> float | None:
    """Where on a curve a place lies; None where it lies off it."""
    from OCP.GeomAPI import GeomAPI_ProjectPointOnCurve
    from OCP.gp import gp_Pnt

    point = gp_Pnt(*place.tolist())
    known = [
        (point.Distance(curve.Value(t)), t)
        for t in (curve.FirstParameter(), curve.LastParameter())
        if abs(t) < 1e50
    ]
    off, best = min(known, default=(np.inf, 0.0))
    if off > 1e-9 * within:
        seen = GeomAPI_ProjectPointOnCurve(point, curve)
        if seen.NbPoints() and seen.LowerDistance() < off:
            off, best = seen.LowerDistance(), seen.LowerDistanceParameter()
    return best if off <= within else None


def _vertex(records: Records, vertex: int) -> Array | None:
    for point in references(at(records.simple(vertex, "VERTEX_POINT"), 1)):
        return point_of(records, point)
    return None


def _loops(uses: Sequence[_Use]) -> list[list[_Use]]:
    """The edges in loops, each beginning where the one before ends."""
    left, loops = list(uses), []
    while left:
        loop = [left.pop(0)]
        while loop[-1].end != loop[0].begin:
            i = next((i for i, use in enumerate(left) if use.begin == loop[-1].end), -1)
            if i < 0:
                break
            loop.append(left.pop(i))
        loops.append(loop)
    return loops


def _surface(ball: Ball, rim: Rim, free: int) -> list[str] | None:
    """A surface for the side of a rim, the first of entities that number from `free` on."""
    frames = list(rim.frames())
    far = rim.farthest_outside()
    if far is not None and (not frames or frames[0][2]):
        most, poles, weights = seamless_net(ball, *far)
        rows = [",".join(f"#{free + 1 + 5 * i + j}" for j in range(5)) for i in range(5)]
        heavy = [",".join(map(_number, row)) for row in weights.tolist()]
        knots = ",".join(map(_number, (-most, 0.0, most)))
        said = (
            f"#{free}=(BOUNDED_SURFACE()B_SPLINE_SURFACE(2,2,({_bracketed(rows)}),.UNSPECIFIED.,"
            f".F.,.F.,.F.)B_SPLINE_SURFACE_WITH_KNOTS((3,2,3),(3,2,3),({knots}),({knots}),"
            ".UNSPECIFIED.)GEOMETRIC_REPRESENTATION_ITEM()"
            f"RATIONAL_B_SPLINE_SURFACE(({_bracketed(heavy)}))REPRESENTATION_ITEM('')SURFACE());"
        )
        places = poles.reshape(-1, 3).tolist()
        return [said, *(_triple(free + 1 + k, "CARTESIAN_POINT", p) for k, p in enumerate(places))]
    for pole, seam, _ in frames:
        return [
            f"#{free}=SPHERICAL_SURFACE('',#{free + 1},{_number(ball.radius)});",
            f"#{free + 1}=AXIS2_PLACEMENT_3D('',#{free + 2},#{free + 3},#{free + 4});",
            _triple(free + 2, "CARTESIAN_POINT", ball.centre.tolist()),
            _triple(free + 3, "DIRECTION", pole.tolist()),
            _triple(free + 4, "DIRECTION", seam.tolist()),
        ]
    return None


def _bracketed(rows: Iterable[str]) -> str:
    return ",".join(f"({row})" for row in rows)


def _triple(number: int, keyword: str, values: Iterable[float]) -> str:
    return f"#{number}={keyword}('',({','.join(map(_number, values))}));"


def _number(value: float) -> str:
    return f"{value:.17E}"


def _is_true(value: Value) -> bool:
    return "T" in words_in(value)
