"""Stock that still stands, kept clean of slivers, and the core of it that stands on the axis."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from turnability.half_plane.places import TOUCH_MM, Obstacle
from turnability.half_plane.regions import Region, both_sides, box, nothing, spans_at
from turnability.reach.ground import Ground

_NEAR_MM = 0.1
_UPRIGHT_MM = 1e-9
_COARSER_MM = 3e-4
_MANY_CORNERS = 300
GAINED_MM = 0.01
"""Room counts as gained only where it is at least this wide (report contract)."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """The state between two cuts. `gone`, `stock` and `kept` are regions of r >= 0.

    `kept` is the stock without slivers thinner than touching, `solid` that with the part (and the
    jaws) on both sides: what a body may not enter, made ready as `obstacle`.
    """

    gone: Region
    stock: Region
    kept: Region
    solid: Region
    obstacle: Obstacle
    _made: dict[str, Obstacle] = field(default_factory=dict)

    def core(self, ground: Ground) -> Obstacle:
        """Stock that stands on the axis, on both sides: none but it from the axis to that radius.

        No bar enters it, neither with its edge: a bar follows a drill.
        """
        if "core" not in self._made:
            self._made["core"] = Obstacle.of(both_sides(_standing_on_axis(self.kept, ground)))
        return self._made["core"]

    def without(self, ground: Ground, new: Region) -> Standing:
        """The state when `new` is gone too."""
        new = _to_axis(new)
        if new.empty:
            return self
        # slivers thinner than touching, between part and gone or between two cuts, are no stock
        z0, r0, z1, r1 = new.bounds
        near = box(z0 - _NEAR_MM, r0 - _NEAR_MM, z1 + _NEAR_MM, r1 + _NEAR_MM)
        beside = new | ((self.gone | ground.part_half) & near)
        closed = beside.grown(TOUCH_MM, "mitre").grown(-TOUCH_MM, "mitre")
        room = (closed & ground.envelope) - ground.part_half
        # only bodies meet it, and cuts over cuts would make it ever finer
        solid = (self.solid - both_sides(room)).simplified(
            _COARSER_MM, _MANY_CORNERS + ground.part.corners
        )
        if ground.obstructed:
            solid = solid | ground.part  # jaws may stand where stock is gone
        return Standing(
            self.gone | new,
            self.stock - new,
            self.kept - room,
            solid,
            Obstacle.of(solid),
        )


def at_first(ground: Ground, gone_before: Region | None = None) -> Standing:
    """Nothing gone, or only what an earlier setup removed (a region of r >= 0)."""
    stock = ground.envelope - ground.part_half
    solid = both_sides(ground.envelope) | ground.part
    first = Standing(nothing(), stock, stock, solid, Obstacle.of(solid))
    if gone_before is None or gone_before.empty:
        return first
    return first.without(ground, gone_before)


def _standing_on_axis(kept: Region, ground: Ground) -> Region:
    """The stock of r >= 0 below which, down to the axis, there is nothing but stock."""
    if not spans_at(kept, TOUCH_MM / 2.0):
        return nothing()
    gaps = ground.envelope - kept
    starts, ends = gaps.edges()
    up = np.array([0.0, ground.radius + 1.0])
    level = np.abs(starts[:, 0] - ends[:, 0]) > _UPRIGHT_MM
    shadows = np.stack((starts, ends, ends + up, starts + up), axis=1)[level]
    leftward = shadows[:, 1, 0] < shadows[:, 0, 0]
    shadows[leftward] = shadows[leftward, ::-1]  # all rings anticlockwise
    return kept - gaps - Region.of(list(shadows))


def is_room(new: Region) -> bool:
    """Is it somewhere at least 0.01 mm wide?"""
    return not new.empty and not new.grown(-GAINED_MM / 2.0, "round").empty


def _to_axis(region: Region) -> Region:
    """The region with corners within touching of the axis moved onto it."""
    rings = region.rings()
    for ring in rings:
        ring[np.abs(ring[:, 1]) <= TOUCH_MM, 1] = 0.0
    return Region.of(rings)
