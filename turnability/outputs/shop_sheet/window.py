"""Which part of a tool is drawn, and how large: bodies go on without end, sheets do not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from turnability.half_plane.curves import Ring, flatten_ring
from turnability.shop.model import Tool

PX_PER_MM = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0)
"""Scales that are used, so that tools of like size are drawn alike."""
_CHORD_MM = 0.01
_BEHIND_MM = 10.0
"""How much of what goes on without end is shown."""
_BESIDE_MM = {"outer": 25.0, "inner": 8.0, "end": 8.0}
"""How far what holds the tool is shown beside the tool itself, by where the tool comes from."""
_AROUND_MM = 1.0


Box = tuple[float, float, float, float]
"""Least z and r, greatest z and r."""


@dataclass(frozen=True, slots=True)
class Window:
    """Least and greatest z and r that are drawn, in mm; in `holder` stands what goes on."""

    z: tuple[float, float]
    r: tuple[float, float]
    holder: Box | None = None

    @property
    def width_mm(self) -> float:
        """Its extent along z."""
        return self.z[1] - self.z[0]

    @property
    def height_mm(self) -> float:
        """Its extent along r."""
        return self.r[1] - self.r[0]

    def scale(self, width_px: float, height_px: float) -> float:
        """The largest scale at which it fits, in px per mm."""
        room = min(width_px / self.width_mm, height_px / self.height_mm)
        return max((s for s in PX_PER_MM if s <= room), default=PX_PER_MM[0])


def window_of(tool: Tool) -> Window:
    """What to show: all that cuts, the body as far as it has a shape, and a little beyond."""
    along = 1 if tool.access == "outer" else 0
    cutting = [_box(ring) for ring in tool.outlines.cutting]
    body = [_box(ring) for ring in tool.outlines.body]
    top = max((box[along + 2] for box in body), default=0.0)
    endless = [box for box in body if box[along + 2] >= top - 1e-6]
    core = _union([*cutting, *(box for box in body if box not in endless)])
    low, high = [core[0], core[1]], [core[2], core[3]]
    across = 1 - along
    beside = _BESIDE_MM[tool.access]
    for box in endless:
        high[along] = max(high[along], min(box[along + 2], box[along] + _BEHIND_MM))
        low[across] = min(low[across], max(box[across], core[across] - beside))
        high[across] = max(high[across], min(box[across + 2], core[across + 2] + beside))
    least = tool.limits.get("min_bore_mm")
    if tool.access == "inner" and least is not None:
        low[1] = min(low[1], -least)
    pad = max(_AROUND_MM, 0.02 * max(high[0] - low[0], high[1] - low[1]))
    sides = [[low[i] - pad, high[i] + pad] for i in (0, 1)]
    if endless:
        sides[along][1] = high[along]  # cut off where it goes on
    (z0, z1), (r0, r1) = sides
    holder = None
    if endless:
        a, b, c, d = _union(endless)
        holder = (max(a, z0), max(b, r0), min(c, z1), min(d, r1))
    return Window((z0, z1), (r0, r1), holder)


def _box(ring: Ring) -> Box:
    points = flatten_ring(ring, _CHORD_MM)
    (z0, r0), (z1, r1) = points.min(axis=0), points.max(axis=0)
    return (float(z0), float(r0), float(z1), float(r1))


def _union(boxes: Iterable[Box]) -> Box:
    z0, r0, z1, r1 = zip(*boxes, strict=True)
    return (min(z0), min(r0), max(z1), max(r1))
