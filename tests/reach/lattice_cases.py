"""Random parts and tools made of unit squares, for the lattice oracle."""

from __future__ import annotations

from typing import Literal

import numpy as np
from lattice import LatticeTool, Squares
from scipy import ndimage

from turnability.half_plane.curves import Ring, line_ring
from turnability.half_plane.regions import Region
from turnability.half_plane.rings import box_ring
from turnability.part.model import Profile
from turnability.part.profile import make_profile
from turnability.shop.model import Outlines, Tool

SquareSet = set[tuple[int, int]]


def squares_region(squares: SquareSet) -> Region:
    return Region.of([box_ring(z, r, z + 1, r + 1) for z, r in squares])


def rings_of(squares: SquareSet) -> tuple[Ring, ...]:
    return tuple(line_ring(ring) for ring in squares_region(squares).simplified(1e-9).rings())


def indices(squares: Squares) -> SquareSet:
    return {(int(z), int(r)) for z, r in zip(*np.nonzero(squares), strict=True)}


def profile_of(part: Squares) -> Profile:
    rings = squares_region(indices(part)).simplified(1e-9).rings()
    return make_profile([[(curve, ()) for curve in line_ring(ring)] for ring in rings])


def _pinched(a: Squares) -> bool:
    b = ~a
    one = a[:-1, :-1] & a[1:, 1:] & b[:-1, 1:] & b[1:, :-1]
    other = b[:-1, :-1] & b[1:, 1:] & a[:-1, 1:] & a[1:, :-1]
    return bool(one.any() or other.any())


def random_part(rng: np.random.Generator) -> Squares:
    """A connected section part[z, r], bored or not, with undercuts; no squares touch by corners."""
    while True:
        length, radius = int(rng.integers(4, 14)), int(rng.integers(3, 9))
        outside = rng.integers(1, radius + 1, length)
        if rng.random() < 0.6:
            outside = np.repeat(outside, 2)[:length]
        inside = np.zeros(length, int)
        kind = rng.random()
        if kind < 0.7:
            deep = int(rng.integers(1, length)) if kind < 0.35 else length
            inside[length - deep :] = np.repeat(rng.integers(0, radius, length), 2)[:deep]
        a = np.zeros((length, radius), bool)
        for z in range(length):
            a[z, inside[z] : outside[z]] = True
        for _ in range(rng.integers(0, 3)):
            z, r = rng.integers(0, length), rng.integers(0, radius)
            a[z : z + rng.integers(1, 4), r : r + rng.integers(1, 3)] = False
        labels, count = ndimage.label(a)
        if count == 0:
            continue
        a = labels == 1 + int(np.argmax(ndimage.sum(a, labels, range(1, count + 1))))
        zs, rs = np.nonzero(a.any(axis=1))[0], np.nonzero(a.any(axis=0))[0]
        a = a[zs[0] : zs[-1] + 1, : rs[-1] + 1]
        holes = ndimage.binary_fill_holes(np.pad(a, 1))[1:-1, 1:-1] != a
        if a.sum() >= 3 and not _pinched(a) and not holes.any():
            return a


def random_blob(rng: np.random.Generator, width: int, height: int) -> SquareSet:
    while True:
        a = np.zeros((width, height), bool)
        for _ in range(rng.integers(1, 4)):
            z, r = rng.integers(0, width), rng.integers(0, height)
            a[z : z + rng.integers(1, width + 1), r : r + rng.integers(1, height + 1)] = True
        filled = ndimage.binary_fill_holes(np.pad(a, 1))[1:-1, 1:-1]
        if ndimage.label(a)[1] == 1 and not _pinched(a) and (filled == a).all():
            return indices(a)


def _block(rng: np.random.Generator, z: int, width: int, r: int, height: int) -> SquareSet:
    return {(i, j) for i in range(z, z + width) for j in range(r, r + height)}


def random_tool(rng: np.random.Generator, name: str) -> tuple[LatticeTool, Tool]:
    access: Literal["outer", "inner", "end"] = ("outer", "inner", "end")[int(rng.integers(0, 3))]

    def pick(low: int, high: int) -> int:
        return int(rng.integers(low, high))

    cutting = random_blob(rng, pick(1, 5), pick(1, 5))
    on_axis = access == "end" and rng.random() < 0.6
    if access == "outer":
        dz, dr = pick(-2, 1), pick(-1, 1)
        cutting = {(z + dz, r + dr) for z, r in cutting}
        base = max(r for _, r in cutting) + 1 - pick(0, 2)
        z0 = min(z for z, _ in cutting) + pick(-1, 3)
        body = _block(rng, z0, pick(1, 5), base, pick(1, 6))
        if rng.random() < 0.5:
            body |= _block(rng, z0 + pick(-2, 2), pick(2, 6), max(r for _, r in body), 3)
    else:
        dz, dr = pick(-1, 1), pick(-3, 1)
        cutting = {(z + dz, r + dr) for z, r in cutting}
        half = pick(1, 4)
        if on_axis:
            cutting = _block(rng, 0, pick(2, 14), -half, 2 * half)
        back = max(z for z, _ in cutting)
        r0 = min(r for _, r in cutting) + pick(-2, 2)
        body = _block(rng, back + 1 - pick(0, 2), pick(1, 10), r0, pick(1, 4))
        if on_axis:
            body = _block(rng, back + 1, 2, -half - pick(-1, 2), 2 * half + pick(-2, 2))
        if rng.random() < 0.4 and body:
            z1 = max(z for z, _ in body)
            body |= _block(rng, z1, 3, r0 - pick(0, 3), pick(2, 6))
    if rng.random() < 0.15:
        body = set()
    tool = Tool(
        name,
        "outline",
        access,
        on_axis,
        "right",
        Outlines(rings_of(cutting), rings_of(body) if body else ()),
    )
    return LatticeTool(access, on_axis, cutting, body), tool


def random_case(seed: int) -> tuple[Squares, list[LatticeTool], list[Tool]]:
    rng = np.random.default_rng(seed)
    part = random_part(rng)
    pairs = [random_tool(rng, f"T{i}") for i in range(rng.integers(1, 5))]
    return part, [pair[0] for pair in pairs], [pair[1] for pair in pairs]
