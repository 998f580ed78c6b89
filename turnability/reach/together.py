"""What one tool would need for all that is left beside the same surfaces: a number, or two at once.

A bar that is too short for one step of a taper may be too thick for the next: told one at a time,
the second shows only once the first is mended, and what stops it from one step may be the other.
So where two constraints with a number each stop tools beside the same segments, a like tool with
either number, or with both, is put to the whole part beside all others of the shop.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

from turnability.part.model import Profile
from turnability.reach.choose import likely_tools
from turnability.reach.left import LeftRegion, left_regions
from turnability.reach.model import Needed
from turnability.reach.removal import removed_by
from turnability.reach.reshape import (
    bar_of,
    deeper_blade,
    longer_bar,
    narrowed,
    standing_off_bar,
    thinner_bar,
)
from turnability.shop.model import Outlines, Tool

MORE_HELPS = ("flute_length_mm", "overhang_mm", "depth_mm")
"""Of these a tool needs no less, of all others no more."""
MOST_GROUPS, MOST_TOOLS = 3, 2
"""So many surfaces of one part are looked at, with so many tools: each trial costs a removal."""


def needed_together(
    profile: Profile,
    tools: Sequence[Tool],
    regions: Sequence[LeftRegion],
    needs: Sequence[tuple[str | None, Needed | None]],
) -> tuple[tuple[Needed, ...], ...]:
    """For each region the fewest numbers with which nothing stays beside its segments, in order.

    `needs` are each region's nearest tool and what that would need for it alone; tools that come
    nearest to the deepest are tried first. () where one
    number is needed throughout, where none is known, or where not even both do it.
    """
    found: dict[tuple[str, ...], tuple[Needed, ...]] = {}
    groups = 0
    for names in dict.fromkeys(region.segments for region in regions):
        own = [
            (region, *need)
            for region, need in zip(regions, needs, strict=True)
            if region.segments == names
        ]
        own.sort(key=lambda one: -one[0].deepest_mm)
        told = [need for _, _, need in own if need is not None]
        if len({need.parameter for need in told}) != 2 or groups >= MOST_GROUPS:
            continue
        groups += 1
        nearest = [t for name in dict.fromkeys(one[1] for one in own) for t in tools
                   if t.name == name]  # fmt: skip
        z = [point[0] for region, _, _ in own for point in region.polygon]
        far = math.ceil(min(max(z), profile.length_mm - min(z)) * 10.0) / 10.0
        found[names] = _fewest(profile, tools, nearest[:MOST_TOOLS], names, told, far)
    return tuple(found.get(region.segments, ()) for region in regions)


def with_numbers(tool: Tool, needs: Sequence[Needed]) -> Tool | None:
    """A like tool with these numbers where its own are worse, named otherwise; None if none is."""
    outlines = tool.outlines
    for need in needs:
        outlines = _reshaped(tool, outlines, need) or outlines
    if outlines == tool.outlines:
        return None
    return replace(tool, name=f"{tool.name} *", outlines=outlines)


def _fewest(
    profile: Profile,
    tools: Sequence[Tool],
    nearest: Sequence[Tool],
    names: tuple[str, ...],
    needs: Sequence[Needed],
    far_mm: float,
) -> tuple[Needed, ...]:
    for numbers, tool in product(_tries(needs, far_mm), nearest):
        like = with_numbers(tool, numbers)
        if like is None:
            continue
        listed = (*tools, like)
        removal = removed_by(profile, listed, first=likely_tools(profile, listed))
        if all(region.segments != names for region in left_regions(removal)):
            return numbers
    return ()


def _tries(needs: Sequence[Needed], far_mm: float) -> Iterator[tuple[Needed, ...]]:
    """Either number as the worst of the regions asks for it, then both, then a bar of full length.

    What one region asks for was found with the nearest tool's other numbers, another region's
    nearest tool may have worse ones.
    """
    worst = []
    for parameter in dict.fromkeys(need.parameter for need in needs):
        most = max if parameter in MORE_HELPS else min
        worst.append(
            most((n for n in needs if n.parameter == parameter), key=lambda need: need.value)
        )
    yield from ((one,) for one in worst)
    worst.sort(key=lambda need: need.parameter not in MORE_HELPS)
    yield tuple(worst)
    if worst[0].parameter == "overhang_mm" and worst[0].value < far_mm:
        yield replace(worst[0], value=far_mm), worst[1]


def _reshaped(tool: Tool, own: Outlines, need: Needed) -> Outlines | None:
    """Outlines with one number as needed; None where they have none, or a better one."""
    value = need.value
    if need.parameter == "width_mm":
        return narrowed(own, tool.access, value)
    if need.parameter == "depth_mm":
        has = tool.limits.get("depth_mm", value)
        return None if has >= value else deeper_blade(own, tool.access, value - has)
    bar = bar_of(own) if tool.access == "inner" else None
    if bar is None:
        return None
    if need.parameter == "bar_diameter_mm" and value < bar.high - bar.low:
        return thinner_bar(own, value)
    if need.parameter == "recess_depth_mm":
        return standing_off_bar(own, value)
    if need.parameter == "overhang_mm" and bar.block_z is not None and value > bar.block_z:
        return longer_bar(own, value - bar.block_z)
    return None
