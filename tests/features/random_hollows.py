"""Hollows of every form, sunk into a land of a random part, and what is true of them."""

from __future__ import annotations

import math

from random_path import Path, Truth

from turnability.part.model import Departure, HelicalThread


def sink_hollow(path: Path, middle: float, most: float, r: float, entry: tuple[float, str]) -> None:
    """Sink one hollow into a land; the path stands on the land before and after."""
    random = path.random
    deep = -1.0 if path.outside else 1.0
    form = random.choice(["square", "V", "round", "dovetail", "stepped"])
    if not path.outside and most > 10.0 and random.random() < 0.3:
        form = "chamber"
    if path.outside and random.random() < 0.4:
        form = random.choice(["neck", "valley", "rings"] if path.rich else ["valley", "rings"])
    if form in ("neck", "valley", "rings"):
        {"neck": _neck, "valley": _valley, "rings": _rings}[form](path, middle, most, r)
        return
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


def _neck(path: Path, middle: float, most: float, r: float) -> None:
    """A hollow too wide for a groove: a cylinder between two shoulders."""
    if most < 8.5:
        _valley(path, middle, most, r)
        return
    width = round(path.random.uniform(8.3, most), 3)
    depth = round(path.random.uniform(0.6, 3.0), 3)
    for z, height, kind in (
        (middle - 0.5 * width, r, "shoulder"),
        (middle - 0.5 * width, r - depth, "cylinder"),
        (middle + 0.5 * width, r - depth, "shoulder"),
    ):
        path.corner(z, height)
        path.surface(kind)
    path.corner(middle + 0.5 * width, r)


def _valley(path: Path, middle: float, most: float, r: float) -> None:
    """Two cones that a copying tool follows: falling at up to 44 degrees from the axis."""
    width = round(path.random.uniform(2.0, min(8.0, most)), 3)
    low = math.radians(path.random.uniform(12.0, 44.0))
    high = math.radians(path.random.uniform(12.0, 44.0))
    depth = width / (1.0 / math.tan(low) + 1.0 / math.tan(high))
    path.corner(middle - 0.5 * width, r)
    path.surface("taper")
    path.corner(middle - 0.5 * width + depth / math.tan(low), r - depth)
    path.surface("taper")
    path.corner(middle + 0.5 * width, r)


def _rings(path: Path, middle: float, most: float, r: float) -> None:
    """Rings of 60 degrees at one pitch, as stand for a thread."""
    count = path.random.randint(4, 7)
    pitch = round(min(most / count, path.random.uniform(1.0, 3.0)), 3)
    half = round(path.random.uniform(0.35, 0.45) * pitch, 4)
    depth = half * math.sqrt(3.0)
    first = middle - 0.5 * (count - 1) * pitch
    for k in range(count):
        z = first + k * pitch
        for step, height in ((-half, r), (0.0, r - depth), (half, r)):
            path.corner(z + step, height)
            path.surface(None)
    path.edges.pop()
    path.truths.append(
        {
            "kind": "thread",
            "z_mm": (first - half, first + (count - 1) * pitch + half),
            "diameter_mm": (2.0 * (r - depth), 2.0 * r),
            "pitch_mm": pitch,
            "evidence": "rings",
            "hand": None,
        }
    )


MODELLED = ("thread", "knurl")


def model(path: Path, kind: str, z: tuple[float, float], r: float) -> None:
    """A thread or a knurl all along a land, as the part's reader records it."""
    random = path.random
    d = 2.0 * r
    if kind == "knurl":
        found = {"form": "knurl", "count": 120}
        path.departures.append(Departure("D1", "other", (), 1.0, z, found))
        return
    pitch = random.choice([1.0, 1.5, 2.0, 3.0])
    hand = random.choice(["left", "right"])
    starts = random.choice([1, 1, 2])
    low, high = (d - 1.2269 * pitch, d) if path.outside else (d, d + 1.0825 * pitch)
    side = "outer" if path.outside else "inner"
    path.threads.append(
        HelicalThread(side, hand, starts, pitch, high, low, (30.0, 30.0), z, ())  # type: ignore[arg-type]
    )
    path.truths.append(
        {"kind": "thread", "surface": side, "z_mm": z, "diameter_mm": (low, high),
         "pitch_mm": pitch, "hand": hand, "starts": starts, "evidence": "helix"}
    )  # fmt: skip


def undercut(path: Path, z: float, r: float, room: float) -> float:
    """An undercut of DIN 509 before a shoulder at z: its corners, and where the land ends."""
    sizes = [(0.4, 0.2, 2.0), (0.6, 0.3, 2.5), (1.6, 0.3, 4.0)]
    radius, t1, f = path.random.choice([size for size in sizes if size[0] < 0.8 * room])
    run = t1 / math.tan(math.radians(15.0))
    path.corner(z - f, r)
    path.surface(None)
    path.corner(z - f + run, r - t1)
    path.surface(None)
    path.corner(z, r - t1)
    path.finish("fillet", radius)
    path.truths.append(
        {"kind": "groove", "z_mm": (z - f, z), "diameter_mm": (2 * (r - t1), 2 * r),
         "width_mm": f, "depth_mm": t1, "at_shoulder": "high", "floor_radius_mm": radius}
    )  # fmt: skip
    return z - f
