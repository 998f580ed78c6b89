"""Random solids of revolution whose profile is known, in the habits of many exporters.

A profile is a closed run of kernel edges in the plane (x = z of the profile, y = r); the solid is
that run swept about x. What is done to the solid afterwards leaves the profile as it is: splitting
faces, other kinds of surfaces, another place, another unit, holes and slots that leave some angle
of every circle whole.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field
from pathlib import Path

import cadquery as cq
import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert, BRepBuilderAPI_Transform
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.ShapeCustom import ShapeCustom
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.TopoDS import TopoDS_Shape

Point = tuple[float, float]


@dataclass
class Drawing:
    """A random part: its drawn edges, its solid and what was done to it."""

    edges: list[cq.Edge]
    solid: TopoDS_Shape
    placing: gp_Trsf = field(default_factory=gp_Trsf)
    unit: str = "MM"
    story: list[str] = field(default_factory=list)

    @property
    def size(self) -> float:
        return max(max(p.x, 2 * p.y) for e in self.edges for p in e.positions([0, 0.5, 1]))


# ---------------------------------------------------------------- profiles


def corners(pick: random.Random) -> list[Point]:
    """Corners of a profile about 40 by 60 mm: steps, tapers, grooves, a bore with recesses."""
    z, outer = 0.0, [(0.0, pick.uniform(8, 30))]
    for _ in range(pick.randint(1, 5)):
        r = outer[-1][1]
        kind = pick.choice(["land", "taper", "groove", "step"])
        length = pick.uniform(2, 15)
        if kind == "groove":
            depth, width = pick.uniform(0.5, min(3, r - 6)), pick.uniform(1, 4)
            outer += [(z + length, r), (z + length, r - depth)]
            slope = pick.choice([0.0, 0.5])
            outer += [(z + length + width, r - depth), (z + length + width + slope, r)]
            z += length + width + slope
        else:
            other = r if kind == "land" else pick.uniform(8, 30)
            z += length
            outer.append((z, r if kind == "step" else other))
            if kind == "step":
                outer.append((z, other))
        z += pick.uniform(1, 6)
        outer.append((z, outer[-1][1]))
    least = min(r for _, r in outer)
    return _without_doubles([*_inside(pick, z, least - 3.0), *outer[::-1]])


def _inside(pick: random.Random, length: float, most: float) -> list[Point]:
    kind = pick.choice(["solid", "through", "blind", "recess", "stepped"])
    bore = pick.uniform(1.0, most * 0.7)
    a, b = sorted(pick.uniform(0.1, 0.9) * length for _ in range(2))
    b = max(b, a + 0.05 * length)
    wide = pick.uniform(bore + 0.3, most)
    if kind == "solid":
        return [(0.0, 0.0), (length, 0.0)]
    if kind == "through":
        return [(0.0, bore), (length, bore)]
    if kind == "blind":
        tip = min(bore * 0.6, length - b)
        return [(0.0, bore), (a, bore), (a + pick.choice([0.0, tip]), 0.0), (length, 0.0)]
    if kind == "recess":
        return [(0.0, bore), (a, bore), (a, wide), (b, wide), (b, bore), (length, bore)]
    return [(0.0, wide), (a, wide), (a, bore), (length, pick.uniform(bore * 0.8, bore))]


def _without_doubles(points: list[Point]) -> list[Point]:
    kept = [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-6]
    bent = []
    for i, p in enumerate(kept):
        a, b = np.subtract(p, kept[i - 1]), np.subtract(kept[(i + 1) % len(kept)], p)
        if abs(a[0] * b[1] - a[1] * b[0]) > 1e-6:
            bent.append(p)
    return bent


def edges_of(pick: random.Random, points: list[Point], scale: float) -> list[cq.Edge]:
    """Straight edges with corners broken or rounded, some bulging as arcs or splines."""
    count = len(points)
    cut = [0.0] * count
    for i in range(count):
        a, p, b = points[i - 1], points[i], points[(i + 1) % count]
        if min(a[1], p[1], b[1]) > 0.5 and pick.random() < 0.3:
            cut[i] = pick.uniform(0.1, 0.3) * min(math.dist(a, p), math.dist(p, b))
    found = []
    for i in range(count):
        a, p, b = points[i - 1], points[i], points[(i + 1) % count]
        before, after = _toward(p, a, cut[i]), _toward(p, b, cut[i])
        if cut[i] > 0.0:
            found.append(_corner(pick.choice(["chamfer", "fillet"]), before, p, after, scale))
        end = _toward(b, p, cut[(i + 1) % count])
        found.append(_side(pick, after, end, scale))
    return found


def _toward(p: Point, q: Point, by: float) -> Point:
    share = by / math.dist(p, q)
    return (p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1]))


def _vector(p: Point, scale: float) -> cq.Vector:
    return cq.Vector(p[0] * scale, p[1] * scale, 0.0)


def _corner(kind: str, a: Point, p: Point, b: Point, scale: float) -> cq.Edge:
    start, end = _vector(a, scale), _vector(b, scale)
    if kind == "chamfer":
        return cq.Edge.makeLine(start, end)
    return cq.Edge.makeTangentArc(start, _vector(p, scale) - start, end)


def _side(pick: random.Random, a: Point, b: Point, scale: float) -> cq.Edge:
    start, end = _vector(a, scale), _vector(b, scale)
    length, across = math.dist(a, b), abs(b[0] - a[0])
    bulge = pick.choice(["line"] * 6 + ["arc", "spline"])
    if bulge == "line" or across < 0.9 * length or a[1] < 4.0 or length < 2.0:
        return cq.Edge.makeLine(start, end)
    # outward, and so little that no neighbour is met
    sign = 1.0 if b[0] < a[0] else -1.0
    off = cq.Vector(-(b[1] - a[1]), b[0] - a[0], 0.0).normalized() * (
        -scale * min(0.4, length / 12)
    )
    if bulge == "arc":
        return cq.Edge.makeThreePointArc(start, (start + end) / 2 + off * sign * sign, end)
    at = [start + (end - start) * s + off * w for s, w in ((0.3, 1.0), (0.6, 0.2), (0.8, 0.7))]
    return cq.Edge.makeSpline([start, *at, end])


def revolved(edges: list[cq.Edge]) -> TopoDS_Shape:
    wire = cq.Wire.assembleEdges(edges)
    solid = cq.Solid.revolve(wire, [], 360.0, cq.Vector(0, 0, 0), cq.Vector(1, 0, 0))
    return solid.wrapped


# ---------------------------------------------------------------- departures


def cutter(pick: random.Random, drawing: Drawing) -> tuple[str, cq.Shape] | None:
    """Something to cut away that leaves a part of every circle of the turned body."""
    size = drawing.size
    length = max(p.x for e in drawing.edges for p in e.positions([0, 0.5, 1]))
    r = max(p.y for e in drawing.edges for p in e.positions([0, 0.5, 1]))
    core = min(p.y for e in drawing.edges for p in e.positions([0, 0.5, 1]))
    z = pick.uniform(0.1, 0.9) * length
    far = 3.0 * size
    kind = pick.choice(
        ["holes", "hole", "flat", "keyway", "cross", "oblique", "ball slot", "offset bore", "skew"]
    )
    a = pick.uniform(0.05, 0.12) * r
    at = pick.uniform(0.5, 0.75) * r
    if kind in ("holes", "hole"):
        count = pick.randint(2, 6) if kind == "holes" else 1
        deep = pick.choice([far, z])
        made = [
            _rod(
                a,
                (-far / 2 if deep == far else -1.0, at * math.cos(t), at * math.sin(t)),
                (1, 0, 0),
                deep,
            )
            for t in np.arange(count) * math.tau / count
        ]
        return f"{count} axial holes", cq.Compound.makeCompound(made)
    if kind == "flat":
        at = pick.uniform(0.6, 0.95) * r
        box = cq.Workplane().box(far, far, far).translate((z + far / 2, 0, at + far / 2))
        return kind, box.val()
    if kind == "keyway":
        box = cq.Workplane().box(length / 3, 2 * a, far).translate((z, 0, at + far / 2))
        return kind, box.val()
    if kind in ("cross", "skew"):
        if 0.0 < core < 2.5 * a:  # circles beside the bore would go altogether
            return None
        y = 0.0 if kind == "cross" else pick.uniform(0.3, 0.6) * r
        return kind, _rod(a, (z, y, -far / 2), (0, 0, 1), far)
    if kind == "oblique":
        lean = pick.uniform(-0.6, 0.6)
        foot = (z, 0.1 * r, max(core, 0.25 * r))
        return kind, _rod(a, foot, (lean, 0.2, 1.0), far)
    if kind == "ball slot":
        rod = _rod(a, (z, 0, at), (1, 0, 0), length / 3)
        balls = [cq.Solid.makeSphere(a).translate(cq.Vector(x, 0, at)) for x in (z, z + length / 3)]
        return kind, rod.fuse(*balls)
    if core <= 0.0:
        return None
    return kind, _rod(core * 1.2, (-1.0, 0, 0.4 * core), (1, 0, 0), z + 1.0)


def _rod(radius: float, foot: tuple[float, ...], way: tuple[float, ...], length: float) -> cq.Solid:
    return cq.Solid.makeCylinder(radius, length, cq.Vector(*foot), cq.Vector(*way))


# ---------------------------------------------------------------- habits


def split(edges: list[cq.Edge], parts: int) -> TopoDS_Shape:
    """The solid put together from sectors whose seams stay."""
    wire = cq.Wire.assembleEdges(edges)
    turn = 360.0 / parts
    sector = cq.Solid.revolve(wire, [], turn, cq.Vector(0, 0, 0), cq.Vector(1, 0, 0))
    turned = [sector.rotate(cq.Vector(0, 0, 0), cq.Vector(1, 0, 0), k * turn) for k in range(parts)]
    return turned[0].fuse(*turned[1:]).Solids()[0].wrapped


def resurfaced(shape: TopoDS_Shape, how: str) -> TopoDS_Shape:
    """The same solid on other kinds of surfaces.

    The kernel's own ways back and its dividing of closed faces die on such solids at times.
    """
    if how == "nurbs":
        return BRepBuilderAPI_NurbsConvert(shape, True).Shape()
    if how == "revolution":
        return ShapeCustom.ConvertToRevolution_s(shape)
    return shape


def random_move(pick: random.Random, size: float) -> gp_Trsf:
    """A turn about any line, a shift, at times a mirror."""
    way = gp_Dir(*(pick.uniform(-1, 1) or 0.1 for _ in range(3)))
    move = gp_Trsf()
    move.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), way), pick.uniform(0, math.tau))
    shift = gp_Trsf()
    shift.SetTranslation(gp_Vec(*(pick.uniform(-2, 2) * size for _ in range(3))))
    move = shift.Multiplied(move)
    if pick.random() < 0.4:
        mirror = gp_Trsf()
        mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*(pick.uniform(0.1, 1) for _ in range(3)))))
        move = move.Multiplied(mirror)
    return move


def moved(shape: TopoDS_Shape, move: gp_Trsf) -> TopoDS_Shape:
    return BRepBuilderAPI_Transform(shape, move, True).Shape()


def write_step(shape: TopoDS_Shape, path: Path, unit: str) -> None:
    Interface_Static.SetCVal_s("write.step.unit", unit)
    try:
        writer = STEPControl_Writer()
        writer.Transfer(shape, STEPControl_AsIs)
        assert writer.Write(str(path)) == IFSelect_RetDone
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")


def drawing(seed: int, cuts: bool = True) -> Drawing | None:
    """A random part; None where the draw came to nothing (a cut that parts it, and the like)."""
    pick = random.Random(seed)
    scale = pick.choice([1.0, 1.0, 1.0, 0.02, 0.1, 30.0])
    edges = edges_of(pick, corners(pick), scale)
    made = Drawing(edges, revolved(edges), story=[f"scale {scale}"])
    parts = pick.choice([1, 1, 2, 3, 4])
    if parts > 1:
        made.solid = split(edges, parts)
        made.story.append(f"split in {parts}")
    if cuts and pick.random() < 0.5:
        found = cutter(pick, made)
        if found is None:
            return None
        made.story.append(found[0])
        cut = cq.Shape.cast(made.solid).cut(found[1])
        if len(cut.Solids()) != 1 or not cut.isValid():
            return None
        made.solid = cut.Solids()[0].wrapped
    how = pick.choice(["plain", "plain", "nurbs", "revolution"])
    made.story.append(how)
    made.solid = resurfaced(made.solid, how)
    made.placing = random_move(pick, made.size)
    made.solid = moved(made.solid, made.placing)
    if pick.random() < 0.2:
        made.solid = made.solid.Reversed()
        made.story.append("reversed")
    made.unit = pick.choice(["MM", "MM", "INCH", "M"])
    made.story.append(made.unit)
    return made
