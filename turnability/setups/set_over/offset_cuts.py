"""What is done to an eccentric in the chuck that is set over: tools, depths, and how slowly.

Work set over is out of balance, and its cut is interrupted until it is round: light passes at low
speed. A bore off the axis is drilled and bored so and never opened on the part's own axis first: a
drill that is set over runs into a hole that stands there already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from turnability.cited import Cited
from turnability.part.model import Departure, Part, Profile
from turnability.reach.model import Toward
from turnability.setups.cutting.depths import LIGHT_FEED, SLUG_DEPTH
from turnability.setups.cutting.speeds import cutting_speed_m_per_min, highest_speed
from turnability.setups.cutting.starting import drill_feed_mm, finish_cut
from turnability.setups.model import OffsetCut, Setup
from turnability.setups.set_over.offset_room import Room, rooms_of
from turnability.setups.surfaces.swept import (
    Step,
    is_eccentric_bore,
    offset_mm,
    swept_segments,
)
from turnability.shop.materials import Material
from turnability.shop.model import Holding, Machine, Shop, Tool
from turnability.shop.told_apart import CHIPS_OF_FLUTE, diameter_of, enters_mm, is_twist

_SAME_MM = 1e-3
_GRAVITY_MM_PER_S2 = 9806.65
OWN_WEIGHT = Cited(
    1.0,
    "-",
    "our choice",
    "out-of-balance pull of work set over, over its weight; the chuck's own comes on top",
    verified=False,
)
MUCH_MM = 3.0
"""What a bar would have to take a side where a drill rather goes before it (our choice)."""
_LEFT_TO_BORE_MM = 1.0
"""What the drill leaves to the bar on the diameter, at least (our choice)."""


@dataclass(frozen=True, slots=True)
class Eccentric:
    """One of them, with those of its cylinders that are still to be cut.

    `opened_mm`: how wide a bore is by a chucking from the other end, None where none was.
    """

    departure: Departure
    steps: tuple[Step, ...]
    opened_mm: float | None = None

    @property
    def offset_mm(self) -> float:
        """How far its axis lies from the part's."""
        return offset_mm(self.departure)

    @property
    def is_bore(self) -> bool:
        """Whether it is a hollow."""
        return is_eccentric_bore(self.departure)


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What eccentrics are cut out of, and on which lathe."""

    part: Part
    profile: Profile
    setups: tuple[Setup, ...]
    shop: Shop
    lathe: Machine | None
    material: Material | None


def balanced_rpm(offset_mm: float) -> float:
    """Turns a minute at which work set over pulls at the chuck with its weight: e ω² = g."""
    return 30.0 / math.pi * math.sqrt(OWN_WEIGHT.value * _GRAVITY_MM_PER_S2 / offset_mm)


def offset_cuts(
    work: Work, one: Eccentric, toward: Toward, holding: Holding | None
) -> Iterator[OffsetCut]:
    """What is done to one eccentric's steps, in order, with values to begin with."""
    e, whole = one.offset_mm, work.profile.length_mm
    if not one.is_bore:
        tools = {tool.name: tool for tool in work.shop.tools}
        swept = swept_segments(work.profile, [one.departure])
        names = dict.fromkeys(
            o.tool
            for setup in work.setups
            for o in setup.operations
            if o.kind in ("turn", "groove") and swept.keys() & set(o.segments)
        )
        rooms = rooms_of(
            work.profile, tuple(swept), one.steps, e, toward, work.shop.tools, tuple(names)
        )
        for n, (d, z) in enumerate(one.steps):
            room = Room(tuple(names), 0.0) if rooms is None else rooms[n]
            tool = next((tools[name] for name in room.tools if name in tools), None)
            cut = _cut(work, one, "turn", tool, holding, d, z, 2.0 * e)
            yield replace(
                cut, tools=room.tools, needs_mm=None if room.tools else (room.deep_mm, z[1] - z[0])
            )
        return
    shop_tools = work.shop.tools
    near = min(from_chuck(z, toward, whole)[0] for _, z in one.steps)
    hole = _hole_mm(work, near, toward)
    # set over, no more of a hole on the part's own axis is round the other one
    open_mm = hole and hole - 2.0 * e if one.opened_mm is None else one.opened_mm
    for d, z in sorted(one.steps, key=lambda step: step[0]):
        deep = whole - from_chuck(z, toward, whole)[0]
        bar = _bar(shop_tools, open_mm or 0.0, deep)
        much = bar is None or (d - (open_mm or 0.0)) / 2.0 > MUCH_MM
        drill = _drill(shop_tools, d - _LEFT_TO_BORE_MM, deep) if hole is None and much else None
        wide = max(open_mm or 0.0, 0.0 if drill is None else diameter_of(drill))
        if hole is None and _bar(shop_tools, wide, deep) is None:
            exact = _drill(shop_tools, d, deep)
            if exact is not None and abs(diameter_of(exact) - d) <= _SAME_MM:
                cut = _cut(work, one, "drill", exact, holding, d, z, 0.0)
                yield replace(cut, solid=open_mm is None)
                open_mm = d
                continue
        if drill is not None and diameter_of(drill) > (open_mm or 0.0):
            cut = _cut(work, one, "drill", drill, holding, diameter_of(drill), z, 0.0)
            yield replace(cut, solid=open_mm is None)
            open_mm = diameter_of(drill)
            bar = _bar(shop_tools, open_mm, deep)
        yield _cut(work, one, "bore", bar, holding, d, z, (d - (open_mm or 0.0)) / 2.0)
        if bar is not None:
            open_mm = d


def _drill(tools: Sequence[Tool], most_mm: float, deep_mm: float) -> Tool | None:
    """The widest drill up to a size that gets so deep."""
    able = [
        t
        for t in tools
        if is_twist(t)
        and diameter_of(t) <= most_mm + _SAME_MM
        and t.limits.get("flute_length_mm", 0.0) - CHIPS_OF_FLUTE * diameter_of(t) >= deep_mm
    ]
    return max(able, key=diameter_of, default=None)


def _bar(tools: Sequence[Tool], open_mm: float, deep_mm: float) -> Tool | None:
    """The stoutest bar that enters what is open and gets to its end."""
    able = [
        t
        for t in tools
        if t.kind == "boring"
        and 0.0 < enters_mm(t) <= open_mm + _SAME_MM
        and t.limits.get("overhang_mm", 0.0) >= deep_mm - _SAME_MM
    ]
    return max(able, key=lambda t: (t.limits["bar_diameter_mm"], t.name), default=None)


def _hole_mm(work: Work, near: float, toward: Toward) -> float | None:
    """The narrowest bore on the part's own axis from the eccentric's end on to the chuck, if any.

    It was drilled through the eccentric's place, from one end or the other.
    """
    swept = swept_segments(work.profile, work.part.departures)
    radii = [
        min(s.curve.start[1], s.curve.end[1])
        for s in work.profile.outline.segments
        if s.surface == "inner"
        and s.id not in swept
        and from_chuck(s.ends_z_mm, toward, work.profile.length_mm)[0] < near - _SAME_MM
    ]
    return 2.0 * min(radii) if radii and min(radii) > _SAME_MM else None


def _cut(
    work: Work,
    one: Eccentric,
    kind: Literal["turn", "drill", "bore"],
    tool: Tool | None,
    holding: Holding | None,
    diameter_mm: float,
    z_mm: tuple[float, float],
    over_mm: float,
) -> OffsetCut:
    # what is turned runs past with all that stands over it, one way
    runs = diameter_mm + 2.0 * over_mm if kind == "turn" else diameter_mm
    depth, feed = min(SLUG_DEPTH.value, over_mm), LIGHT_FEED.value
    if kind == "drill":
        depth, feed = diameter_mm / 2.0, drill_feed_mm(diameter_mm)
    elif work.material is not None:
        feed = min(feed, finish_cut(work.material, tool, diameter_mm).feed_mm)
    told = [(balanced_rpm(one.offset_mm), "balance")]
    plate = None if holding is None else holding.max_rpm
    if plate is not None:
        told.append((plate, "chuck"))
    if work.material is not None:
        speed = cutting_speed_m_per_min(work.material, "turning" if tool is None else tool.kind)
        most = highest_speed(speed, runs, None if work.lathe is None else work.lathe.max_rpm)
        told.append((most.rpm, most.limit))
    rpm, limit = min(told, key=lambda entry: entry[0])
    return OffsetCut(
        departure=one.departure.id,
        tools=() if tool is None else (tool.name,),
        kind=kind,
        diameter_mm=diameter_mm,
        z_mm=z_mm,
        over_mm=over_mm,
        depth_mm=depth,
        feed_mm=feed,
        rpm=rpm,
        limit=limit,
    )


def to_size(cuts: Sequence[OffsetCut]) -> list[OffsetCut]:
    """Those that bring a cylinder to its size: drills where no bar follows in the same place."""
    bored = {(cut.departure, cut.z_mm) for cut in cuts if cut.kind != "drill"}
    return [c for c in cuts if c.kind != "drill" or (c.departure, c.z_mm) not in bored]


def minutes_of(cut: OffsetCut) -> float:
    """In the cut: a drill once, all else in passes as deep as they may be, and one more to size."""
    passes = 1 if cut.kind == "drill" else 1 + math.ceil(cut.over_mm / cut.depth_mm - 1e-9)
    return passes * (cut.z_mm[1] - cut.z_mm[0]) / (cut.feed_mm * cut.rpm)


def from_chuck(z_mm: tuple[float, float], toward: Toward, whole_mm: float) -> tuple[float, float]:
    """A range along z as measured from the end that is held."""
    low, high = z_mm
    return (low, high) if toward == "low" else (whole_mm - high, whole_mm - low)
