"""Surfaces of which no tool gets at all as the work is held, so that two meet on them in a line."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from turnability.setups.model import Setup

_CUTS = ("turn", "bore", "groove")


def tools_meeting(
    setups: Sequence[Setup], segments: Collection[str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Of these surfaces those that several tools finish, and the tools, in the order of their work.

    The same tool in another chucking meets itself in a line as well; both empty where none do.
    """
    works = [
        (setup.order, o.tool, set(o.segments) & set(segments))
        for setup in setups
        for o in setup.operations
        if o.kind in _CUTS
    ]
    shared = tuple(
        s
        for s in dict.fromkeys(segments)
        if len({(order, tool) for order, tool, on in works if s in on}) > 1
    )
    tools = dict.fromkeys(tool for _, tool, on in works if on & set(shared))
    return shared, tuple(tools)
