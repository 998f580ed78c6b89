"""Regions of the plane bounded by straight edges, and the boolean operations on them.

Coordinates are mm and are snapped to 1e-8 mm by the clipper beneath (`manifold3d`'s cross-sections,
positive fill rule): a point lies in a region where the rings wind round it at least once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from typing import Any, Literal

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Points
from turnability.half_plane.rings import (
    THREAD_MM,
    edges_of,
    fewer_corners,
    is_thinner,
    may_have_thread,
    measures,
    ring_measure,
    without_hairs,
)
from turnability.half_plane.slivers import SNAP_MM, but_slivers

_QUARTER, _BACK = np.array([-1.0, 1.0]), np.array([1.0, -1.0])
_JOINS = {"round": m3.JoinType.Round, "mitre": m3.JoinType.Miter}


class Region:
    """A closed set of points, possibly empty, in several pieces or with holes; never changed."""

    # thousands are made for a part: a frozen data class takes three times as long to make
    __slots__ = ("_rings", "section")

    def __init__(self, section: Any) -> None:
        self.section = section
        self._rings: list[Points] = []

    @staticmethod
    def of(rings: Iterable[Points]) -> Region:
        """Union of rings (n, 2) where they wind positively; clockwise rings cut holes."""
        kept = [ring for ring in rings if len(ring) > 2]
        if not kept:
            return nothing()
        return Region(m3.CrossSection(_swept(kept), m3.FillRule.Positive))

    @staticmethod
    def of_row(corners: Points, ends: Iterable[int]) -> Region:
        """The same of rings whose corners (n, 2) stand in a row, by where each ring ends."""
        turned = corners[:, ::-1] * _QUARTER
        rings = [turned[a:b] for a, b in pairwise((0, *ends)) if b - a > 2]
        return Region(m3.CrossSection(rings, m3.FillRule.Positive)) if rings else nothing()

    def __reduce__(self) -> tuple[Any, ...]:
        return (Region.of, (self.rings(),))

    def __or__(self, other: Region) -> Region:
        return Region(self.section + other.section)

    def __sub__(self, other: Region) -> Region:
        return Region(self.section - other.section)

    def __and__(self, other: Region) -> Region:
        return Region(self.section ^ other.section)

    def shared(self, other: Region) -> float:
        """Area in mm2 that both have; quick where they are apart."""
        return (self & other).area if self.is_near(other) else 0.0

    def meets(self, other: Region) -> bool:
        """Do both have some area together? Quick where they are apart."""
        return self.is_near(other) and not (self & other).empty

    def is_near(self, other: Region) -> bool:
        """Do the boxes about both overlap?"""
        z0, r0, z1, r1 = self.bounds
        u0, v0, u1, v1 = other.bounds
        return z0 < u1 and u0 < z1 and r0 < v1 and v0 < r1

    @property
    def empty(self) -> bool:
        """True when no point is left."""
        return bool(self.section.is_empty())

    @property
    def area(self) -> float:
        """Area in mm2."""
        return float(self.section.area())

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least z, least r, greatest z, greatest r."""
        x0, z0, x1, z1 = self.section.bounds()
        return (float(z0), -float(x1), float(z1), -float(x0))

    @property
    def corners(self) -> int:
        """How many corners its rings have in all."""
        return int(self.section.num_vert())

    @property
    def holed(self) -> bool:
        """True when one of its pieces has a hole."""
        count = self.section.num_contour()
        return bool(count > 1 and count > len(self.section.decompose()))

    def rings(self) -> list[Points]:
        """Its rings, outer ones anticlockwise, holes clockwise, each (n, 2), not to be changed."""
        if not self._rings:
            turned = self.section.to_polygons()
            if turned:
                # all at once: of many a region there are dozens
                row = (turned[0] if len(turned) == 1 else np.concatenate(turned))[:, ::-1] * _BACK
                row.flags.writeable = False
                self._rings += [row] if len(turned) == 1 else _parted(row, turned)
        return self._rings.copy()

    def components(self) -> list[Region]:
        """Its separate pieces, each with its holes."""
        if self.section.num_contour() <= 1:
            return [] if self.empty else [self]
        return [Region(piece) for piece in self.section.decompose()]

    def grown(
        self, by_mm: float, join: Literal["round", "mitre"] = "round", segments: int = 24
    ) -> Region:
        """All points within `by_mm`; for negative values those at least that deep inside.

        `mitre` keeps corners sharp (up to ten times the distance), so that growing and shrinking
        by the same amount gives straight-sided regions back; `segments` to a full round corner.
        """
        section = self.without_slivers().section
        made = section.offset(by_mm, _JOINS[join], 10.0, segments)
        if section.num_contour() > 1 and _may_be_turned(section, made, by_mm) and self.holed:
            z0, r0, z1, r1 = self.bounds
            far = 10.0 * abs(by_mm) + 1.0
            # with these outermost on all sides the sense of all rings is right
            low = box(z0 - 2.0 * far, r0 - 2.0 * far, z0 - far, r0 - far)
            high = box(z1 + far, r1 + far, z1 + 2.0 * far, r1 + 2.0 * far)
            with_them = (Region(section) | low | high).section
            made = with_them.offset(by_mm, _JOINS[join], 10.0, segments)
            near = 0.5 * far
            return Region(made) & box(z0 - near, r0 - near, z1 + near, r1 + near)
        return Region(made)

    def without_slivers(self) -> Region:
        """The region without rings of no width.

        The clipper takes the sense of all rings from the outermost corner's; rounding can turn a
        ring of no width over, and then everything shrinks that should grow.
        """
        if self.empty:
            return self
        z0, r0, z1, r1 = self.bounds
        long, tall = z1 - z0, r1 - r0
        one = self.section.num_contour() == 1
        # one ring that fills much of its box is none
        if one and min(long, tall) > 1e-3 and self.area > 0.01 * long * tall:
            return self
        # turned as the clipper has them, which is nothing to their areas
        rings = self.section.to_polygons()
        kept = but_slivers(rings, long + tall)
        if len(kept) == len(rings):
            return self
        return Region(m3.CrossSection(kept, m3.FillRule.Positive)) if kept else nothing()

    def without_hairs(self) -> Region:
        """The region without spurs and cracks of no width."""
        return Region.of([without_hairs(ring) for ring in self.rings()])

    def without_threads(self) -> Region:
        """The region without what of it is thinner than 0.02 µm: rounding alone makes such.

        Swept by an outline, a thread covers as much as any other place.
        """
        rings = self.rings()
        if not any(map(may_have_thread, rings)):
            return self
        wide = self.grown(-THREAD_MM, "mitre")
        return wide if wide.empty else self & wide.grown(2.0 * THREAD_MM, "mitre")

    def simplified(self, by_mm: float, many: int = 0) -> Region:
        """The same region with fewer corners: none left out is further than `by_mm` away.

        Rings thinner than that are left out, too. A region of no more than `many` corners only
        loses those that stand out by next to nothing.

        By halving at the corner furthest out. (The clipper's own looks at neighbours only, and a
        run of small turns drifts off without bound.)
        """
        straight = Region(self.section.simplify(0.01 * by_mm))
        rings = [ring for ring in straight.rings() if not is_thinner(ring, by_mm)]
        if sum(map(len, rings)) > many:
            rings = [fewer_corners(ring, by_mm) for ring in rings]
        return Region.of(rings)

    def mirrored_r(self) -> Region:
        """Its image on the other side of the axis r = 0."""
        return Region.of([ring[::-1] * (1.0, -1.0) for ring in self.rings()])

    def mirrored_z(self, at_mm: float) -> Region:
        """Its image about the plane z = `at_mm`."""
        return Region.of([ring[::-1] * (-1.0, 1.0) + (2.0 * at_mm, 0.0) for ring in self.rings()])

    def edges(self) -> tuple[Points, Points]:
        """Starts and ends of all edges, each (n, 2), the region on their left."""
        rings = self.rings()
        if not rings:
            return np.zeros((0, 2)), np.zeros((0, 2))
        return edges_of(rings)


def _swept(rings: Sequence[Points]) -> list[Points]:
    """Rings as the clipper gets them: turned by a quarter, exactly.

    It sweeps along its y, and minds every edge that it is passing. Turned parts are long along z
    and all their edges lie at like r: swept along z it passes few at a time, along r nearly all.
    """
    if len(rings) == 1:
        return [np.asarray(rings[0])[:, ::-1] * _QUARTER]
    return _parted(np.concatenate(rings)[:, ::-1] * _QUARTER, rings)


def _parted(row: Points, rings: Sequence[Points]) -> list[Points]:
    """Corners in a row parted as they are in rings."""
    return [row[a:b] for a, b in pairwise(accumulate(map(len, rings), initial=0))]


def _may_be_turned(section: Any, made: Any, by_mm: float) -> bool:
    """Whether all may have shrunk that should grow, or the other way round.

    The clipper takes the sense of all rings from the outermost corner's: where a hole comes so near
    to the outside that rounding makes it that one's, everything is turned.
    """
    if by_mm > 0.0:
        return bool(made.area() < section.area())
    return bool(made.is_empty() or made.area() > section.area())


def box(z0: float, r0: float, z1: float, r1: float) -> Region:
    """The rectangle between two corners."""
    turned = ((-r0, z0), (-r0, z1), (-r1, z1), (-r1, z0))
    return Region(m3.CrossSection([turned], m3.FillRule.Positive))


def nothing() -> Region:
    """The empty region."""
    return Region(m3.CrossSection())


def union(regions: Sequence[Region]) -> Region:
    """Everything that is in any of them."""
    if not regions:
        return nothing()
    return Region(m3.CrossSection.batch_boolean([r.section for r in regions], m3.OpType.Add))


def both_sides(half: Region) -> Region:
    """A region of r >= 0 with its mirror image; corners within 0.1 nm of the axis join there."""
    rings = []
    for ring in half.rings():
        snapped = ring.copy()
        snapped[np.abs(snapped[:, 1]) <= 10.0 * SNAP_MM, 1] = 0.0
        rings += [snapped, snapped[::-1] * (1.0, -1.0)]
    return Region.of(rings)


def spans_at(region: Region, r: float) -> list[tuple[float, float]]:
    """Stretches (from, to) in z that the line at height `r` has inside the region, ascending."""
    start, end = region.edges()
    crosses = (start[:, 1] < r) != (end[:, 1] < r)
    a, b = start[crosses], end[crosses]
    z = np.sort(a[:, 0] + (r - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
    return [(float(z[i]), float(z[i + 1])) for i in range(0, len(z) - 1, 2)]


def inside(region: Region, points: Points) -> NDArray[np.bool_]:
    """Which of the points (n, 2) lie in the region; its boundary belongs to either side."""
    start, end = region.edges()
    y = points[:, 1:2]
    dy = end[:, 1] - start[:, 1]
    crosses = (start[None, :, 1] <= y) != (end[None, :, 1] <= y)
    slope = np.divide(end[:, 0] - start[:, 0], dy, out=np.zeros_like(dy), where=dy != 0.0)
    z = start[None, :, 0] + (y - start[None, :, 1]) * slope
    hits: NDArray[np.bool_] = (crosses & (z > points[:, 0:1])).sum(axis=1) % 2 == 1
    return hits


def whole_rings(region: Region) -> list[Points]:
    """The region as anticlockwise rings without holes, cut across at each hole.

    Sums by winding numbers miss a hole that lies wholly inside the moving piece, so none may be.
    """
    rings = region.rings()
    if len(rings) < 2:
        return rings
    holes = [ring for ring, area in zip(rings, measures(rings), strict=True) if area < 0.0]
    if not holes:
        return rings
    z0, r0, z1, r1 = region.bounds
    cuts = sorted({z0 - 1.0, z1 + 1.0, *(float(h[:, 0].min() + h[:, 0].max()) / 2 for h in holes)})
    pieces: list[Points] = []
    for a, b in pairwise(cuts):
        pieces += (region & box(a, r0 - 1.0, b, r1 + 1.0)).rings()
    return [ring for ring in pieces if ring_measure(ring) > 0.0]
