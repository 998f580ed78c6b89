"""The profile made ready for moving outlines: part, envelope and edges, flattened once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Curve, Line, Points, Ring
from turnability.half_plane.flatten import chord_for, distinct_angles, outline_points
from turnability.half_plane.places import Obstacle
from turnability.half_plane.regions import Region, both_sides, box, nothing
from turnability.half_plane.restore import FixedChords
from turnability.part.model import Profile


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What does not move. Halves are the regions at r >= 0; holes of the part are filled.

    Those holes, the closed `hollows` that no tool enters, are a region of their own.

    `part` is what neither outline enters (both sides of the axis, with the obstacles that a setup
    adds, if it is `obstructed`), `envelope` the half 0 <= z <= length, r <= largest radius.
    `edge_starts`, `edge_ends` (n, 2) are the flattened profile, `edge_segments` (n,) the places of
    their segments in `profile.segments`. `normals` are the angles at which its straight
    sides can be touched.
    """

    profile: Profile
    length: float
    radius: float
    envelope: Region
    part_half: Region
    hollows: Region
    part: Region
    part_obstacle: Obstacle
    obstructed: bool
    edge_starts: Points
    edge_ends: Points
    edge_segments: NDArray[np.int64]
    chords: FixedChords
    normals: NDArray[np.float64]


def ground_of(profile: Profile, obstacles: Sequence[Ring] = ()) -> Ground:
    """Flatten a profile (and outlines of jaws, on either or both sides of the axis)."""
    length, radius = profile.length_mm, profile.max_diameter_mm / 2.0
    chord = chord_for(max(length, radius))
    outline = np.concatenate(
        [segment.curve.flatten(chord)[:-1] for segment in profile.outline.segments]
    )
    outline[:, 1] = np.maximum(outline[:, 1], 0.0)
    part_half = Region.of([outline])
    body = both_sides(part_half)
    part = body
    if obstacles:
        added = Region.of([outline_points(ring) for ring in obstacles])
        part = body | added | added.mirrored_r()
    starts, ends, segments, radii = [], [], [], []
    for place, segment in enumerate(profile.segments):
        points = segment.curve.flatten(chord)
        starts.append(points[:-1])
        ends.append(points[1:])
        segments.append(np.full(len(points) - 1, place))
        radii.append(np.full(len(points) - 1, _signed_radius(segment.curve)))
    starts_, ends_, radii_ = np.concatenate(starts), np.concatenate(ends), np.concatenate(radii)
    round_ = radii_ != 0.0
    straight = [s.curve for s in profile.outline.segments if isinstance(s.curve, Line)]
    straight += [curve for ring in obstacles for curve in ring if isinstance(curve, Line)]
    return Ground(
        profile=profile,
        length=length,
        radius=radius,
        envelope=box(0.0, 0.0, length, radius) if radius > 0.0 else nothing(),
        part_half=part_half,
        hollows=Region.of(
            [
                np.concatenate([s.curve.flatten(chord)[:-1] for s in loop.segments])[::-1]
                for loop in profile.loops[1:]
            ]
        ),
        part=part,
        part_obstacle=Obstacle.of(part),
        obstructed=bool(obstacles),
        edge_starts=starts_,
        edge_ends=ends_,
        edge_segments=np.concatenate(segments),
        chords=FixedChords(starts_[round_], ends_[round_], radii_[round_]),
        normals=_facing(straight),
    )


def _signed_radius(curve: Curve) -> float:
    """An arc's radius, negative where it runs clockwise; 0 for other curves."""
    if not isinstance(curve, Arc):
        return 0.0
    return -curve.radius if curve.clockwise else curve.radius


def _facing(lines: Sequence[Line]) -> NDArray[np.float64]:
    """Angles (rad) of outward normals of outlines that touch lines, on either side of the axis."""
    step = np.array([(b.end[0] - b.start[0], b.end[1] - b.start[1]) for b in lines]).reshape(-1, 2)
    # the part's own outward normal is (dr, -dz), the outline's the opposite; mirrored, dz turns
    inward = np.arctan2(step[:, 0], -step[:, 1])
    return distinct_angles(np.concatenate((inward, -inward)))
