"""The room's whole answer for a profile and a set of tools: the report's `reach`."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import cast

from turnability.half_plane.regions import Region
from turnability.part.model import Profile
from turnability.reach.causes import causes_of
from turnability.reach.choose import chosen_tools, likely_tools
from turnability.reach.ground import ground_of
from turnability.reach.left import left_regions, touched_segments
from turnability.reach.model import Left, Reach, ToolReach
from turnability.reach.removal import Removal, removed_by
from turnability.reach.slides import cnc_only_segments
from turnability.reach.together import needed_together
from turnability.shop.model import Tool


def reach_of(profile: Profile, tools: Sequence[Tool], numbers: bool = True) -> Reach:
    """What the tools do with the part held by nothing, from either end; never raises.

    Without `numbers` what is left has its causes, but `needed` is None: those take many trials.
    """
    removal = removed_by(profile, tools, first=likely_tools(profile, tools))
    removal.ground.memory[_gone_key(tools)] = (tools, removal.standing.gone)
    touched = dict(enumerate(touched_segments(removal.works, removal.ground)))
    left = _left(removal, profile, tools, numbers)
    return Reach(
        tools=tuple(
            ToolReach(work.tool.name, work.toward, touched[place])
            for place, work in enumerate(removal.works)
        ),
        left=left,
        chosen_tools=chosen_tools(removal, touched),
        cnc_only_segments=cnc_only_segments(profile, tools),
    )


def gone_by(profile: Profile, tools: Sequence[Tool], chosen: Collection[str]) -> Region:
    """What those tools remove, remembered from `reach_of` or worked out by the chosen ones alone.

    `chosen`: names of those that together leave no more than all do.
    """
    _, gone = ground_of(profile).memory.get(_gone_key(tools), (tools, None))
    if gone is None:
        gone = removed_by(profile, [t for t in tools if t.name in chosen]).standing.gone
    return cast(Region, gone)


def _gone_key(tools: Sequence[Tool]) -> tuple[str, int]:
    # those tools are remembered with it: nobody else has their place then
    return "gone", id(tools)


def _left(
    removal: Removal, profile: Profile, tools: Sequence[Tool], numbers: bool
) -> tuple[Left, ...]:
    regions = left_regions(removal)
    whys = causes_of(removal, regions, numbers)
    together = needed_together(
        profile, tools, regions, [(why.nearest_tool, why.needed) for why in whys]
    )
    return tuple(
        Left(
            id=f"L{number}",
            segments=one.segments,
            area_mm2=one.area_mm2,
            volume_mm3=one.volume_mm3,
            polygon=one.polygon,
            deepest_mm=one.deepest_mm,
            causes=why.causes,
            nearest_tool=why.nearest_tool,
            needed=why.needed,
            needed_together=both,
            nearest_causes=why.nearest_causes,
        )
        for number, (one, why, both) in enumerate(zip(regions, whys, together, strict=True), 1)
    )
