"""The fewest and sturdiest tools that do what all of them do, in order of use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from turnability.half_plane.regions import Region
from turnability.reach.removal import Asked, Removal, fixed_point
from turnability.reach.stock import at_first, is_room
from turnability.shop.model import Tool


def chosen_tools(
    removal: Removal,
    touched: Mapping[int, Sequence[str]],
    gone_before: Region | None = None,
) -> tuple[str, ...]:
    """Names of the tools of least weight that together leave no more than all do.

    `touched`: for each place in `removal.works` the segments that it touches. An exact set cover
    says which tools touch every segment that any touches; then what these remove is worked out as
    for all, and tools that open the way (drills, bars) are added until nothing more is left.
    """
    tools = _distinct([work.tool for work in removal.works])
    reach: dict[str, set[str]] = {tool.name: set() for tool in tools}
    for place, segments in touched.items():
        reach[removal.works[place].tool.name].update(segments)
    names = _cover(tools, reach)
    while True:
        asked = [work.asked for work in removal.works if work.tool.name in names]
        missing = _missing(removal, asked, gone_before)
        if missing is None:
            break
        spare = [work for work in removal.works if work.tool.name not in names]
        if not spare:
            break
        best = max(
            spare, key=lambda work: ((work.swept & missing).area / work.tool.weight, work.gained)
        )
        names.add(best.tool.name)
    return tuple(tool.name for tool in sorted(tools, key=order_of_use) if tool.name in names)


def order_of_use(tool: Tool) -> tuple[int, float, str]:
    """Outside turning, drilling, boring, grooving, threading, parting; sturdy tools first."""
    kind = tool.kind
    if "part" in kind:
        rank = 6
    elif "thread" in kind or kind in {"tap", "die"}:
        rank = 5
    elif "groov" in kind or "blade" in kind:
        rank = 4
    elif tool.on_axis:
        rank = 1 if "centre" in kind else 2
    else:
        rank = {"outer": 0, "inner": 3, "end": 4}[tool.access]
    return (rank, tool.weight, tool.name)


def _missing(removal: Removal, asked: Sequence[Asked], gone_before: Region | None) -> Region | None:
    """What fewer tools leave beyond what all leave; None where that is nothing."""
    standing, _ = fixed_point(asked, at_first(removal.ground, gone_before))
    more = standing.kept - removal.stock
    return more if is_room(more) else None


def _cover(tools: Sequence[Tool], reach: Mapping[str, set[str]]) -> set[str]:
    """An exact least-weight cover of all reached segments (integer programme)."""
    segments = sorted(set().union(*reach.values()))
    columns = [tool for tool in tools if reach[tool.name]]
    if not segments:
        return set()
    if len(columns) == 1:
        return {columns[0].name}
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    matrix = np.array([[float(s in reach[tool.name]) for tool in columns] for s in segments])
    found = milp(
        # a hair more for each tool, so that equal weights prefer fewer
        c=np.array([max(tool.weight, 0.0) + 1e-3 for tool in columns]),
        constraints=LinearConstraint(matrix, lb=1.0),
        integrality=np.ones(len(columns), dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
    )
    if found.x is None:
        return {tool.name for tool in columns}
    return {tool.name for tool, x in zip(columns, found.x, strict=True) if x > 0.5}


def _distinct(tools: Sequence[Tool]) -> list[Tool]:
    seen: dict[str, Tool] = {}
    for tool in tools:
        seen.setdefault(tool.name, tool)
    return list(seen.values())
