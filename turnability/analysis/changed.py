"""The profile as it would be after a proposed change, everything else untouched.

A change is a convex patch of the half plane filled with material or cleared of it, mostly a
rectangle; lines and arcs stay exact, and each piece keeps its faces. Where a change could be made
on either side of a feature, each is a candidate.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from turnability.analysis.hollow import Hollow, moved_by
from turnability.analysis.shallower import with_floor_moved
from turnability.features.model import Feature
from turnability.half_plane.arrangement import arrange
from turnability.half_plane.curves import Line, Point, line_ring
from turnability.half_plane.inside import holds
from turnability.half_plane.intersect import box as bounds
from turnability.part.model import Profile
from turnability.part.profile import Piece, make_profile, merge_neighbours
from turnability.rules.floor_fillets import FLOOR_RADIUS
from turnability.rules.model import Change, Finding
from turnability.rules.narrow_throat import THROAT
from turnability.rules.recess_behind_small_entry import BOTH
from turnability.setups.bending.stiffer import shortened, thickened

OUTSIDE = "outer_diameter_mm"
LENGTH = "length_mm"
MOST_SHORTENED = 3
"""So many of its straight outsides are tried."""
_WITHIN_MM = 1e-6
_SAME_MM = 1e-3
_HOLLOWS = ("groove", "recess")
_BORES = ("bore",)


@dataclass(frozen=True, slots=True)
class _Patch:
    """A convex polygon of the half plane (corners anticlockwise), and whether it becomes material.

    Where patches overlap, the earlier one has its way.
    """

    corners: tuple[Point, ...]
    fill: bool

    def holds(self, point: Point) -> bool:
        z, r = point
        return all(
            (z1 - z0) * (r - r0) > (r1 - r0) * (z - z0)
            for (z0, r0), (z1, r1) in zip(
                self.corners, (*self.corners[1:], self.corners[0]), strict=True
            )
        )


def _box(z_mm: tuple[float, float], r_mm: tuple[float, float], fill: bool) -> _Patch:
    (z0, z1), (r0, r1) = z_mm, r_mm
    return _Patch(((z0, r0), (z1, r0), (z1, r1), (z0, r1)), fill)


@dataclass(frozen=True, slots=True)
class _Bore:
    """A bore with the drill points at its ends: z of each one's base, and its run of z per r."""

    feature: Feature
    points: tuple[tuple[float, float], ...]


def changed_profiles(
    profile: Profile, finding: Finding, features: Sequence[Feature]
) -> Iterator[Profile]:
    """Every way to make the finding's change; none where it is not known how, or none is left."""
    change = finding.change
    if change is not None and change.parameter == OUTSIDE:
        if change.from_ is not None and change.to is not None:
            thicker = thickened(profile, change.from_, change.to)
            if thicker is not None:
                yield thicker
        return
    if change is not None and change.parameter == LENGTH:
        yield from _shorter(profile, change)
        return
    moved = _with_another_floor(profile, finding, features)
    if moved is not None:
        yield moved
        return
    for patches in _patches(profile, finding, features):
        made = _with(profile, patches)
        if made is not None:
            yield made


def _with_another_floor(
    profile: Profile, finding: Finding, features: Sequence[Feature]
) -> Profile | None:
    """A square groove or recess shallower, or with smaller fillets at its floor, or both."""
    change, hollow = finding.change, _one_of(finding, features, _HOLLOWS)
    if hollow is None or change is None or change.from_ is None or change.to is None:
        return None
    if change.to >= change.from_:
        return None  # a floor is taken back, not sunk
    less, radius = 0.0, None if change.also is None else change.also[2]
    if change.parameter == "depth_mm":
        less = change.from_ - change.to
    elif change.parameter == FLOOR_RADIUS:
        radius = change.to
    else:
        return None
    by = -less if hollow.surface == "inner" else less
    return with_floor_moved(profile, hollow, by, radius)


def can_be_tried(profile: Profile, finding: Finding, features: Sequence[Feature]) -> bool:
    """Whether it is known how to make the finding's change (which may still leave no body)."""
    if finding.change is not None and finding.change.parameter in (OUTSIDE, LENGTH):
        return finding.change.from_ is not None and finding.change.to is not None
    if _with_another_floor(profile, finding, features) is not None:
        return True
    return any(True for _ in _patches(profile, finding, features))


def _shorter(profile: Profile, change: Change) -> Iterator[Profile]:
    """The part shorter by one of its straight outsides, the longest first."""
    if change.from_ is None or change.to is None or change.to >= change.from_:
        return
    by = change.from_ - change.to
    spans = [
        (min(a[0], b[0]), max(a[0], b[0]))
        for s in profile.outline.segments
        for a, b in ((s.curve.start, s.curve.end),)
        if s.surface == "outer" and isinstance(s.curve, Line) and abs(a[1] - b[1]) <= _SAME_MM
    ]
    for low, high in sorted(spans, key=lambda span: span[0] - span[1])[:MOST_SHORTENED]:
        made = shortened(profile, high, by) if high - low > by + _SAME_MM else None
        if made is not None:
            yield made


def _patches(
    profile: Profile, finding: Finding, features: Sequence[Feature]
) -> Iterator[list[_Patch]]:
    change = finding.change
    if change is None or change.from_ is None or change.to is None:
        return
    hollow, bore = (_one_of(finding, features, kinds) for kinds in (_HOLLOWS, _BORES))
    pointed = None if bore is None else _Bore(bore, tuple(_drill_points(bore, features)))
    yield from _ways(profile, change, change.to - change.from_, hollow, pointed)


def _drill_points(bore: Feature, features: Sequence[Feature]) -> Iterator[tuple[float, float]]:
    for point in features:
        small, large = point.diameter_mm
        if point.kind != "drill-point" or abs(large - bore.diameter_mm[0]) > _SAME_MM:
            continue
        (low, high), (begin, end) = point.z_mm, bore.z_mm
        slope = 2.0 * (high - low) / (large - small)
        if abs(low - end) <= _SAME_MM:
            yield end, slope
        elif abs(high - begin) <= _SAME_MM:
            yield begin, -slope


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
    profile: Profile, change: Change, by: float, hollow: Feature | None, bore: _Bore | None
) -> Iterator[list[_Patch]]:
    length, top = profile.length_mm, 0.5 * profile.max_diameter_mm
    low_end, high_end, beyond = -1.0, length + 1.0, top + 1.0
    if change.parameter == "max_diameter_mm" and change.to is not None:
        if by < 0.0:
            yield [_box((low_end, high_end), (0.5 * change.to, beyond), fill=False)]
        return
    if change.parameter == THROAT and change.to is not None:
        if by > 0.0:
            yield [_box((low_end, high_end), (-1.0, 0.5 * change.to), fill=False)]
        return
    if change.parameter == "bore_diameter_mm" and bore is not None and change.to is not None:
        to, drawn = 0.5 * change.to, 0.5 * bore.feature.diameter_mm[0]
        cones = [_cone(base, to, slope, fill=False) for base, slope in bore.points]
        if by > 0.0:
            yield [*cones, _box(bore.feature.z_mm, (-1.0, to), fill=False)]
        elif by < 0.0:
            # the drill that makes it has its point at the same depth
            old = [_cone(base, drawn, slope, fill=True) for base, slope in bore.points]
            yield [*cones, *old, _box(bore.feature.z_mm, (to, drawn), fill=True)]
        return
    if hollow is None or change.to is None:
        return
    z0, z1 = hollow.z_mm
    least, most = (0.5 * d for d in hollow.diameter_mm)
    inner = hollow.surface == "inner"
    if change.parameter == "depth_mm" and by < 0.0:
        floor = (most + by, most) if inner else (least, least - by)
        yield [_box((z0, z1), floor, fill=True)]
    elif change.parameter == "width_mm" and by > 0.0:
        across = (least, most) if inner else (least, beyond)
        yield [_box((z1, z1 + by), across, fill=False)]
        yield [_box((z0 - by, z0), across, fill=False)]
    elif change.parameter == BOTH and by > 0.0 and inner:
        entry = (-1.0, 0.5 * change.to)
        sides = [_box((low_end, z0), entry, fill=False), _box((z1, high_end), entry, fill=False)]
        side = hollow.parameters.get("entry_side")
        wanted = {"low": sides[:1], "high": sides[1:]}.get(str(side), sides)
        yield [_box((z0, z1), (-1.0, most + 0.5 * by), fill=False), *wanted]
    elif change.parameter == "entry_diameter_mm" and by > 0.0 and inner:
        entry = (-1.0, 0.5 * change.to)
        low = _box((low_end, z0), entry, fill=False)
        high = _box((z1, high_end), entry, fill=False)
        side = hollow.parameters.get("entry_side")
        if side in ("low", "both"):
            yield [low]
        if side in ("high", "both"):
            yield [high]
        if side == "both":
            yield [low, high]


def _cone(base_z: float, radius: float, slope: float, fill: bool) -> _Patch:
    """A drill's point: from its base to its tip on the axis."""
    tip, rim = (base_z + slope * radius, 0.0), (base_z, radius)
    foot = (base_z, 0.0)
    return _Patch((foot, tip, rim) if slope > 0.0 else (foot, rim, tip), fill)


def with_floor_filled(hollow: Hollow, by_mm: float) -> Profile | None:
    """The profile with the hollow so much shallower, its walls and lips as they are."""
    u0, u1 = hollow.span()
    along = sorted((hollow.frame.sign * hollow.floor, hollow.frame.sign * (hollow.floor + by_mm)))
    v0, v1 = along
    z_mm, r_mm = ((v0, v1), (u0, u1)) if hollow.frame.in_end else ((u0, u1), (v0, v1))
    return _with(hollow.profile, [_box(z_mm, r_mm, fill=True)])


def with_entry(
    profile: Profile, z_mm: tuple[float, float], radius_mm: float, ends: Sequence[str]
) -> Profile | None:
    """The profile with all within that radius cleared from a hollow's z to the ends named."""
    spans = {"low": (-1.0, z_mm[0]), "high": (z_mm[1], profile.length_mm + 1.0)}
    return _with(profile, [_box(spans[end], (-1.0, radius_mm), fill=False) for end in ends])


def with_box(
    profile: Profile, z_mm: tuple[float, float], r_mm: tuple[float, float], fill: bool
) -> Profile | None:
    """The profile with all between these z and radii filled with material, or cleared of it."""
    return _with(profile, [_box(z_mm, r_mm, fill)])


def with_patch(profile: Profile, corners: Sequence[Point], fill: bool) -> Profile | None:
    """The same of any convex polygon, its corners anticlockwise."""
    return _with(profile, [_Patch(tuple(corners), fill)])


Parts: TypeAlias = tuple[tuple[Profile, float], ...]
"""What a part is split into: each with its own low end at 0, and the z (mm) at which that was."""


def halves(profile: Profile, at_mm: float) -> Parts:
    """What the part is when it is split there across the axis; () if it is not."""
    beyond = 0.5 * profile.max_diameter_mm + 1.0
    return _parts(
        profile,
        [
            _box((at_mm, profile.length_mm + 1.0), (-1.0, beyond), fill=False),
            _box((-1.0, at_mm), (-1.0, beyond), fill=False),
        ],
    )


def core_and_ring(profile: Profile, radius_mm: float) -> Parts:
    """What the part is when it is split round the axis at that radius; () if it is not."""
    z_mm, beyond = (-1.0, profile.length_mm + 1.0), 0.5 * profile.max_diameter_mm + 1.0
    within = _box(z_mm, (-1.0, radius_mm), fill=False)
    return _parts(profile, [_box(z_mm, (radius_mm, beyond), fill=False), within])


def _parts(profile: Profile, away: Sequence[_Patch]) -> Parts:
    """The parts that stay when each of the patches is cleared in turn; () where one is no body."""
    made = []
    for patch in away:
        loops = _loops_with(profile, [patch])
        begins = min((bounds(curve)[0] for loop in loops for curve, _ in loop), default=0.0)
        moved = [
            [(moved_by(curve, -begins, 0.0), faces) for curve, faces in loop] for loop in loops
        ]
        try:
            made.append((make_profile(moved), begins))
        except ValueError:
            return ()
    return tuple(made)


def _with(profile: Profile, patches: Sequence[_Patch]) -> Profile | None:
    """The profile with the patches filled or cleared; None where no single body is left."""
    try:
        made = make_profile(_loops_with(profile, patches))
    except ValueError:  # it fell into two, or nothing is left
        return None
    starts = [s.ends_z_mm[0] for s in made.segments]
    if abs(min(starts)) > _WITHIN_MM or not math.isclose(made.length_mm, profile.length_mm):
        return None  # its low end was cut away: z would count from elsewhere
    return made


def _loops_with(profile: Profile, patches: Sequence[_Patch]) -> list[list[Piece]]:
    segments = profile.segments
    drawn = [(s.curve, frozenset({i})) for i, s in enumerate(segments)]
    for patch in patches:
        corners = [(z, max(r, 0.0)) for z, r in patch.corners]
        drawn += [(line, frozenset[int]()) for line in line_ring(corners)]
    plane = arrange(drawn, _WITHIN_MM)
    rings = [loop.ring for loop in profile.loops]

    def is_material(point: Point | None) -> bool:
        if point is None:
            return False
        for patch in patches:
            if patch.holds(point):
                return patch.fill
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
    return loops
