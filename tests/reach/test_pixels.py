"""Oracle: random slanted parts and tools, bounded from both sides by `pixels.py`."""

from __future__ import annotations

import math
from functools import reduce
from typing import Literal

import numpy as np
import pytest
import shapely
from pixels import Grid, PixelTool

from turnability.half_plane.curves import Arc, Line, Ring, line_ring
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach.removal import removed_by
from turnability.shop.model import Outlines, Tool

FAR, H = 40.0, 0.1


def random_profile(rng: np.random.Generator) -> tuple[Profile, float, float]:
    length, radius = float(rng.integers(5, 9)), 4.0
    n = rng.integers(2, 6)
    corners = [(0.0, 0.0), (0.0, rng.uniform(1.5, 4))]
    corners += list(
        zip(np.sort(rng.uniform(0.4, length - 0.4, n)), rng.uniform(1.5, 4, n), strict=True)
    )
    corners += [(length, rng.uniform(1.5, 4))]
    i = int(rng.integers(1, len(corners)))
    corners[i] = (corners[i][0], radius)
    if rng.random() < 0.6:
        bore, deep = rng.uniform(0.6, 1.0), rng.uniform(1.5, length - 0.5)
        recess = rng.uniform(bore, 1.3)
        corners += [
            (length, bore),
            (length - deep * 0.3, bore),
            (length - deep * 0.5, recess),
            (length - deep * 0.8, recess * 0.9),
            (length - deep, bore * 0.8),
            (length - deep - 0.1, 0.0),
        ]
    else:
        corners += [(length, 0.0)]
    return drawn_profile(corners), length, radius


def random_tool(rng: np.random.Generator, name: str) -> tuple[PixelTool, Tool]:
    kind = rng.random()
    access: Literal["outer", "inner", "end"]
    on_axis = False
    if kind < 0.45:
        w, h, lean = rng.uniform(0.6, 1.5), rng.uniform(0.6, 2.5), rng.uniform(-0.5, 0.8)
        cutting = [(0, 0), (w, rng.uniform(0, 0.3)), (w + lean, h), (lean, h)]
        b, wide, at = h - rng.uniform(0, 0.3), rng.uniform(0.5, 2.5), lean + rng.uniform(-0.5, 0.5)
        right = at + wide + rng.uniform(-0.3, 1)
        body = [(at, b), (at + wide, b), (right, b + 1.5), (at + wide, FAR), (at, FAR)]
        access = "outer"
    elif kind < 0.75:
        w, h = rng.uniform(0.6, 1.2, 2)
        cutting = [(0, 0), (w, 0), (w, -h), (rng.uniform(0, 0.2), -h)]
        thick, top = rng.uniform(0.4, 0.9), -rng.uniform(0.2, h - 0.1)
        body = [(w - 0.2, top - thick), (FAR, top - thick), (FAR, top), (w - 0.2, top)]
        access = "inner"
    else:
        d, point, flute = rng.uniform(0.4, 1.2), rng.uniform(0.1, 0.6), rng.uniform(2, 9)
        cutting = [(0, 0), (point, -d), (flute, -d), (flute, d), (point, d)]
        body = [(flute, -d - 0.3), (FAR, -d - 0.3), (FAR, d + 0.3), (flute, d + 0.3)]
        access, on_axis = "end", True
    outlines = Outlines((line_ring(cutting),), (line_ring(body),))
    pixel = PixelTool(access, on_axis, shapely.Polygon(cutting), shapely.Polygon(body))
    return pixel, Tool(name, "outline", access, on_axis, "right", outlines)


def rounded(radius: float) -> tuple[PixelTool, Tool]:
    """A nose with flanks at 30 degrees to either side of r and a narrow body above."""
    a = math.radians(30.0)
    left = (-radius * math.cos(a), -radius * math.sin(a))
    right = (-left[0], left[1])
    top = 4.0
    l2 = (left[0] - (top - left[1]) * math.tan(a), top)
    r2 = (-l2[0], top)
    ring: Ring = (
        Arc(left, right, (0, 0), radius, False),
        Line(right, r2),
        Line(r2, l2),
        Line(l2, left),
    )
    body = [(-0.4, 3.5), (0.4, 3.5), (0.4, FAR), (-0.4, FAR)]
    flat = np.concatenate([curve.flatten(1e-5)[:-1] for curve in ring])
    pixel = PixelTool("outer", False, shapely.Polygon(flat), shapely.Polygon(body))
    outlines = Outlines((ring,), (line_ring(body),))
    return pixel, Tool("nose", "outline", "outer", False, "neutral", outlines)


def bounded(seed: int) -> tuple[float, float, float]:
    """Area left beyond the cautious bound, missing from the bold one; share of stock between."""
    rng = np.random.default_rng(seed)
    profile, length, radius = random_profile(rng)
    pairs = [random_tool(rng, f"T{i}") for i in range(rng.integers(1, 4))]
    if rng.random() < 0.4:
        pairs.append(rounded(rng.uniform(0.2, 0.8)))
    part = shapely.Polygon([c.start for c in profile.outline.ring])
    if not part.is_valid:
        return 0.0, 0.0, 0.0
    rings = [shapely.Polygon(r) for r in removed_by(profile, [t for _, t in pairs]).stock.rings()]
    left = reduce(shapely.symmetric_difference, (r.buffer(0) for r in rings), shapely.Polygon())
    bounds = []
    for cautious in (True, False):
        pixels = Grid(part, length, radius, H, cautious).run([p for p, _ in pairs])
        a, b = np.nonzero(pixels)
        bounds.append(shapely.union_all(shapely.box(a * H, b * H, a * H + H, b * H + H)))
    most, least = bounds
    stock = length * radius - part.area
    return left.difference(most).area, least.difference(left).area, (most.area - least.area) / stock


@pytest.mark.parametrize("block", range(3))
def test_lies_between_the_cautious_and_the_bold(block: int) -> None:
    between = []
    for seed in range(500 + 4 * block, 504 + 4 * block):
        too_much, too_little, share = bounded(seed)
        assert too_much < 1e-5, seed
        assert too_little < 1e-5, seed
        between.append(share)
    assert min(between) < 0.6  # bounds far apart would say nothing
