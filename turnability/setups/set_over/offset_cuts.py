"""What is done to an eccentric in the chuck that is set over: tools, depths, and how slowly.

Work set over is out of balance, and its cut is interrupted until it is round: light passes at low
speed. A bore off the axis is drilled and bored so and never opened on the part's own axis first: a
drill that is set over runs into a hole that stands there already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from turnability.cited import Cited
from turnability.part.model import Departure, Part, Profile, Segment
from turnability.reach.model import Toward
from turnability.setups.cutting.depths import LIGHT_FEED, SLUG_DEPTH
from turnability.setups.cutting.speeds import cutting_speed_m_per_min, highest_speed
from turnability.setups.cutting.starting import drill_feed_mm, finish_cut
from turnability.setups.model import OffsetCut, Operation, Setup
from turnability.setups.set_over.offset_room import Room, rooms_of
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


Step: TypeAlias = tuple[float, tuple[float, float]]
"""A cylinder of an eccentric: its diameter, its z range."""


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
        return is_bore(self.departure)


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


def swept_segments(profile: Profile, departures: Sequence[Departure]) -> dict[str, str]:
    """Segments that are no surface of the part but what an eccentric sweeps, with its id.

    So are the shoulders between its own steps, what is faced between it and the part's axis (a
    bore's floor, the face beside a pin that stands clear of that), and what it sweeps with others.
    """
    found: dict[str, str] = {}
    every = {face for d in departures for face in d.faces}
    for d in (d for d in departures if d.kind == "eccentric"):
        own = {
            s.id for s in profile.segments if set(s.faces) & set(d.faces) and set(s.faces) <= every
        }
        for before, s, after in _in_turn(profile):
            sides = (before, after) if s.curve.start[1] < s.curve.end[1] else (after, before)
            if s.surface == "end" and ({n.id for n in sides} <= own or _is_floor(sides, own)):
                found[s.id] = d.id
        found |= dict.fromkeys(own, d.id)
    return found


def _is_floor(sides: tuple[Segment, Segment], own: set[str]) -> bool:
    """Whether a face lies between a hollow of those and what is nearer to the axis, or that."""
    nearer, farther = sides
    return farther.id in own and farther.surface == "inner" and nearer.surface in ("axis", "inner")


def _in_turn(profile: Profile) -> Iterator[tuple[Segment, Segment, Segment]]:
    """Each segment of the profile between those before and after it."""
    for loop in profile.loops:
        ring = loop.segments
        yield from zip((ring[-1], *ring), ring, (*ring[1:], ring[0]), strict=False)


def swept_hollows(profile: Profile, departures: Sequence[Departure]) -> frozenset[str]:
    """Those of hollows, which no chucking on the part's own axis cuts.

    A bore's own, and what a pin clear of the part's axis leaves between that and itself.
    """
    swept = swept_segments(profile, departures)
    if not swept:
        return frozenset()
    bores = {d.id for d in departures if d.kind == "eccentric" and is_bore(d)}
    return frozenset(
        s.id
        for before, s, after in _in_turn(profile)
        if s.id in swept
        and (
            swept[s.id] in bores
            or s.surface == "inner"
            or (s.surface == "end" and "inner" in (before.surface, after.surface))
        )
    )


def crossed_bores(profile: Profile, departures: Sequence[Departure]) -> frozenset[str]:
    """Bores that a slot across the axis leaves in every section, with their floors: no more than
    where its walls come nearest to the axis, and milled with it."""
    walls = {face for d in departures if d.kind == "slot" for face in d.faces}
    found: set[str] = set()
    if not walls:
        return frozenset()
    for before, s, after in _in_turn(profile):
        if s.surface == "inner" and s.faces and set(s.faces) <= walls:
            floors = [n for n in (before, after) if n.surface == "end" and _meets_axis(n)]
            found |= {s.id, *(n.id for n in floors)}
    return frozenset(found)


def _meets_axis(segment: Segment) -> bool:
    return min(segment.curve.start[1], segment.curve.end[1]) <= _SAME_MM


def not_opened(profile: Profile, departures: Sequence[Departure]) -> frozenset[str]:
    """Hollows round the part's own axis that nothing opens there: an eccentric's or a slot's."""
    return swept_hollows(profile, departures) | crossed_bores(profile, departures)


def steps_of(profile: Profile, one: Departure) -> tuple[Step, ...]:
    """Diameter and z of each cylinder of an eccentric, by z; what it sweeps is off by the offset.

    Its largest one alone where none of them can be seen in the profile.
    """
    e, swept = offset_mm(one), swept_segments(profile, [one])
    found = {}
    for s in profile.segments:
        r = s.curve.start[1]
        if s.id in swept and s.surface != "end" and abs(r - s.curve.end[1]) <= _SAME_MM:
            # a pin beside the part's axis sweeps a ring, of which both sides tell its size
            across = 2.0 * (r + e if is_bore(one) else abs(r - e))
            low, high = span_of(s)
            found[round(across, 3), round(low, 3)] = (across, (low, high))
    whole = [(number(one, "diameter_mm"), one.z_mm)]
    return tuple(sorted(found.values(), key=lambda step: step[1])) or tuple(whole)


def without_unopened(
    profile: Profile, departures: Sequence[Departure], operations: Sequence[Operation]
) -> tuple[Operation, ...]:
    """The same without what would open a hollow that other work brings."""
    inner = not_opened(profile, departures)
    if not inner:
        return tuple(operations)
    kept = [replace(o, segments=tuple(s for s in o.segments if s not in inner)) for o in operations]
    hollow = any(o.kind in ("drill", "bore") and o.segments for o in kept)
    return tuple(
        one
        for one, o in zip(kept, operations, strict=True)
        if one.segments or (hollow if o.kind == "drill" else not o.segments)
    )


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
        and from_chuck(span_of(s), toward, work.profile.length_mm)[0] < near - _SAME_MM
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


def offset_mm(one: Departure) -> float:
    """How far its axis lies from the part's."""
    return number(one, "offset_mm")


def is_bore(one: Departure) -> bool:
    """Whether it is a hollow."""
    return one.parameters.get("surface") == "inner"


def number(one: Departure, key: str) -> float:
    """A size of it; 0 where it has none of this name."""
    value = one.parameters.get(key)
    return float(value) if isinstance(value, int | float) else 0.0


def span_of(segment: Segment) -> tuple[float, float]:
    """Its range along z."""
    z0, z1 = segment.curve.start[0], segment.curve.end[0]
    return (min(z0, z1), max(z0, z1))


def from_chuck(z_mm: tuple[float, float], toward: Toward, whole_mm: float) -> tuple[float, float]:
    """A range along z as measured from the end that is held."""
    low, high = z_mm
    return (low, high) if toward == "low" else (whole_mm - high, whole_mm - low)
