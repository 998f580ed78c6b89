"""What tools remove, bounded from both sides on a grid: an oracle that shares no code.

The cautious run sees outlines and solids a pixel larger and what they cut smaller than it is, the
bold run the other way round. Everything the cautious run removes is removed in truth, and nothing
that the bold run leaves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage, signal

Pixels = NDArray[np.bool_]
FAR = 1000.0


@dataclass
class PixelTool:
    """Outlines as shapely geometries about the point (0, 0), +z away from the chuck."""

    access: str
    on_axis: bool
    cutting: Any
    body: Any


def _raster(shape: Any, h: float, z: tuple[int, int], r: tuple[int, int], outer: bool) -> Pixels:
    """Pixels [z, r] that the shape touches (outer) or fills (inner), in pixel index ranges."""
    zs, rs = np.arange(*z), np.arange(*r)
    if shape.is_empty:
        return np.zeros((len(zs), len(rs)), bool)
    shapely.prepare(shape)
    a, b = np.meshgrid(zs * h, rs * h, indexing="ij")
    pixels = shapely.box(a, b, a + h, b + h)
    if outer:
        inset = 1e-9
        pixels = shapely.box(a + inset, b + inset, a + h - inset, b + h - inset)
        return np.asarray(shapely.intersects(shape, pixels))
    return np.asarray(shapely.covers(shape.buffer(1e-9), pixels))


class Grid:
    """One run over a part (shapely, r >= 0, holes filled) of a given length and radius."""

    def __init__(self, part: Any, length: float, radius: float, h: float, cautious: bool) -> None:
        self.h_mm, self.cautious = h, cautious
        self.n, self.k = round(length / h), round(radius / h)
        self.m = max(self.n, 2 * self.k) + 10
        half = _raster(part, h, (-self.m, self.n + self.m), (0, self.k + self.m), cautious)
        full = _raster(part, h, (-self.m, self.n + self.m), (0, self.k + self.m), not cautious)
        self.part = np.concatenate((half[:, ::-1], half), axis=1)
        self.axis_row = self.k + self.m
        inside = np.zeros_like(half)
        inside[self.m : self.m + self.n, : self.k] = True
        stock = inside & ~full
        self.stock = np.concatenate((stock[:, ::-1], stock), axis=1)
        self.axis = stock[:, 0].copy()

    def outline(self, shape: Any, held: str, larger: bool) -> Pixels:
        """Raster about the point in the middle of an odd array, grown or shrunk by a pixel."""
        if held == "high":
            shape = shapely.affinity.scale(shape, -1.0, 1.0, origin=(0.0, 0.0))
        reach = self.m + self.n + self.k
        raster = _raster(shape, self.h_mm, (-reach, reach), (-reach, reach), larger)
        square = np.ones((3, 3), bool)
        return ndimage.binary_dilation(raster, square) if larger else raster

    def smaller(self, shape: Any, held: str) -> Pixels:
        raster = self.outline(shape, held, False)
        return ndimage.binary_erosion(raster, np.ones((3, 3), bool))

    def run(self, tools: list[PixelTool]) -> Pixels:
        """Pixels [z, r] of the envelope that are left when nothing changes any more."""
        prepared = []
        for tool in tools:
            for held in ("low", "high"):
                if self.cautious:
                    moving = [self.outline(s, held, True) for s in (tool.cutting, tool.body)]
                    cut = self.outline(tool.cutting, held, False)
                else:
                    moving = [self.smaller(s, held) for s in (tool.cutting, tool.body)]
                    cut = self.outline(tool.cutting, held, True)
                by_part = self._hits(self.part, moving[0])
                prepared.append((tool, held, moving, cut, by_part))
        while True:
            before = int(self.stock.sum()), int(self.axis.sum())
            for tool, held, (cutting, body), cut, by_part in prepared:
                blocked = by_part | self._hits(self.part | self.stock, body)
                if tool.access == "inner":
                    blocked |= self._on_axis_hits(cutting) | self._on_axis_hits(body)
                swept = self._sweep(tool, held, ~blocked, cut)
                if tool.access != "inner":
                    self.axis &= ~swept[:, self.axis_row]
                swept |= swept[:, ::-1]
                self.stock &= ~swept
            if before == (int(self.stock.sum()), int(self.axis.sum())):
                break
        return self.stock[self.m : self.m + self.n, self.axis_row : self.axis_row + self.k]

    def _hits(self, region: Pixels, outline: Pixels) -> Pixels:
        """Points [z, r] (pixel corners) at which an outline overlaps a region."""
        if not outline.any():
            return np.zeros((region.shape[0] + 1, region.shape[1] + 1), bool)
        half = outline.shape[0] // 2
        summed = signal.fftconvolve(region.astype(float), outline[::-1, ::-1].astype(float))
        # the pixel [half, half] of an outline begins at its point
        return summed[half - 1 : half + region.shape[0], half - 1 : half + region.shape[1]] > 0.5

    def _on_axis_hits(self, outline: Pixels) -> Pixels:
        half = outline.shape[0] // 2
        blocked = np.zeros((self.part.shape[0] + 1, self.part.shape[1] + 1), bool)
        both = outline[:, :-1] & outline[:, 1:]  # the line between two rows is inside
        for row in np.nonzero(both.any(axis=0))[0]:
            p = self.axis_row - (row + 1 - half)
            if 0 <= p < blocked.shape[1]:
                line = np.zeros_like(outline)
                line[:, half] = both[:, row]
                hit = self._hits(self.axis[:, None] & np.ones((1, 1), bool), line)
                blocked[:, p] |= hit[:, 0]
        return blocked

    def _sweep(self, tool: PixelTool, held: str, free: Pixels, cut: Pixels) -> Pixels:
        swept = np.zeros_like(self.part)
        if tool.on_axis:
            line = np.zeros_like(free)
            line[:, self.axis_row] = free[:, self.axis_row]
            free = line
        structure = np.ones((3, 3)) if not self.cautious else None
        labels, _ = ndimage.label(free, structure)
        if tool.access == "outer":
            start = labels[free.shape[0] // 2, -1]
        else:
            start = labels[-1 if held == "low" else 0, self.axis_row]
        if start == 0 or not cut.any():
            return swept
        half = cut.shape[0] // 2
        summed = signal.fftconvolve((labels == start).astype(float), cut.astype(float))
        swept = summed[half : half + swept.shape[0], half : half + swept.shape[1]] > 0.5
        swept[:, : self.axis_row] = False
        return swept
