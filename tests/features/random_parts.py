"""Parts assembled at random from features whose truth is known because they were put there.

Written apart from the recognisers: a part is a run of lands with hollows sunk into them and
finishes on their right-angled corners, drawn outside and inside from low to high.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random

from random_hollows import MODELLED, model, sink_hollow, undercut
from random_path import DRILL_DEG, Path, Truth, draw

from turnability.features.drawing import Drawing
from turnability.half_plane.curves import Point
from turnability.part.model import Departure, HelicalThread


@dataclass(frozen=True)
class RandomPart:
    """A drawing and the features that it was made of."""

    drawing: Drawing
    truths: tuple[Truth, ...]
    threads: tuple[HelicalThread, ...] = ()
    departures: tuple[Departure, ...] = ()


def random_part(seed: int, rich: bool = True) -> RandomPart:
    """The part of this number; the same number gives the same part.

    `rich`: with features that a standard or a limit in mm tells, which do not scale.
    """
    random = Random(seed)
    outer = Path(random, True, rich)
    radii = [round(random.uniform(24.0, 32.0), 2) for _ in range(random.randint(2, 4))]
    lengths = [round(random.uniform(30.0, 50.0), 2) for _ in radii]
    length = sum(lengths)
    _lands(outer, lengths, radii, "cylinder")
    inner = _inside(random, length)
    ends = [_end(random, outer, length, "high"), _end(random, outer, 0.0, "low")]
    back = [(kind, (arc[0], not arc[1]) if arc else None) for kind, arc in inner.edges[::-1]]
    nodes = outer.nodes + ends[0].nodes + inner.nodes[::-1] + ends[1].nodes
    finishes = outer.finishes + ends[0].finishes + inner.finishes[::-1] + ends[1].finishes
    edges = [*outer.edges, *ends[0].edges, *back, *ends[1].edges]
    drawing, placed = draw(nodes, finishes, edges)
    truths = [truth for path in (outer, inner, *ends) for truth in path.truths]
    return RandomPart(
        drawing, tuple(placed + truths), (*outer.threads, *inner.threads), tuple(outer.departures)
    )


def _end(random: Random, outer: Path, z: float, facing: str) -> Path:
    """The face of one end, in running order, with a groove sunk into it or none."""
    end = Path(random, False)
    end.surface("face")
    if random.random() > 0.35:
        return end
    depth, width = round(random.uniform(0.8, 3.0), 3), round(random.uniform(1.5, 4.0), 3)
    small = round(random.uniform(14.0, 17.0), 3)
    floor = z - depth if facing == "high" else z + depth
    corners = [(z, small + width), (floor, small + width), (floor, small), (z, small)]
    for i, (place, r) in enumerate(corners if facing == "high" else corners[::-1]):
        end.corner(place, r, 0.6 * min(depth, width) if i in (1, 2) else 0.0)
        end.surface("face" if i == 3 else None)
    inside = end.finishes[1:3]
    end.truths.append(
        {
            "kind": "end-groove",
            "z_mm": (min(z, floor), max(z, floor)),
            "diameter_mm": (2.0 * small, 2.0 * (small + width)),
            "width_mm": width,
            "depth_mm": depth,
            "wall_angles_deg": (90.0, 90.0),
            "floor_radius_mm": min(f[1] if f and f[0] == "fillet" else 0.0 for f in inside),
            "facing": facing,
        }
    )
    return end


def _centre_hole(path: Path, length: float) -> None:
    """A solid part with a centre hole in its low end, form A or B, somewhat longer or shorter."""
    random = path.random
    form = random.choice(["A", "B"])
    d = random.choice([2.5, 4.0, 6.3])
    mouth = 2.12 * d
    guard = 0.25 * d if form == "B" else 0.0
    seat = 0.5 * (mouth - d) / math.tan(math.radians(30.0))
    pilot = guard + seat + random.uniform(0.8, 1.6) * d
    if form == "B":
        path.corner(0.0, 0.5 * mouth + guard * math.tan(math.radians(60.0)))
        path.surface(None)
    for z, r in ((guard, 0.5 * mouth), (guard + seat, 0.5 * d), (pilot, 0.5 * d)):
        path.corner(z, r)
        path.surface(None)
    tip = pilot + 0.5 * d / math.tan(math.radians(59.0))
    path.corner(tip, 0.0)
    path.surface("axis")
    path.corner(length, 0.0)
    path.truths.append(
        {"kind": "centre-hole", "z_mm": (0.0, tip), "form": form, "d_mm": d, "facing": "low",
         "diameter_mm": (0.0, 2.0 * path.nodes[0][1])}
    )  # fmt: skip


def _inside(random: Random, length: float) -> Path:
    """Nothing, a bore right through with up to two steps a side, or a blind one from an end."""
    path = Path(random, False)
    form = random.choice(["solid", "through", "low", "high"])
    if form == "solid" and random.random() < 0.6:
        _centre_hole(path, length)
        if random.random() < 0.5:
            _mirror(path, length)
        return path
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
    path.threads = [
        replace(one, z_mm=(length - one.z_mm[1], length - one.z_mm[0])) for one in path.threads
    ]
    for truth in path.truths:
        low, high = truth["z_mm"]
        truth["z_mm"] = (length - high, length - low)
        if "wall_angles_deg" in truth:
            truth["wall_angles_deg"] = truth["wall_angles_deg"][::-1]
        swap = {"low": "high", "high": "low", "both": "both"}
        for key in {"entry_side", "facing"} & truth.keys():
            truth[key] = swap[truth[key]]


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
    crowned = False
    for i, (land, r) in enumerate(zip(lengths, radii, strict=True)):
        before = radii[i - 1] if i else r
        taper = 0.0
        if (
            i
            and path.edges
            and path.edges[-1][0] == "shoulder"
            and len(path.edges) == len(path.nodes)
        ):
            path.corner(z, r, 0.0)
        elif i and before != r and not crowned and path.random.random() < 0.4:
            taper = round(path.random.uniform(0.7, 8.0) * abs(r - before), 3)
            taper = min(max(taper, 1.0), 8.0, 0.4 * land)
            path.finishes[-1] = None
            path.surface("taper")
            path.corner(z + taper, r)
        elif i and before != r:
            path.surface("shoulder")
            path.corner(z, r, min(abs(r - before), 3.0))
        elif not i:
            path.corner(z, r, 2.0)
        after = radii[i + 1] if i + 1 < len(radii) else r
        last = i + 1 == len(lengths)
        whole = path.random.random() if path.outside else 1.0
        stop = z + land
        if path.outside and path.rich and after > r + 1.0 and path.random.random() < 0.5:
            stop = -1.0  # an undercut ends the land, see below
        crowned = whole < 0.15 and stop > 0.0 and not crowned
        if crowned:
            _crowned(path, (z + taper, r), (z + land, r))
        else:
            plain = path.outside or path.random.random() > 0.2
            if path.random.random() < 0.6 and land > 14.0 and whole > 0.3 and plain:
                path.surface(cylinder)
                entry = _entry(radii, i) if through else (2.0 * r, "low")
                free = (z + max(taper, 3.5), z + land - 4.5)
                if free[1] - free[0] > 4.0:
                    sink_hollow(path, 0.5 * sum(free), free[1] - free[0] - 2.0, r, entry)
                else:
                    path.edges.pop()
            modelled = path.random.choice(MODELLED) if whole < 0.3 else None
            if not plain:
                modelled = "thread"
            path.surface({"thread": None, "knurl": "knurl", None: cylinder}[modelled])
            end = undercut(path, z + land, r, after - r) if stop < 0.0 else stop
            if modelled:
                model(path, modelled, (z + taper, end), r)
        path.lands.append((z + taper, z + land))
        z += land
        if stop < 0.0:
            path.surface("shoulder")
            continue
        tapers = path.outside and not last
        room = 2.0 if last else min(abs(after - r), 3.0)
        path.corner(z, r, 0.0 if tapers or crowned or (closed and last) else room)


def _crowned(path: Path, start: Point, end: Point) -> None:
    """A land that bulges or is waisted by one shallow arc."""
    (z0, r), (z1, _) = start, end
    rise = round(path.random.uniform(0.4, 1.2), 3) * path.random.choice([-1.0, 1.0])
    half = 0.5 * (z1 - z0)
    radius = (half**2 + rise**2) / (2.0 * abs(rise))
    centre = (z0 + half, r + rise - math.copysign(radius, rise))
    path.finishes[-1] = None
    path.surface(None, (centre, rise > 0.0))
    widths = sorted((2.0 * r, 2.0 * (r + rise)))
    path.truths.append({"kind": "contour", "z_mm": (z0, z1), "diameter_mm": tuple(widths)})


def _entry(radii: list[float], i: int) -> tuple[float, str]:
    low, high = 2 * min(radii[: i + 1]), 2 * min(radii[i:])
    if low == high:
        return low, "both"
    return max(low, high), "low" if low > high else "high"
