"""Rings that tools are drawn with: rounded polygons, rectangles, hulls, mirrored copies."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from turnability.half_plane.curves import Arc, Curve, Line, Point, Ring, line_ring
from turnability.shop.model import Outlines

_SAME_MM = 1e-9


def rounded_ring(corners: Sequence[Point], radii: Sequence[float]) -> Ring:
    """A convex anticlockwise polygon (z, r) in mm whose corners are rounded by `radii` (0: sharp).

    Raises ValueError where two neighbouring radii need more than the edge between them.
    """
    n = len(corners)
    enter: list[Point] = []
    leave: list[Point] = []
    arcs: list[Arc | None] = []
    used: list[float] = []
    for i, corner in enumerate(corners):
        before, after = corners[i - 1], corners[(i + 1) % n]
        ub, ua = _unit(corner, before), _unit(corner, after)
        half = 0.5 * math.acos(max(-1.0, min(1.0, ub[0] * ua[0] + ub[1] * ua[1])))
        t = radii[i] / math.tan(half) if radii[i] > 0.0 else 0.0
        used.append(t)
        enter.append((corner[0] + t * ub[0], corner[1] + t * ub[1]))
        leave.append((corner[0] + t * ua[0], corner[1] + t * ua[1]))
        if radii[i] > 0.0:
            middle = _unit((0.0, 0.0), (ub[0] + ua[0], ub[1] + ua[1]))
            reach = radii[i] / math.sin(half)
            centre = (corner[0] + reach * middle[0], corner[1] + reach * middle[1])
            arcs.append(Arc(enter[i], leave[i], centre, radii[i], False))
        else:
            arcs.append(None)
    ring: list[Curve] = []
    for i in range(n):
        j = (i + 1) % n
        arc = arcs[i]
        if arc is not None:
            ring.append(arc)
        room = math.dist(corners[i], corners[j]) - used[i] - used[j]
        if room < -_SAME_MM:
            raise ValueError("the corner radii do not fit between the corners")
        if room > _SAME_MM:
            ring.append(Line(leave[i], enter[j]))
        else:  # two arcs meet: let the next begin exactly where this one ends
            following = arcs[j]
            if arc is not None and following is not None:
                end = enter[j] if j > i else arcs[0].start if arcs[0] else enter[j]
                ring[-1] = Arc(arc.start, end, arc.centre, arc.radius, False)
    return tuple(ring)


def circle_ring(centre: Point, radius: float) -> Ring:
    """A full circle as two arcs, anticlockwise from its least z."""
    low, high = (centre[0] - radius, centre[1]), (centre[0] + radius, centre[1])
    return (Arc(low, high, centre, radius, False), Arc(high, low, centre, radius, False))


def box(z_lo: float, r_lo: float, z_hi: float, r_hi: float) -> Ring:
    """An upright rectangle, anticlockwise. Raises ValueError where it has no area."""
    if z_hi <= z_lo or r_hi <= r_lo:
        raise ValueError(f"a box from ({z_lo:g}, {r_lo:g}) to ({z_hi:g}, {r_hi:g}) has no area")
    return line_ring([(z_lo, r_lo), (z_hi, r_lo), (z_hi, r_hi), (z_lo, r_hi)])


def hull(points: Iterable[Point]) -> list[Point]:
    """The convex hull's corners, anticlockwise; points on its edges are left out."""
    cloud = sorted(set(points))

    def chain(run: Iterable[Point]) -> list[Point]:
        out: list[Point] = []
        for p in run:
            while len(out) > 1 and _turn(out[-2], out[-1], p) <= 1e-12:
                out.pop()
            out.append(p)
        return out[:-1]

    return chain(cloud) + chain(reversed(cloud))


def clip_r(corners: Sequence[Point], r_most: float) -> list[Point]:
    """The part of a convex polygon below `r_most`; its order and first corner are kept."""
    out: list[Point] = []
    for i, p in enumerate(corners):
        q = corners[(i + 1) % len(corners)]
        if p[1] <= r_most:
            out.append(p)
        if (p[1] < r_most) != (q[1] < r_most) and p[1] != r_most and q[1] != r_most:
            t = (r_most - p[1]) / (q[1] - p[1])
            out.append((p[0] + t * (q[0] - p[0]), r_most))
    return out


def mirror_z(outlines: Outlines) -> Outlines:
    """The same tool of the other hand: z becomes -z, rings run anticlockwise again."""
    return _mirror(outlines, -1.0, 1.0)


def mirror_r(outlines: Outlines) -> Outlines:
    """An outside shape made an inside one: r becomes -r, rings run anticlockwise again."""
    return _mirror(outlines, 1.0, -1.0)


def swap_axes(outlines: Outlines) -> Outlines:
    """A blade that sinks along r made one that sinks along z; rings run anticlockwise again."""
    return _reflected(outlines, lambda p: (p[1], p[0]))


def _mirror(outlines: Outlines, sz: float, sr: float) -> Outlines:
    # adding 0 turns -0.0 into 0.0
    return _reflected(outlines, lambda p: (sz * p[0] + 0.0, sr * p[1] + 0.0))


def _reflected(outlines: Outlines, point: Callable[[Point], Point]) -> Outlines:

    def curve(c: Curve) -> Curve:
        if isinstance(c, Line):
            return Line(point(c.end), point(c.start))
        if isinstance(c, Arc):  # mirrored and run backwards: it turns the same way
            return Arc(point(c.end), point(c.start), point(c.centre), c.radius, c.clockwise)
        raise TypeError("tools are drawn with lines and arcs")

    def ring(r: Ring) -> Ring:
        return tuple(curve(c) for c in reversed(r))

    return Outlines(tuple(map(ring, outlines.cutting)), tuple(map(ring, outlines.body)))


def _unit(a: Point, b: Point) -> Point:
    n = math.dist(a, b)
    return ((b[0] - a[0]) / n, (b[1] - a[1]) / n)


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
