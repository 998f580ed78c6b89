"""What an operation takes of all that its tool could: no more than lies over its own surfaces.

A blade is sunk over them and a width to either side; a corner comes to them from straight out, and
along its feed over all that stands in its way there. Neither opens a neck, or a recess, that is
another's. What roughs the whole takes all that it gets at.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from turnability.half_plane.regions import Region, box, nothing
from turnability.reach.ground import Ground
from turnability.reach.removal import Work
from turnability.setups.model import Operation
from turnability.setups.surfaces.cuts import Samples, touched
from turnability.setups.surfaces.sinking import is_left
from turnability.shop.told_apart import is_blade

_BESIDE_MM = 0.5
"""What a corner takes beside its surfaces, and its nose's width."""
_SAME_MM = 1e-3


def part_of(new: Region, operation: Operation, work: Work, samples: Samples) -> Region:
    """Of what the tool gets at what the operation takes; `new` itself where that is all."""
    tool = work.tool
    if tool.on_axis or not operation.segments:
        return new
    if is_blade(tool):
        if operation.kind not in ("groove", "end groove"):
            return new
        return _pieces_at(new & sunk_over(operation.segments, work), operation, samples)
    return new & _fed_over(operation.segments, work)


def _pieces_at(new: Region, operation: Operation, samples: Samples) -> Region:
    mine, gone = set(operation.segments), nothing()
    for piece in new.components():
        if mine & set(touched(samples, piece)):
            gone = gone | piece
    return gone


def sunk_over(segments: Collection[str], work: Work) -> Region:
    """Strips across which a blade is sunk to surfaces, of any depth."""
    ground, width = work.asked.ground, work.tool.limits.get("width_mm", 0.0)
    along = 1 if work.tool.access == "end" else 0
    far, strips = _far(ground), nothing()
    for segment in ground.profile.segments:
        if segment.id in segments:
            ends = (segment.curve.start[along], segment.curve.end[along])
            low, high = min(ends) - width, max(ends) + width
            strips = strips | (box(-far, low, far, high) if along else box(low, 0.0, high, far))
    return strips


def _fed_over(segments: Collection[str], work: Work) -> Region:
    """Strips over surfaces, and from each the way along which a corner is fed straight to it.

    That is at a radius at which nothing of the part stands between.
    """
    ground, tool = work.asked.ground, work.tool
    inside = tool.access == "inner"
    beside = _BESIDE_MM + 2.0 * tool.limits.get("nose_radius_mm", 0.0)
    # it comes from where z is greater, or from the other side
    from_high = (work.toward == "low") != is_left(tool)
    far, strips = _far(ground), nothing()
    starts, ends = ground.edge_starts, ground.edge_ends
    walls = np.array([s.surface == "inner" for s in ground.profile.segments])
    bored = walls[ground.edge_segments]
    for place, segment in enumerate(ground.profile.segments):
        if segment.id not in segments:
            continue
        mine = ground.edge_segments == place
        points = np.concatenate([starts[mine], ends[mine]])
        (low, deep), (high, out) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
        z = np.stack([starts[:, 0], ends[:, 0]])
        r = np.stack([starts[:, 1], ends[:, 1]])
        between = (z > high + _SAME_MM) if from_high else (z < low - _SAME_MM)
        way = (high, far) if from_high else (-far, low)
        if inside:
            free = min(out, r[between & bored].min(initial=far))
            strips = strips | box(low - beside, 0.0, high + beside, out + _SAME_MM)
            strips = strips | box(way[0], 0.0, way[1], free + _SAME_MM)
        else:
            free = max(deep, r[between].max(initial=0.0))
            strips = strips | box(low - beside, max(deep - _SAME_MM, 0.0), high + beside, far)
            strips = strips | box(way[0], max(free - _SAME_MM, 0.0), way[1], far)
    return strips


def _far(ground: Ground) -> float:
    return ground.length + ground.radius + 1.0
