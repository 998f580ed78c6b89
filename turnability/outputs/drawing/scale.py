"""From (z, r) in mm to places on the sheet, true to scale, above and below the axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Point, Ring
from turnability.half_plane.inside import polygon_holds
from turnability.outputs.drawing.sheet import line_data

CHORD_PX = 0.05
BESIDE_GAP_PX = 12.0


@dataclass(frozen=True, slots=True)
class Scale:
    """`x` and `y` in px are where z = 0 meets the axis; `px_per_mm` holds both ways.

    Of a broken view the radii `gap_mm` (from, to) are drawn `gap_px` high, whatever lies there.
    """

    x: float
    y: float
    px_per_mm: float
    gap_mm: tuple[float, float] | None = None
    gap_px: float = 0.0

    def height(self, r_mm: float) -> float:
        """How far from the axis a radius is drawn, px."""
        if self.gap_mm is None or r_mm <= self.gap_mm[0]:
            return r_mm * self.px_per_mm
        low, high = self.gap_mm
        within = min(r_mm - low, high - low) / (high - low) * self.gap_px
        return (low + max(r_mm - high, 0.0)) * self.px_per_mm + within

    def place(self, point: Point, below: bool = False) -> tuple[float, float]:
        """Where a point (z, r) lies; `below` for its mirror image under the axis."""
        height = self.height(point[1])
        return (self.x + point[0] * self.px_per_mm, self.y + height if below else self.y - height)

    def point_at(self, point: Point, below: bool = False) -> tuple[float, float]:
        """As `place`, but out of the gap of a broken view, where a mark would point at nothing."""
        if self.gap_mm is not None and self.gap_mm[0] < point[1] < self.gap_mm[1]:
            point = (point[0], self.gap_mm[1] + BESIDE_GAP_PX / self.px_per_mm)
        return self.place(point, below)

    def ring_data(self, ring: Ring, below: bool = False) -> str:
        """Closed SVG path data of a ring, its arcs true arcs."""
        return self._data(ring, below) + "Z"

    def curve_data(self, curve: Curve, below: bool = False) -> str:
        """Open SVG path data of one curve."""
        return self._data((curve,), below)

    def polygon_data(self, polygon: Sequence[Point], below: bool = False) -> str:
        """Closed SVG path data of a polygon."""
        return line_data(self.place(point, below) for point in polygon) + "Z"

    def _data(self, curves: Sequence[Curve], below: bool) -> str:
        x, y = self.place(curves[0].start, below)
        data = [f"M{x:.3f} {y:.3f}"]
        for curve in curves:
            if isinstance(curve, Arc):
                radius = curve.radius * self.px_per_mm
                large = int(abs(curve.sweep()) > math.pi)
                # On the sheet y runs down: what is clockwise in (z, r) is so above the axis too.
                clockwise = int(curve.clockwise != below)
                x, y = self.place(curve.end, below)
                data.append(f"A{radius:.3f} {radius:.3f} 0 {large} {clockwise} {x:.3f} {y:.3f}")
                continue
            points = curve.flatten(CHORD_PX / self.px_per_mm)[1:]
            for z, r in points:
                x, y = self.place((float(z), float(r)), below)
                data.append(f"L{x:.3f} {y:.3f}")
        return "".join(data)


def nice_step(length_mm: float, room_px: float, least_px: float = 55.0) -> float:
    """A ruler's step of 1, 2 or 5 times a power of ten whose marks keep `least_px` apart."""
    least = length_mm * least_px / room_px
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * k for k in (1.0, 2.0, 5.0, 10.0) if power * k >= least * (1.0 - 1e-9))


def highest_at(outline: Ring, z: float, chord_mm: float = 0.01) -> float:
    """The outline's greatest r at a z (either side of a step counts); 0 outside it."""
    best = 0.0
    for curve in outline:
        points = curve.flatten(chord_mm)
        for (z0, r0), (z1, r1) in pairwise(points):
            low, high = min(z0, z1), max(z0, z1)
            if not low - 1e-9 <= z <= high + 1e-9:
                continue
            share = 0.0 if high - low < 1e-12 else (z - z0) / (z1 - z0)
            best = max(best, float(r0 + share * (r1 - r0)))
            if high - low < 1e-12:
                best = max(best, float(r0), float(r1))
    return best


def point_inside(polygon: Sequence[Point]) -> Point:
    """A point well within a polygon: of the middles of its clipped corners that farthest inside.

    Its first corner, where none lies inside.
    """
    corners = np.array(polygon, dtype=float)
    before, after = np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0)
    middles = (before + corners + after) / 3.0
    step = after - corners
    square = np.maximum((step * step).sum(axis=1), 1e-300)
    rel = middles[:, None, :] - corners[None, :, :]
    along = np.clip((rel * step).sum(axis=2) / square, 0.0, 1.0)
    gap = rel - along[:, :, None] * step
    depth = (gap * gap).sum(axis=2).min(axis=1)
    depth[~polygon_holds(corners, middles)] = -1.0
    best = int(np.argmax(depth))
    z, r = middles[best] if depth[best] > 0.0 else corners[0]
    return (float(z), float(r))
