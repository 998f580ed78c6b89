"""What a turning tool gets at in the full only by being sunk there: behind what is larger.

A right-hand corner fed toward the chuck cuts down behind a collar no steeper than its trailing edge
stands free. Deeper stock it would meet with that edge all along: a form tool as wide as its insert,
which no machinist sinks. Where another has opened the place it may well finish there.
"""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from turnability.half_plane.regions import Region, nothing
from turnability.half_plane.sums import convex_of, minkowski
from turnability.reach.removal import Work
from turnability.setups.roughing import is_blade

_OFF_MM = 0.01
"""Deeper than this in there it is sunk: what lies along the slope itself is not."""


def sunk_by(work: Work) -> Region:
    """All that it would be sunk into in the full, seen past the finished part (r >= 0).

    Nothing for blades, bars, and left-hand corners, that come after what opens the way for them.
    """
    tool = work.tool
    free_deg = tool.limits.get("trailing_angle_deg")
    if tool.access != "outer" or tool.on_axis or is_blade(tool) or tool.hand == "left":
        return nothing()
    if free_deg is None or free_deg >= 90.0:
        return nothing()
    ground = work.asked.ground
    memory = (ground.bare or ground).memory
    key = ("sunk", work.toward, free_deg)
    if key not in memory:
        far, down = ground.length + 1.0, ground.radius + 1.0
        z = -far if work.toward == "low" else far
        deep = far * math.tan(math.radians(free_deg)) + _OFF_MM
        cone = np.array([[0.0, -_OFF_MM], [z, -deep], [z, -deep - down], [0.0, -down]])
        memory[key] = minkowski(ground.part_half, [convex_of(cone)])
    return cast(Region, memory[key])
