"""Which segments were cut, and what stays that need not stay: regions against segments."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Point, Points
from turnability.half_plane.regions import Region, nothing
from turnability.part.model import Profile, Segment
from turnability.reach.model import Left, Reach
from turnability.reach.stock import holds_disc

SAMPLES = 12
"""Places along each segment at which it is asked whether it was cut."""
SKIN_MM = 0.01
_OFF_MM = 0.004
_NEAR_MM = 0.02
_DISC_CORNERS = 96
_THIN_MM = 0.005
"""What is nowhere thicker than twice this is no stock left (report contract: 0.005 mm deep)."""
_NOSE_MM = 0.8
"""Beside a sharp inside corner every usual nose leaves something (ISO 1832: 0.2 to 0.8, mostly)."""
_UPRIGHT = 0.4
"""So much of a groove's wall is to stand upright (our choice: DIN 471 lets a nose of a tenth of the
ring's width, 0.1 mm, round a wall of 0.25 mm)."""
_TURN_RAD = math.radians(20.0)
_NO_CHANCE = 0.5
"""A segment of which tools leave more than this share unheld is not finished by any chucking."""


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Points (n, 2) just off the part beside its segments, `SAMPLES` to each, in their order.

    `asked` (n,): false for places in the sharp inside corners, which no nose cuts: they don't
    decide which tool cuts a segment, or a narrow blade would be called to each plain shoulder.
    """

    ids: tuple[str, ...]
    points: Points
    asked: NDArray[np.bool_]
    _known: dict[int, tuple[Region, NDArray[np.bool_]]] = field(default_factory=dict)
    _many: NDArray[np.int64] = field(init=False)

    def __post_init__(self) -> None:
        many = self.asked.reshape(len(self.ids), SAMPLES).sum(axis=1)
        object.__setattr__(self, "_many", many)

    def within(self, region: Region) -> NDArray[np.bool_]:
        """Which places lie in the region, (len(ids), SAMPLES); remembered for that very region."""
        known = self._known.get(id(region))
        if known is None:
            within = covers(region, self.points).reshape(len(self.ids), SAMPLES)
            known = self._known[id(region)] = (region, within)
        return known[1]

    def shares(self, within: NDArray[np.bool_]) -> NDArray[np.float64]:
        """For each segment the share that such places have of those asked, (len(ids),)."""
        asked = self.asked.reshape(within.shape)
        shares: NDArray[np.float64] = (within & asked).sum(axis=1) / self._many
        return shares

    def by_id(self, region: Region) -> dict[str, float]:
        """The same of a region by the segments' ids."""
        return dict(zip(self.ids, self.shares(self.within(region)).tolist(), strict=True))

    def share_in(self, region: Region) -> NDArray[np.float64]:
        """For each segment the share of its places that lie in the region, shape (len(ids),)."""
        shares: NDArray[np.float64] = (
            covers(region, self.points).reshape(len(self.ids), SAMPLES).mean(axis=1)
        )
        return shares


def clear_of(samples: Samples, held: Region) -> Samples:
    """The same, no place asked that lies beside what holds the part: a nose leaves its rounding
    there, and jaws stand a little off in truth. Of each segment at least a third stay asked.
    """
    near = samples.within(held.grown(_NOSE_MM + _OFF_MM, "round"))
    asked = samples.asked.reshape(near.shape)
    fewer = asked & ~near
    kept = fewer.sum(axis=1) >= SAMPLES / 3.0
    return replace(samples, asked=np.where(kept[:, None], fewer, asked).reshape(-1))


def samples_of(profile: Profile) -> Samples:
    """Places beside every segment but those on the axis, on the empty side."""
    segments = [s for s in profile.segments if s.surface != "axis"]
    shares = [(k + 0.5) / SAMPLES for k in range(SAMPLES)]
    points = [_beside(s, share) for s in segments for share in shares]
    cornered = _cornered(profile)
    asked = [_asked(s, share, cornered[s.id]) for s in segments for share in shares]
    return Samples(
        tuple(s.id for s in segments),
        np.array(points, dtype=float).reshape(-1, 2),
        np.array(asked, dtype=bool),
    )


def beside_along(profile: Profile, segment: str, many: int) -> tuple[Points, NDArray[np.bool_]]:
    """So many places (many, 2) just off one segment, and which lie in no sharp inside corner."""
    one = next(s for s in profile.segments if s.id == segment)
    shares = [(k + 0.5) / many for k in range(many)]
    cornered = _cornered(profile)[segment]
    asked = np.array([_asked(one, share, cornered) for share in shares])
    return np.array([_beside(one, share) for share in shares]), asked


def _cornered(profile: Profile) -> dict[str, tuple[bool, bool]]:
    """For each segment whether it begins, and whether it ends, in a sharp inside corner."""
    found: dict[str, tuple[bool, bool]] = {}
    for loop in profile.loops:
        ring = loop.segments
        inside = [
            "axis" not in (a.surface, b.surface) and _turn_rad(a, b) < -_TURN_RAD
            for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
        ]
        found |= {s.id: (inside[k - 1], inside[k]) for k, s in enumerate(ring)}
    return found


@dataclass(frozen=True, slots=True)
class Nook:
    """A sharp inside corner: its point, how far off a usual nose still touches the walls, where
    that nose's centre then is, and its radius."""

    at: Point
    reach_mm: float
    centre: Point
    nose_mm: float = _NOSE_MM


def nooks_of(profile: Profile, grooves: Sequence[Collection[str]] = ()) -> tuple[Nook, ...]:
    """The inside corners that are drawn sharp, those on the axis left out.

    In one of the narrow `grooves` no nose is usual that would leave less than `_UPRIGHT` of its
    wall upright: what should seat against a shallow one (a retaining ring) would ride up on it.
    """
    found = []
    for loop in profile.loops:
        ring = loop.segments
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            turn = -_turn_rad(a, b)
            if "axis" in (a.surface, b.surface) or turn < _TURN_RAD:
                continue
            (z0, r0), (z1, r1) = _unit(a.curve.direction(1.0)), _unit(b.curve.direction(0.0))
            z, r = b.curve.start
            # halfway between the walls, on the side without material
            across = _unit((z1 - z0, r1 - r0))
            nose = _NOSE_MM
            if any(a.id in groove and b.id in groove for groove in grooves):
                nose = min(nose, (1.0 - _UPRIGHT) * min(a.curve.length(), b.curve.length()))
            off = nose / math.cos(turn / 2.0)
            centre = (z + off * across[0], r + off * across[1])
            found.append(Nook((z, r), nose * math.tan(turn / 2.0), centre, nose))
    return tuple(found)


def _unit(way: Point) -> Point:
    length = math.hypot(*way)
    return (way[0] / length, way[1] / length)


def in_a_nook(piece: Region, nooks: Sequence[Nook]) -> bool:
    """Whether a piece is no more than what a usual nose leaves in a corner that is drawn sharp."""
    p, _ = piece.edges()
    if not len(p):
        return True
    for nook in nooks:
        from_corner = np.hypot(p[:, 0] - nook.at[0], p[:, 1] - nook.at[1])
        from_centre = np.hypot(p[:, 0] - nook.centre[0], p[:, 1] - nook.centre[1])
        if (from_corner <= nook.reach_mm + _OFF_MM).all() and (
            from_centre >= nook.nose_mm - _NEAR_MM
        ).all():
            return True
    return False


def _turn_rad(a: Segment, b: Segment) -> float:
    """Signed turn from the end of a to the start of b; negative: an inside corner."""
    (z0, r0), (z1, r1) = a.curve.direction(1.0), b.curve.direction(0.0)
    return math.atan2(z0 * r1 - r0 * z1, z0 * z1 + r0 * r1)


def _asked(segment: Segment, share: float, cornered: tuple[bool, bool]) -> bool:
    """Whether the place is no nose's width from such a corner; at least a third always is."""
    aside = min(_NOSE_MM / segment.curve.length(), 1.0 / (1 + sum(cornered)))
    begins, ends = cornered
    return not (begins and share < aside) and not (ends and share > 1.0 - aside)


def covers(region: Region, points: Points) -> NDArray[np.bool_]:
    """Whether each point (n, 2) lies in the region, by even-odd crossing; shape (n,)."""
    inside = np.zeros(len(points), dtype=bool)
    if region.empty:
        return inside
    z0, r0, z1, r1 = region.bounds
    z, r = points.T
    (near,) = ((z > z0) & (z < z1) & (r > r0) & (r < r1)).nonzero()
    if not len(near):
        return inside
    p, q = region.edges()
    # of points by their height each edge crosses those from its lower end up to its higher one
    near = near[r[near].argsort()]
    heights = r[near]
    first = heights.searchsorted(np.minimum(p[:, 1], q[:, 1]))
    count = heights.searchsorted(np.maximum(p[:, 1], q[:, 1])) - first
    edge = np.arange(len(p)).repeat(count)
    point = np.arange(len(edge)) + (first - count.cumsum() + count).repeat(count)
    a, b, at = p[edge], q[edge], near[point]
    crossing = a[:, 0] + (r[at] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    right = np.bincount(at[crossing > z[at]], minlength=len(points))
    inside |= right % 2 == 1
    return inside


def thick(region: Region) -> bool:
    """Whether it is somewhere more than a sliver."""
    if region.empty:
        return False
    return holds_disc(region, _THIN_MM) or not region.grown(-_THIN_MM, "round").empty


def thickness_mm(region: Region) -> float | None:
    """Twice the least inset at which nothing is left, to a tenth; None where it is over 1 mm."""
    low, high = 0.0, 0.5
    if not region.grown(-high, "round").empty:
        return None
    while high - low > 0.1 * high and high > _THIN_MM:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if region.grown(-middle, "round").empty else (middle, high)
    return 2.0 * high


def spreads_beyond(left: Left, centre: Point, radius_mm: float) -> bool:
    """Whether what is left is more than a sliver outside a circle; its outline may have spikes."""
    if all(math.dist(centre, point) <= radius_mm for point in left.polygon):
        return False
    turn = np.arange(_DISC_CORNERS) * (math.tau / _DISC_CORNERS)
    out = radius_mm / math.cos(math.pi / _DISC_CORNERS)
    disc = np.stack([centre[0] + out * np.cos(turn), centre[1] + out * np.sin(turn)], axis=1)
    return thick(Region.of([_anticlockwise(left.polygon)]) - Region.of([disc]))


def left_anyway(left: Sequence[Left]) -> Region:
    """What tools leave if nothing is held, and a little about it."""
    anyway = Region.of([_anticlockwise(region.polygon) for region in left])
    return anyway if anyway.empty else anyway.grown(_NEAR_MM, "mitre")


def hidden(stock: Region, anyway: Region) -> list[Region]:
    """Pieces of the stock still standing that tools would remove if nothing were held.

    `anyway` is what they leave then.
    """
    return [piece.without_hairs() for piece in (stock - anyway).components() if thick(piece)]


def hopeless_segments(samples: Samples, reach: Reach) -> frozenset[str]:
    """Segments that tools leave over most of their length with the part held by nothing."""
    found: set[str] = set()
    for left in reach.left:
        region = Region.of([_anticlockwise(left.polygon)])
        share = samples.share_in(region.grown(SKIN_MM, "mitre"))
        found |= {n for n, s in zip(samples.ids, share, strict=True) if s > _NO_CHANCE}
    return frozenset(found)


def touched(samples: Samples, piece: Region) -> tuple[str, ...]:
    """Segments beside which the piece stands."""
    share = samples.share_in(piece.grown(_OFF_MM, "mitre"))
    return tuple(name for name, part in zip(samples.ids, share, strict=True) if part > 0.0)


def volume_mm3(region: Region) -> float:
    """Volume of the region at r >= 0 turned about the axis, in mm3."""
    p, q = region.edges()
    if not len(p):
        return 0.0
    z0, r0, z1, r1 = p[:, 0], p[:, 1], q[:, 0], q[:, 1]
    return float(-math.pi / 3.0 * ((z1 - z0) * (r0 * r0 + r0 * r1 + r1 * r1)).sum())


def _beside(segment: Segment, share: float) -> tuple[float, float]:
    z, r = segment.curve.at(share)
    dz, dr = segment.curve.direction(share)
    return (z + _OFF_MM * dr, r - _OFF_MM * dz)


def _anticlockwise(polygon: Sequence[tuple[float, float]]) -> Points:
    ring = np.array(polygon, dtype=float)
    z, r = ring[:, 0], ring[:, 1]
    area = float(z @ np.roll(r, -1) - np.roll(z, -1) @ r)
    return ring[::-1].copy() if area < 0.0 else ring


def bore_of_tube(profile: Profile, inner_diameter_mm: float | None) -> Region:
    """What a tube's bore leaves to no tool; nothing for a bar."""
    if inner_diameter_mm is None:
        return nothing()
    from turnability.half_plane.regions import box

    return box(0.0, 0.0, profile.length_mm, inner_diameter_mm / 2.0)
