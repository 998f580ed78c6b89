"""All tools from all ends made ready on a ground; those that are one and the same asked as one."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import cast

from turnability.reach.asked import Asked, asked_on
from turnability.reach.ground import Ground
from turnability.reach.model import Toward
from turnability.reach.on_axis import stops_of
from turnability.reach.outline import movers_of
from turnability.shop.model import Tool


def all_asked(
    ground: Ground, tools: Sequence[Tool], toward: Sequence[Toward]
) -> list[tuple[Tool, Toward, Asked]]:
    """Every tool from every end; those that are the same tool are asked as one."""
    movers = movers_of(tools, toward, ground)
    key = ("all asked", id(movers))
    if ground.added is None and key in ground.memory:
        return cast(list[tuple[Tool, Toward, Asked]], ground.memory[key][1])
    mine: dict[Hashable, Asked] = {}
    for tool, _, mover in movers:
        if mover.key not in mine:
            mine[mover.key] = asked_on(tool, mover, ground)
    _let_down(list(mine.values()))
    found = [(tool, end, mine[mover.key]) for tool, end, mover in movers]
    if ground.added is None:
        # the movers are kept, for the id of others could be the same after them
        ground.memory[key] = (movers, found)
    return found


def _let_down(asked: Sequence[Asked]) -> None:
    """Let all tools on the axis find at once where they touch: one by one takes much longer."""
    for from_high in (True, False):
        mine = [a for a in asked if a.mover.on_axis and a.mover.from_high is from_high]
        if mine:
            group = stops_of(tuple(a.mover for a in mine), mine[0].ground)
            for place, one in enumerate(mine):
                one.on_axis = (group, place)
