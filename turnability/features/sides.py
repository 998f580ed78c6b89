"""The outline with its corners put back sharp, so that no fillet or chamfer hides a feature.

A fillet or a chamfer finishes the corner of two surfaces. Both surfaces are drawn on to where they
would meet, and what lies between them is remembered as the corner's finish.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from turnability.features import limits
from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.part.model import Segment

Zone: TypeAlias = Literal["outer", "inner", "end", "axis"]
"""Where a side stands: between the outermost points of both ends, between their innermost points
(the bores), in an end itself, or on the axis."""


@dataclass(frozen=True, slots=True)
class Side:
    """One surface of the outline, drawn on to its sharp corners.

    `segment` is None for a surface that its corners' fillets have used up.
    """

    segment: Segment | None
    curve: Curve
    zone: Zone = "outer"

    @property
    def ids(self) -> tuple[str, ...]:
        """The id of its segment, if it has one."""
        return (self.segment.id,) if self.segment else ()

    @property
    def surface(self) -> str:
        """Which way it looks; "end" for a used-up shoulder."""
        return self.segment.surface if self.segment else "end"


@dataclass(frozen=True, slots=True)
class Finish:
    """A fillet or chamfer: what finishes the corner of the segments `between`.

    `curve` is its sharp extent; `corner` the sharp corner, None where a neighbour is no line (then
    the piece stays in the outline's shape as well). `turn_deg` is positive at an outside corner.
    """

    kind: Literal["fillet", "chamfer"]
    segment: Segment
    curve: Curve
    corner: Point | None
    turn_deg: float
    between: tuple[str, ...]


_SLIVER_SHARE = 1e-4


def sharpened(segments: Sequence[Segment]) -> tuple[tuple[Side, ...], tuple[Finish, ...]]:
    """The sides of a closed loop in its own order, and its corners' finishes; slivers are none."""
    left_out = slivers(segments)
    sides = [Side(one, one.curve) for one in segments if one.id not in left_out]
    sides, fillets = _without_fillets(sides)
    sides, chamfers = _without_chamfers(sides)
    return tuple(sides), tuple(_with_neighbours(sides, fillets + chamfers))


def slivers(segments: Sequence[Segment]) -> frozenset[str]:
    """Ids of segments that are shorter than what counts as equal and next to nothing of the loop:
    what an inexact file leaves between two surfaces."""
    lengths = [segment.curve.length() for segment in segments]
    most = min(limits.SAME_MM, _SLIVER_SHARE * sum(lengths))
    pairs = zip(segments, lengths, strict=True)
    return frozenset(one.id for one, length in pairs if length <= most and one.surface != "axis")


def turn_deg(before: Curve, after: Curve) -> float:
    """Turn at a joint in degrees, positive to the left: an outside corner of the material."""
    (uz, ur), (vz, vr) = before.direction(1.0), after.direction(0.0)
    return math.degrees(math.atan2(uz * vr - ur * vz, uz * vz + ur * vr))


def slope_deg(curve: Curve) -> float:
    """Angle of a line to the axis, 0 to 90 degrees."""
    (z0, r0), (z1, r1) = curve.start, curve.end
    return math.degrees(math.atan2(abs(r1 - r0), abs(z1 - z0)))


def is_parallel(curve: Curve) -> bool:
    """A line parallel to the axis."""
    return isinstance(curve, Line) and slope_deg(curve) <= limits.STRAIGHT_DEG


def is_radial(curve: Curve) -> bool:
    """A line in a plane across the axis, or one that no more than rounding parts from it."""
    if not isinstance(curve, Line):
        return False
    flat = abs(curve.end[0] - curve.start[0]) <= 2.0 * limits.SAME_MM
    slope = slope_deg(curve)
    return slope >= 90.0 - limits.STRAIGHT_DEG or (flat and slope >= limits.NEARLY_RADIAL_DEG)


def is_slanted(curve: Curve) -> bool:
    """A line that is neither."""
    return isinstance(curve, Line) and not is_parallel(curve) and not is_radial(curve)


def longest_chamfer_mm(curve: Line) -> float:
    """The axial size up to which a line that ends a corner is a chamfer, whatever its diameter."""
    largest = 2.0 * max(curve.start[1], curve.end[1])
    if abs(slope_deg(curve) - 45.0) > limits.CHAMFER_45_DEG:
        return limits.CHAMFER_SIZE.value
    return max(limits.CHAMFER_SIZE.value, limits.CHAMFER_45_PER_DIAMETER.value * largest)


def is_drill_point(side: Side) -> bool:
    """An inner cone to the axis with an included angle of a drill."""
    if side.surface != "inner" or not is_slanted(side.curve):
        return False
    if min(side.curve.start[1], side.curve.end[1]) > limits.SAME_MM:
        return False
    least, most = limits.DRILL_POINT_DEG
    spare = limits.STRAIGHT_DEG
    return least.value - spare <= 2.0 * slope_deg(side.curve) <= most.value + spare


def _without_fillets(sides: list[Side]) -> tuple[list[Side], list[Finish]]:
    """Replace each tangent arc between two lines by their sharp corner."""
    n = len(sides)
    corners: dict[int, Point | None] = {}
    edged: dict[int, float] = {}
    for i, side in enumerate(sides):
        if isinstance(side.curve, Arc):
            found, corner = _fillet_corner(sides[i - 1], side, sides[(i + 1) % n])
            if found:
                corners[i] = corner
            elif (share := _used_up_at(sides[i - 1], side, sides[(i + 1) % n])) is not None:
                corners[i] = _meeting(_tangent_at(side.curve, 0.0), _tangent_at(side.curve, 1.0))
                edged[i] = share
    finishes = []
    kept: list[Side] = []
    for i, side in enumerate(sides):
        if i not in corners:
            if isinstance(side.curve, Line):
                start, end = corners.get((i - 1) % n), corners.get((i + 1) % n)
                start = None if edged.get((i - 1) % n) == 1.0 else start
                end = None if edged.get((i + 1) % n) == 0.0 else end
                whole = Line(start or side.curve.start, end or side.curve.end)
                kept.append(replace(side, curve=whole))
            else:
                kept.append(side)
            continue
        assert isinstance(side.curve, Arc)
        assert side.segment is not None
        turn = math.degrees(side.curve.sweep())
        corner = corners[i]
        finishes.append(Finish("fillet", side.segment, side.curve, corner, turn, ()))
        if corner is None:
            kept.append(side)
            continue
        before, after = sides[i - 1].curve, sides[(i + 1) % n].curve
        curved = not isinstance(before, Line) and corners.get((i - 1) % n) is None
        if curved or edged.get(i) == 0.0:
            kept.append(Side(None, Line(before.end, corner)))
        if not isinstance(after, Line) or edged.get(i) == 1.0:
            kept.append(Side(None, Line(corner, corners.get((i + 1) % n) or after.start)))
    return kept, finishes


def _fillet_corner(before: Side, side: Side, after: Side) -> tuple[bool, Point | None]:
    """Whether the arc finishes a corner, and where that corner is if it can be put back."""
    arc = side.curve
    assert isinstance(arc, Arc)
    if not _tangent(before.curve, arc) or not _tangent(arc, after.curve):
        return False, None
    if "axis" in (before.surface, after.surface):
        return False, None
    if abs(math.degrees(arc.sweep())) > limits.CORNER_TURN_DEG + limits.TANGENT_DEG:
        return False, None
    largest = 2.0 * max(arc.start[1], arc.end[1])
    if max(_legs(arc)) > limits.FILLET_PER_DIAMETER.value * largest + limits.SAME_MM:
        return False, None
    neighbours = [(before.curve, 0.0), (after.curve, 1.0)]
    beside_line = any(isinstance(curve, Line) for curve, _ in neighbours)
    if beside_line and all(_straight_at(arc, curve, t) for curve, t in neighbours):
        return True, _meeting(_tangent_at(arc, 0.0), _tangent_at(arc, 1.0))
    curved = [curve for curve, _ in neighbours if not isinstance(curve, Line)]
    if len(curved) == 1 and isinstance(curved[0], Arc):
        other = curved[0]
        return other.clockwise != arc.clockwise and 2.0 * arc.radius < other.radius, None
    return False, None


def _used_up_at(before: Side, side: Side, after: Side) -> float | None:
    """At which end (0 or 1) of an arc its shoulder is used up: there it meets the next cylinder
    squarely, at the other it runs into its own; None where it is no such arc."""
    arc = side.curve
    assert isinstance(arc, Arc)
    if before.surface != after.surface or before.surface not in ("outer", "inner"):
        return None
    if not is_parallel(before.curve) or not is_parallel(after.curve):
        return None
    largest = 2.0 * max(arc.start[1], arc.end[1])
    if max(_legs(arc)) > limits.FILLET_PER_DIAMETER.value * largest + limits.SAME_MM:
        return None
    if abs(abs(math.degrees(arc.sweep())) - 90.0) > 2.0 * limits.TANGENT_DEG:
        return None
    if _tangent(before.curve, arc) and not _tangent(arc, after.curve):
        return 1.0
    if _tangent(arc, after.curve) and not _tangent(before.curve, arc):
        return 0.0
    return None


def _straight_at(arc: Arc, neighbour: Curve, t: float) -> bool:
    """The arc runs into a line, or into the next corner's arc where a line was used up."""
    if isinstance(neighbour, Line):
        return True
    if not isinstance(neighbour, Arc) or neighbour.clockwise == arc.clockwise:
        return False
    dz, dr = (abs(part) for part in arc.direction(t))
    if dr <= math.sin(math.radians(limits.TANGENT_DEG)):
        return True
    return dz <= math.sin(math.radians(limits.USED_UP_DEG))


def _tangent(before: Curve, after: Curve) -> bool:
    return abs(turn_deg(before, after)) <= limits.TANGENT_DEG


def _tangent_at(curve: Curve, t: float) -> tuple[Point, Point]:
    return (curve.start if t == 0.0 else curve.end), curve.direction(t)


def _meeting(a: tuple[Point, Point], b: tuple[Point, Point]) -> Point | None:
    """Where two lines (point, direction) cross; None if they are parallel."""
    ((az, ar), (ua, va)), ((bz, br), (ub, vb)) = a, b
    cross = ua * vb - va * ub
    if abs(cross) < math.sin(math.radians(0.1 * limits.TANGENT_DEG)):
        return None
    s = ((bz - az) * vb - (br - ar) * ub) / cross
    return (az + s * ua, ar + s * va)


def _legs(curve: Curve) -> tuple[float, float]:
    return abs(curve.end[0] - curve.start[0]), abs(curve.end[1] - curve.start[1])


def _without_chamfers(sides: list[Side]) -> tuple[list[Side], list[Finish]]:
    """Replace chamfers by sharp corners, the shortest first: each makes its neighbours whole."""
    finishes: list[Finish] = []
    staying: set[str] = set()
    while True:
        candidates = [
            i
            for i in range(len(sides))
            if not staying.intersection(sides[i].ids) and _is_chamfer(sides, i)
        ]
        if not candidates:
            return sides, finishes
        i = min(candidates, key=lambda k: (sides[k].curve.length(), k))
        before, side, after = sides[i - 1], sides[i], sides[(i + 1) % len(sides)]
        assert side.segment is not None
        turn = turn_deg(before.curve, side.curve) + turn_deg(side.curve, after.curve)
        corner = None
        if isinstance(before.curve, Line) and isinstance(after.curve, Line):
            corner = _meeting(_tangent_at(before.curve, 1.0), _tangent_at(after.curve, 0.0))
        finishes.append(Finish("chamfer", side.segment, side.curve, corner, turn, ()))
        if corner is None:
            staying.add(side.segment.id)
            continue
        j = (i + 1) % len(sides)
        sides = list(sides)
        sides[i - 1] = replace(before, curve=Line(before.curve.start, corner))
        sides[j] = replace(after, curve=Line(corner, after.curve.end))
        del sides[i]


def is_nearly_chamfer(sides: Sequence[Side], i: int) -> bool:
    """A cone that is not much longer than a chamfer would be (`limits.DOUBT`)."""
    return _is_chamfer(sides, i, 1.0 + limits.DOUBT)


def _is_chamfer(sides: Sequence[Side], i: int, spare: float = 1.0) -> bool:
    before, side, after = sides[i - 1], sides[i], sides[(i + 1) % len(sides)]
    curve = side.curve
    if side.segment is None or len(sides) < 4 or not isinstance(curve, Line):
        return False
    if not limits.CHAMFER_DEG[0] <= slope_deg(curve) <= limits.CHAMFER_DEG[1]:
        return False
    if "axis" in (before.surface, side.surface, after.surface):
        return False
    largest = 2.0 * max(curve.start[1], curve.end[1])
    axial, radial = _legs(curve)
    most = spare * limits.CHAMFER_PER_DIAMETER.value * largest
    if max(axial, radial) > most + limits.SAME_MM:
        return False
    if axial > spare * longest_chamfer_mm(curve) + limits.SAME_MM:
        return False
    turns = turn_deg(before.curve, curve), turn_deg(curve, after.curve)
    if min(abs(turn) for turn in turns) < limits.EDGE_DEG or turns[0] * turns[1] < 0.0:
        return False
    if abs(sum(turns)) > limits.CORNER_TURN_DEG + limits.STRAIGHT_DEG:
        return False
    if _goes_on(sides, i, slope_deg(curve) >= limits.CHAMFER_GOES_ON_DEG):
        return False
    share = limits.CHAMFER_SHARE
    return not any(
        is_slanted(other.curve) and curve.length() > share * other.curve.length()
        for other in (before, after)
    )


def _goes_on(sides: Sequence[Side], i: int, steep: bool) -> bool:
    """Beyond a hollow the outline goes on in the same line: one taper, interrupted.

    Steep ones in a row may be the chamfers of steps: there only one too long for a chamfer counts.
    """
    (z0, r0), (dz, dr) = sides[i].curve.start, sides[i].curve.direction(0.0)
    n = len(sides)
    return any(
        sides[k % n].surface == sides[i].surface
        and is_slanted(sides[k % n].curve)
        and not (steep and _is_short(sides[k % n].curve))
        and all(
            abs((z - z0) * dr - (r - r0) * dz) <= limits.SAME_MM
            for z, r in (sides[k % n].curve.start, sides[k % n].curve.end)
        )
        for k in range(i + 2, i + n - 1)
    )


def _is_short(curve: Curve) -> bool:
    """No longer along the axis than a chamfer may be."""
    assert isinstance(curve, Line)
    return _legs(curve)[0] <= longest_chamfer_mm(curve) + limits.SAME_MM


def _with_neighbours(sides: list[Side], finishes: list[Finish]) -> list[Finish]:
    """Name the segments that each finished corner lies between."""
    named = []
    for finish in finishes:
        between: tuple[str, ...] = ()
        for i, side in enumerate(sides):
            after = sides[(i + 1) % len(sides)]
            if finish.corner is not None:
                if math.dist(side.curve.end, finish.corner) <= limits.SAME_MM:
                    between = side.ids + after.ids
                    break
            elif finish.segment is side.segment:
                between = sides[i - 1].ids + after.ids
                break
        named.append(replace(finish, between=between))
    return named
