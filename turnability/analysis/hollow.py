"""The hollow of the outline in which something stays uncut, and what it would be like otherwise.

It is found by shape alone, whatever it is called: from its floor both sides climb to lands that run
square to its depth. Outside it opens away from the axis, inside toward it, in an end along it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline
from turnability.half_plane.intersect import box
from turnability.part.model import Profile
from turnability.part.profile import Piece, make_profile, merge_neighbours

Side: TypeAlias = Literal[0, 1]
"""Of a hollow: where its run along the outline begins, and where it ends."""
SIDES: tuple[Side, Side] = (0, 1)
LEAST_LAND_MM = 0.5
"""So much stays of a land that a hollow grows into (ours)."""
MOST_OPEN_DEG = 60.0
"""Of a flatter wall a groove would be a dish (ours)."""
_SAME_MM = 1e-6
_LEVEL_MM = 1e-3
_CHORD_MM = 0.01


@dataclass(frozen=True, slots=True)
class Frame:
    """Across a hollow's mouth (u) and out of it (v): u is z unless `in_end`, `sign` turns v."""

    in_end: bool
    sign: float

    def across(self, point: Point) -> float:
        """Where a point lies along the mouth."""
        return point[1] if self.in_end else point[0]

    def out(self, point: Point) -> float:
        """How far out of the material it lies."""
        return self.sign * (point[0] if self.in_end else point[1])

    def point(self, across: float, out: float) -> Point:
        """The point (z, r) there."""
        return (self.sign * out, across) if self.in_end else (across, self.sign * out)


_FRAMES = (Frame(False, 1.0), Frame(False, -1.0), Frame(True, 1.0), Frame(True, -1.0))


@dataclass(frozen=True, slots=True)
class Hollow:
    """Curves of the outline from lip to lip: `count` of them from place `begin` on, cyclic."""

    profile: Profile
    frame: Frame
    begin: int
    count: int

    @property
    def curves(self) -> tuple[Curve, ...]:
        """From the one lip to the other."""
        ring = self.profile.outline.ring
        return tuple(ring[(self.begin + k) % len(ring)] for k in range(self.count))

    @property
    def segments(self) -> tuple[str, ...]:
        """Names of its segments."""
        every = self.profile.outline.segments
        return tuple(every[(self.begin + k) % len(every)].id for k in range(self.count))

    @property
    def lips(self) -> tuple[Point, Point]:
        """Where it begins and ends."""
        curves = self.curves
        return curves[0].start, curves[-1].end

    @property
    def width_mm(self) -> float:
        """Across its mouth."""
        a, b = map(self.frame.across, self.lips)
        return abs(b - a)

    @property
    def floor(self) -> float:
        """How far out its deepest place lies."""
        low, high = (0, 2) if self.frame.in_end else (1, 3)
        at = low if self.frame.sign > 0.0 else high
        return min(self.frame.sign * box(curve)[at] for curve in self.curves)

    @property
    def lip(self) -> float:
        """How far out its lower lip lies."""
        return min(map(self.frame.out, self.lips))

    @property
    def depth_mm(self) -> float:
        """From its lower lip to its floor."""
        return self.lip - self.floor

    def span(self) -> tuple[float, float]:
        """Least and greatest of it along the mouth, undercuts and all."""
        along = self._corners()[:, 1 if self.frame.in_end else 0]
        return float(along.min()), float(along.max())

    def floor_span(self) -> tuple[float, float]:
        """Least and greatest along the mouth of where it is deepest."""
        corners, column = self._corners(), 0 if self.frame.in_end else 1
        out = self.frame.sign * corners[:, column]
        deepest = out <= out.min() + _LEVEL_MM
        along = corners[deepest, 1 - column]
        return float(along.min()), float(along.max())

    def area_mm2(self) -> float:
        """Between the outline and the straight line from lip to lip."""
        z, r = self._corners().T
        return 0.5 * abs(float(np.dot(z, np.roll(r, -1)) - np.dot(r, np.roll(z, -1))))

    def _corners(self) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        chains = [curve.flatten(_CHORD_MM) for curve in self.curves]
        corners: np.ndarray[tuple[int, int], np.dtype[np.float64]] = np.concatenate(chains)
        return corners

    # ------------------------------------------------------------- as it would be otherwise

    def room_mm(self, side: Side) -> float:
        """By how much a lip may move outward; 0 where no land lies beside it."""
        ring = self.profile.outline.ring
        n = len(ring)
        land = ring[(self.begin - 1) % n] if side == 0 else ring[(self.begin + self.count) % n]
        if not isinstance(land, Line) or self.count >= n - 1:
            return 0.0
        (a, b), out = (land.start, land.end), self.frame.out
        if abs(out(a) - out(b)) > _LEVEL_MM:
            return 0.0
        far = abs(self.frame.across(a) - self.frame.across(b)) - LEAST_LAND_MM
        # toward the axis an end's land ends there, and so may the wall round a hole
        return max(0.0, far)

    def wider(self, by_mm: float, side: Side) -> Profile | None:
        """One of its walls farther off, as it is, its floor so much longer."""
        curves, out = list(self.curves), self.frame.out
        levels = [out(curve.start) for curve in curves] + [out(curves[-1].end)]
        at = int(np.argmin(levels))
        if levels[at] > self.floor + _LEVEL_MM or not 0 < at < len(curves):
            return None  # a round floor has no place to be made longer at
        by = self._outward(side) * by_mm
        if by_mm > self.room_mm(side):
            return None
        dz, dr = (0.0, by) if self.frame.in_end else (by, 0.0)
        here = curves[at].start
        there = (here[0] + dz, here[1] + dr)
        if side == 0:
            moved = [moved_by(curve, dz, dr) for curve in curves[:at]]
            return self._with([*moved, Line(there, here), *curves[at:]])
        moved = [moved_by(curve, dz, dr) for curve in curves[at:]]
        return self._with([*curves[:at], Line(here, there), *moved])

    def wall_deg(self, side: Side) -> float | None:
        """A straight wall's angle from the way in, negative where it is undercut; None else."""
        found = self._wall(side)
        if found is None:
            return None
        foot, lip = found
        run = self._outward(side) * (self.frame.across(lip) - self.frame.across(foot))
        return math.degrees(math.atan2(run, self.frame.out(lip) - self.frame.out(foot)))

    def opened(self, to_deg: Sequence[float | None]) -> Profile | None:
        """Its walls turned about their feet to these angles, one a side; lips stay on the lands."""
        curves = list(self.curves)
        for side in SIDES:
            to = to_deg[side]
            if to is None:
                continue
            found = self._wall(side)
            if found is None:
                return None
            foot, lip = found
            out = self.frame.out(lip)
            run = math.tan(math.radians(to)) * (out - self.frame.out(foot))
            across = self.frame.across(foot) + self._outward(side) * run
            moved = self._outward(side) * (across - self.frame.across(lip))
            if not -_SAME_MM <= moved <= self.room_mm(side):
                return None
            new = self.frame.point(across, out)
            if side == 0:
                curves[0] = Line(new, foot)
            else:
                curves[-1] = Line(foot, new)
        return self._with(curves)

    def _wall(self, side: Side) -> tuple[Point, Point] | None:
        """Foot and lip of the straight wall at a side."""
        curve = self.curves[0 if side == 0 else -1]
        if not isinstance(curve, Line):
            return None
        foot, lip = (curve.end, curve.start) if side == 0 else (curve.start, curve.end)
        return (foot, lip) if self.frame.out(lip) > self.frame.out(foot) + _LEVEL_MM else None

    def _outward(self, side: Side) -> float:
        a, b = map(self.frame.across, self.lips)
        return math.copysign(1.0, a - b if side == 0 else b - a)

    def _with(self, curves: Sequence[Curve]) -> Profile | None:
        """The profile with other curves from lip to lip, its lands as long as they then are."""
        every = self.profile.outline.segments
        n = len(every)
        own = [every[(self.begin + k) % n].faces for k in range(self.count)]
        faces = tuple(sorted({face for some in own for face in some}))
        rest = [every[(self.begin + self.count + k) % n] for k in range(n - self.count)]
        pieces: list[Piece] = [(segment.curve, segment.faces) for segment in rest]
        (after, mine), (before, other) = pieces[0], pieces[-1]
        if not isinstance(after, Line) or not isinstance(before, Line) or len(pieces) < 2:
            return None
        pieces[0] = (replace(after, start=curves[-1].end), mine)
        pieces[-1] = (replace(before, end=curves[0].start), other)
        outline = merge_neighbours([*((curve, faces) for curve in curves), *pieces])
        others: list[list[Piece]] = [
            [(s.curve, s.faces) for s in loop.segments] for loop in self.profile.loops[1:]
        ]
        try:
            return make_profile([outline, *others])
        except ValueError:
            return None


def hollows_of(profile: Profile, segments: Sequence[str]) -> tuple[Hollow, ...]:
    """Hollows of the outline that hold these segments, the smallest first, those in an end last."""
    every = profile.outline.segments
    own = [i for i, segment in enumerate(every) if segment.id in segments]
    if not own or len(own) < len(segments):
        return ()
    found = [hollow for frame in _FRAMES for hollow in _hollows(profile, own, frame)]
    # undercut walls make hollows of their own along z, and none can grow that no land lies beside
    found.sort(key=lambda one: (one.frame.in_end, not any(map(one.room_mm, SIDES)), one.area_mm2()))
    return tuple(found)


def hollow_of(profile: Profile, segments: Sequence[str]) -> Hollow | None:
    """The first of them; None where none does."""
    return next(iter(hollows_of(profile, segments)), None)


def _hollows(profile: Profile, own: Sequence[int], frame: Frame) -> Iterator[Hollow]:
    every, out = profile.outline.segments, frame.out
    n = len(every)
    gaps = [(own[(k + 1) % len(own)] - own[k]) % n or n for k in range(len(own))]
    at = max(range(len(own)), key=lambda k: gaps[k])
    begin, count = own[(at + 1) % len(own)], n - gaps[at] + 1

    def level(curve: Curve) -> bool:
        return isinstance(curve, Line) and abs(out(curve.start) - out(curve.end)) <= _SAME_MM

    # lands that only touch what stays are none of it
    while (
        count > 1
        and level(every[begin].curve)
        and out(every[begin].curve.end)
        > min(out(every[(begin + k) % n].curve.end) for k in range(count))
    ):
        begin, count = (begin + 1) % n, count - 1
    while (
        count > 1
        and level(every[(begin + count - 1) % n].curve)
        and out(every[(begin + count - 1) % n].curve.start)
        > min(out(every[(begin + k) % n].curve.start) for k in range(count))
    ):
        count -= 1
    while count < n:
        before = every[begin - 1].curve
        if every[begin - 1].surface == "axis" or out(before.start) <= out(before.end) + _SAME_MM:
            break
        begin, count = (begin - 1) % n, count + 1
    while count < n:
        after = every[(begin + count) % n]
        if after.surface == "axis" or out(after.curve.end) <= out(after.curve.start) + _SAME_MM:
            break
        count += 1
    if count >= n - 1 or any(every[(begin + k) % n].surface == "axis" for k in range(count)):
        return
    hollow = Hollow(profile, frame, begin, count)
    if hollow.depth_mm > _LEVEL_MM and hollow.width_mm > _LEVEL_MM and _is_open(hollow):
        yield hollow


def _is_open(hollow: Hollow) -> bool:
    """Whether void, not material, lies between its floor and its mouth."""
    a, b = map(hollow.frame.across, hollow.lips)
    # material lies on the left: outside it runs toward lower z, inside toward higher
    down = a > b
    if hollow.frame.in_end:
        return down == (hollow.frame.sign < 0.0)
    return down == (hollow.frame.sign > 0.0)


def moved_by(curve: Curve, dz: float, dr: float) -> Curve:
    """A curve moved along z and r."""

    def to(p: Point) -> Point:
        return (p[0] + dz, p[1] + dr)

    if isinstance(curve, Line):
        return Line(to(curve.start), to(curve.end))
    if isinstance(curve, Arc):
        return replace(curve, start=to(curve.start), end=to(curve.end), centre=to(curve.centre))
    return Spline(tuple(to(p) for p in curve.points))
