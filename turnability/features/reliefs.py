"""Hollows beside a shoulder, in the shapes that standards draw for undercuts and thread reliefs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.features import limits
from turnability.features.chain import Facing, spread
from turnability.features.hollows import Hollow
from turnability.features.sides import Finish, Side, is_parallel, is_radial, is_slanted, slope_deg
from turnability.half_plane.curves import Arc

FACE_RAMP_DEG = 75.0
"""A wall at least this steep that runs into a shoulder may be the ramp of a relieved face."""


@dataclass(frozen=True, slots=True)
class Relief:
    """A hollow between a shoulder and a land.

    `shoulder`: toward which end of the part its shoulder stands. `ramp_deg`: how steeply the other
    wall rises to the land, from the axis (90: square). `length_mm` from the shoulder's plane to the
    land, `floor_mm` of it without the ramp; `depth_mm` from the land's edge, `rise_mm` how much
    higher than that the shoulder stands; `radius_mm` the corner's, None where it is no arc.
    `face_mm`: how deep the face is relieved too, by the wall `face` at `face_deg` from the face.
    """

    shoulder: Facing
    ramp_deg: float
    length_mm: float
    floor_mm: float
    depth_mm: float
    rise_mm: float
    radius_mm: float | None
    face_mm: float = 0.0
    face_deg: float = 0.0
    face: Side | None = None


def relief_of(hollow: Hollow, sides: Sequence[Side], finishes: Sequence[Finish]) -> Relief | None:
    """The hollow as a relief; None where no shoulder ends it or its floor is no cylinder.

    A shoulder rises higher than the other wall does. `sides`: the whole chain.
    """
    for wall, ramp in ((0, -1), (-1, 0)):
        found = _relief(hollow, sides, finishes, wall, ramp)
        if found is not None:
            return found
    return None


def _relief(
    hollow: Hollow, sides: Sequence[Side], finishes: Sequence[Finish], wall: int, ramp: int
) -> Relief | None:
    if len(hollow.sides) != 3:
        return None
    floor, side, other = hollow.sides[1], hollow.sides[wall], hollow.sides[ramp]
    if not is_parallel(floor.curve) or not (is_slanted(other.curve) or is_radial(other.curve)):
        return None
    face: Side | None = None
    shoulder = side
    if is_slanted(side.curve) and slope_deg(side.curve) >= FACE_RAMP_DEG:
        place = next(i for i, one in enumerate(sides) if one is side)
        beyond = place + (1 if wall == -1 else -1)
        if not 0 <= beyond < len(sides):
            return None
        face, shoulder = side, sides[beyond]
    rise = _rise_mm(hollow, shoulder)
    if not is_radial(shoulder.curve) or rise <= 2.0 * limits.SAME_MM:
        return None
    plane = shoulder.curve.start[0]
    lip = hollow.mouth[ramp]
    (floor_low, floor_high), _ = spread([floor.curve])
    far = floor_high if lip[0] > plane else floor_low
    corner = next(
        (f for f in finishes if f.between and {*f.between} == {*side.ids, *floor.ids}), None
    )
    arc = corner.curve if corner is not None and isinstance(corner.curve, Arc) else None
    deepest = [floor.curve] if arc is None else [arc, floor.segment.curve if floor.segment else arc]
    (low, high), _ = spread(deepest)
    face_mm = 0.0
    if face is not None:
        face_mm = plane - low if lip[0] > plane else high - plane
    return Relief(
        shoulder="low" if lip[0] > plane else "high",
        ramp_deg=slope_deg(other.curve),
        length_mm=abs(lip[0] - plane),
        floor_mm=abs(far - plane),
        depth_mm=hollow.depth_mm,
        rise_mm=rise,
        radius_mm=arc.radius if arc is not None else (0.0 if corner is None else None),
        face_mm=face_mm,
        face_deg=90.0 - slope_deg(face.curve) if face is not None else 0.0,
        face=face,
    )


def _rise_mm(hollow: Hollow, shoulder: Side) -> float:
    """How far the wall goes on past the mouth."""
    (_, _), (small, large) = spread([shoulder.curve])
    if hollow.level <= 0.0:  # seen from the axis
        return -hollow.level - small / 2.0
    return large / 2.0 - hollow.level
