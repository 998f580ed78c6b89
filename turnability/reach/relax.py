"""The same tool with one constraint taken away.

Tools made from designations bring their own relaxations; for all, and for bare outlines that know
nothing of themselves, these are read off the outlines.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Point, Points, Ring, line_ring
from turnability.half_plane.flatten import outline_points
from turnability.half_plane.regions import Region, box
from turnability.shop.model import Cause, Outlines, Tool

_THIN = 0.01
"""Share of a width that is as good as none."""
_LEVEL_MM = 1e-6
_FAR_MM = 1e4


@dataclass(frozen=True, slots=True)
class Relaxed:
    """Outlines without one constraint, or without several together.

    `parameter` is the number behind it with its present `value`; where `least` is given, outlines
    half way between the tool's own and these stand for a number half way from `value` to `least`.
    """

    causes: tuple[Cause, ...]
    outlines: Outlines
    parameter: str | None = None
    value: float | None = None
    unit: str | None = None
    least: float | None = None


def relaxed_of(tool: Tool, one_end_only: bool = False) -> tuple[Relaxed, ...]:
    """All constraints that can be taken from a tool, one at a time; the shop's word goes first.

    `one_end_only`: the part is held at one end, so the other hand is a constraint too.
    """
    stated = [
        Relaxed((r.cause,), r.outlines, r.parameter, r.value, r.unit) for r in tool.relaxations
    ]
    known = {r.cause for r in tool.relaxations}
    own_cutting = bool(known & {"nose-radius", "trailing-edge", "blade-width"})
    derived = [*_of_body(tool), *_nose(tool)]
    if not own_cutting:
        derived += _of_cutting(tool)
    if one_end_only and tool.access == "outer":
        derived.append(Relaxed(("hand",), _mirrored(tool.outlines)))
    return (*stated, *(one for one in derived if one.causes[0] not in known))


def together(tool: Tool, one: Relaxed, other: Relaxed) -> Relaxed | None:
    """Both constraints taken away, where one changes only `cutting` and the other only `body`."""
    own = tool.outlines
    first, second = one.outlines, other.outlines
    if first.cutting == own.cutting:
        first, second = second, first
    if second.cutting != own.cutting or first.body != own.body:
        return None
    causes = tuple(dict.fromkeys((*one.causes, *other.causes)))
    return Relaxed(causes, Outlines(first.cutting, second.body))


def halfway(tool: Tool, relaxed: Relaxed, share: float) -> Outlines | None:
    """Outlines at a share of the way from the tool's own to the relaxed ones, lines only."""
    cutting = _blend(tool.outlines.cutting, relaxed.outlines.cutting, share)
    body = _blend(tool.outlines.body, relaxed.outlines.body, share)
    return None if cutting is None or body is None else Outlines(cutting, body)


def _of_body(tool: Tool) -> list[Relaxed]:
    own = tool.outlines
    if not own.body:
        return []
    bare = Outlines(own.cutting, ())
    if tool.on_axis:
        return [Relaxed(("drill-length",), bare)]
    if tool.access != "inner":
        made = [Relaxed(("holder",), bare)]
        if tool.access == "outer" and _is_blade(own):
            made.append(Relaxed(("blade-depth",), bare))
        return made
    points = np.concatenate([outline_points(ring) for ring in own.body])
    low, high = float(points[:, 1].min()), float(points[:, 1].max())

    def squeezed(to: float) -> Outlines:
        return Outlines(own.cutting, _mapped(own.body, lambda p: (p[0], to + (p[1] - to) * _THIN)))

    made = [
        Relaxed(
            ("entry-bore",),
            squeezed(high),
            "bar_diameter_mm",
            high - low,
            "mm",
            (high - low) * _THIN,
        ),
        Relaxed(("opposite-wall",), squeezed(high)),
        Relaxed(("recess-depth",), squeezed(low)),
    ]
    longer = _slender(own)
    if longer is not None:
        made.append(Relaxed(("bar-length",), longer))
    return made


def _slender(own: Outlines) -> Outlines | None:
    """The body no wider than it is just behind the cutting outline: a bar without its shank."""
    cutting = np.concatenate([outline_points(ring) for ring in own.cutting])
    body = Region.of([outline_points(ring) for ring in own.body])
    z0, r0, z1, r1 = body.bounds
    at = max(float(cutting[:, 0].max()), z0)
    slice_ = body & box(at, r0 - 1.0, at + 1e-3 + 1e-6 * abs(at), r1 + 1.0)
    if slice_.empty:
        return None
    _, low, _, high = slice_.bounds
    if high - low > 0.99 * (r1 - r0):
        return None
    kept = body & box(z0 - 1.0, low, z1 + 1.0, high)
    return Outlines(own.cutting, tuple(line_ring(ring) for ring in kept.rings()))


def _nose(tool: Tool) -> list[Relaxed]:
    """Convex arcs of the cutting outline drawn out to their corners; round cutters made small."""
    largest = 0.0
    rings: list[Ring] = []
    for ring in tool.outlines.cutting:
        if (circle := _circle(ring)) is not None:
            centre, radius = circle
            rings.append(_disc(centre, radius * _THIN))
            largest = max(largest, radius)
            continue
        corners: list[Curve] = []
        for curve in ring:
            if isinstance(curve, Arc) and not curve.clockwise and curve.sweep() < math.pi - 0.05:
                tip = _tip(curve)
                corners += [Line(curve.start, tip), Line(tip, curve.end)]
                largest = max(largest, curve.radius)
            else:
                corners.append(curve)
        rings.append(tuple(corners))
    if largest == 0.0 or tool.on_axis:
        return []
    outlines = Outlines(tuple(rings), tool.outlines.body)
    return [Relaxed(("nose-radius",), outlines, "nose_radius_mm", largest, "mm")]


def _circle(ring: Ring) -> tuple[Point, float] | None:
    """Centre and radius of a ring that is one full circle."""
    first = ring[0]
    if not isinstance(first, Arc):
        return None
    same = all(
        isinstance(curve, Arc)
        and math.dist(curve.centre, first.centre) <= _LEVEL_MM
        and abs(curve.radius - first.radius) <= _LEVEL_MM
        for curve in ring
    )
    return (first.centre, first.radius) if same else None


def _disc(centre: Point, radius: float) -> Ring:
    a, b = (centre[0] - radius, centre[1]), (centre[0] + radius, centre[1])
    return (Arc(a, b, centre, radius, False), Arc(b, a, centre, radius, False))


def _tip(arc: Arc) -> Point:
    half = arc.sweep() / 2.0
    middle = arc.start_angle() + half
    far = arc.radius / math.cos(half)
    return (arc.centre[0] + far * math.cos(middle), arc.centre[1] + far * math.sin(middle))


def _of_cutting(tool: Tool) -> list[Relaxed]:
    """The cutting outline as thin as a sheet about its point: no width, no trailing flank."""
    own = tool.outlines
    if tool.on_axis or not own.cutting or tool.access == "inner":
        return []
    points = np.concatenate([outline_points(ring) for ring in own.cutting])
    column = 0 if tool.access == "outer" else 1
    width = float(np.ptp(points[:, column]))
    # about the point where it stands under the outline, else about the outline's own low side
    pin = min(max(0.0, float(points[:, column].min())), float(points[:, column].max()))
    factor = (_THIN, 1.0) if column == 0 else (1.0, _THIN)
    shift = (pin * (1.0 - _THIN), 0.0) if column == 0 else (0.0, pin * (1.0 - _THIN))

    def thin(p: Point) -> Point:
        return (p[0] * factor[0] + shift[0], p[1] * factor[1] + shift[1])

    # the nose stays: it is another constraint
    noses = [c for ring in own.cutting for c in ring if isinstance(c, Arc) and not c.clockwise]
    if any(_circle(ring) is not None for ring in own.cutting):
        return []
    if noses:
        nose = min(noses, key=lambda arc: math.hypot(*arc.at(0.5)))
        outlines = Outlines(
            (*_mapped(own.cutting, thin), _disc(nose.centre, nose.radius)), own.body
        )
        return [Relaxed(("trailing-edge",), outlines)]
    outlines = Outlines(_mapped(own.cutting, thin), own.body)
    if column == 0 and not _is_blade(own):
        return [Relaxed(("trailing-edge",), outlines)]
    return [Relaxed(("blade-width",), outlines, "width_mm", width, "mm", width * _THIN)]


def _is_blade(own: Outlines) -> bool:
    """Are the sides of the cutting outline straight up, but for reliefs of a few degrees?"""
    for ring in own.cutting:
        points = outline_points(ring)
        step = np.roll(points, -1, axis=0) - points
        tall = np.abs(step[:, 1]) > 0.25 * float(np.ptp(points[:, 1]))
        if (np.abs(step[tall, 0]) > 0.1 * np.abs(step[tall, 1])).any():
            return False
    return bool(own.cutting)


def _mirrored(own: Outlines) -> Outlines:
    def flip(p: Point) -> Point:
        return (-p[0], p[1])

    return Outlines(_mapped(own.cutting, flip), _mapped(own.body, flip))


def _mapped(rings: tuple[Ring, ...], to: Callable[[Point], Point]) -> tuple[Ring, ...]:
    """Rings with every corner moved; arcs become lines."""
    mapped = []
    for ring in rings:
        points = outline_points(ring)
        mapped.append(line_ring([to((float(z), float(r))) for z, r in points]))
    return tuple(mapped)


def _blend(
    own: tuple[Ring, ...], relaxed: tuple[Ring, ...], share: float
) -> tuple[Ring, ...] | None:
    if own == relaxed:
        return own
    if len(own) != len(relaxed):
        return None
    rings = []
    for one, other in zip(own, relaxed, strict=True):
        a: Points = outline_points(one)
        b: Points = outline_points(other)
        if len(a) != len(b):
            return None
        rings.append(line_ring(a + share * (b - a)))
    return tuple(rings)
