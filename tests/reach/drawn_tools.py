"""Tools drawn for the tests as bare outlines, mm, for the part held at its low end."""

from __future__ import annotations

import math

from turnability.half_plane.curves import Arc, Ring, line_ring
from turnability.shop.model import Outlines, Tool

FAR = 300.0


def rectangle(z0: float, r0: float, z1: float, r1: float) -> Ring:
    return line_ring([(z0, r0), (z1, r0), (z1, r1), (z0, r1)])


def disc(radius: float) -> Tool:
    """A round cutter without a body, its point in the middle."""
    a, b = (-radius, 0.0), (radius, 0.0)
    ring = (Arc(a, b, (0.0, 0.0), radius, False), Arc(b, a, (0.0, 0.0), radius, False))
    return Tool("disc", "outline", "outer", False, "neutral", Outlines((ring,), ()))


def blade(width: float, depth: float, shank: float, name: str = "blade") -> Tool:
    """A straight blade with a shank of the given width above it, flush at z = 0."""
    cutting, body = rectangle(0, 0, width, depth), rectangle(0, depth, shank, FAR)
    return Tool(name, "outline", "outer", False, "neutral", Outlines((cutting,), (body,)))


def wedge(flank_deg: float, height: float = 60.0) -> Tool:
    """A neutral point with both flanks at an angle to the axis."""
    half = height / math.tan(math.radians(flank_deg))
    ring = line_ring([(0.0, 0.0), (half, height), (-half, height)])
    return Tool("wedge", "outline", "outer", False, "neutral", Outlines((ring,), ()))


def drill(diameter: float, point_deg: float = 118.0, length: float = 200.0) -> Tool:
    """A drill: its point first, a cone, then a cylinder of the flute's length."""
    radius = diameter / 2.0
    cone = radius / math.tan(math.radians(point_deg / 2.0)) if point_deg < 180.0 else 0.0
    corners = [(0.0, 0.0), (cone, -radius), (length, -radius), (length, radius), (cone, radius)]
    flat = corners if cone > 0.0 else corners[1:]
    body = rectangle(length, -radius - 5.0, length + 50.0, radius + 5.0)
    outlines = Outlines((line_ring(flat),), (body,))
    return Tool(f"drill {diameter:g}", "outline", "end", True, "neutral", outlines)


def bar(diameter: float, f: float, edge: float = 0.5, ahead: float = 0.2) -> Tool:
    """A boring bar: its point f above the bar's middle, at the top of an edge of a given height.

    The bar and the head below the edge are body; the edge stands ahead of them.
    """
    low, high = -f - diameter / 2.0, -f + diameter / 2.0
    cutting, body = rectangle(0, -edge, 1.0, 0), rectangle(ahead, low, FAR, high)
    return Tool("bar", "outline", "inner", False, "right", Outlines((cutting,), (body,)))
