"""How deep each operation roughs and finishes, with which feed: for the sheet and for bending."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from turnability.intent.model import Intent
from turnability.part.model import Profile, Segment
from turnability.setups.cutting.depths import LEAST_MM, lightened, passes, stands_mm
from turnability.setups.cutting.forces import Cut
from turnability.setups.cutting.standing import largest_mm
from turnability.setups.cutting.starting import (
    FINISH_DEPTH,
    LAST_TIMES,
    finish_cut,
    last_cut,
    one_pass_cut,
    rough_cut,
)
from turnability.setups.holding.grips import holding_of
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.setups.surfaces.edges import is_broken_edge
from turnability.setups.surfaces.limits import stated_ra_um
from turnability.shop.books import drilled_for_mm
from turnability.shop.material import COMMON_POLICY
from turnability.shop.materials import Material
from turnability.shop.model import Machine, Shop, Tool
from turnability.shop.told_apart import CHIPS_OF_FLUTE, diameter_of, is_flat, is_pointed, is_twist
from turnability.stock.model import Stock, raw_circle_mm

_SAME_MM = 1e-3
_LIGHTENED = ("turn", "bore")


@dataclass(frozen=True, slots=True)
class Passes:
    """What one operation takes in a pass; `rough` is None where nothing is roughed by it.

    `tool` makes them, `hole_mm` is the hole that it finds. Of one that only roughs both are the
    same; drills and blades have passes of their own kind and use neither.
    """

    tool: Tool | None
    rough: Cut | None
    finish: Cut
    hole_mm: float
    roughed: bool = False
    """Whether one that only roughs has been along before it."""
    led: bool = False
    """Whether a drill at least as wide has been there: its point's floor leads this one."""
    times: int = 1
    """How often the finish is taken, each time as deep."""


def passes_of(
    profile: Profile,
    setup: Setup,
    stock: Stock | None,
    shop: Shop,
    material: Material,
    lathe: Machine | None,
    intent: Intent | None = None,
    before: Sequence[Setup] = (),
) -> tuple[Passes, ...]:
    """The passes of a setup's operations, in their order; `before` are the setups before."""
    by_id = {segment.id: segment for segment in profile.segments}
    tools = {tool.name: tool for tool in (*shop.tools, *shop.thread_tools)}
    holding = holding_of(setup, shop)
    size = raw_circle_mm(stock, profile.max_diameter_mm)
    allowance = (shop.stock_policy or COMMON_POLICY).end_allowance_mm
    roughed = {o.tool for o in setup.operations if o.kind == ROUGH}
    earlier = [(o, tools.get(o.tool)) for one in before for o in one.operations]
    through = [t for o, t in earlier if t is not None and _goes_through(o, t, profile)]
    made = []
    for n, o in enumerate(setup.operations):
        tool = tools.get(o.tool)
        own = [by_id[s] for s in o.segments or o.leaves if s in by_id]
        done = [tools.get(d.tool) for d in setup.operations[:n]]
        hole = _hole_mm([*through, *done], tool, stock)
        led = _is_led([*through, *done], tool)
        over = own
        if o.kind == ROUGH and not o.leaves:
            over = [by_id[s] for t in setup.operations if t.kind == "turn" for s in t.segments]
        # an edge broken at the other end has beside it what was turned before
        broken = bool(before and own) and all(is_broken_edge(s) for s in own)
        stands = stands_mm(over, o.kind, largest_mm(own) if broken else size, hole, allowance)
        rough = lightened(rough_cut(material, tool, lathe), setup, holding)
        if o.kind == "ream" and any(d.only_roughs and _meet(o, d) for d in setup.operations[:n]):
            hole = drilled_for_mm(diameter_of(tool)) if tool is not None else hole
        if o.only_roughs:
            rest = FINISH_DEPTH.value
            if own and any(t.kind == "ream" and _meet(t, o) for t in setup.operations[n:]):
                rest = (largest_mm(own) - drilled_for_mm(largest_mm(own))) / 2.0
            deep = min(rough.depth_mm, max(LEAST_MM, stands - rest))
            whole = replace(rough, depth_mm=deep)
            made.append(Passes(tool, whole, whole, hole))
            continue
        ra = stated_ra_um([s.id for s in own], intent)
        finish = finish_cut(material, tool, _thinnest_mm(own) or largest_mm(own) or size, ra)
        if o.one_pass:
            made.append(Passes(tool, None, one_pass_cut(finish, stands), hole))
            continue
        usual = finish
        times = LAST_TIMES if setup.light and o.kind in _LIGHTENED else 1
        if times > 1:
            finish = last_cut(usual)
            stands -= (times - 1) * finish.depth_mm
        first, last = passes(rough, finish, stands)
        left = {s for d in setup.operations[:n] for s in d.leaves}
        after = left.issuperset(o.segments) or (bool(roughed) and _is_roughed(o, tool, roughed))
        if after:
            # all but the light passes of what the roughing left is taken as usual
            to_take = FINISH_DEPTH.value - (times - 1) * last.depth_mm
            first = passes(usual, last, to_take)[0] if times > 1 else None
        made.append(Passes(tool, first, last, hole, after, led, times))
    return tuple(made)


def _meet(finishes: Operation, roughs: Operation) -> bool:
    return not set(finishes.segments).isdisjoint(roughs.leaves)


def _is_roughed(operation: Operation, tool: Tool | None, roughed: set[str]) -> bool:
    """Whether one that only roughs has been along before it."""
    return not operation.roughs and (
        operation.over_thin_wall
        or is_pointed(tool)
        or (operation.after_bore and operation.tool in roughed)
    )


def _thinnest_mm(own: Sequence[Segment]) -> float:
    """The least outside diameter that is turned along; 0 of none."""
    across = [
        2.0 * s.curve.start[1]
        for s in own
        if s.surface == "outer" and abs(s.curve.start[1] - s.curve.end[1]) <= _SAME_MM
    ]
    return min(across, default=0.0)


def _goes_through(operation: Operation, tool: Tool, profile: Profile) -> bool:
    """Whether a drill comes out at the other end, so that the next chucking finds its hole."""
    if not is_twist(tool) or diameter_of(tool) > (profile.through_bore_mm or 0.0) + _SAME_MM:
        return False
    if operation.ends_at is not None:
        return not 0.0 <= operation.ends_at[0] <= profile.length_mm
    flute = tool.limits.get("flute_length_mm", 0.0)
    return flute - CHIPS_OF_FLUTE * diameter_of(tool) >= profile.length_mm


def _is_led(done: Sequence[Tool | None], tool: Tool | None) -> bool:
    """Whether a drill comes to the axis open, or to the cone that a wider one's point left.

    Not where a slot drill has squared that floor.
    """
    if tool is None or not is_twist(tool):
        return False
    wide = [t for t in done if t is not None and t.on_axis and diameter_of(t) >= diameter_of(tool)]
    return any(is_twist(t) for t in wide) and not any(is_flat(t) for t in wide)


def _hole_mm(done: Sequence[Tool | None], tool: Tool | None, stock: Stock | None) -> float:
    """The widest hole that drills, or a tube, leave to this tool; 0 where none."""
    piece = None if stock is None else stock.choice
    holes = [(piece.inner_diameter_mm if piece is not None else None) or 0.0]
    holes += [diameter_of(t) for t in done if t is not None and t.on_axis]
    own = math.inf if tool is None or not tool.on_axis else diameter_of(tool)
    return max((hole for hole in holes if hole < own), default=0.0)
