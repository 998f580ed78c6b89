"""A hollow drawn otherwise: its walls opened, wider, its entry wider, shallower, or split there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from turnability.analysis.changed import (
    core_and_ring,
    halves,
    with_box,
    with_entry,
    with_floor_filled,
)
from turnability.analysis.hollow import MOST_OPEN_DEG, SIDES, Hollow, Side
from turnability.analysis.least import Clears, Way, asks, least, limits_of, most
from turnability.half_plane.curves import Arc
from turnability.part.model import Profile
from turnability.rules.model import Change
from turnability.shop.model import Tool
from turnability.units import length_text, mm_text

MOST_WIDER = 3.0
"""A hollow is drawn no wider than this many times its width (ours)."""
MOST_RUN_OUT = 0.1
"""No wall of more than this share of the part is taken away (ours)."""
LEAST_DEEP = 0.3
"""Nor shallower than this share of its depth (ours): a dome would be no dome any more."""
LEAST_LEFT = 0.25
"""So much of a recess's depth stays beside a wider entry (ours): it would be no recess any more."""
_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Words:
    """The changes in the drawing's terms."""

    hollow: Hollow
    word: str
    inch: bool

    def wider(self, to_mm: float, side: Side) -> str:
        """Its mouth widened: one of its walls stands farther off."""
        now = length_text(self.hollow.width_mm, self.inch)
        return (
            f"Widen the {self.word} at its mouth from {now} to {length_text(to_mm, self.inch)}, "
            f"the wall at {self._at(side)} moved."
        )

    def opened(self, to_deg: float, sides: Sequence[Side]) -> str:
        """Its walls turned."""
        own = [self.hollow.wall_deg(side) for side in SIDES if side in sides]
        now = " and ".join(dict.fromkeys(f"{mm_text(round(a, 2))}°" for a in own if a is not None))
        walls = "both walls" if len(sides) > 1 else f"the wall at {self._at(sides[0])}"
        return f"Open {walls} of the {self.word} from {now} to {mm_text(to_deg)}° (square is 0°)."

    def shallower(self, to_mm: float) -> str:
        """Its floor raised."""
        now = length_text(self.hollow.depth_mm, self.inch)
        return f"Make the {self.word} no deeper than {length_text(to_mm, self.inch)} (drawn {now})."

    def entry(self, to_mm: float, end: str) -> str:
        """The bore before it widened."""
        now = length_text(-2.0 * self.hollow.lip, self.inch)
        side = f" from the {end} end" if end else ""
        return f"Enlarge the entry{side} from ⌀{now} to ⌀{length_text(to_mm, self.inch)}."

    def split(self, at_mm: float) -> str:
        """As two parts, one behind the other."""
        return (
            f"Split the part at z {length_text(at_mm, self.inch)}, where the {self.word} then lies "
            "open, and join the halves."
        )

    def left_out(self) -> str:
        """Filled up."""
        return f"Leave the {self.word} out: nothing less helps."

    def run_out(self, across_mm: float, outward: bool) -> str:
        """Without one of its walls."""
        where, which = ("outside", "round") if outward else ("middle", "within")
        return (
            f"Let the {self.word} run out to the {where}: clear all {which} "
            f"⌀{length_text(across_mm, self.inch)}."
        )

    def split_round(self, across_mm: float) -> str:
        """As a core and a ring."""
        return (
            f"Make what lies within ⌀{length_text(across_mm, self.inch)} a part of its own, where "
            f"the {self.word} then lies open, and join the two."
        )

    def _at(self, side: Side) -> str:
        frame, lip = self.hollow.frame, self.hollow.lips[side]
        if frame.in_end:
            return f"⌀{length_text(2.0 * lip[1], self.inch)}"
        return f"z {length_text(lip[0], self.inch)}"


def ways_of_hollow(told: Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[Way]:
    """Every way that clears it, each with its smallest number; not proven yet by a whole walk.

    Where nothing else does, the hollow is left out.
    """
    hollow, found = told.hollow, False
    for some in (_opened, _wider, _with_entry, _shallower):
        for way in some(hollow, told, clears, tools):
            found = True
            yield way
    for one in (_run_out, _split):
        for way in one(hollow, told, clears):
            found = True
            yield way
    made = None if found else with_floor_filled(hollow, hollow.depth_mm)
    if made is not None and clears(made, 0.0):
        change = Change(told.left_out(), "depth_mm", hollow.depth_mm, 0.0, proven=True)
        yield Way(change, (made,), asks(hollow.profile, made))


def _opened(hollow: Hollow, told: Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[Way]:
    now = [hollow.wall_deg(side) for side in SIDES]
    flanks = {
        90.0 - t.limits["trailing_angle_deg"] for t in tools if "trailing_angle_deg" in t.limits
    }
    alone: Side = 0 if hollow.room_mm(0) >= hollow.room_mm(1) else 1
    every: tuple[tuple[Side, ...], ...] = ((0, 1), (alone,))
    found: list[Way] = []
    for sides in every:
        own = [a for side in sides if (a := now[side]) is not None]
        if len(own) < len(sides):
            continue

        def made(to: float, sides: Sequence[Side] = sides) -> Profile | None:
            turned = [a if s in sides and (a := now[s]) is not None else None for s in SIDES]
            return hollow.opened([None if a is None else max(a, to) for a in turned])

        now_deg, end = min(own), most(made, min(own), MOST_OPEN_DEG)
        to = least(made, (now_deg, end), clears, {0.0, *flanks})
        profile = None if to is None else made(to)
        if to is not None and profile is not None:
            moved = [side for side in sides if (a := now[side]) is not None and a < to]
            change = Change(told.opened(to, moved), "wall_angle_deg", now_deg, to, proven=True)
            found.append(Way(change, (profile,), asks(hollow.profile, profile)))
    yield from sorted(found, key=lambda way: way.asks_mm3)[:1]


def _wider(hollow: Hollow, told: Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[Way]:
    width = hollow.width_mm
    side: Side = 0 if hollow.room_mm(0) >= hollow.room_mm(1) else 1
    room = min(hollow.room_mm(side), (MOST_WIDER - 1.0) * width)

    def made(to: float) -> Profile | None:
        return hollow.wider(to - width, side)

    to = least(made, (width, width + room), clears, limits_of(tools, "width_mm"))
    profile = None if to is None else made(to)
    if to is not None and profile is not None:
        change = Change(told.wider(to, side), "width_mm", width, to, proven=True)
        yield Way(change, (profile,), asks(hollow.profile, profile))


def _with_entry(
    hollow: Hollow, told: Words, clears: Clears, tools: Sequence[Tool]
) -> Iterator[Way]:
    if hollow.frame.in_end or hollow.frame.sign > 0.0 or hollow.lip >= -_SAME_MM:
        return
    entry, floor = -2.0 * hollow.lip, -2.0 * hollow.floor
    most_mm = floor - LEAST_LEFT * (floor - entry)
    found: list[Way] = []
    for end in ("low", "high"):
        if not _is_entry(hollow, end):
            continue

        def made(to: float, end: str = end) -> Profile | None:
            return with_entry(hollow.profile, hollow.span(), 0.5 * to, (end,))

        to = least(made, (entry, most_mm), clears, limits_of(tools, "min_bore_mm"))
        profile = None if to is None else made(to)
        if to is not None and profile is not None:
            change = Change(told.entry(to, end), "entry_diameter_mm", entry, to, proven=True)
            found.append(Way(change, (profile,), asks(hollow.profile, profile)))
    yield from sorted(found, key=lambda way: way.asks_mm3)[:1]


def _is_entry(hollow: Hollow, end: str) -> bool:
    """Whether the bore runs out to that end: nothing stands on the axis on the way."""
    low, high = hollow.span()
    axis = [s.ends_z_mm for s in hollow.profile.segments if s.surface == "axis"]
    if end == "low":
        return not any(min(z) < low - _SAME_MM for z in axis)
    return not any(max(z) > high + _SAME_MM for z in axis)


def _shallower(hollow: Hollow, told: Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[Way]:
    depth = hollow.depth_mm

    def made(less: float) -> Profile | None:
        return with_floor_filled(hollow, depth + less)

    deep = {-t for name in ("depth_mm", "recess_depth_mm") for t in limits_of(tools, name)}
    less = least(made, (-depth, -LEAST_DEEP * depth), clears, deep)
    profile = None if less is None else made(less)
    if less is not None and profile is not None:
        change = Change(told.shallower(-less), "depth_mm", depth, -less, proven=True)
        yield Way(change, (profile,), asks(hollow.profile, profile))


def _run_out(hollow: Hollow, told: Words, clears: Clears) -> Iterator[Way]:
    """An end's hollow without its outer or inner wall: it runs out to a step."""
    if not hollow.frame.in_end:
        return
    profile, beyond = hollow.profile, 0.5 * hollow.profile.max_diameter_mm + 1.0
    floor = hollow.frame.sign * hollow.floor
    z_mm = (floor, profile.length_mm + 1.0) if hollow.frame.sign > 0.0 else (-1.0, floor)
    # to the foot of a wall that leans, to the lip of one that is undercut
    lips, feet = sorted(map(hollow.frame.across, hollow.lips)), _feet(hollow)
    low, high = max(lips[0], feet[0]), min(lips[1], feet[1])
    for r_mm, outward in (((high, beyond), True), ((-1.0, low), False)):
        made = with_box(profile, z_mm, r_mm, fill=False)
        if made is None or asks(profile, made) > MOST_RUN_OUT * profile.volume_mm3:
            continue
        if clears(made, 0.0):
            across = round(2.0 * (high if outward else low), 6)
            text = told.run_out(across, outward)
            change = Change(text, "run_out_diameter_mm", None, across, proven=True)
            yield Way(change, (made,), asks(profile, made))


def _feet(hollow: Hollow) -> tuple[float, float]:
    """Where its floor ends on both sides: of a round one, its deepest place."""
    frame = hollow.frame
    for curve in hollow.curves:
        if isinstance(curve, Arc):
            deepest = frame.out(curve.centre) - curve.radius
            if abs(deepest - hollow.floor) <= _SAME_MM:
                return frame.across(curve.centre), frame.across(curve.centre)
    return hollow.floor_span()


def _split(hollow: Hollow, told: Words, clears: Clears) -> Iterator[Way]:
    if hollow.frame.in_end:
        yield from _split_round(hollow, told, clears)
        return
    for at in dict.fromkeys(hollow.floor_span()[::-1]):
        parts = halves(hollow.profile, at)
        if parts and all(clears(one, begins) for one, begins in parts):
            change = Change(told.split(at), "split_at_mm", None, at, proven=True)
            yield Way(change, tuple(one for one, _ in parts), math.inf)
            return


def _split_round(hollow: Hollow, told: Words, clears: Clears) -> Iterator[Way]:
    """What an end's hollow runs round, made a part of its own: the ring is open inside then."""
    for radius in hollow.span():
        parts = core_and_ring(hollow.profile, radius)
        if parts and all(clears(one, begins) for one, begins in parts):
            across = 2.0 * radius
            change = Change(
                told.split_round(across), "split_diameter_mm", None, across, proven=True
            )
            yield Way(change, tuple(one for one, _ in parts), math.inf)
            return
