"""The floor on the axis at which a blind bore ends, as it is drawn or nearer to the mouth."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from turnability.analysis.corner_drawn import loops_of, profile_of
from turnability.analysis.hollow import moved_by
from turnability.half_plane.curves import Curve, Line
from turnability.half_plane.intersect import box
from turnability.part.model import Profile

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True)
class BoreFloor:
    """From the axis to the cylinder: places of its curves in the outline, axis and wall beside.

    `tip_mm`: its z on the axis; `deep_mm`: how far it goes beyond the cylinder, of `radius_mm`,
    that runs on for `room_mm`.
    """

    end: Literal["low", "high"]
    axis: int
    run: tuple[int, ...]
    wall: int
    tip_mm: float
    deep_mm: float
    radius_mm: float
    room_mm: float
    is_pointed: bool


def floor_of(profile: Profile, end: Literal["low", "high"]) -> BoreFloor | None:
    """That of the blind bore from an end; None where none is, or no cylinder stands round it."""
    ring = profile.outline.ring
    n, way = len(ring), 1 if end == "high" else -1
    axes = [i for i, s in enumerate(profile.outline.segments) if s.surface == "axis"]
    if len(axes) != 1:
        return None
    run: list[int] = []
    for k in range(1, n):
        at = (axes[0] + way * k) % n
        if _is_cylinder(ring[at]):
            break
        run.append(at)
    wall, first = ring[at], ring[axes[0]]
    tip = first.end if end == "high" else first.start
    begin, far = (wall.start, wall.end) if end == "high" else (wall.end, wall.start)
    # it runs from the floor to the mouth, not back from the mouth
    if not run or not isinstance(wall, Line) or way * (far[0] - begin[0]) <= 0.0:
        return None
    # all of it lies within the cylinder, and before it
    for i in run:
        z0, _, z1, r1 = box(ring[i])
        ahead = z1 - begin[0] if end == "high" else begin[0] - z0
        if r1 > begin[1] + _SAME_MM or ahead > _SAME_MM:
            return None
    return BoreFloor(
        end, axes[0], tuple(run), at, tip[0], abs(begin[0] - tip[0]), begin[1],
        abs(far[0] - begin[0]), len(run) == 1 and isinstance(ring[run[0]], Line),
    )  # fmt: skip


def with_floor_raised(profile: Profile, floor: BoreFloor, by_mm: float) -> Profile | None:
    """The profile with that floor, as it is, so much nearer to the mouth."""
    if by_mm >= floor.room_mm - _SAME_MM:
        return None
    outline, *others = loops_of(profile)
    pieces = list(outline)
    by = by_mm if floor.end == "high" else -by_mm
    for i in floor.run:
        pieces[i] = (moved_by(pieces[i][0], by, 0.0), pieces[i][1])
    for i, from_floor in ((floor.axis, floor.end == "low"), (floor.wall, floor.end == "high")):
        curve, faces = pieces[i]
        if not isinstance(curve, Line):
            return None
        ends = {"start": curve.start} if from_floor else {"end": curve.end}
        pieces[i] = (replace(curve, **{k: (z + by, r) for k, (z, r) in ends.items()}), faces)
    return profile_of((tuple(pieces), *others))


def _is_cylinder(curve: Curve) -> bool:
    return (
        isinstance(curve, Line)
        and abs(curve.start[1] - curve.end[1]) <= _SAME_MM
        and curve.start[1] > _SAME_MM
    )
