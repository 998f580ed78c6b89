"""The number at which a left region would go: found by trying like tools, most sturdy first."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from turnability.half_plane.curves import Arc, Curve
from turnability.part.model import Profile
from turnability.reach.left import LeftRegion
from turnability.reach.model import Needed
from turnability.reach.relax import Relaxed
from turnability.reach.reshape import (
    bar_of,
    blunted,
    deeper_blade,
    largest_nose,
    longer_bar,
    longer_drill,
    narrowed,
    standing_off_bar,
    thinner_bar,
)
from turnability.shop.model import Outlines, Tool

TRIALS = 9
"""How many like tools are tried: the number is then found to 1/500 of its range."""
LEAST_MM = 0.02
"""Regions less deep than this are not worth the trials."""
_SHARP_RAD = math.radians(5.0)
_NARROWEST = 0.01


@dataclass(frozen=True, slots=True)
class _Family:
    """Like tools by one number: `fails` is the tool's own, `clears` as good as no constraint."""

    parameter: str
    fails: float
    clears: float
    outlines: Callable[[float], Outlines | None]


def needed_of(
    tool: Tool,
    relaxed: Relaxed,
    left: LeftRegion,
    profile: Profile,
    clears: Callable[[Outlines], bool] | None,
) -> Needed | None:
    """The largest nose, width or bar, or the least depth or overhang, with which the region goes.

    `clears` tries outlines in the tool's place, if that is worth it. None where several constraints
    stop it, where no number stands behind the one that does, or where the region is thin.
    """
    if len(relaxed.causes) != 1:
        return None
    if relaxed.causes == ("face-groove-curve",):
        # of a first groove there, as such blades' ranges are engraved
        return Needed("first_cut_mm", _rounded(2.0 * left.region.bounds[3], False), "mm")
    if relaxed.causes == ("nose-radius",):
        nose = _hollow(left, profile)
        own = largest_nose(tool.outlines.cutting)
        if nose == 0.0:
            return Needed("nose_radius_mm", 0.0, "mm")
        if clears is None:
            return None
        smaller = blunted(tool.outlines, nose) if nose is not None else None
        if nose is not None and smaller is not None and clears(smaller):
            return Needed("nose_radius_mm", round(nose, 6), "mm")
        family: _Family | None = _Family(
            "nose_radius_mm", own, 0.0, lambda value: blunted(tool.outlines, value)
        )
    else:
        family = _family(tool, relaxed, left, profile)
    if family is None or clears is None or left.deepest_mm < LEAST_MM:
        return None
    fails, works = family.fails, family.clears
    for trial in range(TRIALS + 1):
        # the first trial is the far end: without it the number would be a guess
        value = works if trial == 0 else (fails + works) / 2.0
        outlines = family.outlines(value)
        if outlines is not None and clears(outlines):
            works = value
        elif trial == 0:
            return None
        else:
            fails = value
    return Needed(family.parameter, _rounded(works, family.fails > family.clears), "mm")


def _family(tool: Tool, relaxed: Relaxed, left: LeftRegion, profile: Profile) -> _Family | None:
    own, cause = tool.outlines, relaxed.causes[0]
    deep = left.region.bounds[3] - left.region.bounds[1]
    size = profile.length_mm + deep
    value = relaxed.value
    if cause == "blade-width" and value:
        return _Family(
            "width_mm",
            value,
            max(_NARROWEST * value, 2.0 * largest_nose(own.cutting) + 1e-3),
            lambda w: narrowed(own, tool.access, w),
        )
    if cause == "blade-depth" and value is not None:
        return _Family(
            "depth_mm",
            value,
            value + deep + 1.0,
            lambda d: deeper_blade(own, tool.access, d - value),
        )
    if cause == "drill-length" and value is not None:
        return _Family(
            "flute_length_mm", value, value + size, lambda a: longer_drill(own, a - value)
        )
    bar = bar_of(own) if tool.access == "inner" else None
    if bar is None:
        return None
    width = bar.high - bar.low
    if cause in {"entry-bore", "opposite-wall"}:
        return _Family("bar_diameter_mm", width, _NARROWEST * width, lambda d: thinner_bar(own, d))
    if cause == "recess-depth":
        return _Family("recess_depth_mm", -bar.high, -bar.low, lambda d: standing_off_bar(own, d))
    if cause == "bar-length" and bar.block_z is not None:
        start = bar.block_z
        return _Family("overhang_mm", start, start + size, lambda a: longer_bar(own, a - start))
    return None


def _rounded(value: float, largest: bool) -> float:
    """To 0.01 mm, on the side that still works."""
    return (math.floor if largest else math.ceil)(round(value * 100.0, 6)) / 100.0


def _hollow(left: LeftRegion, profile: Profile) -> float | None:
    """The smallest hollow fillet that it borders, 0 for a sharp corner; None for neither."""
    found: list[float] = []
    for loop in profile.loops:
        for one, after in zip(loop.segments, (*loop.segments[1:], loop.segments[0]), strict=True):
            if one.id not in left.segments:
                continue
            if isinstance(one.curve, Arc) and one.curve.clockwise:
                found.append(one.curve.radius)
            if after.id in left.segments and _turn(one.curve, after.curve) < -_SHARP_RAD:
                found.append(0.0)
    return min(found, default=None)


def _turn(one: Curve, after: Curve) -> float:
    """The turn between two curves that join, rad, negative for a hollow corner."""
    (z0, r0), (z1, r1) = one.at(0.999), one.end
    (z2, r2), (z3, r3) = after.start, after.at(0.001)
    a, b = (z1 - z0, r1 - r0), (z3 - z2, r3 - r2)
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
