"""How thick a bar may be, and how far it must stand out, to cut what is left of a taper or a curve.

The one number that a bar would need is found with the other numbers of the tool that comes nearest,
which may stand out far for it is thick. Whoever takes a bar so slim must know how far it has to
reach: told one at a time, the second shows only once the first is mended. So both are tried
together, beside all other tools of the shop, on the whole part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from turnability.part.model import Profile
from turnability.reach.causes import CLEARED
from turnability.reach.choose import likely_tools
from turnability.reach.left import LeftRegion, left_regions
from turnability.reach.model import Needed
from turnability.reach.removal import removed_by
from turnability.reach.reshape import bar_of, longer_bar, thinner_bar
from turnability.shop.model import Tool

MORE_HELPS = ("flute_length_mm", "overhang_mm", "depth_mm")
"""Of these a tool needs no less, of all others no more."""
MOST_GROUPS, MOST_TOOLS = 3, 2
"""So many surfaces of one part are looked at, with so many tools: each trial costs a removal."""
LEAST_BAR_MM = 4.0
"""Of slimmer bars nothing is asked: they are hardly to be had (common practice, no source)."""
_SAME_MM = 1e-3


def needed_together(
    profile: Profile,
    tools: Sequence[Tool],
    regions: Sequence[LeftRegion],
    needs: Sequence[tuple[str | None, Needed | None]],
) -> tuple[tuple[Needed, ...], ...]:
    """For each region the overhang and thickness with which 99 % goes of all beside its segments.

    `needs` are each region's nearest tool and what that would need for it alone; tools that come
    nearest to the deepest are tried first. () where no bar is needed, or where both do not do it.
    """
    found: dict[tuple[str, ...], tuple[Needed, ...]] = {}
    tapers = {
        s.id
        for s in profile.segments
        if s.surface == "inner" and abs(s.curve.start[1] - s.curve.end[1]) > _SAME_MM
    }
    groups = 0
    for names in dict.fromkeys(region.segments for region in regions):
        own = [
            (region, *need)
            for region, need in zip(regions, needs, strict=True)
            if region.segments == names
        ]
        thin = [n.value for _, _, n in own if n is not None and n.parameter == "bar_diameter_mm"]
        if not thin or min(thin) < LEAST_BAR_MM or not tapers & set(names):
            continue
        if groups >= MOST_GROUPS:
            break
        groups += 1
        own.sort(key=lambda one: -one[0].deepest_mm)
        nearest = [t for name in dict.fromkeys(one[1] for one in own) for t in tools
                   if t.name == name and t.access == "inner"]  # fmt: skip
        z = [point[0] for region, _, _ in own for point in region.polygon]
        most = (1.0 - CLEARED) * sum(region.area_mm2 for region, _, _ in own)
        ends = sorted(math.ceil(d * 10.0) / 10.0 for d in (max(z), profile.length_mm - min(z)))
        for far, tool in ((far, tool) for far in ends for tool in nearest[:MOST_TOOLS]):
            like = slimmer(tool, min(thin), far)
            if like is not None and _stays_mm2(profile, (*tools, like), names) <= most:
                found[names] = (
                    Needed("overhang_mm", far, "mm"),
                    Needed("bar_diameter_mm", min(thin), "mm"),
                )
                break
    return tuple(found.get(region.segments, ()) for region in regions)


def slimmer(tool: Tool, diameter_mm: float, overhang_mm: float) -> Tool | None:
    """A like bar of this thickness that stands out so far; None where its outlines say neither."""
    bar = bar_of(tool.outlines)
    thin = thinner_bar(tool.outlines, diameter_mm)
    if bar is None or bar.block_z is None or thin is None:
        return None
    outlines = longer_bar(thin, overhang_mm - bar.block_z)
    return None if outlines is None else replace(tool, name=f"{tool.name} *", outlines=outlines)


def _stays_mm2(profile: Profile, tools: Sequence[Tool], names: tuple[str, ...]) -> float:
    """Area of what these tools leave beside those segments."""
    removal = removed_by(profile, tools, first=likely_tools(profile, tools))
    return sum(one.area_mm2 for one in left_regions(removal) if one.segments == names)
