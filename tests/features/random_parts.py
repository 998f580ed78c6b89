"""Parts assembled at random from features whose truth is known because they were put there.

Written apart from the recognisers: a part is a run of lands with hollows sunk into them and
finishes on their right-angled corners, drawn outside and inside from low to high.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from random import Random
from typing import Any

from turnability.features.drawing import ArcTo, Drawing, Step, fillet
from turnability.half_plane.curves import Point

Truth = dict[str, Any]
Finish = tuple[str, float]
DRILL_DEG = 118.0


@dataclass
class Path:
    """Corners from low to high, and the surfaces between them.

    `edges[i]` follows `nodes[i]`: its kind (None: a hollow's own surface) and, for an arc, its
    centre and whether it runs clockwise.
    """

    random: Random
    outside: bool
    nodes: list[Point] = field(default_factory=list)
    finishes: list[Finish | None] = field(default_factory=list)
    edges: list[tuple[str | None, tuple[Point, bool] | None]] = field(default_factory=list)
    truths: list[Truth] = field(default_factory=list)
    lands: list[Point] = field(default_factory=list)
    """Where each land begins and ends along z."""

    def corner(self, z: float, r: float, room: float = 0.0) -> None:
        """Add a corner; with room along both of its surfaces it may be finished."""
        kind = self.random.choice(["chamfer", "fillet", None, None]) if room > 0.0 else None
        size = round(self.random.uniform(0.15, 0.45) * room, 3)
        self.nodes.append((z, r))
        self.finishes.append((kind, size) if kind else None)

    def surface(self, kind: str | None, arc: tuple[Point, bool] | None = None) -> None:
        """Add the surface that follows the last corner."""
        self.edges.append((kind, arc))


@dataclass(frozen=True)
class RandomPart:
    """A drawing and the features that it was made of."""

    drawing: Drawing
    truths: tuple[Truth, ...]


def random_part(seed: int) -> RandomPart:
    """The part of this number; the same number gives the same part."""
    random = Random(seed)
    outer = Path(random, True)
    radii = [round(random.uniform(24.0, 32.0), 2) for _ in range(random.randint(2, 4))]
    lengths = [round(random.uniform(30.0, 50.0), 2) for _ in radii]
    length = sum(lengths)
    _lands(outer, lengths, radii, "cylinder")
    inner = _inside(random, length)
    outer.surface("face")
    low_face = ("face", None)
    nodes = outer.nodes + inner.nodes[::-1]
    finishes = outer.finishes + inner.finishes[::-1]
    back = [(kind, (arc[0], not arc[1]) if arc else None) for kind, arc in inner.edges[::-1]]
    edges = [*outer.edges, *back, low_face]
    drawing, placed = _draw(nodes, finishes, edges)
    return RandomPart(drawing, tuple(placed + outer.truths + inner.truths))


def _inside(random: Random, length: float) -> Path:
    """Nothing, a bore right through with up to two steps a side, or a blind one from an end."""
    path = Path(random, False)
    form = random.choice(["solid", "through", "low", "high"])
    if form == "solid":
        path.corner(0.0, 0.0)
        path.surface("axis")
        path.corner(length, 0.0)
        return path
    steps = sorted((round(random.uniform(5.0, 12.0), 2) for _ in range(3)), reverse=True)
    steps = [r for i, r in enumerate(steps) if i == 0 or steps[i - 1] - r > 0.8]
    if form == "through":
        narrowest = len(steps) - 1
        radii = steps + [r + 0.31 for r in steps[-2::-1]][: random.randint(0, 2)]
        lengths = [length / len(radii)] * len(radii)
        _lands(path, lengths, radii, "bore")
        for i, bore in enumerate(_bores(path.lands, radii)):
            path.truths.append({**bore, "through": i == narrowest, "bottom": "open"})
        return path
    bottom = random.choice(["flat", "drill-point", "round"])
    depth = round(random.uniform(0.4, 0.55) * length, 2)
    lengths = [depth / len(steps)] * len(steps)
    _lands(path, lengths, steps, "bore", through=False)
    last = steps[-1]
    if bottom == "flat":
        path.surface("shoulder")
        path.corner(depth, 0.0)
    elif bottom == "drill-point":
        path.surface("drill-point")
        path.finishes[-1] = None
        path.corner(depth + last / math.tan(math.radians(DRILL_DEG / 2.0)), 0.0)
    else:
        path.surface("contour", ((depth, 0.0), True))
        path.finishes[-1] = None
        path.corner(depth + last, 0.0)
    path.surface("axis")
    path.corner(length, 0.0)
    for i, bore in enumerate(_bores(path.lands, steps)):
        ends = bottom if i == len(steps) - 1 else "open"
        path.truths.append({**bore, "through": False, "bottom": ends})
    if form == "high":
        _mirror(path, length)
    return path


def _bores(lands: list[Point], radii: list[float]) -> list[Truth]:
    return [
        {"kind": "bore", "z_mm": land, "diameter_mm": (2 * r, 2 * r)}
        for land, r in zip(lands, radii, strict=True)
    ]


def _mirror(path: Path, length: float) -> None:
    """Turn a path end for end."""
    path.nodes = [(length - z, r) for z, r in path.nodes[::-1]]
    path.finishes = path.finishes[::-1]
    path.edges = [
        (kind, ((length - arc[0][0], arc[0][1]), arc[1]) if arc else None)
        for kind, arc in path.edges[::-1]
    ]
    for truth in path.truths:
        low, high = truth["z_mm"]
        truth["z_mm"] = (length - high, length - low)
        if "wall_angles_deg" in truth:
            truth["wall_angles_deg"] = truth["wall_angles_deg"][::-1]
        if "entry_side" in truth:
            swap = {"low": "high", "high": "low", "both": "both"}
            truth["entry_side"] = swap[truth["entry_side"]]


def _lands(
    path: Path,
    lengths: list[float],
    radii: list[float],
    cylinder: str,
    through: bool = True,
) -> None:
    """Lands one after another, joined by shoulders, outside also by tapers; hollows sunk in."""
    z = 0.0
    closed = not path.outside
    for i, (land, r) in enumerate(zip(lengths, radii, strict=True)):
        before = radii[i - 1] if i else r
        taper = 0.0
        if i and before != r and path.random.random() < 0.4:
            taper = round(path.random.uniform(0.7, 8.0) * abs(r - before), 3)
            taper = min(max(taper, 1.0), 8.0)
            path.finishes[-1] = None
            path.surface("taper")
            path.corner(z + taper, r)
        elif i and before != r:
            path.surface("shoulder")
            path.corner(z, r, min(abs(r - before), 3.0))
        elif not i:
            path.corner(z, r, 2.0)
        after = radii[i + 1] if i + 1 < len(radii) else r
        if path.random.random() < 0.6 and land > 14.0:
            path.surface(cylinder)
            entry = _entry(radii, i) if through else (2.0 * r, "low")
            free = (z + max(taper, 3.5), z + land - 3.5)
            _hollow(path, 0.5 * sum(free), free[1] - free[0] - 2.0, r, entry)
        path.surface(cylinder)
        path.lands.append((z + taper, z + land))
        z += land
        last = i + 1 == len(lengths)
        tapers = path.outside and not last
        room = 2.0 if last else min(abs(after - r), 3.0)
        path.corner(z, r, 0.0 if tapers or (closed and last) else room)


def _entry(radii: list[float], i: int) -> tuple[float, str]:
    low, high = 2 * min(radii[: i + 1]), 2 * min(radii[i:])
    if low == high:
        return low, "both"
    return max(low, high), "low" if low > high else "high"


def _hollow(path: Path, middle: float, most: float, r: float, entry: tuple[float, str]) -> None:
    """Sink one hollow into a land; the path stands on the land before and after."""
    random = path.random
    deep = -1.0 if path.outside else 1.0
    form = random.choice(["square", "V", "round", "dovetail", "stepped"])
    if not path.outside and most > 10.0 and random.random() < 0.3:
        form = "chamber"
    width = round(random.uniform(1.5, min(5.5 if form == "V" else 7.5, most)), 3)
    depth = round(random.uniform(0.6, 3.0), 3)
    low, high = middle - 0.5 * width, middle + 0.5 * width
    floor_radius: float | None = 0.0
    if form == "round":
        depth = round(random.uniform(0.25, 0.5) * width, 3)
        radius = (0.25 * width**2 + depth**2) / (2.0 * depth)
        path.corner(low, r)
        path.surface(None, ((middle, r + deep * (depth - radius)), path.outside is False))
        path.corner(high, r)
        angle = math.degrees(math.asin((radius - depth) / radius))
        floor_radius = radius
    elif form == "V":
        angle = round(random.uniform(15.0, 39.0), 2)
        depth = 0.5 * width / math.tan(math.radians(angle))
        if depth > 3.5:
            depth = 3.5
            angle = math.degrees(math.atan(0.5 * width / depth))
        path.corner(low, r)
        path.surface(None)
        path.corner(middle, r + deep * depth)
        path.surface(None)
        path.corner(high, r)
    elif form == "stepped":
        angle = 0.0
        width = max(width, min(4.0, most))
        low, high = middle - 0.5 * width, middle + 0.5 * width
        step, more = 0.2 * width, round(random.uniform(0.3, 1.2), 3)
        floor_r = r + deep * depth
        for z, height in ((low, r), (low, floor_r), (low + step, floor_r),
                          (low + step, floor_r + deep * more), (high - step, floor_r + deep * more),
                          (high - step, floor_r), (high, floor_r)):  # fmt: skip
            path.corner(z, height)
            path.surface(None)
        path.corner(high, r)
        nested = (2.0 * floor_r, 2.0 * (floor_r + deep * more))
        path.truths.append(
            {
                "kind": "groove" if path.outside else "recess",
                "z_mm": (low + step, high - step),
                "diameter_mm": (min(nested), max(nested)),
                "width_mm": width - 2.0 * step,
                "depth_mm": more,
            }
        )
    else:
        if form == "chamber":
            width = round(random.uniform(9.0, most), 3)
            low, high = middle - 0.5 * width, middle + 0.5 * width
        lean = -round(random.uniform(0.1, 0.4), 3) if form == "dovetail" else 0.0
        angle = math.degrees(math.atan2(lean, depth)) if lean else 0.0
        room = min(0.5 * depth, 0.5 * width) if form == "square" else 0.0
        path.corner(low, r, room)
        path.surface(None)
        path.corner(low + lean, r + deep * depth, room)
        path.surface(None)
        path.corner(high - lean, r + deep * depth, room)
        path.surface(None)
        path.corner(high, r, room)
        inside = path.finishes[-3:-1]
        floor_radius = min(f[1] if f and f[0] == "fillet" else 0.0 for f in inside)
    floor = 2.0 * (r + deep * depth)
    truth: Truth = {
        "kind": "groove" if path.outside else "recess",
        "z_mm": (low, high),
        "diameter_mm": (min(floor, 2.0 * r), max(floor, 2.0 * r)),
        "width_mm": width,
        "depth_mm": depth,
        "wall_angles_deg": (angle, angle),
        "floor_radius_mm": floor_radius,
    }
    if not path.outside:
        truth["entry_diameter_mm"], truth["entry_side"] = entry
    path.truths.append(truth)


def _draw(
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
        if kind == "chamfer":
            a, b = _toward(corner, before, size), _toward(corner, after, size)
            truth: Truth = {"size_mm": size, "angle_deg": 45.0}
            joints.append((a, b))
        else:
            a, arc = fillet(before, corner, after, size)
            b = (arc.z, arc.r)
            truth = {"radius_mm": size}
            joints.append((a, arc))
        truths.append({"kind": kind, **_extent(a, b), **truth})
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


def _extent(a: Point, b: Point) -> Truth:
    return {
        "z_mm": (min(a[0], b[0]), max(a[0], b[0])),
        "diameter_mm": (2.0 * min(a[1], b[1]), 2.0 * max(a[1], b[1])),
    }


def _size(kind: str | None, a: Point, b: Point) -> Truth:
    if kind == "taper":
        steep = math.degrees(math.atan2(abs(b[1] - a[1]), abs(b[0] - a[0])))
        return {"half_angle_deg": steep, "length_mm": abs(b[0] - a[0])}
    if kind == "drill-point":
        return {"angle_deg": DRILL_DEG}
    return {}
