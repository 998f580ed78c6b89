"""Stock that still stands, kept clean of slivers, with the core of no width on the axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from turnability.half_plane.places import TOUCH_MM, Obstacle, Span
from turnability.half_plane.regions import Region, both_sides, box, nothing, spans_at
from turnability.reach.ground import Ground

_NEAR_MM = 0.1
GAINED_MM = 0.01
"""Room counts as gained only where it is at least this wide (report contract)."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """The state between two cuts. `gone`, `stock` and `kept` are regions of r >= 0.

    `kept` is the stock without slivers thinner than touching, `solid` that with the part (and the
    jaws) on both sides: what a body may not enter, made ready as `obstacle`. `axis` are the
    stretches of the axis that are still stock: no bar enters them, although all beside them may be
    gone.
    """

    gone: Region
    stock: Region
    kept: Region
    solid: Region
    axis: tuple[Span, ...]
    obstacle: Obstacle

    def without(self, ground: Ground, new: Region, cleared: Sequence[Span]) -> Standing:
        """The state when `new` and stretches of the axis are gone too."""
        axis = _less(self.axis, cleared)
        new = _to_axis(new)
        if new.empty:
            return Standing(self.gone, self.stock, self.kept, self.solid, axis, self.obstacle)
        # slivers thinner than touching, between part and gone or between two cuts, are no stock
        z0, r0, z1, r1 = new.bounds
        near = box(z0 - _NEAR_MM, r0 - _NEAR_MM, z1 + _NEAR_MM, r1 + _NEAR_MM)
        beside = new | ((self.gone | ground.part_half) & near)
        closed = beside.grown(TOUCH_MM, "mitre").grown(-TOUCH_MM, "mitre")
        room = (closed & ground.envelope) - ground.part_half
        # only bodies meet it, and cuts over cuts would make it ever finer
        solid = (self.solid - both_sides(room)).simplified(TOUCH_MM / 10.0)
        if ground.obstructed:
            solid = solid | ground.part  # jaws may stand where stock is gone
        return Standing(
            self.gone | new,
            self.stock - new,
            self.kept - room,
            solid,
            axis,
            Obstacle.of(solid),
        )


def at_first(ground: Ground, gone_before: Region | None = None) -> Standing:
    """Nothing gone, or only what an earlier setup removed (a region of r >= 0)."""
    bare = _less([(0.0, ground.length)], spans_at(ground.part_half, TOUCH_MM / 2.0))
    stock = ground.envelope - ground.part_half
    solid = both_sides(ground.envelope) | ground.part
    first = Standing(nothing(), stock, stock, solid, bare, Obstacle.of(solid))
    if gone_before is None or gone_before.empty:
        return first
    return first.without(ground, gone_before, spans_at(gone_before, TOUCH_MM / 2.0))


def cleared_axis(removed: Region) -> list[Span]:
    """Stretches of the axis that a removed region of r >= 0 reaches."""
    return spans_at(removed, TOUCH_MM / 2.0)


def is_room(new: Region) -> bool:
    """Is it somewhere at least 0.01 mm wide?"""
    return not new.empty and not new.grown(-GAINED_MM / 2.0, "round").empty


def _to_axis(region: Region) -> Region:
    """The region with corners within touching of the axis moved onto it."""
    rings = region.rings()
    for ring in rings:
        ring[np.abs(ring[:, 1]) <= TOUCH_MM, 1] = 0.0
    return Region.of(rings)


def _less(spans: Sequence[Span], taken: Sequence[Span]) -> tuple[Span, ...]:
    """Stretches without those taken; what is left of less than touching is gone."""
    left = list(spans)
    for a, b in taken:
        left = [
            piece
            for low, high in left
            for piece in ((low, min(high, a)), (max(low, b), high))
            if piece[1] - piece[0] > 2.0 * TOUCH_MM
        ]
    return tuple(left)
