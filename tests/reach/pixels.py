"""What tools remove, bounded from both sides on a grid: an oracle that shares no code.

The cautious run sees outlines and solids a pixel larger and what they cut smaller than it is, the
bold run the other way round. Everything that the cautious run removes is removed in truth, and
nothing that the bold run leaves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray
from scipy import ndimage, signal

Pixels = NDArray[np.bool_]


@dataclass
class PixelTool:
    """Outlines as shapely geometries about the point (0, 0), +z away from the chuck."""

    access: str
    on_axis: bool
    cutting: Any
    body: Any


class Stamp(NamedTuple):
    """Pixels [z, r] of an outline, the first of them at (z0, r0) from its point."""

    z0: int
    r0: int
    pixels: Pixels


def raster(shape: Any, h: float, z: tuple[int, int], r: tuple[int, int], touched: bool) -> Pixels:
    """Pixels in index ranges that a shape touches, or else those that it fills."""
    if shape.is_empty or z[0] >= z[1] or r[0] >= r[1]:
        return np.zeros((max(z[1] - z[0], 0), max(r[1] - r[0], 0)), bool)
    a, b = np.meshgrid(np.arange(*z) * h, np.arange(*r) * h, indexing="ij")
    e = 1e-9
    if touched:
        return np.asarray(
            shapely.intersects(shape, shapely.box(a + e, b + e, a + h - e, b + h - e))
        )
    grown = shape.buffer(e)
    shapely.prepare(grown)
    return np.asarray(shapely.covers(grown, shapely.box(a, b, a + h, b + h)))


def window(full: NDArray[Any], z0: int, r0: int, shape: tuple[int, int]) -> Pixels:
    """Where an array that begins at (-z0, -r0) is more than nought over a given shape."""
    out = np.zeros(shape, bool)
    z, r = max(0, -z0), max(0, -r0)
    part = full[max(0, z0) : max(0, z0 + shape[0]), max(0, r0) : max(0, r0 + shape[1])] > 0.5
    out[z : z + part.shape[0], r : r + part.shape[1]] = part
    return out


class Grid:
    """One run over a part (shapely, r >= 0, holes filled) of a given length and radius."""

    def __init__(self, part: Any, length: float, radius: float, h: float, cautious: bool) -> None:
        self.h, self.cautious = h, cautious
        self.n, self.k = round(length / h), round(radius / h)
        self.margin = round(5.0 / h)
        z, r = (-self.margin, self.n + self.margin), (0, self.k + self.margin)
        seen, kept = raster(part, h, z, r, cautious), raster(part, h, z, r, not cautious)
        self.part = np.concatenate((seen[:, ::-1], seen), axis=1)
        self.row = self.k + self.margin
        stock = np.zeros_like(seen)
        stock[self.margin : self.margin + self.n, : self.k] = True
        stock &= ~kept
        self.stock = np.concatenate((stock[:, ::-1], stock), axis=1)
        self.points = (self.part.shape[0] + 1, self.part.shape[1] + 1)

    def stamp(self, shape: Any, held: str, touched: bool, change: int) -> Stamp:
        """An outline's pixels, a pixel more or fewer all round, mirrored for the high end."""
        if held == "high":
            shape = shapely.affinity.scale(shape, -1.0, 1.0, origin=(0.0, 0.0))
        if shape.is_empty:
            return Stamp(0, 0, np.zeros((1, 1), bool))
        far = max(self.points) + 2
        ends = np.clip(np.array(shape.bounds) / self.h, -far, far)
        z0, r0 = (int(np.floor(v)) - 3 for v in ends[:2])
        z1, r1 = (int(np.ceil(v)) + 3 for v in ends[2:])
        pixels = raster(shape, self.h, (z0, z1), (r0, r1), touched)
        square = np.ones((3, 3), bool)
        if change > 0:
            pixels = ndimage.binary_dilation(pixels, square)
        elif change < 0:
            pixels = ndimage.binary_erosion(pixels, square)
        return Stamp(z0, r0, pixels)

    def run(self, tools: list[PixelTool]) -> Pixels:
        """Pixels [z, r] of the envelope that are left when nothing changes any more."""
        seen = (True, 1) if self.cautious else (False, -1)
        ready = []
        for tool in tools:
            for held in ("low", "high"):
                cutting = self.stamp(tool.cutting, held, *seen)
                body = self.stamp(tool.body, held, *seen)
                cut = self.stamp(tool.cutting, held, not self.cautious, 0 if self.cautious else 1)
                ready.append((tool, held, cutting, body, cut, self.hits(self.part, cutting)))
        while True:
            before = int(self.stock.sum())
            for tool, held, cutting, body, cut, by_part in ready:
                blocked = by_part | self.hits(self.part | self.stock, body)
                if tool.access == "inner":
                    core = self.core()
                    blocked |= self.hits(core, cutting) | self.hits(core, body)
                swept = self.sweep(tool, held, ~blocked, cut)
                self.stock &= ~(swept | swept[:, ::-1])
            if before == int(self.stock.sum()):
                return self.stock[self.margin :, self.row :][: self.n, : self.k]

    def hits(self, region: Pixels, outline: Stamp) -> Pixels:
        """Points [z, r] (pixel corners) at which an outline overlaps a region."""
        a, b = outline.pixels.shape
        turned = outline.pixels[::-1, ::-1].astype(float)
        full = signal.fftconvolve(region.astype(float), turned)
        return window(full, outline.z0 + a - 1, outline.r0 + b - 1, self.points)

    def core(self) -> Pixels:
        """Stock that stands on the axis: from there on outwards nothing but stock."""
        above = np.logical_and.accumulate(self.stock[:, self.row :], axis=1)
        return np.concatenate((above[:, ::-1], above), axis=1)

    def sweep(self, tool: PixelTool, held: str, free: Pixels, cut: Stamp) -> Pixels:
        """Pixels at r >= 0 that a tool cuts over the free points joined to where it comes from."""
        if tool.on_axis:
            on_axis = np.zeros_like(free)
            on_axis[:, self.row] = free[:, self.row]
            free = on_axis
        labels, _ = ndimage.label(free, None if self.cautious else np.ones((3, 3)))
        if tool.access == "outer":
            start = labels[free.shape[0] // 2, -1]
        else:
            start = labels[-1 if held == "low" else 0, self.row]
        if start == 0:
            return np.zeros_like(self.part)
        full = signal.fftconvolve((labels == start).astype(float), cut.pixels.astype(float))
        swept = window(full, -cut.z0, -cut.r0, (self.part.shape[0], self.part.shape[1]))
        swept[:, : self.row] = False
        return swept
