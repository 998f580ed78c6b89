"""The half plane as lattice points, part and stock on it, and tools that are moved over it.

With no geometry of the program: a tool at p overlaps what holds a point o where o - p lies within
its outline, and a Fourier transform tells that of all places at once.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage

from turnability.part.model import Profile, Segment
from turnability.report import Report
from turnability.shop.model import Shop, Tool

Grid = NDArray[np.bool_]
Points = NDArray[np.float64]

BESIDE_MM = 12.0
"""So far beyond the part's ends the work is looked at."""


def flat(curve) -> list[tuple[float, float]]:
    """Its points but the last: an arc's by turning its start round its centre, no step over 5°."""
    kind = type(curve).__name__
    if kind == "Line":
        return [curve.start]
    if kind != "Arc":
        return [curve.at(k / 64) for k in range(64)]
    cz, cr = curve.centre
    first = math.atan2(curve.start[1] - cr, curve.start[0] - cz)
    turn = math.atan2(curve.end[1] - cr, curve.end[0] - cz) - first
    turn = -((-turn) % math.tau) if curve.clockwise else turn % math.tau
    steps = max(2, math.ceil(abs(turn) / math.radians(5.0)))
    at = [first + turn * k / steps for k in range(steps)]
    return [(cz + curve.radius * math.cos(a), cr + curve.radius * math.sin(a)) for a in at]


def polygon(ring: Iterable) -> Points:
    return np.array([p for curve in ring for p in flat(curve)], dtype=float).reshape(-1, 2)


def filled(points: Points, z: Points, r: Points) -> Grid:
    """Which lattice points (len(r), len(z)) lie in a polygon: crossings of each row, even-odd."""
    grid = np.zeros((len(r), len(z)), dtype=bool)
    a, b = points, np.roll(points, -1, axis=0)
    for row, at in enumerate(r + 1e-7):
        crossed = (a[:, 1] > at) != (b[:, 1] > at)
        if crossed.any():
            p, q = a[crossed], b[crossed]
            cuts = p[:, 0] + (at - p[:, 1]) * (q[:, 0] - p[:, 0]) / (q[:, 1] - p[:, 1])
            grid[row] = np.searchsorted(np.sort(cuts), z + 1e-7) % 2 == 1
    return grid


def away(points: Points, segment: Segment) -> Points:
    """How far each point is from a segment."""
    line = np.array([*flat(segment.curve), segment.curve.end], dtype=float)
    best = np.full(len(points), np.inf)
    for a, b in itertools.pairwise(line):
        along = b - a
        square = float(along @ along) or 1.0
        share = np.clip(((points - a) @ along) / square, 0.0, 1.0)
        best = np.minimum(best, np.hypot(*(points - a - share[:, None] * along).T))
    return best


@dataclass(eq=False)
class Outline:
    """A tool's cutting and body about its point, as transforms; rows and columns of its lattice."""

    tool: Tool
    cutting: NDArray
    body: NDArray
    both: NDArray
    feeding: NDArray
    """Its body but for what follows its own cut as it feeds."""


class Bench:
    """The lattice and what stands on it; grids have rows r from -top to top, columns z."""

    def __init__(self, report: Report, shop: Shop, pixels: int = 100_000) -> None:
        profile = report.part.profile
        assert profile is not None
        self.report, self.shop, self.profile = report, shop, profile
        choice = report.stock.choice if report.stock else None
        out = profile.max_diameter_mm / 2.0
        self.out = out if choice is None else max(out, choice.across_mm / 2.0)
        self.h = math.sqrt((profile.length_mm + 2.0 * BESIDE_MM) * 2.0 * self.out / pixels)
        h, low = self.h, math.floor(-BESIDE_MM / self.h)
        # r = 0 lies halfway between rows, and no surface of round numbers on a row
        top = math.ceil(self.out / h) + 4
        self.r = (np.arange(-top, top) + 0.5) * h
        self.z = (np.arange(low, math.ceil((profile.length_mm + BESIDE_MM) / h) + 1) + 0.37) * h
        self.shape = (len(self.r), len(self.z))
        # twice as large, so that nothing comes round from the other side
        self.size = tuple(fft.next_fast_len(2 * n, real=True) for n in self.shape)
        self.part = self.laid(profile.outline.segments)
        hollow = np.zeros(self.shape, dtype=bool)
        for loop in profile.loops[1:]:
            hollow |= self.laid(loop.segments)
        self.part |= hollow
        r = np.abs(self.r)[:, None]
        self.stock = np.repeat(r < self.out, self.shape[1], axis=1) & ~self.part
        if choice is not None and choice.inner_diameter_mm:
            self.stock &= r > choice.inner_diameter_mm / 2.0
        policy = shop.stock_policy
        self.end_mm = policy.end_allowance_mm if policy is not None else 1.0
        self.parting_mm = policy.parting_width_mm if policy is not None else 3.0
        self.edges = self._edges(profile)
        self.tools = {tool.name: tool for tool in shop.tools}
        self._outlines: dict[tuple[str, bool], Outline] = {}

    def laid(self, segments: Sequence[Segment]) -> Grid:
        return filled(polygon(s.curve for s in segments), self.z, np.abs(self.r))

    def within(self, low: float, high: float) -> Grid:
        """Columns of this span of z."""
        span = (self.z > low) & (self.z < high)
        return np.repeat(span[None, :], self.shape[0], axis=0)

    def _edges(self, profile: Profile) -> dict[str, Grid]:
        """Lattice points outside the part, within 1.5 pixels of each surface and nearest to it."""
        beside = ndimage.binary_dilation(self.part, np.ones((3, 3)), iterations=2) & ~self.part
        rows, columns = np.nonzero(beside & (self.r > 0.0)[:, None])
        places = np.stack([self.z[columns], self.r[rows]], axis=1)
        surfaces = [s for s in profile.segments if s.surface != "axis"]
        apart = np.array([away(places, s) for s in surfaces])
        nearest, found = apart.argmin(axis=0), {}
        for k, s in enumerate(surfaces):
            mine = (nearest == k) & (apart[k] < 1.5 * self.h)
            grid = np.zeros(self.shape, dtype=bool)
            grid[rows[mine], columns[mine]] = True
            found[s.id] = grid
        return found

    # ------------------------------------------------------------------ tools

    def outline(self, name: str, from_high: bool) -> Outline:
        """The tool as it stands with the chuck at the low end, else turned round in z."""
        key = (name, from_high)
        if key not in self._outlines:
            tool, sign = self.tools[name], 1.0 if from_high else -1.0
            grids = [self._tool_grid(tool, rings, sign) for rings in _rings(tool)]
            both = grids[0] | grids[1]
            axis, up = feed_of(tool, from_high)
            grids += [both, grids[1] & ~trailed(grids[0], axis, not up)]
            seen = [fft.rfft2(self.wrapped(g).astype(np.float32), self.size) for g in grids]
            self._outlines[key] = Outline(tool, *seen)
        return self._outlines[key]

    def _tool_grid(self, tool: Tool, rings: list[Points], sign: float) -> Grid:
        rows, columns = self.shape
        z = (np.arange(columns * 2 - 1) - columns + 1) * self.h * sign
        r = (np.arange(rows * 2 - 1) - rows + 1) * self.h
        grid = np.zeros((len(r), len(z)), dtype=bool)
        for ring in rings:
            if sign < 0.0:
                grid |= filled(ring, z[::-1], r)[:, ::-1]
            else:
                grid |= filled(ring, z, r)
        return grid

    def wrapped(self, grid: Grid) -> Grid:
        """So that the tool's point is element (0, 0)."""
        rows, columns = self.shape
        placed = np.zeros(self.size, dtype=bool)
        rr, zz = np.nonzero(grid)
        placed[(rr - rows + 1) % self.size[0], (zz - columns + 1) % self.size[1]] = True
        return placed

    def seen(self, grid: Grid) -> NDArray:
        return fft.rfft2(grid.astype(np.float32), self.size)

    def overlaps(self, outline: NDArray, seen: NDArray) -> Grid:
        """Places of the point at which the outline holds some lattice point of a grid."""
        found = fft.irfft2(seen * outline.conj(), self.size)[: self.shape[0], : self.shape[1]]
        return found > 0.5

    def covered(self, outline: NDArray, places: Grid) -> Grid:
        """What the outline covers from these places, on both sides of the axis."""
        found = fft.irfft2(self.seen(places) * outline, self.size)
        one = found[: self.shape[0], : self.shape[1]] > 0.5
        return one | one[::-1]


def _rings(tool: Tool) -> tuple[list[Points], list[Points]]:
    """Cutting and body; the body's end edge carried on as far as any part is long."""
    cutting = [polygon(ring) for ring in tool.outlines.cutting]
    body = [polygon(ring) for ring in tool.outlines.body]
    column = 1 if tool.access == "outer" else 0
    if body:
        top = max(ring[:, column].max() for ring in body)
        for ring in body:
            ring[ring[:, column] > top - 1e-6, column] += 1e4
    return cutting, body


def feed_of(tool: Tool, from_high: bool) -> tuple[int, bool]:
    """Along which axis of a grid it feeds, and whether upward there."""
    if tool.access == "end" or tool.on_axis:
        return 1, not from_high
    if is_blade(tool):
        return 0, tool.access == "inner"
    left = tool.hand == "left" and tool.access == "outer"
    return 1, from_high == left


def trailed(grid: Grid, axis: int, up: bool) -> Grid:
    """All that lies straight on along an axis from something of the grid."""
    order = np.moveaxis(grid, axis, 0)[:: 1 if up else -1]
    return np.moveaxis(np.logical_or.accumulate(order)[:: 1 if up else -1], 0, axis)


def is_blade(tool: Tool) -> bool:
    return any(word in tool.kind for word in ("groov", "part", "blade"))
