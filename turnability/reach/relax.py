"""The same tool with one constraint taken away.

Tools made from designations bring their own relaxations; for bare outlines, which know nothing of
themselves, these are read off the outlines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from turnability.half_plane.curves import Arc, Point, Ring
from turnability.half_plane.flatten import outline_points
from turnability.reach.reshape import (
    bar_of,
    blunted,
    circle_of,
    common_body,
    disc,
    largest_nose,
    longer_bar,
    mapped,
    narrowed,
    squeezed,
    standing_off_bar,
    thinner_bar,
)
from turnability.shop.model import Cause, Outlines, Tool

_THIN = 0.01
"""Share of a width that is as good as none."""
_ENDLESS_MM = 1e4


@dataclass(frozen=True, slots=True)
class Relaxed:
    """Outlines without one constraint, or without several together.

    `parameter` is the number behind it with its present `value`.
    """

    causes: tuple[Cause, ...]
    outlines: Outlines
    parameter: str | None = None
    value: float | None = None
    unit: str | None = None


class _Itself:
    """A tool as a key: comparing by value would take longer than relaxing."""

    __slots__ = ("tool",)

    def __init__(self, tool: Tool) -> None:
        self.tool = tool

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Itself) and self.tool is other.tool

    def __hash__(self) -> int:
        return id(self.tool)


def relaxed_of(tool: Tool, one_end_only: bool = False) -> tuple[Relaxed, ...]:
    """All constraints that can be taken from a tool, one at a time; the shop's word goes first.

    `one_end_only`: the part is held at one end, so the other hand is a constraint too. A bar has
    no holder behind it but itself: what its body forbids is the entry, the opposite wall, the
    recess's depth or its length.
    """
    return _relaxed(_Itself(tool), one_end_only)


@lru_cache(maxsize=1024)
def _relaxed(key: _Itself, one_end_only: bool) -> tuple[Relaxed, ...]:
    tool = key.tool
    stated = [
        Relaxed((r.cause,), r.outlines, r.parameter, r.value, r.unit)
        for r in tool.relaxations
        if one_end_only or r.cause != "hand"
    ]
    known = {r.cause for r in tool.relaxations}
    if known:
        derived = [
            Relaxed(("opposite-wall",), one.outlines)
            for one in stated
            if one.causes == ("entry-bore",) and "opposite-wall" not in known
        ]
    else:
        derived = [*_of_body(tool), *_nose(tool), *_of_cutting(tool)]
    if one_end_only and tool.access == "outer" and "hand" not in known:
        derived.append(Relaxed(("hand",), _mirrored(tool.outlines)))
    found = (*stated, *derived)
    telling = tuple(one for one in found if one.causes != ("holder",))
    return telling if tool.access == "inner" and telling else found


def several_of(tool: Tool, singles: Sequence[Relaxed], count: int) -> list[Relaxed]:
    """`count` constraints taken away together, where they can be told from the outlines."""
    found = []
    for chosen in combinations(singles, count):
        made: Relaxed | None = chosen[0]
        for other in chosen[1:]:
            made = together(tool, made, other) if made is not None else None
        if made is not None:
            found.append(made)
    return found


def together(tool: Tool, one: Relaxed, other: Relaxed) -> Relaxed | None:
    """Both constraints taken away; None where the outlines don't say what that would be."""
    causes = tuple(dict.fromkeys((*one.causes, *other.causes)))
    if {"entry-bore", "opposite-wall"} <= set(causes) or {"holder", "blade-depth"} <= set(causes):
        return None
    if other.causes == ("nose-radius",) or (
        other.causes == ("blade-width",) and one.causes != ("nose-radius",)
    ):
        one, other = other, one
    outlines: Outlines | None
    if one.causes == ("nose-radius",):
        outlines = blunted(other.outlines, 0.0)
    elif one.causes == ("blade-width",):
        outlines = narrowed(other.outlines, tool.access, 0.0)
    else:
        outlines = _both(tool.outlines, one.outlines, other.outlines)
    return None if outlines is None else Relaxed(causes, outlines)


def _both(own: Outlines, one: Outlines, other: Outlines) -> Outlines | None:
    if one.cutting == own.cutting:
        one, other = other, one
    if other.cutting not in (own.cutting, one.cutting):
        return None
    body = one.body if other.body == own.body else other.body
    if own.body not in (one.body, other.body):
        body = common_body(one, other)
    below = own.below if own.below in (one.below, other.below) else ()
    if () in (one.below, other.below):
        below = ()
    return Outlines(one.cutting, body, below)


def _of_body(tool: Tool) -> list[Relaxed]:
    own = tool.outlines
    if not own.body:
        return []
    bare = Outlines(own.cutting, ())
    if tool.on_axis:
        return [Relaxed(("drill-length",), bare)]
    if tool.access != "inner":
        made = [Relaxed(("holder",), bare)]
        if tool.access == "outer" and _is_blade(own):
            made.append(Relaxed(("blade-depth",), bare, "depth_mm", _depth(own), "mm"))
        return made
    bar = bar_of(own)
    if bar is None:
        return []
    width = bar.high - bar.low
    made = []
    thin = thinner_bar(own, width * _THIN)
    if thin is not None:
        made.append(Relaxed(("entry-bore",), thin, "bar_diameter_mm", width, "mm"))
        made.append(Relaxed(("opposite-wall",), thin, "bar_diameter_mm", width, "mm"))
    off = standing_off_bar(own, _ENDLESS_MM)
    if off is not None:
        made.append(Relaxed(("recess-depth",), off, "recess_depth_mm", -bar.high, "mm"))
    longer = longer_bar(own, _ENDLESS_MM)
    if longer is not None:
        made.append(Relaxed(("bar-length",), longer, "overhang_mm", bar.block_z, "mm"))
    return made


def _depth(own: Outlines) -> float:
    """How deep an outside blade sinks: from its edge to the lowest of its body that is wider."""
    points = np.concatenate([outline_points(ring) for ring in own.cutting])
    low, high = float(points[:, 0].min()), float(points[:, 0].max())
    body = np.concatenate([outline_points(ring) for ring in own.body])
    wider = (body[:, 0] < low - 1e-6) | (body[:, 0] > high + 1e-6)
    rows = body[wider] if wider.any() else body
    return float(rows[:, 1].min() - points[:, 1].min())


def _nose(tool: Tool) -> list[Relaxed]:
    """Convex arcs of the cutting outline drawn out to their corners; round cutters made small."""
    outlines = None if tool.on_axis else blunted(tool.outlines, 0.0)
    if outlines is None:
        return []
    largest = largest_nose(tool.outlines.cutting)
    return [Relaxed(("nose-radius",), outlines, "nose_radius_mm", largest, "mm")]


def _of_cutting(tool: Tool) -> list[Relaxed]:
    """The cutting outline as thin as a sheet about its point: no width, no trailing flank."""
    own = tool.outlines
    if tool.on_axis or tool.access == "inner":
        return []
    if any(circle_of(ring) is not None for ring in own.cutting):
        return []
    thin = squeezed(own, tool.access, _THIN)
    # the nose stays: it is another constraint
    noses = [c for ring in own.cutting for c in ring if isinstance(c, Arc) and not c.clockwise]
    if noses:
        nose = min(noses, key=lambda arc: math.hypot(*arc.at(0.5)))
        outlines = Outlines((*thin, disc(nose.centre, nose.radius)), own.body)
        return [Relaxed(("trailing-edge",), outlines)]
    if tool.access == "outer" and not _is_blade(own):
        return [Relaxed(("trailing-edge",), Outlines(thin, own.body))]
    column = 0 if tool.access == "outer" else 1
    points = np.concatenate([outline_points(ring) for ring in own.cutting])
    width = float(np.ptp(points[:, column]))
    slim = narrowed(own, tool.access, _THIN * width)
    return [] if slim is None else [Relaxed(("blade-width",), slim, "width_mm", width, "mm")]


def _is_blade(own: Outlines) -> bool:
    """Are the sides of the cutting outline straight up, but for reliefs of a few degrees?"""
    for ring in own.cutting:
        points = outline_points(ring)
        step = np.roll(points, -1, axis=0) - points
        tall = np.abs(step[:, 1]) > 0.25 * float(np.ptp(points[:, 1]))
        if (np.abs(step[tall, 0]) > 0.1 * np.abs(step[tall, 1])).any():
            return False
    return bool(own.cutting)


def _mirrored(own: Outlines) -> Outlines:
    def flip(p: Point) -> Point:
        return (-p[0], p[1])

    def all_of(rings: tuple[Ring, ...]) -> tuple[Ring, ...]:
        return tuple(mapped(ring, flip) for ring in rings)

    return Outlines(all_of(own.cutting), all_of(own.body))
