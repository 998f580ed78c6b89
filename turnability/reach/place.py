"""How a left region can be come at: from outside, or only from inside and the ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from turnability.half_plane.regions import box
from turnability.reach.left import LeftRegion
from turnability.reach.removal import Removal
from turnability.reach.stock import is_room
from turnability.shop.model import Access, Cause

BESIDE_MM = 0.05
"""What is this near to a region stands beside it."""
_OF_CUTTING = frozenset(("nose-radius", "trailing-edge", "blade-width", "hand"))


@dataclass(frozen=True, slots=True)
class Place:
    """How a region can be come at: bars and drills inside, outside tools where none stands above.

    `inside`: part stands above all of it, so an outside tool's holder is not what keeps it away.
    """

    access: frozenset[Access]
    inside: bool

    def takes(self, access: Access, causes: Sequence[Cause]) -> bool:
        """May a tool without these constraints be tried here?"""
        if access not in self.access:
            return False
        return not (self.inside and access == "outer") or set(causes) <= _OF_CUTTING


def place_of(removal: Removal, left: LeftRegion) -> Place:
    """From outside unless part stands above all of it."""
    ground = removal.ground
    z0, r0, z1, _ = left.region.bounds
    above = ground.part_half & box(z0, r0, z1, ground.radius + 1.0)
    covered = True
    for z in np.linspace(z0, z1, 9)[1:-1].tolist():
        column = box(z - 1e-4, r0, z + 1e-4, ground.radius + 1.0)
        mine, part = left.region & column, above & column
        if mine.empty:
            continue
        if part.empty or part.bounds[3] <= mine.bounds[3]:
            covered = False
            break
    if not covered:
        return Place(frozenset(("outer", "end")), False)
    beside = left.region.grown(BESIDE_MM)
    if any(
        work.tool.access == "outer" and is_room(work.swept & beside & ground.envelope)
        for work in removal.works
    ):
        return Place(frozenset(("outer", "inner", "end")), True)
    return Place(frozenset(("inner", "end")), True)
