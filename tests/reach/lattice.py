"""What tools remove, worked out on unit squares: an oracle that shares no code with the package.

Everything is made of unit squares with corners on whole numbers, so touching is exact: outlines
overlap where they share a square. Squares are halved, so that a point that moves from one place to
the next cannot carry an outline across the axis unseen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Squares = NDArray[np.bool_]
BACK = 80
"""How many half squares a body goes on without end."""


@dataclass
class LatticeTool:
    """Squares (z, r) of the outlines, their low left corners, for the part held low."""

    access: str
    on_axis: bool
    cutting: set[tuple[int, int]]
    body: set[tuple[int, int]]

    def seen_from(self, held: str) -> LatticeTool:
        cutting, body = _halved(self.cutting), _halved(self.body)
        if body:
            k = 1 if self.access == "outer" else 0
            top = max(s[k] for s in body)
            for s in [s for s in body if s[k] == top]:
                for n in range(1, BACK + 1):
                    body.add((s[0], s[1] + n) if k == 1 else (s[0] + n, s[1]))
        if held == "low":
            return LatticeTool(self.access, self.on_axis, cutting, body)
        flip = {(-1 - z, r) for z, r in cutting}
        return LatticeTool(self.access, self.on_axis, flip, {(-1 - z, r) for z, r in body})


def _halved(squares: set[tuple[int, int]]) -> set[tuple[int, int]]:
    return {(2 * z + a, 2 * r + b) for z, r in squares for a in (0, 1) for b in (0, 1)}


class Lattice:
    """Part squares are given as an array part[z, r] over 0 <= z < length, 0 <= r < radius."""

    def __init__(self, part: Squares, margin: int = 60) -> None:
        part = part.repeat(2, axis=0).repeat(2, axis=1)
        self.length, self.radius = part.shape
        self.m = margin
        n, h = self.length + 2 * margin, self.radius + margin
        self.part = np.zeros((n, 2 * h), bool)
        self.part[margin : margin + self.length, h : h + self.radius] = part
        self.part |= self.part[:, ::-1]
        self.h = h
        self.stock = np.zeros_like(self.part)
        self.stock[margin : margin + self.length, h - self.radius : h + self.radius] = True
        self.stock &= ~self.part

    def _hits(self, region: Squares, outline: set[tuple[int, int]]) -> Squares:
        """Points (whole places, one more each way than squares) at which the outline overlaps."""
        out = np.zeros((region.shape[0] + 1, region.shape[1] + 1), bool)
        if not outline:
            return out
        for dz, dr in outline:
            # square (pz + dz, pr + dr) must not be in region, for point (pz, pr)
            z0, z1 = max(0, -dz), min(out.shape[0], region.shape[0] - dz)
            r0, r1 = max(0, -dr), min(out.shape[1], region.shape[1] - dr)
            if z0 < z1 and r0 < r1:
                out[z0:z1, r0:r1] |= region[z0 + dz : z1 + dz, r0 + dr : r1 + dr]
        return out

    def _core(self) -> Squares:
        """Stock that stands on the axis: from there on outwards nothing but stock."""
        above = np.logical_and.accumulate(self.stock[:, self.h :], axis=1)
        return np.concatenate((above[:, ::-1], above), axis=1)

    def sweep(self, tool: LatticeTool, held: str) -> Squares:
        t = tool.seen_from(held)
        blocked = self._hits(self.part, t.cutting | t.body) | self._hits(self.stock, t.body)
        if t.access == "inner":
            blocked |= self._hits(self._core(), t.cutting | t.body)
        free = ~blocked
        if t.on_axis:
            column = np.zeros_like(free)
            column[:, self.h] = free[:, self.h]
            free = column
        if t.access == "outer" and not t.on_axis:
            start = (free.shape[0] // 2, free.shape[1] - 1)
        else:
            start = (free.shape[0] - 1 if held == "low" else 0, self.h)
        labels, _ = ndimage.label(free)
        swept = np.zeros_like(self.part)
        if labels[start] == 0:
            return swept
        free = labels == labels[start]
        for dz, dr in t.cutting:
            z0, z1 = max(0, -dz), min(free.shape[0], swept.shape[0] - dz)
            r0, r1 = max(0, -dr), min(free.shape[1], swept.shape[1] - dr)
            if z0 < z1 and r0 < r1:
                swept[z0 + dz : z1 + dz, r0 + dr : r1 + dr] |= free[z0:z1, r0:r1]
        swept[:, : self.h] = False
        return swept

    def run(self, tools: list[LatticeTool]) -> Squares:
        """Half squares left at r >= 0 when nothing changes any more, [z, r] over the envelope."""
        while True:
            before = self.stock.sum()
            gone = np.zeros_like(self.stock)
            for tool in tools:
                for held in ("low", "high"):
                    gone |= self.sweep(tool, held)
            gone |= gone[:, ::-1]
            self.stock &= ~gone
            if before == self.stock.sum():
                break
        return self.stock[self.m : self.m + self.length, self.h : self.h + self.radius]
