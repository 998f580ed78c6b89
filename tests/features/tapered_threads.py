"""Taper pipe threads drawn as solids: a ridge swept along a helix on a cone of 1:16."""

from __future__ import annotations

import math
from typing import Any

import cadquery as cq
from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing

TAPER = 1.0 / 16.0


def ridge(
    pitch: float, length: float, foot: float, tip: float, wide: float, flat: float, left: bool
) -> Any:
    """A wound ridge from a pitch below z = 0; radii at z = 0, widths of foot and tip along z."""
    angle = math.degrees(math.atan(0.5 * TAPER))

    def helix(r: float, dz: float) -> Any:
        z = dz - pitch
        return cq.Wire.makeHelix(
            pitch, length + 2.0 * pitch, r + 0.5 * TAPER * z, center=cq.Vector(0, 0, z),
            dir=cq.Vector(0, 0, 1), angle=angle, lefthand=left,
        )  # fmt: skip

    wires = [helix(foot, -0.5 * wide), helix(tip, -0.5 * flat), helix(tip, 0.5 * flat),
             helix(foot, 0.5 * wide)]  # fmt: skip
    sewing = BRepBuilderAPI_Sewing(1e-5)
    for a, b in zip(wires, [*wires[1:], wires[0]], strict=True):
        sewing.Add(cq.Face.makeRuledSurface(a, b).wrapped)
    for t in (0, 1):
        corners = [wire.Edges()[0].positionAt(t) for wire in wires]
        sewing.Add(cq.Face.makeFromWires(cq.Wire.makePolygon(corners, close=True)).wrapped)
    sewing.Perform()
    solid = cq.Solid.makeSolid(cq.Shape.cast(sewing.SewedShape()))
    return solid if solid.Volume() > 0.0 else cq.Solid(solid.wrapped.Reversed())


def taper_thread(
    pitch: float, small_d: float, length: float, half_deg: float, depth: float, *,
    left: bool = False, inside: bool = False,
) -> Any:  # fmt: skip
    """A nipple (or, `inside`, a coupling) with its thread at z = 0 to `length`, widening upward.

    `small_d` is the pitch diameter at z = 0. A nipple has a collar above, a coupling its mouth.
    """
    lean = math.tan(math.radians(half_deg))
    over = 0.02 * pitch
    flat = 0.5 * pitch - depth * lean
    wide = flat + 2.0 * (depth + over) * lean
    core, tip = 0.5 * (small_d - depth), 0.5 * (small_d + depth)
    wound = ridge(pitch, length, core - over, tip, wide, flat, left)

    def turned(points: list[tuple[float, float]]) -> Any:
        body = cq.Workplane("XZ").polyline(points).close()
        return body.revolve(360, (0, 0, 0), (0, 1, 0)).val()

    def at(z: float) -> float:
        return core + 0.5 * TAPER * z

    low, far = -2.0 * pitch, length + 2.0 * pitch
    if inside:
        outer = at(far) + 8.0
        body = turned([(at(low), low), (outer, low), (outer, far), (at(far), far)]).cut(wound)
        waste = [cq.Workplane().box(200, 200, 50, centered=(True, True, False)).translate(
            (0, 0, z)).val() for z in (-50.0, length)]  # fmt: skip
        return body.cut(*waste)
    collar = at(length) + 4.0
    body = turned([(0, low), (at(low), low), (at(length), length), (collar, length),
                   (collar, length + 8.0), (0, length + 8.0)])  # fmt: skip
    waste = [cq.Workplane().box(200, 200, 50, centered=(True, True, False)).translate(
        (0, 0, -50.0)).val()]  # fmt: skip
    return body.fuse(wound).cut(*waste)
