"""A tool as the report's plain values: its outlines as polygons, for those who draw it."""

from __future__ import annotations

from typing import Any

from turnability.half_plane.curves import Ring, flatten_ring
from turnability.shop.model import Tool
from turnability.shop.tools.reamer import NAME as REAMER
from turnability.shop.tools.reamer import led

CHORD_MM = 0.01
"""Arcs stand off their polygons by no more; reach is worked out from the arcs."""
_DIGITS = 4


def tool_document(tool: Tool) -> dict[str, Any]:
    """Name, kind and the two outlines about the programmed point, +z away from the chuck.

    They are those of the tool for a part held at its low end; for one held at its high end they
    are mirrored in z. The body's edge at greatest r (access `outer`) or z goes on without end. A
    reamer has its lead here, which reach is not asked of.
    """
    drawn = led(tool) if tool.kind == REAMER else tool.outlines
    return {
        "name": tool.name,
        "kind": tool.kind,
        "designation": tool.designation,
        "access": tool.access,
        "on_axis": tool.on_axis,
        "hand": tool.hand,
        "cutting": [_polygon(ring) for ring in drawn.cutting],
        "body": [_polygon(ring) for ring in drawn.body],
    }


def _polygon(ring: Ring) -> list[list[float]]:
    return [
        [round(float(z), _DIGITS), round(float(r), _DIGITS)]
        for z, r in flatten_ring(ring, CHORD_MM)
    ]
