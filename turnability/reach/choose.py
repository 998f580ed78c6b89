"""The fewest and sturdiest tools that do what all of them do, in order of use."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence, Set
from functools import lru_cache

from turnability.half_plane.regions import Region
from turnability.part.model import Profile
from turnability.reach.all_asked import all_asked
from turnability.reach.cover import least_cover
from turnability.reach.ground import Ground, ground_of
from turnability.reach.left import touched_by
from turnability.reach.model import ENDS
from turnability.reach.removal import Removal, Work, fixed_point
from turnability.reach.stock import at_first, is_room
from turnability.shop.model import Access, Tool

_LEAST_TO_BORE_MM = 0.4
"""What a drill leaves on a diameter for a bar at least (common practice, no source)."""
_SAME_MM = 1e-3
_ROUNDED = 1e-5
"""Areas agree to that share."""


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
    tools = {work.tool.name: work.tool for work in removal.works}
    offered = offers([work.tool for work in removal.works], touched)
    names = least_cover(offered, {name: tool.weight for name, tool in tools.items()})
    names |= _drill_first(removal, names)
    if _hold_all_that_gained(removal, names):
        return _in_order(tools, names)
    standing, rounds = at_first(removal.ground, gone_before), 0
    early, rested = removal.early, set[int]()
    known = early is not None and early.tools == names and gone_before is None
    if early is not None and early.tools <= names and gone_before is None:
        # what some of them did before all others they do without them, too
        standing, rounds = early.standing, early.rounds
        rested = {id(work.asked) for work in removal.works if work.tool.name in early.tools}
    while True:
        spare = [work for work in removal.works if work.tool.name not in names]
        # more tools only ever remove more, so the rest goes on from here; a set that needs far more
        # rounds than all tools together is no way to work, whatever it could do in the end
        most = removal.rounds + 20 if spare else 10 * removal.rounds + 100
        if not known:
            asked = list(
                {id(w.asked): w.asked for w in removal.works if w.tool.name in names}.values()
            )
            standing, _, rounds = fixed_point(asked, standing, most, rested=rested)
            rested = {id(one) for one in asked} if rounds < most else set()
        known = False
        missing = standing.kept - removal.stock
        if not spare or (rounds < most and not is_room(missing)):
            break
        best = _takes_most(spare, missing)
        names.add(best.tool.name)
        if _hold_all_that_gained(removal, names):
            break
    return _in_order(tools, names)


def _takes_most(works: Sequence[Work], missing: Region) -> Work:
    """Who takes most of that over its weight; of those alike who was the first to remove more.

    Of those alike in that too the first of the shop, so that no rounding of areas decides.
    """
    area, most = missing.area * (1.0 + _ROUNDED), 0.0
    shares: list[tuple[int, float]] = []
    for place, work in sorted(enumerate(works), key=lambda one: one[1].tool.weight):
        if area / work.tool.weight < most:
            break  # those after it weigh more still, if they took all of it
        share = work.swept.shared(missing) / work.tool.weight if _meets(work, missing) else 0.0
        shares.append((place, share))
        most = max(most, share)
    alike = sorted(place for place, share in shares if share >= most * (1.0 - _ROUNDED))
    gained = max(works[place].gained for place in alike) * (1.0 - _ROUNDED)
    return next(works[place] for place in alike if works[place].gained >= gained)


def _hold_all_that_gained(removal: Removal, names: Set[str]) -> bool:
    """Did all others only stand by when all tools removed what they can?"""
    own = {id(work.asked) for work in removal.works if work.tool.name in names}
    return all(id(work.asked) in own for work in removal.works if work.gained > 0.0)


def _meets(work: Work, stock: Region) -> bool:
    """May it ever remove any of that? Quick to tell of one on the axis."""
    return not work.asked.mover.on_axis or work.asked.bite(stock) > 0.0


def likely_tools(profile: Profile, tools: Sequence[Tool]) -> frozenset[str]:
    """Names of the tools that will probably be chosen: by what they reach where no stock stands."""
    ends = all_asked(ground_of(profile), tools, ENDS)
    ground = ground_of(profile)
    standing = at_first(ground)
    able = {place: asked for place, (_, _, asked) in enumerate(ends) if asked.touches_some()}
    found = touched_by([asked.limit() for asked in able.values()], ground)
    touched: dict[int, Sequence[str]] = dict.fromkeys(range(len(ends)), ())
    touched |= dict(zip(able, found, strict=True))
    by_name = {tool.name: tool for tool in tools}
    offered = offers([tool for tool, _, _ in ends], touched)
    names = least_cover(offered, {name: tool.weight for name, tool in by_name.items()})
    chosen = [by_name[name] for name in names]
    if any(t.access == "inner" for t in chosen) and not any(t.on_axis for t in chosen):
        bores = _bores_mm(profile)
        drills = [(tool, asked) for tool, _, asked in ends if tool.on_axis]
        drills = [one for one in drills if not _to_size(one[0], bores)] or drills
        best = _largest(
            ground, [(asked.hope(standing), tool, asked.limit) for tool, asked in drills]
        )
        names |= {best.name} if best is not None else set()
    return frozenset(names)


def _in_order(tools: Mapping[str, Tool], names: Set[str]) -> tuple[str, ...]:
    ordered = sorted(tools.values(), key=order_of_use)
    return tuple(tool.name for tool in ordered if tool.name in names)


def _drill_first(removal: Removal, names: Set[str]) -> set[str]:
    """The pointed drill that removes most, where bars or flat drills are chosen without one.

    Before a bar it is one that leaves the bores something, if there is any: a drill of a bore's own
    size cuts over size and askew, and nothing stays to be bored true.
    """
    chosen = [work.tool for work in removal.works if work.tool.name in names]
    if any(tool.on_axis and not _is_flat(tool) for tool in chosen):
        return set()
    if all(tool.access != "inner" and not tool.on_axis for tool in chosen):
        return set()
    standing = at_first(removal.ground)
    most = {work: work.asked.hope(standing) for work in removal.works if work.tool.on_axis}
    able = [work for work, area in most.items() if area > 0.0]
    drills = [work for work in able if not _is_flat(work.tool)]
    if not drills and not any(tool.on_axis for tool in chosen):
        drills = able
    if any(tool.access == "inner" for tool in chosen):
        bores = _bores_mm(removal.ground.profile)
        drills = [work for work in drills if not _to_size(work.tool, bores)] or drills
    ways = [(most[work], work.tool, _sweep_of(work)) for work in drills]
    best = _largest(removal.ground, ways)
    return {best.name} if best is not None else set()


def _sweep_of(work: Work) -> Callable[[], Region]:
    return lambda: work.swept


def _largest(
    ground: Ground, drills: Sequence[tuple[float, Tool, Callable[[], Region]]]
) -> Tool | None:
    """The drill that covers most of the envelope, of those with a bound for that area in mm2.

    What it covers is only worked out for those that could be the one; of those alike the least
    dear, and of these the first.
    """
    areas, most = dict[int, float](), 0.0
    for place, (bound, _, covered) in sorted(enumerate(drills), key=lambda one: -one[1][0]):
        if bound < most * (1.0 - _ROUNDED):
            break
        areas[place] = ground.area_within(covered())
        most = max(most, areas[place])
    alike = [place for place, area in areas.items() if 0.0 < most * (1.0 - _ROUNDED) <= area]
    # a centre drill bores a disc no thicker than its cone as well as a drill: it weighs more
    first = min(alike, key=lambda place: (drills[place][1].weight, place), default=None)
    return None if first is None else drills[first][1]


def _bores_mm(profile: Profile) -> list[float]:
    """Diameters of the straight walls inside."""
    return [
        2.0 * s.curve.start[1]
        for s in profile.segments
        if s.surface == "inner" and abs(s.curve.start[1] - s.curve.end[1]) <= _SAME_MM
    ]


def _to_size(tool: Tool, bores_mm: Sequence[float]) -> bool:
    diameter = tool.limits.get("diameter_mm", 0.0)
    return any(abs(diameter - bore) < _LEAST_TO_BORE_MM for bore in bores_mm)


def _is_flat(tool: Tool) -> bool:
    """A slot drill: it squares the floor that a pointed drill left."""
    return tool.limits.get("point_angle_deg", 0.0) >= 180.0


def order_of_use(tool: Tool) -> tuple[int, float, float, str]:
    """Outside turning, drilling, boring, grooving, threading, parting; sturdy tools first.

    Of drills the widest comes first, for narrower ones pass its hole to go deeper; then those with
    a flat point, which follow a pointed one; then reamers, which follow both.
    """
    kind = tool.kind
    if "part" in kind:
        rank = 6
    elif "thread" in kind or kind in {"tap", "die"}:
        rank = 5
    elif is_blade(tool):
        rank = 4
    elif tool.on_axis:
        if "centre" in kind:
            return (1, 0.0, tool.weight, tool.name)
        after = 2.0 if kind == "reamer" else 1.0 if _is_flat(tool) else 0.0
        return (2, after, -tool.limits.get("diameter_mm", 0.0), tool.name)
    else:
        rank = {"outer": 0, "inner": 3, "end": 4}[tool.access]
    return (rank, tool.weight, 0.0, tool.name)


def is_blade(tool: Tool) -> bool:
    """A tool for hollows, called for only where no ordinary one reaches."""
    return _names_blade(tool.kind)


@lru_cache(maxsize=256)
def _names_blade(kind: str) -> bool:
    return any(word in kind for word in ("groov", "blade", "part", "thread"))


def offers(
    owners: Sequence[Tool], touched: Mapping[int, Sequence[str]]
) -> dict[str, frozenset[str]]:
    """Segments by the tools that touch them; blades only those that no ordinary tool touches."""
    ordinary: dict[Access, set[str]] = {"outer": set(), "inner": set(), "end": set()}
    everything: dict[str, set[str]] = {}
    for place, segments in touched.items():
        tool = owners[place]
        everything.setdefault(tool.name, set()).update(segments)
        if not is_blade(tool) and not tool.on_axis:
            ordinary[tool.access].update(segments)
    tools = {tool.name: tool for tool in owners}
    return {
        name: frozenset(mine - ordinary[tools[name].access] if is_blade(tools[name]) else mine)
        for name, mine in everything.items()
    }
