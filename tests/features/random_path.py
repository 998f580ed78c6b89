"""The path of a random part's corners from low to high, and its drawing with what is true of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from random import Random
from typing import Any

from turnability.features.drawing import ArcTo, Drawing, Step, fillet
from turnability.half_plane.curves import Point
from turnability.part.model import Departure, HelicalThread

Truth = dict[str, Any]
Finish = tuple[str, float]
DRILL_DEG = 118.0


@dataclass
class Path:
    """Corners from low to high, and the surfaces between them.

    `edges[i]` follows `nodes[i]`: its kind (None: a hollow's own surface) and, for an arc, its
    centre and whether it runs clockwise. `rich`: with what a standard or a limit in mm tells.
    """

    random: Random
    outside: bool
    rich: bool = True
    nodes: list[Point] = field(default_factory=list)
    finishes: list[Finish | None] = field(default_factory=list)
    edges: list[tuple[str | None, tuple[Point, bool] | None]] = field(default_factory=list)
    truths: list[Truth] = field(default_factory=list)
    lands: list[Point] = field(default_factory=list)
    """Where each land begins and ends along z."""
    threads: list[HelicalThread] = field(default_factory=list)
    departures: list[Departure] = field(default_factory=list)

    def corner(self, z: float, r: float, room: float = 0.0) -> None:
        """Add a corner; with room along both of its surfaces it may be finished."""
        kind = self.random.choice(["chamfer", "fillet", None, None]) if room > 0.0 else None
        size = round(self.random.uniform(0.15, 0.45) * room, 3)
        self.nodes.append((z, r))
        self.finishes.append((kind, size) if kind else None)

    def finish(self, kind: str, size: float) -> None:
        """Finish the last corner so."""
        self.finishes[-1] = (kind, size)

    def surface(self, kind: str | None, arc: tuple[Point, bool] | None = None) -> None:
        """Add the surface that follows the last corner."""
        self.edges.append((kind, arc))


def draw(
    nodes: list[Point],
    finishes: list[Finish | None],
    edges: list[tuple[str | None, tuple[Point, bool] | None]],
) -> tuple[Drawing, list[Truth]]:
    """The drawing with its finishes, and what is true of the surfaces that are left."""
    n = len(nodes)
    begins: list[Point] = []
    ends: list[Point] = []
    joints: list[tuple[Step, ...]] = []
    truths: list[Truth] = []
    for i, (corner, finish) in enumerate(zip(nodes, finishes, strict=True)):
        before, after = nodes[i - 1], nodes[(i + 1) % n]
        if finish is None:
            begins.append(corner)
            ends.append(corner)
            joints.append((corner,))
            continue
        kind, size = finish
        extremes: list[Point] = []
        if kind == "chamfer":
            a, b = _toward(corner, before, size), _toward(corner, after, size)
            truth: Truth = {"size_mm": size, "angle_deg": 45.0}
            joints.append((a, b))
        else:
            a, arc = fillet(before, corner, after, size)
            b = (arc.z, arc.r)
            truth = {"radius_mm": size}
            extremes = _extremes(a, arc, corner, size)
            joints.append((a, arc))
        truths.append({"kind": kind, **_extent(a, b, *extremes), **truth})
        begins.append(a)
        ends.append(b)
    steps: list[Step] = []
    for i, (kind, arc) in enumerate(edges):
        start, end = ends[i], begins[(i + 1) % n]
        steps += joints[i] if i == 0 or edges[i - 1][1] is None else joints[i][1:]
        if arc is not None:
            steps.append(ArcTo(*end, *arc))
        if kind in (None, "axis", "bore"):
            continue
        truths.append({"kind": kind, **_extent(start, end), **_size(kind, start, end)})
    return tuple(steps), truths


def _toward(a: Point, b: Point, by: float) -> Point:
    share = by / math.dist(a, b)
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def _extremes(a: Point, arc: ArcTo, corner: Point, radius: float) -> list[Point]:
    """The arc's outermost points along the axis and across it, where they lie between its ends."""
    z, r = arc.centre
    middle = math.atan2(corner[1] - r, corner[0] - z)
    begin = math.atan2(a[1] - r, a[0] - z)
    half = abs(math.remainder(begin - middle, math.tau))
    return [
        (z + radius * math.cos(at), r + radius * math.sin(at))
        for at in (0.0, 0.5 * math.pi, math.pi, -0.5 * math.pi)
        if abs(math.remainder(at - middle, math.tau)) < half
    ]


def _extent(*points: Point) -> Truth:
    z, r = [p[0] for p in points], [p[1] for p in points]
    return {"z_mm": (min(z), max(z)), "diameter_mm": (2.0 * min(r), 2.0 * max(r))}


def _size(kind: str | None, a: Point, b: Point) -> Truth:
    if kind == "taper":
        steep = math.degrees(math.atan2(abs(b[1] - a[1]), abs(b[0] - a[0])))
        return {"half_angle_deg": steep, "length_mm": abs(b[0] - a[0])}
    if kind == "knurl":
        return {"count": 120}
    if kind == "drill-point":
        return {"angle_deg": DRILL_DEG}
    return {}
