"""The profile as it would be after a proposed change, everything else untouched.

A change is a rectangle of the half plane filled with material or cleared of it; lines and arcs
stay exact, and each piece keeps its faces. Where a change could be made on either side of a
feature, each is a candidate.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from turnability.features.model import Feature
from turnability.half_plane.arrangement import arrange
from turnability.half_plane.curves import Point, line_ring
from turnability.half_plane.inside import holds
from turnability.part.model import Profile
from turnability.part.profile import Piece, make_profile, merge_neighbours
from turnability.rules.model import Change, Finding

_WITHIN_MM = 1e-6
_HOLLOWS = ("groove", "recess")
_BORES = ("bore",)


@dataclass(frozen=True, slots=True)
class _Box:
    """A rectangle of the half plane in mm, and whether it becomes material or air."""

    z_mm: tuple[float, float]
    r_mm: tuple[float, float]
    fill: bool

    def holds(self, point: Point) -> bool:
        return self.z_mm[0] < point[0] < self.z_mm[1] and self.r_mm[0] < point[1] < self.r_mm[1]


def changed_profiles(
    profile: Profile, finding: Finding, features: Sequence[Feature]
) -> Iterator[Profile]:
    """Every way to make the finding's change; none where it is not known how."""
    change = finding.change
    if change is None or change.from_ is None or change.to is None:
        return
    hollow, bore = (_one_of(finding, features, kinds) for kinds in (_HOLLOWS, _BORES))
    for boxes in _ways(profile, change, change.to - change.from_, hollow, bore):
        made = _with(profile, boxes)
        if made is not None:
            yield made


def _one_of(finding: Finding, features: Sequence[Feature], kinds: Sequence[str]) -> Feature | None:
    """The feature of these kinds that the finding speaks of, if it is one alone."""
    named = [
        feature
        for feature in features
        if feature.kind in kinds
        and (
            feature.id in finding.where.features
            or set(feature.segments) & set(finding.where.segments)
        )
    ]
    return named[0] if len(named) == 1 else None


def _ways(
    profile: Profile, change: Change, by: float, hollow: Feature | None, bore: Feature | None
) -> Iterator[list[_Box]]:
    length, top = profile.length_mm, 0.5 * profile.max_diameter_mm
    low_end, high_end, beyond = -1.0, length + 1.0, top + 1.0
    if change.parameter == "max_diameter_mm" and change.to is not None:
        if by < 0.0:
            yield [_Box((low_end, high_end), (0.5 * change.to, beyond), fill=False)]
        return
    if change.parameter == "bore_diameter_mm" and bore is not None and change.to is not None:
        walls = (0.5 * change.to, 0.5 * bore.diameter_mm[0])
        if by > 0.0:
            yield [_Box(bore.z_mm, (-1.0, walls[0]), fill=False)]
        elif by < 0.0:
            yield [_Box(bore.z_mm, walls, fill=True)]
        return
    if hollow is None or change.to is None:
        return
    z0, z1 = hollow.z_mm
    least, most = (0.5 * d for d in hollow.diameter_mm)
    inner = hollow.surface == "inner"
    if change.parameter == "depth_mm" and by < 0.0:
        floor = (most + by, most) if inner else (least, least - by)
        yield [_Box((z0, z1), floor, fill=True)]
    elif change.parameter == "width_mm" and by > 0.0:
        across = (least, most) if inner else (least, beyond)
        yield [_Box((z1, z1 + by), across, fill=False)]
        yield [_Box((z0 - by, z0), across, fill=False)]
    elif change.parameter == "entry_diameter_mm" and by > 0.0 and inner:
        entry = (-1.0, 0.5 * change.to)
        low = _Box((low_end, z0), entry, fill=False)
        high = _Box((z1, high_end), entry, fill=False)
        side = hollow.parameters.get("entry_side")
        if side in ("low", "both"):
            yield [low]
        if side in ("high", "both"):
            yield [high]
        if side == "both":
            yield [low, high]


def _with(profile: Profile, boxes: Sequence[_Box]) -> Profile | None:
    """The profile with the boxes filled or cleared; None where no single body is left."""
    segments = profile.segments
    drawn = [(s.curve, frozenset({i})) for i, s in enumerate(segments)]
    for box in boxes:
        corners = [(z, max(r, 0.0)) for z, r in _corners(box)]
        drawn += [(line, frozenset[int]()) for line in line_ring(corners)]
    plane = arrange(drawn, _WITHIN_MM)
    rings = [loop.ring for loop in profile.loops]

    def is_material(point: Point | None) -> bool:
        if point is None:
            return False
        for box in boxes:
            if box.holds(point):
                return box.fill
        at = np.array([point])
        return bool(holds(rings[0], at)[0]) and not any(holds(r, at)[0] for r in rings[1:])

    inside = [
        (point := cell.well_inside()) is not None and is_material(point) for cell in plane.cells
    ]
    loops: list[list[Piece]] = []
    for loop in plane.boundary(inside):
        pieces: list[Piece] = [
            (curve, tuple(sorted({face for i in origins for face in segments[i].faces})))
            for curve, origins in loop
        ]
        loops.append(merge_neighbours(pieces))
    try:
        made = make_profile(loops)
    except ValueError:  # it fell into two, or nothing is left
        return None
    starts = [min(s.curve.start[0], s.curve.end[0]) for s in made.segments]
    if abs(min(starts)) > _WITHIN_MM or not math.isclose(made.length_mm, profile.length_mm):
        return None  # its low end was cut away: z would count from elsewhere
    return made


def _corners(box: _Box) -> list[Point]:
    (z0, z1), (r0, r1) = box.z_mm, box.r_mm
    return [(z0, r0), (z1, r0), (z1, r1), (z0, r1)]
