"""The profile made ready for moving outlines: part, envelope and edges, flattened once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.at_height import section_at
from turnability.half_plane.curves import Arc, Curve, Line, Points, Ring
from turnability.half_plane.flatten import body_points, chord_for, distinct_angles, outline_points
from turnability.half_plane.places import Obstacle
from turnability.half_plane.regions import Region, both_sides, box, nothing
from turnability.half_plane.resting import Touchable
from turnability.half_plane.restore import FixedEdges
from turnability.part.model import Profile

_PLAIN_RAD = np.pi / 720.0
_ROUNDING_RAD = 1e-9
_SQUARE_RAD = np.arange(-2.0, 3.0) * (np.pi / 2.0)


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What does not move. Halves are the regions at r >= 0; holes of the part are filled.

    Those holes, the closed `hollows` that no tool enters, are a region of their own.

    `part` is the part on both sides of the axis, `added` what a setup puts in the way (jaws), both
    as what neither outline enters; `envelope` the half 0 <= z <= length, r <= largest radius.
    `edge_starts`, `edge_ends` (n, 2) are the flattened profile, `edge_segments` (n,) the places of
    their segments in `profile.segments`. `normals` are the angles at which its straight
    sides can be touched. `bare` is the same ground with nothing added, `memory` what was worked out
    for tools on it, for all grounds of one profile.
    """

    profile: Profile
    length: float
    radius: float
    envelope: Region
    part_half: Region
    hollows: Region
    stock: Region
    part: Obstacle
    added: Obstacle | None
    edge_starts: Points
    edge_ends: Points
    edge_segments: NDArray[np.int64]
    arcs: FixedEdges
    normals: NDArray[np.float64]
    bare: Ground | None = None
    memory: dict[Any, Any] = field(default_factory=dict)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least z, least r, greatest z, greatest r of all that no outline enters."""
        own = self.part.region.bounds
        if self.added is None:
            return own
        more = self.added.region.bounds
        return (
            min(own[0], more[0]),
            min(own[1], more[1]),
            max(own[2], more[2]),
            max(own[3], more[3]),
        )

    @property
    def touchable(self) -> Touchable:
        """The profile's curves as round noses meet them."""
        made = self.memory.get("touchable")
        if not isinstance(made, Touchable):
            made = Touchable.of(s.curve for s in self.profile.segments if s.surface != "axis")
            self.memory["touchable"] = made
        return made

    def part_at(self, height_mm: float) -> Obstacle:
        """The part's section in the plane at a height above or below the axis."""
        made = self.memory.get(("part at", height_mm))
        if not isinstance(made, Obstacle):
            made = Obstacle(section_at(self.part_half, height_mm))
            self.memory["part at", height_mm] = made
        return made

    def area_within(self, region: Region) -> float:
        """Area in mm2 that a region has within the envelope, remembered for that very region."""
        key = ("within", id(region))
        if key not in self.memory:
            self.memory[key] = (region, (region & self.envelope).area)
        return float(self.memory[key][1])

    def __reduce__(self) -> tuple[Any, ...]:
        # what is remembered goes by the objects of this process
        given = [getattr(self, one.name) for one in fields(self)]
        return (Ground, (*given[:-1], {}))


class Itself:
    """A profile as a key: comparing by value would take longer than what is remembered of it."""

    __slots__ = ("profile",)

    def __init__(self, profile: Profile) -> None:
        self.profile = profile

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Itself) and self.profile is other.profile

    def __hash__(self) -> int:
        return id(self.profile)


def ground_of(profile: Profile, obstacles: Sequence[Ring] = ()) -> Ground:
    """Flatten a profile (and outlines of jaws, on either or both sides of the axis)."""
    bare = _bare(Itself(profile))
    if not obstacles:
        return bare
    added = Region.of([outline_points(ring) for ring in obstacles])
    return replace(bare, added=Obstacle(added | added.mirrored_r()), bare=bare)


@lru_cache(maxsize=2)
def _bare(key: Itself) -> Ground:
    profile = key.profile
    length, radius = profile.length_mm, profile.max_diameter_mm / 2.0
    chord = chord_for(max(length, radius))
    starts, ends, segments, radii, touch = [], [], [], [], []
    for place, segment in enumerate(profile.segments):
        points = body_points(segment.curve, chord)
        starts.append(points[:-1])
        ends.append(points[1:])
        segments.append(np.full(len(points) - 1, place))
        radii.append(np.full(len(points) - 1, _signed_radius(segment.curve)))
        touch.append(_touch(points))
    outline = np.concatenate(starts[: len(profile.outline.segments)])
    outline[:, 1] = np.maximum(outline[:, 1], 0.0)
    part_half = Region.of([outline])
    starts_, ends_, radii_ = np.concatenate(starts), np.concatenate(ends), np.concatenate(radii)
    round_ = radii_ != 0.0
    envelope = box(0.0, 0.0, length, radius) if radius > 0.0 else nothing()
    return Ground(
        profile=profile,
        length=length,
        radius=radius,
        envelope=envelope,
        part_half=part_half,
        hollows=Region.of(
            [
                np.concatenate([body_points(s.curve, chord)[:-1] for s in loop.segments])[::-1]
                for loop in profile.loops[1:]
            ]
        ),
        stock=envelope - part_half,
        part=Obstacle(both_sides(part_half)),
        added=None,
        edge_starts=starts_,
        edge_ends=ends_,
        edge_segments=np.concatenate(segments),
        arcs=FixedEdges(
            starts_[round_], ends_[round_], radii_[round_], np.concatenate(touch)[round_]
        ),
        normals=_facing([s.curve for s in profile.outline.segments if isinstance(s.curve, Line)]),
    )


def _signed_radius(curve: Curve) -> float:
    """An arc's radius, negative where it runs clockwise; 0 for other curves."""
    if not isinstance(curve, Arc):
        return 0.0
    return -curve.radius if curve.clockwise else curve.radius


def _touch(points: Points) -> NDArray[np.float64]:
    """How far from their starts the edges of a hollow arc touch it: at its ends, else halfway."""
    step = np.diff(points, axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    share = np.full(len(length), 0.5)
    share[0], share[-1] = 0.0, 1.0
    at: NDArray[np.float64] = length * share
    return at


def _facing(lines: Sequence[Line]) -> NDArray[np.float64]:
    """Angles (rad) of outward normals of outlines that touch lines, on either side of the axis."""
    step = np.array([(b.end[0] - b.start[0], b.end[1] - b.start[1]) for b in lines]).reshape(-1, 2)
    # the part's own outward normal is (dr, -dz), the outline's the opposite; mirrored, dz turns
    inward = np.arctan2(step[:, 0], -step[:, 1])
    # jaws, bars and ends are square to the axis on any ground
    both = np.concatenate((_SQUARE_RAD, inward, -inward))
    # outlines are mirrored for the other end: they are the same ones then
    other = (2.0 * np.pi - both) % (2.0 * np.pi) - np.pi
    every = np.concatenate((both, other))
    # rounding apart, parts drawn at like angles are touched by the very same outlines
    plain = np.round(every / _PLAIN_RAD) * _PLAIN_RAD + 0.0
    return distinct_angles(np.where(np.abs(every - plain) < _ROUNDING_RAD, plain, every))
