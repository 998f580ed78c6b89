"""Curves of the half plane: line, arc and spline between points (z, r) in mm.

The plane is drawn with z to the right and r upwards. A region lies on the left of the curves
that bound it. Nothing here knows a part or a tool.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Point: TypeAlias = tuple[float, float]
"""(z, r) in mm."""
Points: TypeAlias = NDArray[np.float64]
"""Shape (n, 2), columns z and r in mm."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight piece from `start` to `end`."""

    start: Point
    end: Point

    def reversed(self) -> Line:
        """The same piece run the other way."""
        return Line(self.end, self.start)

    def length(self) -> float:
        """Length in mm."""
        return math.dist(self.start, self.end)

    def at(self, t: float) -> Point:
        """The point at share t (0 to 1) of the length."""
        (z0, r0), (z1, r1) = self.start, self.end
        return (z0 + t * (z1 - z0), r0 + t * (r1 - r0))

    def direction(self, t: float) -> Point:
        """Unit tangent in the running direction at share t."""
        n = self.length() or 1.0
        return ((self.end[0] - self.start[0]) / n, (self.end[1] - self.start[1]) / n)

    def flatten(self, chord_mm: float) -> Points:
        """The two end points, shape (2, 2)."""
        return np.array([self.start, self.end], dtype=float)

    def swept_volume(self) -> float:
        """Minus pi times the integral of r^2 dz: its share of the volume on its left, in mm3."""
        (z0, r0), (z1, r1) = self.start, self.end
        return -math.pi * (z1 - z0) * (r0 * r0 + r0 * r1 + r1 * r1) / 3.0


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular piece of less than a full turn round `centre`."""

    start: Point
    end: Point
    centre: Point
    radius: float
    clockwise: bool

    def reversed(self) -> Arc:
        """The same piece run the other way."""
        return Arc(self.end, self.start, self.centre, self.radius, not self.clockwise)

    def start_angle(self) -> float:
        """Angle of the start seen from the centre, radians from +z toward +r."""
        return math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])

    def sweep(self) -> float:
        """Signed angle run through, radians, negative when clockwise; never 0."""
        a0 = self.start_angle()
        a1 = math.atan2(self.end[1] - self.centre[1], self.end[0] - self.centre[0])
        turn = (a0 - a1 if self.clockwise else a1 - a0) % math.tau
        if turn < 1e-12:
            turn = math.tau
        return -turn if self.clockwise else turn

    def length(self) -> float:
        """Length in mm."""
        return abs(self.sweep()) * self.radius

    def at(self, t: float) -> Point:
        """The point at share t (0 to 1) of the length; the exact ends at 0 and 1."""
        if t <= 0.0:
            return self.start
        if t >= 1.0:
            return self.end
        a = self.start_angle() + t * self.sweep()
        return (
            self.centre[0] + self.radius * math.cos(a),
            self.centre[1] + self.radius * math.sin(a),
        )

    def direction(self, t: float) -> Point:
        """Unit tangent in the running direction at share t."""
        a = self.start_angle() + t * self.sweep()
        if self.clockwise:
            return (math.sin(a), -math.cos(a))
        return (-math.sin(a), math.cos(a))

    def flatten(self, chord_mm: float) -> Points:
        """Points on the arc whose chords miss it by at most `chord_mm`, shape (n, 2)."""
        sweep = self.sweep()
        share = min(1.0, chord_mm / self.radius) if self.radius > 0.0 else 1.0
        step = max(1e-4, min(2.0 * math.acos(1.0 - share), math.pi / 4.0))
        n = max(1, math.ceil(abs(sweep) / step - 1e-9))
        a = self.start_angle() + np.linspace(0.0, sweep, n + 1)
        points = np.column_stack(
            (
                self.centre[0] + self.radius * np.cos(a),
                self.centre[1] + self.radius * np.sin(a),
            )
        )
        points[0] = self.start
        points[-1] = self.end
        return points

    def swept_volume(self) -> float:
        """Minus pi times the integral of r^2 dz: its share of the volume on its left, in mm3."""
        a0, sweep = self.start_angle(), self.sweep()
        rc, rho = self.centre[1], self.radius

        def antiderivative(a: float) -> float:
            # r = rc + rho sin a, dz = -rho sin a da, so -r^2 dz = rho sin a (rc + rho sin a)^2 da
            c = math.cos(a)
            sin2 = (a - math.sin(a) * c) / 2.0
            sin3 = -c + c**3 / 3.0
            return rho * (-rc * rc * c + 2.0 * rc * rho * sin2 + rho * rho * sin3)

        return math.pi * (antiderivative(a0 + sweep) - antiderivative(a0))


@dataclass(frozen=True, slots=True)
class Spline:
    """A curve given by points that lie on it; its chords miss it by at most 1 µm."""

    points: tuple[Point, ...]
    _table: Points | None = field(default=None, init=False, repr=False, compare=False)
    _run: NDArray[np.float64] | None = field(default=None, init=False, repr=False, compare=False)

    @property
    def start(self) -> Point:
        """First point."""
        return self.points[0]

    @property
    def end(self) -> Point:
        """Last point."""
        return self.points[-1]

    @property
    def table(self) -> Points:
        """The points as an array (n, 2), not to be written to."""
        if self._table is None:
            table = np.array(self.points, dtype=float)
            table.flags.writeable = False
            object.__setattr__(self, "_table", table)
            return table
        return self._table

    @property
    def run(self) -> NDArray[np.float64]:
        """Length of the chords from the start to each point in mm, shape (n,)."""
        if self._run is None:
            steps = np.hypot(*np.diff(self.table, axis=0).T)
            run = np.concatenate(([0.0], np.cumsum(steps)))
            run.flags.writeable = False
            object.__setattr__(self, "_run", run)
            return run
        return self._run

    def __getstate__(self) -> tuple[Point, ...]:
        return self.points

    def __setstate__(self, points: tuple[Point, ...]) -> None:
        for name, value in (("points", points), ("_table", None), ("_run", None)):
            object.__setattr__(self, name, value)

    def reversed(self) -> Spline:
        """The same piece run the other way."""
        return Spline(self.points[::-1])

    def length(self) -> float:
        """Length of the chords in mm."""
        return float(self.run[-1])

    def _place(self, t: float) -> tuple[int, float]:
        run = self.run
        s = min(max(t, 0.0), 1.0) * run[-1]
        i = int(min(max(np.searchsorted(run, s, side="right") - 1, 0), len(run) - 2))
        step = run[i + 1] - run[i]
        return i, float((s - run[i]) / step) if step > 0.0 else 0.0

    def at(self, t: float) -> Point:
        """The point at share t (0 to 1) of the length."""
        i, u = self._place(t)
        return Line(self.points[i], self.points[i + 1]).at(u)

    def direction(self, t: float) -> Point:
        """Unit tangent in the running direction at share t."""
        i, _ = self._place(t)
        return Line(self.points[i], self.points[i + 1]).direction(0.0)

    def flatten(self, chord_mm: float) -> Points:
        """The points themselves, shape (n, 2)."""
        return self.table

    def swept_volume(self) -> float:
        """Minus pi times the integral of r^2 dz over the chords, in mm3."""
        z, r = self.table.T
        mean = (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2) / 3.0
        return float(-math.pi * (np.diff(z) * mean).sum())


Curve: TypeAlias = Line | Arc | Spline
Ring: TypeAlias = tuple[Curve, ...]
"""Closed run of curves, each beginning where the one before ends."""


def line_ring(points: Any) -> Ring:
    """A closed ring of lines through `points` (n, 2), last joined to first."""
    corners = [(float(z), float(r)) for z, r in points]
    return tuple(
        Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True) if a != b
    )


def flatten_ring(ring: Ring, chord_mm: float) -> Points:
    """Corners of the flattened ring, first not repeated, shape (n, 2)."""
    return np.concatenate([curve.flatten(chord_mm)[:-1] for curve in ring])


def ring_area(ring: Ring) -> float:
    """Signed area in mm2, positive when the ring runs anticlockwise; exact for lines and arcs."""
    total = 0.0
    for curve in ring:
        (z0, r0), (z1, r1) = curve.start, curve.end
        if isinstance(curve, Spline):
            p = curve.table
            total += 0.5 * float((p[:-1, 0] * p[1:, 1] - p[1:, 0] * p[:-1, 1]).sum())
            continue
        total += 0.5 * (z0 * r1 - z1 * r0)
        if isinstance(curve, Arc):
            s = curve.sweep()
            total += 0.5 * curve.radius**2 * (s - math.sin(s))
    return total


def ring_volume(ring: Ring) -> float:
    """Volume in mm3 of the region on the left turned round r = 0; negative for a clockwise ring."""
    return math.fsum(curve.swept_volume() for curve in ring)
