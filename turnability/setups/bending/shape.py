"""The work as a beam while it is cut: outside and bore at each place, for what is cut so far.

Sections are round. Outside: what is cut has the part's radius, what is not yet cut the stock's.
Inside: a hollow is there once something that bounds it was bored, and a tube's bore always.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.part.model import Profile

Array = NDArray[np.float64]
_CHORD_MM = 0.02


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where the boundary crosses a plane across the axis: radius in mm and segment."""

    radius: float
    segment: str


@dataclass(frozen=True, slots=True, eq=False)
class Sections:
    """The part's sections at places `z` (n,): crossings outwards, an odd number round a solid axis.

    `stock_radius` and `stock_bore` are radii of the raw stock.
    """

    z: Array
    crossings: tuple[tuple[Crossing, ...], ...]
    stock_radius: float
    stock_bore: float

    def outside(self, cut: Collection[str], later: Collection[str] = ()) -> Array:
        """Outer radius at each place, (n,), when the segments `cut` are cut.

        Places of segments cut `later` in the same setup (grooves) stand as high as the lower of
        the two finished places beside them: a blade sinks from what was turned before.
        """
        radius = np.full(len(self.z), self.stock_radius)
        waits = np.zeros(len(self.z), dtype=bool)
        for i, found in enumerate(self.crossings):
            if not found:
                continue
            outer = found[-1]
            if outer.segment in cut:
                radius[i] = outer.radius
            elif outer.segment in later:
                waits[i] = True
        for i in np.nonzero(waits)[0].tolist():
            left = next((radius[j] for j in range(i - 1, -1, -1) if not waits[j]), None)
            right = next((radius[j] for j in range(i + 1, len(radius)) if not waits[j]), None)
            beside = [r for r in (left, right) if r is not None]
            radius[i] = max(min(beside, default=self.stock_radius), self.crossings[i][-1].radius)
        return radius

    def hollow(self, cut: Collection[str]) -> Array:
        """Sum of r⁴ of the voids inside at each place, (n,), when the segments `cut` are cut."""
        found = np.full(len(self.z), self.stock_bore**4)
        for i, crossings in enumerate(self.crossings):
            # voids lie between pairs of bounds; the outermost has no partner
            bounds = [*crossings] if len(crossings) % 2 else [Crossing(0.0, ""), *crossings]
            total = 0.0
            for inner, outer in zip(bounds[::2], bounds[1::2], strict=False):
                if inner.segment in cut or outer.segment in cut:
                    total += outer.radius**4 - inner.radius**4
            found[i] = max(found[i], total)
        return found


def sections_of(profile: Profile, z_mm: Array, stock_radius: float, stock_bore: float) -> Sections:
    """The part's crossings at places between its ends; elsewhere there are none (bare stock)."""
    runs: list[Array] = []
    owners: list[str] = []
    for segment in profile.segments:
        if segment.surface != "axis":
            points = np.asarray(segment.curve.flatten(_CHORD_MM), dtype=float)
            runs.append(np.concatenate((points[:-1], points[1:]), axis=1))
            owners += [segment.id] * (len(points) - 1)
    z0, r0, z1, r1 = np.concatenate(runs).T if runs else np.zeros((4, 0))
    z = np.asarray(z_mm, dtype=float)
    low, high = np.minimum(z0, z1), np.maximum(z0, z1)
    place, edge = np.nonzero((low <= z[:, None]) & (z[:, None] < high))
    share = (z[place] - z0[edge]) / (z1[edge] - z0[edge])
    radii = r0[edge] + share * (r1[edge] - r0[edge])
    crossings: list[list[Crossing]] = [[] for _ in z]
    order = np.lexsort((radii, place))
    for i, radius, k in zip(
        place[order].tolist(), radii[order].tolist(), edge[order].tolist(), strict=True
    ):
        crossings[i].append(Crossing(radius, owners[k]))
    return Sections(z, tuple(map(tuple, crossings)), stock_radius, stock_bore)
