"""Parts as kernel solids and as functions of points that say the same: the oracle for outlines.

A body's level is positive inside, nought on its surface, and about a distance in mm near it. Points
come on circles round x, one circle a row: shape (circles, angles, 3).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cadquery as cq
import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import flatten_ring
from turnability.half_plane.inside import polygon_distance, polygon_holds
from turnability.part.model import Part

FAR = 250.0
WITHIN_MM = 1e-3
_ANGLES = 1440
_PLACES = (0.03, 0.15, 0.3, 0.5, 0.7, 0.85, 0.97)
_BEST = 12
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0

Array = NDArray[np.float64]
Level = Callable[[Array], Array]


@dataclass
class Body:
    """A solid about x and the level that says the same."""

    shape: cq.Shape
    level: Level

    def less(self, *tools: Body) -> Body:
        shape, level = self.shape, self.level
        for tool in tools:
            shape = shape.cut(tool.shape)
        return Body(
            shape, lambda p: np.minimum(level(p), -np.max([t.level(p) for t in tools], axis=0))
        )

    def plus(self, other: Body) -> Body:
        return Body(
            self.shape.fuse(other.shape), lambda p: np.maximum(self.level(p), other.level(p))
        )

    def within(self, other: Body) -> Body:
        return Body(
            self.shape.intersect(other.shape), lambda p: np.minimum(self.level(p), other.level(p))
        )

    def turned(self, degrees: float) -> Body:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        back = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
        shape = self.shape.rotate(cq.Vector(), cq.Vector(1, 0, 0), degrees)
        return Body(shape, lambda p: self.level(p @ back))


# ---------------------------------------------------------------- bodies


def swept(edges: Sequence[cq.Edge], shape: cq.Shape | None = None) -> Body:
    """What a closed run of edges in the plane (x, y) sweeps about x; `shape`: the same, split."""
    polygon = _polygon(edges)
    if shape is None:
        wire = cq.Wire.assembleEdges(edges)
        shape = cq.Solid.revolve(wire, [], 360.0, cq.Vector(), cq.Vector(1, 0, 0))
    known: dict[bytes, Array] = {}

    def level(p: Array) -> Array:
        places = np.column_stack((p[:, 0, 0], np.hypot(p[:, 0, 1], p[:, 0, 2])))
        key = places.tobytes()
        if key not in known:
            known.clear()
            off = np.concatenate(
                [
                    polygon_distance([polygon], q)
                    for q in np.array_split(places, len(places) // 64 + 1)
                ]
            )
            known[key] = np.where(polygon_holds(polygon, places), off, -off)[:, None]
        return np.broadcast_to(known[key], p.shape[:2])

    return Body(shape, level)


def turning(*corners: tuple[float, float]) -> Body:
    points = [cq.Vector(z, r, 0) for z, r in corners]
    return swept([cq.Edge.makeLine(points[i - 1], p) for i, p in enumerate(points)])


def _polygon(edges: Sequence[cq.Edge]) -> Array:
    """Corners of a closed run of edges, curves by chords 1e-5 mm off at most."""
    runs = []
    for edge in edges:
        kind = edge.geomType()
        count = 1 if kind == "LINE" else 400
        if kind == "CIRCLE":
            count = min(4000, 8 + int(edge.Length() / math.sqrt(8e-5 * edge.radius())))
        runs.append([(p.x, p.y) for p in edge.positions(np.linspace(0.0, 1.0, count + 1))])
    first, second = runs[:2]
    if min(math.dist(first[0], p) for p in (second[0], second[-1])) < 1e-9:
        runs[0] = first[::-1]
    points = list(runs[0])
    for run in runs[1:]:
        points += (run if math.dist(points[-1], run[0]) < 1e-7 else run[::-1])[1:]
    return np.array(points[:-1])


def rod(radius: float, foot: Sequence[float], way: Sequence[float], length: float = FAR) -> Body:
    return cone(radius, radius, foot, way, length)


def cone(
    foot_radius: float, radius: float, foot: Sequence[float], way: Sequence[float], length: float
) -> Body:
    """A round rod from its foot along `way`, its radius changing evenly."""
    axis = np.array(way) / np.linalg.norm(way)
    place, along = cq.Vector(*foot), cq.Vector(*way)
    if radius == foot_radius:
        shape = cq.Solid.makeCylinder(radius, length, place, along)
    else:
        shape = cq.Solid.makeCone(foot_radius, radius, length, place, along)
    slope = (radius - foot_radius) / length
    lean = math.cos(math.atan(slope))

    def level(p: Array) -> Array:
        z, off = _seen_along(axis, foot, p)
        return np.minimum(np.minimum(z, length - z), (foot_radius + slope * z - off) * lean)

    return Body(shape, level)


def ring(radius: float, section: float, centre: Sequence[float], way: Sequence[float]) -> Body:
    """A torus."""
    axis = np.array(way) / np.linalg.norm(way)
    shape = cq.Solid.makeTorus(radius, section, cq.Vector(*centre), cq.Vector(*way))

    def level(p: Array) -> Array:
        z, off = _seen_along(axis, centre, p)
        return section - np.hypot(off - radius, z)

    return Body(shape, level)


def _seen_along(axis: Array, foot: Sequence[float], p: Array) -> tuple[Array, Array]:
    rel = p - np.array(foot, dtype=float)
    z = rel @ axis
    return z, np.linalg.norm(rel - z[..., None] * axis, axis=2)


def ball(radius: float, centre: Sequence[float]) -> Body:
    whole = cq.Solid.makeSphere(radius, angleDegrees1=-90, angleDegrees2=90)
    return Body(
        whole.translate(cq.Vector(*centre)),
        lambda p: radius - np.linalg.norm(p - np.array(centre), axis=2),
    )


def block(low: Sequence[float], high: Sequence[float]) -> Body:
    size = np.subtract(high, low)
    return Body(
        cq.Solid.makeBox(*size, cq.Vector(*low)),
        lambda p: np.minimum((p - np.array(low)).min(axis=2), (np.array(high) - p).min(axis=2)),
    )


def beyond(normal: Sequence[float], distance: float) -> Body:
    n = np.array(normal) / np.linalg.norm(normal)
    plane = cq.Plane(tuple(distance * n), tuple(np.cross(n, (0.3, 0.5, 0.81))), tuple(n))
    shape = cq.Workplane(plane).rect(4 * FAR, 4 * FAR).extrude(2 * FAR).val()
    return Body(shape, lambda p: p @ n - distance)


def through(radius: float, z: float, aside: float = 0.0) -> Body:
    return rod(radius, (z, aside, -FAR), (0, 0, 1), 2 * FAR)


# ---------------------------------------------------------------- the oracle


def highest(body: Body, places: Array) -> Array:
    """The body's greatest level on the circles through places (z, r), shape (n,).

    The best of even angles, then narrowed down by golden sections.
    """
    turn = np.arange(_ANGLES) * math.tau / _ANGLES + 3e-4
    found = []
    for some in np.array_split(places, len(places) // 64 + 1):
        if not len(some):
            continue
        level = body.level(_circles(some, np.broadcast_to(turn, (len(some), _ANGLES))))
        best = level.max(axis=1)
        summit = (level >= np.roll(level, 1, 1)) & (level >= np.roll(level, -1, 1))
        rank = np.where(summit, -level, np.inf)
        order = np.argsort(rank, axis=1)[:, :_BEST]
        row, nth = np.nonzero(
            np.isfinite(np.take_along_axis(rank, order, 1)) & (best <= 2e-3)[:, None]
        )
        if len(row):
            at = turn[order[row, nth]]
            np.maximum.at(best, row, _summits(body, some[row], at, math.tau / _ANGLES))
        found.append(best)
    return np.concatenate(found)


def _summits(body: Body, places: Array, at: Array, step: float) -> Array:
    def level(turn: Array) -> Array:
        return body.level(_circles(places, turn[:, None]))[:, 0]

    a, c = at - step, at + step
    x, y = c - _GOLDEN * (c - a), a + _GOLDEN * (c - a)
    fx, fy = level(x), level(y)
    for _ in range(32):
        left = fx > fy
        a, c = np.where(left, a, x), np.where(left, y, c)
        new = np.where(left, c - _GOLDEN * (c - a), a + _GOLDEN * (c - a))
        value = level(new)
        x, y = np.where(left, new, y), np.where(left, x, new)
        fx, fy = np.where(left, value, fy), np.where(left, fx, value)
    return np.maximum(fx, fy)


def _circles(places: Array, turn: Array) -> Array:
    z, r = places[:, :1], places[:, 1:]
    return np.stack((np.broadcast_to(z, turn.shape), r * np.cos(turn), r * np.sin(turn)), axis=2)


def drawn(part: Part, places: Array) -> Array:
    """Places (z, r) of the report in the body's own frame, whose axis is x."""
    assert part.axis is not None
    assert np.allclose(np.abs(part.axis.direction), (1, 0, 0)), "another axis was found"
    z = part.axis.origin_mm[0] + part.axis.direction[0] * places[:, 0]
    return np.column_stack((z, places[:, 1]))


def outline_errors(body: Body, part: Part) -> list[str]:
    """Where the solid is met 1 µm outside the outline, or is not met 1 µm inside it.

    Asked at a few places of every segment; corners sharper than that are passed over.
    """
    assert part.profile is not None
    rings = [flatten_ring(loop.ring, 1e-6) for loop in part.profile.loops]
    points, names = [], []
    for segment in part.profile.segments:
        for share in _PLACES:
            z, r = segment.curve.at(share)
            dz, dr = segment.curve.direction(share)
            if segment.surface != "axis" and r > 5.0 * WITHIN_MM:
                for side in (WITHIN_MM, -WITHIN_MM):  # material lies on the left
                    points.append((z - side * dr, r + side * dz))
                    names.append(f"{segment.id} at z {z:.4f}, r {r:.4f}")
    places = np.array(points)
    held = sum(polygon_holds(ring, places).astype(int) for ring in rings) % 2 == 1
    inside = np.arange(len(places)) % 2 == 0
    asked = (polygon_distance(rings, places) > 0.6 * WITHIN_MM) & (held == inside)
    met = highest(body, drawn(part, places[asked])) > 0.0
    wrong = np.nonzero(asked)[0][met != held[asked]]
    return [f"{names[k]}: {'not met inside' if inside[k] else 'met outside'}" for k in wrong]
