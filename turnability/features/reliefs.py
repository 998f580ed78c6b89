"""Hollows beside a shoulder, in the shapes that standards draw for undercuts and thread reliefs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.features import limits
from turnability.features.chain import Facing, spread
from turnability.features.hollows import Hollow
from turnability.features.sides import Finish, Side, is_parallel, is_radial, is_slanted, slope_deg
from turnability.half_plane.curves import Arc, Curve

FACE_RAMP_DEG = 70.0
"""A wall at least this steep that runs into a shoulder may be the ramp of a relieved face (DIN 509:
82 in type F, 75 in H, 72.5 in G)."""


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
    """The hollow as a relief; None where no shoulder ends it or its floor is no cylinder, nor the
    arc between two ramps that an insert's corner leaves (DIN 509, types G and H).

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
    if len(hollow.sides) not in (2, 3):
        return None
    side, other = hollow.sides[wall], hollow.sides[ramp]
    floor = hollow.sides[1] if len(hollow.sides) == 3 else None
    if floor is not None and not is_parallel(floor.curve):
        return None
    if not (is_slanted(other.curve) or is_radial(other.curve)):
        return None
    corner = _corner(finishes, side, other if floor is None else floor)
    arc = corner.curve if corner is not None and isinstance(corner.curve, Arc) else None
    if floor is not None:
        deepest = [floor.curve] if arc is None else [arc, _drawn(floor, arc)]
    elif arc is not None:
        deepest = [arc]
    else:
        return None
    face, shoulder = _shoulder(side, sides, 1 if wall == -1 else -1)
    rise = _rise_mm(hollow, shoulder) if shoulder is not None else 0.0
    if shoulder is None or rise <= 2.0 * limits.SAME_MM or (floor is None and face is None):
        return None
    plane = shoulder.curve.start[0]
    lip = hollow.mouth[ramp]
    low_end = lip[0] > plane
    (low, high), (small, large) = spread(deepest)
    if face is not None and (low > plane if low_end else high < plane):
        return None  # a wall that opens outward relieves no face
    (floor_low, floor_high), _ = spread([floor.curve] if floor is not None else deepest)
    depth = hollow.depth_mm
    if floor is None:
        depth = large / 2.0 + hollow.level if hollow.level <= 0.0 else hollow.level - small / 2.0
    return Relief(
        shoulder="low" if low_end else "high",
        ramp_deg=slope_deg(other.curve),
        length_mm=abs(lip[0] - plane),
        floor_mm=abs((floor_high if low_end else floor_low) - plane),
        depth_mm=depth,
        rise_mm=rise,
        radius_mm=arc.radius if arc is not None else (0.0 if corner is None else None),
        face_mm=0.0 if face is None else plane - low if low_end else high - plane,
        face_deg=90.0 - slope_deg(face.curve) if face is not None else 0.0,
        face=face,
    )


def _corner(finishes: Sequence[Finish], a: Side, b: Side) -> Finish | None:
    """What finishes the corner of two sides."""
    return next((f for f in finishes if f.between and {*f.between} == {*a.ids, *b.ids}), None)


def _drawn(side: Side, otherwise: Curve) -> Curve:
    """The side as it is drawn, without what its corners' finishes take."""
    return side.segment.curve if side.segment else otherwise


def _shoulder(side: Side, sides: Sequence[Side], step: int) -> tuple[Side | None, Side | None]:
    """A relieved face's ramp, if the wall is one, and the shoulder's plane; None where none is."""
    if is_radial(side.curve):
        return None, side
    if not is_slanted(side.curve) or slope_deg(side.curve) < FACE_RAMP_DEG:
        return None, None
    beyond = next(i for i, one in enumerate(sides) if one is side) + step
    if not 0 <= beyond < len(sides) or not is_radial(sides[beyond].curve):
        return None, None
    return side, sides[beyond]


def _rise_mm(hollow: Hollow, shoulder: Side) -> float:
    """How far the wall goes on past the mouth."""
    (_, _), (small, large) = spread([shoulder.curve])
    if hollow.level <= 0.0:  # seen from the axis
        return -hollow.level - small / 2.0
    return large / 2.0 - hollow.level
