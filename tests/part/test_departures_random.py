"""Law: departures of known kinds and sizes, cut into random shafts anywhere, come back exactly.

All sizes are the drawing's own, to 1e-6 of their value. Random by seed, so that a failure can be
drawn again.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import cadquery as cq
import pytest

from turnability.part.model import Departure, Part, Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
ZONE = 40.0
Wanted = tuple[str, Mapping[str, Any]]


@dataclass
class Drawing:
    """A shaft of radius r along z, one departure in each zone of 40, the last at its end."""

    rng: random.Random
    r: float
    length: float
    shape: Any
    wanted: list[Wanted] = field(default_factory=list)

    def draw(self, low: float, high: float) -> float:
        return self.rng.uniform(low, high)

    def turned(self, tool: Any) -> Any:
        return tool.rotate((0, 0, 0), (0, 0, 1), self.rng.uniform(0.0, 360.0))

    def cut(self, tool: Any) -> None:
        self.shape = self.shape.cut(self.turned(tool))

    def want(self, kind: str, **sizes: Any) -> None:
        self.wanted.append((kind, sizes))


# ------------------------------------------------------------------ departures of the shaft's side


def through_hole(d: Drawing, z: float) -> None:
    r = d.draw(1.0, 5.0)
    d.cut(cq.Workplane("XZ").center(0, z + 20.0).circle(r).extrude(60.0, both=True))
    d.want("hole", diameter_mm=2 * r, direction="radial", through=True, depth_mm=2 * d.r, walls=1)


def blind_hole(d: Drawing, z: float) -> None:
    r, depth = d.draw(1.0, 4.0), d.draw(3.0, 8.0)
    drill = cq.Workplane("YZ", origin=(d.r - depth, 0, 0)).center(0, z + 20.0).circle(r)
    d.cut(drill.extrude(60.0))
    d.want("hole", diameter_mm=2 * r, direction="radial", through=False, depth_mm=depth,
           bottom="flat")  # fmt: skip


def drilled_hole(d: Drawing, z: float) -> None:
    r, depth = d.draw(1.0, 3.0), d.draw(3.0, 7.0)
    point = r / math.tan(math.radians(59.0))
    outline = [(0, d.r + 9), (r, d.r + 9), (r, d.r - depth), (0, d.r - depth - point)]
    drill = cq.Workplane("XY").polyline(outline).close().revolve(360, (0, 0, 0), (0, 1, 0))
    d.cut(drill.translate((0, 0, z + 20.0)))
    d.want("hole", diameter_mm=2 * r, direction="radial", through=False, depth_mm=depth,
           bottom="drill-point", point_angle_deg=118.0)  # fmt: skip


def counterbored_cross_hole(d: Drawing, z: float) -> None:
    r, seat, depth = d.draw(1.0, 3.0), d.draw(4.0, 6.0), d.draw(3.0, 5.0)
    tool = cq.Workplane("YZ", origin=(-60, 0, 0)).center(0, z + 20.0).circle(r).extrude(120.0)
    wide = cq.Workplane("YZ", origin=(d.r - depth, 0, 0)).center(0, z + 20.0).circle(seat)
    d.cut(tool.union(wide.extrude(60.0)))
    d.want("hole", diameter_mm=2 * r, counterbore_diameter_mm=2 * seat,
           counterbore_depth_mm=depth, direction="radial", through=True)  # fmt: skip


def skew_hole(d: Drawing, z: float) -> None:
    r, lean, off = d.draw(1.0, 3.0), d.draw(50.0, 80.0), d.draw(1.0, 4.0)
    tool = cq.Workplane("XY").circle(r).extrude(80.0, both=True).rotate((0, 0, 0), (0, 1, 0), lean)
    d.cut(tool.translate((0, off, z + 20.0)))
    d.want("hole", diameter_mm=2 * r, direction="other", angle_deg=lean, offset_mm=off,
           through=True)  # fmt: skip


def flat(d: Drawing, z: float) -> None:
    at, length = d.draw(0.6, 0.9) * d.r, d.draw(5.0, 25.0)
    box = cq.Workplane().box(40.0, 90.0, length).translate((at + 20.0, 0, z + 20.0))
    d.cut(box)
    d.want("flat", across_flats_mm=at + d.r, length_mm=length, flats=1, depth_mm=d.r - at)


def two_flats(d: Drawing, z: float) -> None:
    at, length = d.draw(0.6, 0.9) * d.r, d.draw(5.0, 25.0)
    box = cq.Workplane().box(40.0, 90.0, length)
    pair = box.translate((at + 20.0, 0, 0)).add(box.translate((-at - 20.0, 0, 0))).combine()
    d.cut(pair.translate((0, 0, z + 20.0)))
    d.want("flat", across_flats_mm=2 * at, length_mm=length, flats=2)


def keyway(d: Drawing, z: float) -> None:
    width, length = d.draw(3.0, 6.0), d.draw(12.0, 30.0)
    depth = d.draw(0.3, 0.7) * width
    tool = cq.Workplane("YZ", origin=(d.r - depth, 0, 0)).center(0, z + 20.0)
    round_ = d.rng.random() < 0.5
    tool = tool.slot2D(length, width, 90) if round_ else tool.rect(width, length)
    d.cut(tool.extrude(40.0))
    d.want("keyway", form="parallel", width_mm=width, depth_mm=depth, length_mm=length,
           ends="round" if round_ else "square")  # fmt: skip


def woodruff(d: Drawing, z: float) -> None:
    width, r = d.draw(2.0, 5.0), d.draw(6.0, 10.0)
    depth = d.draw(0.4, 0.7) * r
    tool = cq.Workplane("XZ").center(d.r - depth + r, z + 20.0).circle(r)
    d.cut(tool.extrude(width / 2.0, both=True))
    d.want("keyway", form="Woodruff", width_mm=width, diameter_mm=2 * r, depth_mm=depth)


def side_pocket(d: Drawing, z: float) -> None:
    width, length, depth = d.draw(4.0, 6.0), d.draw(8.0, 12.0), d.draw(2.0, 4.0)
    box = cq.Workplane().box(40.0, length, width).translate((d.r - depth + 20.0, 0, z + 20.0))
    d.cut(box)
    d.want("pocket", width_mm=width, length_mm=length, depth_mm=depth, through=False)


def bolt_circle(d: Drawing, z: float) -> None:
    count, r, seat = d.rng.randint(3, 9), d.draw(1.0, 2.0), d.draw(2.5, 3.5)
    circle, thick, deep = d.r + 10.0, d.draw(6.0, 12.0), d.draw(1.0, 5.0)
    flange = cq.Workplane(origin=(0, 0, z + 10.0)).circle(d.r + 16.0).extrude(thick)
    d.shape = d.shape.union(flange)
    holes = cq.Workplane(origin=(0, 0, z + 5.0)).polarArray(circle, 0, 360, count).circle(r)
    tool = holes.extrude(40.0)
    sizes: dict[str, Any] = {}
    if d.rng.random() < 0.5:
        top = cq.Workplane(origin=(0, 0, z + 10.0 + thick - deep))
        tool = tool.union(top.polarArray(circle, 0, 360, count).circle(seat).extrude(20.0))
        sizes = {"counterbore_diameter_mm": 2 * seat, "counterbore_depth_mm": deep}
    d.cut(tool)
    d.want("bolt-circle", count=count, circle_diameter_mm=2 * circle, hole_diameter_mm=2 * r,
           even=True, through=True, depth_mm=thick, **sizes)  # fmt: skip


# ------------------------------------------------------------------------- departures of its end


def around(d: Drawing, kept: Any, length: float) -> None:
    """Cut away what is outside `kept`, over this length from the end."""
    ring = cq.Workplane(origin=(0, 0, d.length - length)).circle(80.0).extrude(length + 1.0)
    d.cut(ring.cut(kept))


def polygon_end(sides: int, kind: str) -> Callable[[Drawing], None]:
    def made(d: Drawing) -> None:
        across, length = d.draw(1.2, 1.35) * d.r, d.draw(5.0, 20.0)
        corners = across / math.cos(math.pi / sides)
        around(d, cq.Workplane().polygon(sides, corners).extrude(d.length + 9.0), length)
        sizes = {} if kind != "other" else {"form": "polygon", "count": sides}
        d.want(kind, across_flats_mm=across, length_mm=length, surface="outer", **sizes)

    return made


def end_slot(d: Drawing) -> None:
    width, depth = d.draw(1.0, 5.0), d.draw(1.0, 8.0)
    d.cut(cq.Workplane().box(90.0, width, 2 * depth).translate((0, 0, d.length)))
    d.want("slot", width_mm=width, depth_mm=depth, place="end", through=False)


def end_pocket(d: Drawing) -> None:
    width, length, depth = d.draw(2.0, 4.0), d.draw(5.0, 7.0), d.draw(1.0, 8.0)
    d.cut(cq.Workplane().box(width, length, 2 * depth).translate((d.r / 2.0, 0, d.length)))
    d.want("pocket", width_mm=width, length_mm=length, depth_mm=depth, direction="axial",
           through=False)  # fmt: skip


def socket(d: Drawing) -> None:
    across, depth = d.draw(6.0, 12.0), d.draw(3.0, 9.0)
    tool = cq.Workplane(origin=(0, 0, d.length - depth)).polygon(6, across / math.cos(math.pi / 6))
    d.cut(tool.extrude(40.0))
    d.want("hex", across_flats_mm=across, length_mm=depth, surface="inner")


def splined_end(d: Drawing) -> None:
    count, width, length = d.rng.choice((6, 8, 10)), d.draw(2.0, 4.0), d.draw(8.0, 25.0)
    core = 0.8 * d.r
    kept = cq.Workplane().circle(core).extrude(d.length)
    for i in range(count):
        tooth = cq.Workplane().box(40.0, width, d.length).translate((20.0, 0, d.length / 2.0))
        kept = kept.union(tooth.rotate((0, 0, 0), (0, 0, 1), 360.0 * i / count))
    around(d, kept, length)
    d.want("other", form="splined", count=count, tooth_width_mm=width, length_mm=length,
           outside_diameter_mm=2 * d.r, inside_diameter_mm=2 * core)  # fmt: skip


def eccentric_journal(d: Drawing) -> None:
    offset, r, length = d.draw(0.5, 3.0), d.draw(5.0, 9.0), d.draw(5.0, 25.0)
    kept = cq.Workplane().center(offset, 0).circle(r).extrude(d.length + 9.0)
    around(d, kept, length)
    d.want("eccentric", offset_mm=offset, diameter_mm=2 * r, length_mm=length, surface="outer")


def eccentric_bore(d: Drawing) -> None:
    offset, r, depth = d.draw(0.5, 3.0), d.draw(5.0, 9.0), d.draw(5.0, 25.0)
    d.cut(cq.Workplane(origin=(offset, 0, d.length - depth)).circle(r).extrude(40.0))
    d.want("eccentric", offset_mm=offset, diameter_mm=2 * r, length_mm=depth, surface="inner")


SIDES = (
    through_hole, blind_hole, drilled_hole, counterbored_cross_hole, skew_hole, flat, two_flats,
    keyway, woodruff, side_pocket, bolt_circle,
)  # fmt: skip
ENDS = (
    polygon_end(6, "hex"), polygon_end(4, "square"), polygon_end(5, "other"), end_slot,
    end_pocket, socket, splined_end, eccentric_journal, eccentric_bore,
)  # fmt: skip
SEEDS = range(22)


def drawing(seed: int) -> Drawing:
    """Every kind has its turn: sides and ends are dealt out by the seed."""
    rng = random.Random(seed)
    sides = [SIDES[(seed * 2 + i) % len(SIDES)] for i in range(rng.randint(1, 3))]
    r, length = rng.uniform(14.0, 22.0), ZONE * (len(sides) + 1)
    made = Drawing(rng, r, length, cq.Workplane().circle(r).extrude(length))
    for i, side in enumerate(sides):
        side(made, ZONE * i)
    ENDS[seed % len(ENDS)](made)
    return made


def read(shape: Any) -> Part:
    return part_of(shape.wrapped, SOURCE, ())


def placed(shape: Any, rng: random.Random, mirrored: bool) -> Any:
    axis = cq.Vector(*(rng.uniform(-1.0, 1.0) for _ in range(3)))
    if mirrored:
        shape = shape.mirror("XZ")
    shape = shape.rotate(cq.Vector(), axis, rng.uniform(0.0, 360.0))
    return shape.translate(cq.Vector(*(rng.uniform(-300.0, 300.0) for _ in range(3))))


def agrees(found: Departure, wanted: Wanted) -> bool:
    kind, sizes = wanted
    return found.kind == kind and all(
        same(found.parameters.get(key), value) for key, value in sizes.items()
    )


def same(has: Any, wanted: Any) -> bool:
    if isinstance(wanted, float):
        return isinstance(has, float | int) and math.isclose(has, wanted, rel_tol=1e-6)
    return bool(has == wanted)


@pytest.mark.parametrize("seed", SEEDS)
def test_known_departures_come_back_anywhere(seed: int) -> None:
    drawn = drawing(seed)
    shape = placed(drawn.shape.val(), drawn.rng, mirrored=seed % 2 == 1)
    found = list(read(shape).departures)
    shown = "\n".join(f"{d.kind} {d.parameters}" for d in found)
    for wanted in drawn.wanted:
        mine = next((departure for departure in found if agrees(departure, wanted)), None)
        assert mine is not None, f"{wanted} is not among\n{shown}"
        found.remove(mine)
    assert found == [], f"drawn: {drawn.wanted}"


@pytest.mark.parametrize("seed", [0, 5, 7])
def test_turning_and_mirroring_change_no_kind_and_no_size(seed: int) -> None:
    drawn = drawing(seed)
    solid = drawn.shape.val()
    plain = sorted(said(departure) for departure in read(solid).departures)
    for mirrored in (False, True):
        there = read(placed(solid, drawn.rng, mirrored))
        again = sorted(said(departure) for departure in there.departures)
        assert [kind for kind, _ in again] == [kind for kind, _ in plain]
        for (_, sizes), (_, others) in zip(plain, again, strict=True):
            assert others == pytest.approx(sizes, rel=1e-6, abs=1e-7)


def said(departure: Departure) -> tuple[str, list[float]]:
    """Kind and numbers, r range and volume among them; a phase either way round.

    Mirrored, or seen from the other end, it is measured the other way.
    """
    numbers = [
        min(float(value), 360.0 - value) if key == "phase_deg" else float(value)
        for key, value in sorted(departure.parameters.items())
        if isinstance(value, float | int)
    ]
    extent = departure.parameters["r_mm"]
    assert isinstance(extent, tuple)
    length = departure.z_mm[1] - departure.z_mm[0]
    return departure.kind, [*numbers, *extent, length]
