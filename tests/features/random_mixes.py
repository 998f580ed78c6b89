"""Random parts whose features interact: sunk into tapers and curves, nested, side by side.

As in `random_parts`, a part is drawn from low to high and its truth is written down while it is put
together. Each block begins and ends on a land; blocks are joined by shoulders.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random

from random_parts import RandomPart
from random_path import Path, Truth, draw

from turnability.half_plane.curves import Point
from turnability.part.model import HelicalThread

Block = Callable[[Path, float, float], Point]


def mixed_part(seed: int) -> RandomPart:
    """The part of this number; the same number gives the same part."""
    random = Random(seed)
    outer = Path(random, True)
    z, r = 0.0, _size(random, 26.0, 30.0)
    outer.corner(z, r, 1.5)
    blocks = [random.choice(OUTSIDE) for _ in range(random.randint(2, 4))]
    for i, block in enumerate(blocks):
        z, r = block(outer, z, r)
        if i + 1 < len(blocks) and outer.edges[-1][0] != "shoulder":
            z, r = _step(outer, z, r)
    high = _end(random, z, r, outer)
    length = max(place for place, _ in high.nodes)
    inner = _inside(random, length)
    nodes = outer.nodes + high.nodes + inner.nodes[::-1]
    finishes = outer.finishes + high.finishes + inner.finishes[::-1]
    back = [(kind, (arc[0], not arc[1]) if arc else None) for kind, arc in inner.edges[::-1]]
    edges = [*outer.edges, *high.edges, *back, ("face", None)]
    drawing, placed = draw(nodes, finishes, edges)
    truths = [truth for path in (outer, high, inner) for truth in path.truths]
    return RandomPart(drawing, tuple(placed + truths), (*outer.threads, *inner.threads))


def _size(random: Random, least: float, most: float) -> float:
    return round(random.uniform(least, most), 3)


def _step(path: Path, z: float, r: float) -> Point:
    """A shoulder up or down to the next land; its corners may be finished."""
    after = _size(path.random, 24.0, 32.0)
    if abs(after - r) < 2.0:
        after = r - 3.0 if r > 28.0 else r + 3.0
    path.nodes.pop()
    path.finishes.pop()
    path.corner(z, r, 1.2)
    path.surface("shoulder")
    path.corner(z, after, 1.2)
    return z, after


def _land(path: Path, z: float, r: float, least: float = 21.0, most: float = 26.0) -> Point:
    """Go on at the same diameter; the corner that ends it is not finished."""
    path.surface("cylinder")
    z += _size(path.random, least, most)
    path.corner(z, r)
    return z, r


def _hollow(path: Path, *points: Point) -> None:
    """Corners of a hollow's own walls and floor; the last one is its far lip."""
    for point in points:
        path.surface(None)
        path.corner(*point)


def _truth(path: Path, z: Point, lip: float, floor: float, **more: object) -> None:
    low, high = sorted((2.0 * lip, 2.0 * floor))
    kind = "groove" if path.outside else "recess"
    path.truths.append(
        {"kind": kind, "z_mm": z, "diameter_mm": (low, high), "width_mm": z[1] - z[0],
         "depth_mm": abs(lip - floor), **more}
    )  # fmt: skip


def _groove(
    path: Path,
    z: float,
    lips: Point,
    width: float | None = None,
    lip_room: float = 0.0,
    **more: object,
) -> float:
    """A square groove from the last corner on, between lips of two radii; its far end."""
    random = path.random
    deep = -1.0 if path.outside else 1.0
    width = _size(random, 1.5, 4.0) if width is None else width
    depth = _size(random, 0.8, 2.5)
    lower = min(lips) if path.outside else max(lips)
    floor = lower + deep * depth
    room = min(0.5 * depth, 0.5 * width)
    if lip_room:
        path.finish(random.choice(["chamfer", "fillet"]), round(0.4 * min(lip_room, depth), 3))
    path.surface(None)
    path.corner(z, floor, room)
    path.surface(None)
    path.corner(z + width, floor, room)
    inside = path.finishes[-2:]
    path.surface(None)
    path.corner(z + width, lips[1])
    if lip_room:
        path.finish(random.choice(["chamfer", "fillet"]), round(0.4 * min(lip_room, depth), 3))
    radius = min(f[1] if f and f[0] == "fillet" else 0.0 for f in inside)
    _truth(path, (z, z + width), lower, floor, floor_radius_mm=radius,
           wall_angles_deg=(0.0, 0.0), **more)  # fmt: skip
    return z + width


def _in_taper(path: Path, z: float, r: float) -> Point:
    """A land, a taper with a groove sunk into it, and a land."""
    random = path.random
    z, r = _land(path, z, r)
    length, rise = _size(random, 14.0, 24.0), _size(random, 1.0, 4.0)
    rise = -rise if r > 28.0 else rise
    place = z + _size(random, 3.0, length - 8.0)
    slope = rise / length
    path.surface("taper")
    width = _size(random, 1.5, 4.0)
    lips = (r + slope * (place - z), r + slope * (place + width - z))
    path.corner(place, lips[0])
    _groove(path, place, lips, width, in_taper_deg=math.degrees(math.atan(abs(slope))))
    path.surface("taper")
    path.corner(z + length, r + rise)
    return _land(path, z + length, r + rise)


def _lipped(path: Path, z: float, r: float) -> Point:
    """A groove with chamfered or rounded lips, or two that leave a thin land between them."""
    z, r = _land(path, z, r)
    z = _groove(path, z, (r, r), lip_room=1.5)
    if path.random.random() < 0.5:
        z, r = _land(path, z, r, 1.6, 3.0)
        z = _groove(path, z, (r, r))
    return _land(path, z, r)


def _waisted(path: Path, z: float, r: float) -> Point:
    """An arc that sinks below its lands, or bulges, with a groove in its middle."""
    random = path.random
    z, r = _land(path, z, r)
    width, half = _size(random, 1.5, 3.0), _size(random, 8.0, 14.0)
    rise, depth = _size(random, 0.5, 1.0) * random.choice([-1.0, 1.0]), _size(random, 0.8, 2.0)
    radius = (half**2 + rise**2) / (2.0 * abs(rise))
    middle = z + half
    centre = (middle, r + rise - math.copysign(radius, rise))
    at = centre[1] + math.copysign(math.sqrt(radius**2 - 0.25 * width**2), rise)
    path.surface(None, (centre, rise > 0.0))
    path.corner(middle - 0.5 * width, at)
    _hollow(path, (middle - 0.5 * width, at - depth), (middle + 0.5 * width, at - depth),
            (middle + 0.5 * width, at))  # fmt: skip
    _truth(path, (middle - 0.5 * width, middle + 0.5 * width), at, at - depth)
    path.surface(None, (centre, rise > 0.0))
    path.corner(z + 2.0 * half, r)
    spans = ((z, middle - 0.5 * width), (middle + 0.5 * width, z + 2.0 * half))
    widths = tuple(sorted((2.0 * r, 2.0 * at)))
    path.truths += [{"kind": "contour", "z_mm": span, "diameter_mm": widths, "radius_mm": radius}
                    for span in spans]  # fmt: skip
    return _land(path, z + 2.0 * half, r)


def _blended(path: Path, z: float, r: float) -> Point:
    """Two lands joined by two large arcs, tangent to both and to each other."""
    random = path.random
    z, r = _land(path, z, r)
    after = r - _size(random, 1.5, 4.0) if r > 28.0 else r + _size(random, 1.5, 4.0)
    rise, radius = after - r, _size(random, 14.0, 40.0)
    # each arc turns by a: two of them rise by 2 R (1 - cos a) over 2 R sin a
    turn = math.acos(1.0 - 0.5 * abs(rise) / radius)
    half = radius * math.sin(turn)
    up = rise > 0.0
    path.surface(None, ((z, r + radius if up else r - radius), not up))
    path.corner(z + half, r + 0.5 * rise)
    path.surface(None, ((z + 2.0 * half, after - radius if up else after + radius), up))
    path.corner(z + 2.0 * half, after)
    path.truths.append(
        {"kind": "contour", "z_mm": (z, z + 2.0 * half), "radius_mm": None,
         "diameter_mm": (2.0 * min(r, after), 2.0 * max(r, after)),
         "steepest_toward_low_deg" if up else "steepest_toward_high_deg": math.degrees(turn)}
    )  # fmt: skip
    return _land(path, z + 2.0 * half, after)


def _nested(path: Path, z: float, r: float) -> Point:
    """A neck too wide for a groove, with a groove in its floor: square, V or round."""
    random = path.random
    z, r = _land(path, z, r)
    width, depth = _size(random, 14.0, 20.0), _size(random, 1.0, 3.5)
    floor = r - depth
    path.surface("shoulder")
    path.corner(z, floor)
    path.surface("cylinder")
    place = z + _size(random, 2.0, width - 8.0)
    path.corner(place, floor)
    form = random.choice(["square", "V", "round", "stepped"])
    wide, deep = _size(random, 1.5, 5.0), _size(random, 0.6, 2.0)
    far = place + wide
    if form == "square":
        far = _groove(path, place, (floor, floor))
    elif form == "V":
        half = random.uniform(15.0, 38.0)
        deep = min(0.5 * wide / math.tan(math.radians(half)), 4.0)
        angle = math.degrees(math.atan(0.5 * wide / deep))
        _hollow(path, (place + 0.5 * wide, floor - deep), (far, floor))
        _truth(path, (place, far), floor, floor - deep, wall_angles_deg=(angle, angle))
    elif form == "round":
        path.surface(None, ((place + 0.5 * wide, floor), False))
        path.corner(far, floor)
        _truth(path, (place, far), floor, floor - 0.5 * wide, floor_radius_mm=0.5 * wide)
    else:
        step = 0.25 * wide
        _hollow(path, (place, floor - deep), (place + step, floor - deep),
                (place + step, floor - 2.0 * deep), (far - step, floor - 2.0 * deep),
                (far - step, floor - deep), (far, floor - deep), (far, floor))  # fmt: skip
        _truth(path, (place, far), floor, floor - deep)
        _truth(path, (place + step, far - step), floor - deep, floor - 2.0 * deep)
    path.surface("cylinder")
    path.corner(z + width, floor)
    path.surface("shoulder")
    path.corner(z + width, r)
    return _land(path, z + width, r)


def _threaded(path: Path, z: float, r: float) -> Point:
    """A modelled thread that runs out into an undercut of its root's depth before a shoulder."""
    random = path.random
    pitch = random.choice([1.0, 1.5, 2.0])
    start = z
    path.surface(None)
    z += _size(random, 14.0, 20.0)
    path.corner(z, r)
    width = round(random.uniform(2.0, 3.0) * pitch, 3)
    floor = r - round(0.65 * pitch, 3)
    lean = round(random.uniform(0.0, 0.8) * (r - floor), 3)
    _hollow(path, (z + lean, floor), (z + width, floor))
    if random.random() < 0.5:
        path.finish("fillet", round(0.2 * pitch, 3))
    path.surface("shoulder")
    after = 2.0 * r - floor + _size(random, 0.3, 2.0)
    path.corner(z + width, after)
    _truth(path, (z, z + width), r, floor, at_shoulder="high",
           wall_angles_deg=(math.degrees(math.atan2(lean, r - floor)), 0.0))  # fmt: skip
    low = 2.0 * r - 1.2269 * pitch
    path.threads.append(
        HelicalThread("outer", "right", 1, pitch, 2.0 * r, low, (30.0, 30.0), (start, z), ())
    )
    path.truths.append(
        {"kind": "thread", "surface": "outer", "z_mm": (start, z), "diameter_mm": (low, 2.0 * r),
         "evidence": "helix", "relieved": True}
    )  # fmt: skip
    return _land(path, z + width, after)


def _rung(path: Path, z: float, r: float) -> Point:
    """Rings of 60 degrees that end in an undercut as deep as they are, before a shoulder."""
    random = path.random
    z, r = _land(path, z, r)
    pitch = _size(random, 1.2, 2.5)
    half = round(random.uniform(0.38, 0.44) * pitch, 4)
    depth, count = half * math.sqrt(3.0), random.randint(4, 8)
    flat = pitch - 2.0 * half
    for k in range(count):
        a = z + k * pitch
        _hollow(path, (a + half, r - depth), (a + 2.0 * half, r))
        path.surface(None)
        if k + 1 < count:
            path.corner(a + pitch, r)
    path.edges.pop()
    end = z + (count - 1) * pitch + 2.0 * half
    path.truths.append(
        {"kind": "thread", "z_mm": (z, end), "diameter_mm": (2.0 * (r - depth), 2.0 * r),
         "pitch_mm": pitch, "evidence": "rings"}
    )  # fmt: skip
    path.surface("cylinder")
    path.corner(end + flat, r)
    width = round(2.5 * pitch, 3)
    _hollow(path, (end + flat, r - depth - 0.2), (end + flat + width, r - depth - 0.2))
    _truth(path, (end + flat, end + flat + width), r, r - depth - 0.2, at_shoulder="high")
    path.surface("shoulder")
    after = r + depth + _size(random, 0.5, 2.0)
    path.corner(end + flat + width, after)
    return _land(path, end + flat + width, after)


def _shaped(path: Path, z: float, r: float) -> Point:
    """Grooves of other sections: U with a round floor, V with a radius, one wall slanted."""
    random = path.random
    z, r = _land(path, z, r)
    form = random.choice(["U", "rounded V", "buttress", "trapezoid"])
    if form == "U":
        radius, deep = _size(random, 1.0, 2.5), _size(random, 0.5, 2.0)
        floor = r - deep
        _hollow(path, (z, floor))
        path.surface(None, ((z + radius, floor), False))
        path.corner(z + 2.0 * radius, floor)
        _hollow(path, (z + 2.0 * radius, r))
        _truth(path, (z, z + 2.0 * radius), r, floor - radius, floor_radius_mm=radius,
               wall_angles_deg=(0.0, 0.0))  # fmt: skip
        return _land(path, z + 2.0 * radius, r)
    width = _size(random, 3.0, 6.0)
    if form == "rounded V":
        half = random.uniform(23.0, 38.0)
        deep = min(0.5 * width / math.tan(math.radians(half)), 4.0)
        angle = math.degrees(math.atan(0.5 * width / deep))
        _hollow(path, (z + 0.5 * width, r - deep))
        room = 0.3 * math.hypot(0.5 * width, deep)
        radius = round(room * math.tan(math.radians(angle)), 3)
        path.finish("fillet", radius)
        lifted = radius * (1.0 / math.sin(math.radians(angle)) - 1.0)
        _hollow(path, (z + width, r))
        _truth(path, (z, z + width), r, r - deep + lifted, floor_radius_mm=radius,
               wall_angles_deg=(angle, angle))  # fmt: skip
        return _land(path, z + width, r)
    deep = _size(random, 0.8, 2.0)
    lean = round(math.tan(math.radians(random.uniform(5.0, 38.0))) * deep, 3)
    other = lean if form == "trapezoid" else 0.0
    low, high = (lean, other) if random.random() < 0.5 else (other, lean)
    _hollow(path, (z + low, r - deep), (z + width - high, r - deep), (z + width, r))
    angles = tuple(math.degrees(math.atan2(a, deep)) for a in (low, high))
    _truth(path, (z, z + width), r, r - deep, wall_angles_deg=angles, floor_radius_mm=0.0)
    return _land(path, z + width, r)


def _relieved(path: Path, z: float, r: float) -> Point:
    """An undercut of DIN 509 type F before a shoulder: cylinder and face are relieved."""
    random = path.random
    path.surface("cylinder")
    radius, t1, f, t2 = random.choice([(0.6, 0.3, 2.5, 0.2), (1.0, 0.4, 4.0, 0.3)])
    end = z + _size(random, 21.0, 26.0)
    path.corner(end - f, r)
    # the corner's arc is t2 deep in the face; a ramp of 8 degrees from the face ends it
    lean = math.radians(8.0)
    corner = end + t2 - radius + radius * (1.0 + math.sin(lean)) / math.cos(lean)
    _hollow(path, (end - f + t1 / math.tan(math.radians(15.0)), r - t1), (corner, r - t1))
    path.finish("fillet", radius)
    path.surface(None)
    rise = (corner - end) / math.tan(lean)
    path.corner(end, r - t1 + rise)
    path.surface("shoulder")
    after = r - t1 + rise + _size(random, 0.5, 2.0)
    path.corner(end, after)
    path.truths.append(
        {"kind": "groove", "at_shoulder": "high", "length_mm": f, "face_depth_mm": t2,
         "z_mm": (end - f, corner - t1 * math.tan(lean)), "depth_mm": t1,
         "diameter_mm": (2.0 * (r - t1), 2.0 * r), "floor_radius_mm": radius}
    )  # fmt: skip
    return _land(path, end, after)


def _ramped(path: Path, z: float, r: float) -> Point:
    """A relief of no standard before a shoulder, its ramp of 16 to 44 degrees."""
    random = path.random
    z, r = _land(path, z, r)
    lean, depth = random.uniform(16.0, 44.0), _size(random, 0.4, 0.8)
    run = depth / math.tan(math.radians(lean))
    width = run + _size(random, 1.0, 2.5)
    _hollow(path, (z + run, r - depth), (z + width, r - depth))
    if random.random() < 0.5:
        path.finish("fillet", round(0.4 * depth, 3))
    path.surface("shoulder")
    after = r + depth + _size(random, 0.5, 2.0)
    path.corner(z + width, after)
    _truth(path, (z, z + width), r, r - depth, at_shoulder="high",
           wall_angles_deg=(90.0 - lean, 0.0))  # fmt: skip
    return _land(path, z + width, after)


def _pointed(path: Path, z: float, r: float) -> Point:
    """A V groove of 90 degrees, or a shallow radius with sharp lips."""
    random = path.random
    z, r = _land(path, z, r)
    width = _size(random, 2.0, 7.5)
    if random.random() < 0.5:
        _hollow(path, (z + 0.5 * width, r - 0.5 * width), (z + width, r))
        _truth(path, (z, z + width), r, r - 0.5 * width, wall_angles_deg=(45.0, 45.0), form="V")
        return _land(path, z + width, r)
    lean = math.radians(random.uniform(31.0, 49.0))
    radius = 0.5 * width / math.sin(lean)
    depth = radius * (1.0 - math.cos(lean))
    path.surface(None, ((z + 0.5 * width, r - depth + radius), False))
    path.corner(z + width, r)
    _truth(path, (z, z + width), r, r - depth, floor_radius_mm=radius, form="round")
    return _land(path, z + width, r)


def _used_up(path: Path, z: float, r: float) -> Point:
    """A step as high as the radius in its corner, or on its edge: no shoulder is left."""
    random = path.random
    z, r = _land(path, z, r)
    radius = _size(random, 0.8, 2.5)
    rise = radius if r < 28.0 else -radius
    inside = random.random() < 0.5
    # the centre stands over the lower land's end, or under the upper one's
    if inside:
        at = (z if rise > 0.0 else z + radius, max(r, r + rise))
    else:
        at = (z + radius if rise > 0.0 else z, min(r, r + rise))
    path.surface(None, (at, not inside))
    path.corner(z + radius, r + rise)
    low, high = sorted((2.0 * r, 2.0 * (r + rise)))
    path.truths.append(
        {"kind": "fillet", "z_mm": (z, z + radius), "diameter_mm": (low, high),
         "radius_mm": radius, "corner": "inside" if inside else "outside"}
    )  # fmt: skip
    return _land(path, z + radius, r + rise)


def _coned(path: Path, z: float, r: float) -> Point:
    """Lands joined by a cone whose corners are rounded, each arc tangent to cone and land."""
    random = path.random
    path.surface("cylinder")
    z += _size(random, 21.0, 26.0)
    after = r - _size(random, 1.5, 4.0) if r > 28.0 else r + _size(random, 1.5, 4.0)
    length = _size(random, 6.0, 14.0)
    path.corner(z, r)
    turn = math.atan(abs(after - r) / length)
    most = 0.3 * length / math.tan(0.5 * turn)
    if random.random() < 0.7:
        path.finish("fillet", round(random.uniform(0.2, 0.9) * min(most, 30.0), 3))
    path.surface("taper")
    path.corner(z + length, after)
    if random.random() < 0.7:
        path.finish("fillet", round(random.uniform(0.2, 0.9) * min(most, 30.0), 3))
    return _land(path, z + length, after)


OUTSIDE: tuple[Block, ...] = (
    _in_taper, _lipped, _waisted, _blended, _nested, _threaded, _rung, _land, _shaped, _relieved,
    _coned, _ramped, _pointed, _used_up
)  # fmt: skip


def _end(random: Random, z: float, r: float, outer: Path) -> Path:
    """The high end: a face, or a spigot with an end groove round its foot or against it."""
    end = Path(random, False)
    outer.nodes.pop()
    outer.finishes.pop()
    end.corner(z, r, 1.2)
    if random.random() < 0.4:
        end.surface("face")
        return end
    foot, tall = _size(random, 15.0, 16.0), _size(random, 2.0, 6.0)
    depth, width = _size(random, 0.8, 3.0), _size(random, 1.5, 4.0)
    gap = random.choice([0.0, _size(random, 0.5, 2.0)])
    end.surface("shoulder")
    end.corner(z, foot + gap + width)
    _hollow(end, (z - depth, foot + gap + width), (z - depth, foot + gap))
    end.truths.append(
        {"kind": "end-groove", "z_mm": (z - depth, z), "width_mm": width, "depth_mm": depth,
         "diameter_mm": (2.0 * (foot + gap), 2.0 * (foot + gap + width)), "facing": "high"}
    )  # fmt: skip
    if gap:
        end.surface(None)
        end.corner(z, foot + gap)
        end.surface("shoulder")
        end.corner(z, foot)
        end.surface("cylinder")
    else:
        # the groove's inner wall is the spigot's own surface, down to the floor
        tall = max(tall, depth + 1.0)
        end.surface("cylinder")
    end.corner(z + tall, foot, 0.6)
    end.surface("face")
    return end


def _inside(random: Random, length: float) -> Path:
    """A bore from the low end, blind or through, with what is sunk into it."""
    path = Path(random, False)
    return random.choice(INSIDE)(path, length)


def _conical(path: Path, length: float) -> Path:
    """A blind bore that narrows by a taper with a recess in it, its end flat."""
    random = path.random
    r = _size(random, 9.0, 12.0)
    path.corner(0.0, r, 1.0)
    path.surface("bore")
    z = _size(random, 6.0, 9.0)
    path.corner(z, r)
    run, fall = _size(random, 14.0, 20.0), _size(random, 1.0, 3.0)
    place = z + _size(random, 3.0, run - 8.0)
    slope = -fall / run
    path.surface("taper")
    width = _size(random, 1.5, 4.0)
    lips = (r + slope * (place - z), r + slope * (place + width - z))
    path.corner(place, lips[0])
    _groove(path, place, lips, width, entry_diameter_mm=2.0 * lips[0], entry_side="low")
    path.surface("taper")
    path.corner(z + run, r - fall)
    path.surface("bore")
    deep = z + run + _size(random, 5.0, 8.0)
    path.corner(deep, r - fall)
    path.surface("shoulder")
    path.corner(deep, 0.0)
    path.surface("axis")
    path.corner(length, 0.0)
    path.truths += [
        {"kind": "bore", "z_mm": (0.0, z), "diameter_mm": (2.0 * r, 2.0 * r), "bottom": "open"},
        {"kind": "bore", "z_mm": (z + run, deep), "diameter_mm": (2.0 * (r - fall),) * 2,
         "bottom": "flat"},
    ]  # fmt: skip
    return path


def _chambered(path: Path, length: float) -> Path:
    """A counterbored blind bore with a seal's groove, and at its bottom a chamber with a groove."""
    random = path.random
    r, wide = _size(random, 6.0, 8.0), _size(random, 10.0, 12.0)
    first = _size(random, 10.0, 14.0)
    path.corner(0.0, wide, 1.0)
    path.surface("bore")
    path.corner(3.0, wide)
    z = _groove(path, 3.0, (wide, wide), entry_diameter_mm=2.0 * wide, entry_side="low")
    path.surface("bore")
    path.corner(first, wide, 0.6)
    path.surface("shoulder")
    path.corner(first, r, 0.6)
    path.surface("bore")
    start = first + _size(random, 5.0, 8.0)
    path.corner(start, r)
    floor = r + _size(random, 1.0, 2.0)
    _hollow(path, (start, floor))
    path.surface(None)
    path.corner(start + 3.0, floor)
    entry: Truth = {"entry_diameter_mm": 2.0 * r, "entry_side": "low"}
    z = _groove(path, start + 3.0, (floor, floor), **entry)
    path.surface(None)
    stop = z + _size(random, 2.0, 4.0)
    path.corner(stop, floor)
    open_below = random.random() < 0.5
    if open_below:
        # the chamber ends at a lip again: the bore goes on behind it
        _hollow(path, (stop, r))
        path.surface("bore")
        deep = stop + _size(random, 4.0, 6.0)
        path.corner(deep, r)
        path.surface("shoulder")
    else:
        deep = stop
        path.surface("shoulder")
    path.corner(deep, 0.0)
    path.surface("axis")
    path.corner(length, 0.0)
    _truth(path, (start, stop), r, floor, **entry)
    path.truths.append({"kind": "bore", "z_mm": (0.0, first), "diameter_mm": (2.0 * wide,) * 2,
                        "form": "counterbore"})  # fmt: skip
    path.truths.append({"kind": "bore", "z_mm": (first, deep), "diameter_mm": (2.0 * r,) * 2,
                        "bottom": "flat"})  # fmt: skip
    return path


def _mouthed(path: Path, length: float) -> Path:
    """A bore right through with a bell mouth at its low end: an arc, tangent to the bore."""
    random = path.random
    r, radius = _size(random, 5.0, 8.0), _size(random, 14.0, 20.0)
    half = math.radians(random.uniform(25.0, 55.0))
    run, rise = radius * math.sin(half), radius * (1.0 - math.cos(half))
    path.corner(0.0, r + rise)
    path.surface(None, ((run, r + radius), False))
    path.corner(run, r)
    path.surface("bore")
    path.corner(run + 8.0, r)
    z = _groove(path, run + 8.0, (r, r), entry_diameter_mm=2.0 * r, entry_side="both")
    path.surface("bore")
    path.corner(length, r)
    path.truths += [
        {"kind": "contour", "z_mm": (0.0, run), "diameter_mm": (2.0 * r, 2.0 * (r + rise)),
         "radius_mm": radius, "surface": "inner"},
        {"kind": "bore", "z_mm": (run, length), "diameter_mm": (2.0 * r,) * 2, "through": True},
    ]  # fmt: skip
    assert z < length
    return path


def _tapped(path: Path, length: float) -> Path:
    """A counterbored blind hole, its thread modelled: it runs out into a recess at the bottom.

    The counterbore's floor has an end groove where there is room for one.
    """
    random = path.random
    wide, r, pitch = _size(random, 13.0, 14.0), _size(random, 5.0, 7.0), 1.5
    deep = _size(random, 5.0, 9.0)
    path.corner(0.0, wide, 1.0)
    path.surface("bore")
    path.corner(deep, wide)
    path.surface("shoulder")
    if random.random() < 0.6:
        outer, width, sunk = wide - 1.5, _size(random, 1.5, 2.5), _size(random, 0.8, 2.0)
        path.corner(deep, outer)
        _hollow(path, (deep + sunk, outer), (deep + sunk, outer - width), (deep, outer - width))
        path.surface("shoulder")
        path.truths.append(
            {"kind": "end-groove", "z_mm": (deep, deep + sunk), "width_mm": width, "facing": "low",
             "diameter_mm": (2.0 * (outer - width), 2.0 * outer)}
        )  # fmt: skip
    path.corner(deep, r, 0.8)
    path.surface(None)
    run = deep + _size(random, 10.0, 14.0)
    path.corner(run, r)
    root = r + 0.54 * pitch
    _hollow(path, (run, root + 0.2))
    path.surface(None)
    stop = run + _size(random, 3.0, 5.0)
    path.corner(stop, root + 0.2, 1.0)
    path.surface("shoulder")
    path.corner(stop, 0.0)
    path.surface("axis")
    path.corner(length, 0.0)
    path.threads.append(
        HelicalThread("inner", "left", 1, pitch, 2.0 * root, 2.0 * r, (30.0, 30.0), (deep, run), ())
    )
    _truth(path, (run, stop), r, root + 0.2, entry_diameter_mm=2.0 * r, entry_side="low",
           at_shoulder="high")  # fmt: skip
    path.truths += [
        {"kind": "thread", "surface": "inner", "hand": "left", "z_mm": (deep, run),
         "diameter_mm": (2.0 * r, 2.0 * root)},
        {"kind": "bore", "z_mm": (0.0, deep), "diameter_mm": (2.0 * wide,) * 2, "bottom": "open"},
        {"kind": "bore", "z_mm": (deep, stop), "diameter_mm": (2.0 * r,) * 2, "bottom": "flat"},
    ]  # fmt: skip
    return path


def _throated(path: Path, length: float) -> Path:
    """Right through: a cone from the low end to a throat, a reversed cone, a wider bore behind."""
    random = path.random
    r, wide = _size(random, 4.0, 6.0), _size(random, 9.0, 12.0)
    run, out = _size(random, 8.0, 12.0), _size(random, 8.0, 12.0)
    path.corner(0.0, wide)
    path.surface("taper")
    path.corner(run, r)
    path.surface("bore")
    path.corner(run + 5.0, r)
    path.surface("taper")
    path.corner(run + 5.0 + out, wide)
    path.surface("bore")
    z = run + 5.0 + out + 6.0
    path.corner(z, wide)
    z = _groove(path, z, (wide, wide), entry_diameter_mm=2.0 * wide, entry_side="high")
    path.surface("bore")
    path.corner(length, wide, 1.0)
    path.truths += [
        {"kind": "bore", "z_mm": (run, run + 5.0), "diameter_mm": (2.0 * r,) * 2, "through": True,
         "form": "throat"},
        {"kind": "bore", "z_mm": (run + 5.0 + out, length), "diameter_mm": (2.0 * wide,) * 2,
         "opens_to": "high"},
    ]  # fmt: skip
    return path


INSIDE: tuple[Callable[[Path, float], Path], ...] = (
    _conical, _chambered, _mouthed, _tapped, _throated
)  # fmt: skip
