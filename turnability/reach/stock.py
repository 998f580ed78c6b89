"""Stock that still stands, kept clean of slivers, and the core of it that stands on the axis."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from turnability.half_plane.at_height import section_at
from turnability.half_plane.places import TOUCH_MM, Obstacle
from turnability.half_plane.regions import Region, both_sides, nothing, spans_at
from turnability.reach.ground import Ground

_UPRIGHT_MM = 1e-9
_COARSER_MM = 3e-4
_MANY_CORNERS = 300
GAINED_MM = 0.01
"""Room counts as gained only where it is at least this wide (report contract)."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """The state between two cuts. `stock` is a region of r >= 0."""

    ground: Ground
    stock: Region
    _before: list[tuple[Standing, Region]] = field(default_factory=list)
    """What stood before the last cut, and what that took; nothing once that has been worked out."""
    _made: dict[str | float, Obstacle | Region] = field(default_factory=dict)

    @property
    def kept(self) -> Region:
        """The stock without slivers thinner than touching."""
        made = self._made.get("kept")
        if not isinstance(made, Region):
            # of many a last state it is never asked
            made = self.stock
            if self._before:
                before, new = self._before.pop()
                made = _kept_of(before.kept - new)
            self._made["kept"] = made
        return made

    @property
    def gone(self) -> Region:
        """What of the envelope outside the part stands no more."""
        made = self._made.get("gone")
        if not isinstance(made, Region):
            made = self._made["gone"] = self.ground.stock - self.stock
        return made

    @property
    def accessible(self) -> Region:
        """The stock but what stands inside what is added to the part, where no tool gets at it."""
        made = self._made.get("accessible")
        if not isinstance(made, Region):
            added = self.ground.added
            meets = added is not None and added.region.meets(self.stock)
            made = self.stock - added.shaved if added is not None and meets else self.stock
            self._made["accessible"] = made
        return made

    @property
    def room(self) -> Region:
        """Middles of all that of it that is 0.01 mm wide: what has none gives no room when gone."""
        made = self._made.get("room")
        if not isinstance(made, Region):
            # few corners to the circle leave a little more
            made = self.accessible.grown(-GAINED_MM / 2.0, "round", segments=4)
            self._made["room"] = made
        return made

    @property
    def obstacle(self) -> Obstacle:
        """What a body may not enter, on both sides of the axis."""
        return self.obstacle_at(0.0)

    def obstacle_at(self, height_mm: float) -> Obstacle:
        """The same in the plane at a height above or below the axis."""
        made = self._made.get(height_mm)
        if not isinstance(made, Obstacle):
            made = self._made[height_mm] = _to_bodies(self.kept, self.ground, height_mm)
        return made

    @property
    def core(self) -> Obstacle:
        """Stock that stands on the axis, on both sides: none but it from the axis to that radius.

        No bar enters it, neither with its edge: a bar follows a drill.
        """
        made = self._made.get("core")
        if not isinstance(made, Obstacle):
            made = Obstacle(both_sides(_standing_on_axis(self.kept, self.ground)))
            self._made["core"] = made
        return made

    def without(self, new: Region) -> Standing:
        """The state when `new` is gone too."""
        new = _to_axis(new)
        if new.empty:
            return self
        return Standing(self.ground, self.stock - new, [(self, new)])

    def kept_without(self, new: Region) -> Region:
        """What of the stock is kept when `new` is gone too: all that bodies ask about."""
        new = _to_axis(new)
        return self.kept if new.empty else _kept_of(self.kept - new)


def in_the_way(kept: Region, ground: Ground) -> Obstacle:
    """What bodies may not enter where stock (r >= 0) is kept, on both sides of the axis."""
    return _to_bodies(kept, ground, 0.0)


def _to_bodies(kept: Region, ground: Ground, height_mm: float) -> Obstacle:
    if kept.corners > _MANY_CORNERS:
        # only bodies meet it, and cuts over cuts would make it ever finer
        kept = kept.simplified(_COARSER_MM, _MANY_CORNERS + ground.part_half.corners)
    if height_mm == 0.0:
        return Obstacle.on_both_sides(kept)
    return Obstacle(section_at(kept, height_mm))


def _kept_of(rest: Region) -> Region:
    """Slivers thinner than touching, between part and gone or between two cuts, are no stock."""
    return rest.grown(-TOUCH_MM, "mitre").grown(TOUCH_MM, "mitre")


def at_first(ground: Ground, gone_before: Region | None = None) -> Standing:
    """Nothing gone, or only what an earlier setup removed (a region of r >= 0)."""
    first = Standing(ground, ground.stock)
    if gone_before is None or gone_before.empty:
        return first
    return first.without(gone_before)


def _standing_on_axis(kept: Region, ground: Ground) -> Region:
    """The stock of r >= 0 below which, down to the axis, there is nothing but stock."""
    if not spans_at(kept, TOUCH_MM / 2.0):
        return nothing()
    starts, ends = (ground.envelope - kept).edges()
    # seen from the axis, what is no stock begins with edges that run along +z
    below = ends[:, 0] - starts[:, 0] > _UPRIGHT_MM
    a, b = starts[below], ends[below]
    z = np.unique(np.concatenate(([0.0, ground.length], a[:, 0], b[:, 0])))
    middle = (z[1:] + z[:-1]) / 2.0
    low, high = np.full(len(middle), ground.radius), np.full(len(middle), ground.radius)
    if len(a):
        slope = (b[:, 1] - a[:, 1]) / (b[:, 0] - a[:, 0])
        at = a[:, 1:2] + (middle - a[:, 0:1]) * slope[:, None]
        at[(a[:, 0:1] > middle) | (b[:, 0:1] < middle)] = np.inf
        lowest = at.argmin(axis=0)
        under = np.isfinite(at[lowest, np.arange(len(middle))])
        edge = lowest[under]
        low[under] = a[edge, 1] + (z[:-1][under] - a[edge, 0]) * slope[edge]
        high[under] = a[edge, 1] + (z[1:][under] - a[edge, 0]) * slope[edge]
    top = np.stack((np.repeat(z, 2)[1:-1], np.stack((low, high), axis=1).ravel()), axis=1)
    floor = np.array([[z[0], 0.0], [z[-1], 0.0]])
    return kept & Region.of([np.concatenate((floor, np.maximum(top[::-1], 0.0)))])


def is_room(new: Region) -> bool:
    """Is it somewhere at least 0.01 mm wide?"""
    if new.empty:
        return False
    z0, r0, z1, r1 = new.bounds
    if min(z1 - z0, r1 - r0) < GAINED_MM:
        return False
    return holds_disc(new, GAINED_MM / 2.0) or not new.grown(-GAINED_MM / 2.0, "round").empty


def holds_disc(region: Region, radius: float) -> bool:
    """Is its area alone enough to tell that a disc of that radius lies somewhere in it?

    Shrunk by t, a region with h holes has a boundary no longer than L + 2 pi h t (B. Sz.-Nagy,
    "Über Parallelmengen nichtkonvexer ebener Bereiche", 1959), so without room for the disc its
    area is at most L radius + pi h radius².
    """
    z0, r0, z1, r1 = region.bounds
    # no edge is longer than its box is across
    if region.area > 2.0 * radius * region.corners * (z1 - z0 + r1 - r0):
        return True
    starts, ends = region.edges()
    around = float(np.hypot(*(ends - starts).T).sum())
    # any ring but one may be a hole
    most = around * radius + (len(region.rings()) - 1) * np.pi * radius * radius
    return region.area > 1.01 * most


def _to_axis(region: Region) -> Region:
    """The region with corners within touching of the axis moved onto it."""
    if region.empty or region.bounds[1] > TOUCH_MM:
        return region
    rings = region.rings()
    if not any((np.abs(ring[:, 1]) <= TOUCH_MM).any() for ring in rings):
        return region
    moved = [ring.copy() for ring in rings]
    for ring in moved:
        ring[np.abs(ring[:, 1]) <= TOUCH_MM, 1] = 0.0
    return Region.of(moved)
