"""Oracle: random parts with grooves in their ends, cut by blades on a grid, from both sides.

The blade's sections stand at 24 heights. The bold one is a pixel thinner on each side below its
edge and stands a pixel farther back, the cautious one a pixel thicker. Places lie on the grid: one
that is curved otherwise than what stands beside it then gets deeper by a pixel for each pixel
aside at most, so the cautious bound lies far off where a groove is wider than the blade.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from turnability.half_plane.regions import Region
from turnability.half_plane.rings import box_ring
from turnability.part.profile import drawn_profile
from turnability.reach.removal import removed_by
from turnability.shop.load import tools_of

H, FAR, LEVELS = 0.25, 500.0, 24
RELIEF = math.tan(math.radians(7.0))
Cells = NDArray[np.bool_]


@dataclass
class Box:
    """What an outline fills at a height y, about its point: z0 to z1 and x0 to x1."""

    z0: float
    x0: float
    z1: float
    x1: float
    y: float = 0.0


def blade(of: dict[str, Any], thin: float) -> tuple[Box, list[Box]]:
    """Edge and body of a blade as its table in a shop file says, square-cornered."""
    w, deep, side = of["width_mm"], of["depth_mm"], of["side_clearance_mm"]
    least, most = of["first_cut_mm"]
    outer, inner, head = least / 2.0 - side, most / 2.0 - w + side, min(deep, 1.5 * w)
    low = (w - of["shank_mm"]) / 2.0
    body = [Box(head, side, deep, w - side), Box(deep, low, FAR, low + of["shank_mm"])]
    for y in of["height_mm"] * np.arange(1, LEVELS + 1) / LEVELS:
        a = side - inner + math.sqrt(inner**2 - y**2) + thin
        b = w - side - outer + math.sqrt(outer**2 - y**2) - thin
        back = max(y * RELIEF, H) + max(thin, 0.0)
        if a < b and back < deep:
            body.append(Box(back, a, deep, b, float(y)))
    return Box(0.0, 0.0, head, w), body


def spans(column: Cells, y: float) -> list[tuple[float, float]]:
    """Where cells of a column r >= 0 stand at a height, along x on both sides."""
    step = np.diff(np.concatenate(([0], column.astype(int), [0])))
    found = []
    for a, b in zip(np.nonzero(step == 1)[0] * H, np.nonzero(step == -1)[0] * H, strict=True):
        if b <= y:
            continue
        far = math.sqrt(b * b - y * y)
        near = math.sqrt(a * a - y * y) if a > y else 0.0
        found += [(near, far), (-far, -near)] if near > 0.0 else [(-far, far)]
    return found


class Grid:
    """A part of cells [z, r], the stock about it, and the points where a blade may be."""

    def __init__(self, part: Cells) -> None:
        self.part, self.stock = part, ~part
        n, k = part.shape
        off = round(40.0 / H)
        self.z, self.x = np.arange(-off, n + off + 1) * H, np.arange(-k - off, k + off + 1) * H

    def hits(self, cells: Cells, boxes: list[Box]) -> Cells:
        """Points at which a box overlaps cells at its height."""
        out = np.zeros((len(self.z), len(self.x)), bool)
        e = 1e-6
        for one in boxes:
            last: list[tuple[float, float]] = []
            across = np.zeros(len(self.x), bool)
            for i, column in enumerate(cells):
                stands = spans(column, one.y)
                if stands != last:
                    across = np.zeros(len(self.x), bool)
                    for a, b in stands:
                        across |= (self.x + one.x0 < b - e) & (self.x + one.x1 > a + e)
                    last = stands
                if stands:
                    along = (self.z + one.z0 < (i + 1) * H - e) & (self.z + one.z1 > i * H + e)
                    out[along] |= across
        return out

    def run(self, cut: Box, body: list[Box]) -> Cells:
        """What is left when nothing changes any more; from the high end alone."""
        n, k = self.part.shape
        fixed = self.hits(self.part, [cut, *body])
        while True:
            before = int(self.stock.sum())
            labels, _ = ndimage.label(~(fixed | self.hits(self.stock, body)))
            free = labels == labels[-1, len(self.x) // 2]
            z, x = np.nonzero(free)
            za, xa = np.round(self.z[z] / H).astype(int), np.round(self.x[x] / H).astype(int)
            deep, wide = round(cut.z1 / H), round(cut.x1 / H)
            edge = np.zeros((n + 1, k + 1), int)
            for dz, dx, sign in ((0, 0, 1), (deep, wide, 1), (0, wide, -1), (deep, 0, -1)):
                at = np.clip(za + dz, 0, n), np.clip(xa + dx, 0, k)
                np.add.at(edge, at, sign)
            self.stock &= ~(edge.cumsum(0).cumsum(1)[:n, :k] > 0)
            if before == int(self.stock.sum()):
                return self.stock


def grooved(rng: random.Random) -> tuple[list[tuple[float, float]], Cells]:
    """A disc with one stepped groove in its high end: its corners and its cells."""
    n, a = rng.randint(48, 72), rng.randint(24, 80)
    deep, wide, step = rng.randint(12, 32), rng.randint(8, 16), rng.randint(2, 12)
    b, shallow = a + wide, rng.randint(2, 10)
    k = b + step + rng.randint(8, 20)
    part = np.ones((n, k), bool)
    part[n - deep :, a:b] = False
    part[n - shallow :, a : b + step] = False
    corners = [(0, 0), (n, 0), (n, a), (n - deep, a), (n - deep, b), (n - shallow, b)]
    corners += [(n - shallow, b + step), (n, b + step), (n, k), (0, k)]
    return [(z * H, r * H) for z, r in corners], part


def region(cells: Cells) -> Region:
    rings = [box_ring(z * H, r * H, (z + 1) * H, (r + 1) * H) for z, r in np.argwhere(cells)]
    return Region.of(rings)


@pytest.mark.parametrize("seed", range(16))
def test_lies_between_the_cautious_and_the_bold(seed: int) -> None:
    rng = random.Random(seed)
    corners, part = grooved(rng)
    width, least = rng.choice([1.5, 2.0]), rng.choice([16.0, 20.0, 26.0, 34.0, 44.0])
    height = round(rng.uniform(0.35, 0.45) * least / 2.0, 2)
    table = {
        "kind": "end-grooving",
        "width_mm": width,
        "depth_mm": rng.choice([4.0, 8.0, 12.0]),
        "first_cut_mm": [least, least + rng.choice([4.0, 6.0, 10.0])],
        "height_mm": height,
        "corner_radius_mm": 0.0,
        "side_clearance_mm": rng.choice([0.0, 0.25]),
        "shank_mm": width + rng.choice([2.0, 6.0]),
    }
    stock = removed_by(drawn_profile(corners), tools_of(table), ("low",)).stock
    least_left, most_left = (region(Grid(part).run(*blade(table, t))) for t in (H, -H))
    # half of its first slab it may stop too soon, over no more than its own width beside each wall
    slab = 0.0117 * height * 2.0 * width
    assert (least_left - stock).area < 0.01
    assert (stock - most_left).area < 0.01 + slab
