"""Which drills go before bars and slot drills, and which bores a drill alone leaves as drawn."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import groupby

from turnability.cited import Cited
from turnability.half_plane.curves import Line, Point
from turnability.half_plane.regions import Region, box, nothing
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.reach.removal import Work
from turnability.setups.surfaces.cuts import thick
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.shares import Shares
from turnability.shop.books import practice
from turnability.shop.model import Tool
from turnability.shop.told_apart import COUNTERSINK, diameter_of, enters_mm, is_flat, is_twist

_ALIKE = 0.1
_SAME_MM = 1e-3
TO_SIZE_MM = 0.02
LEFT_TO_BORE_MM = 0.4
"""What a drill leaves on a diameter for a bar at least (common practice, no source)."""
DRILLED_UP_TO = Cited(
    13.0,
    "mm",
    "common practice",
    "bores of which nothing fine is stated are left as drilled up to here, from memory",
    verified=False,
)
_CORE_MM = 0.2
_POINT_MM = 0.05
_WORTH_MM = 2.0
"""A drill that opens less of a bore than this is not taken for it (our choice)."""


def drilled(
    profile: Profile, shares: Shares, wanted: set[str], kept_mm: Collection[float] = ()
) -> list[tuple[Work, set[str]]]:
    """Bores that a drill of their own diameter leaves as they are drawn, with that drill.

    None of the diameters `kept_mm` that a bar gets along as well: the drill would go through finer
    ones of that size.
    """
    bores = {
        s.id: 2.0 * s.curve.start[1]
        for s in profile.segments
        if s.id in wanted and is_bore(s) and 2.0 * s.curve.start[1] <= DRILLED_UP_TO.value
    }
    inside = {s.id for s in profile.segments if s.id in wanted and s.surface == "inner"}
    found: list[tuple[Work, set[str]]] = []
    for work in shares.removal.works:
        if not is_twist(work.tool):
            continue
        size = diameter_of(work.tool)
        own = {s: 1.0 - _ALIKE for s, d in bores.items() if abs(d - size) <= TO_SIZE_MM}
        if own and any(abs(d - size) <= TO_SIZE_MM for d in kept_mm):
            bars = [w for w in shares.removal.works if enters_mm(w.tool) > 0.0]
            barred = set().union(*(shares.reached(bar, own) for bar in bars))
            own = {s: least for s, least in own.items() if s not in barred}
        if own and shares.reached(work, own):
            least = dict.fromkeys(inside, 1.0 - _ALIKE)
            names = shares.reached(work, least)
            found.append((work, names))
            inside -= names
    return found


def countersunk(profile: Profile, shares: Shares, wanted: set[str]) -> list[tuple[Work, set[str]]]:
    """Chamfers at the mouths of bores that no bar enters, with the tool on the axis that cuts them.

    Neither a bar held before the hole nor a larger drill run into it makes one: a countersink does,
    before the hole is tapped.
    """
    enters = min(
        (enters_mm(w.tool) for w in shares.removal.works if w.tool.access == "inner"), default=0.0
    )
    rims = [
        point
        for s in profile.segments
        if is_bore(s) and 2.0 * s.curve.start[1] < enters - _SAME_MM
        for point in (s.curve.start, s.curve.end)
    ]
    mouths = {
        s.id: 1.0 - _ALIKE
        for s in profile.segments
        if s.id in wanted and s.surface == "inner" and not is_bore(s) and _opens(s, rims)
    }
    found: list[tuple[Work, set[str]]] = []
    sinks = [w for w in shares.removal.works if w.tool.on_axis and w.tool.kind == COUNTERSINK]
    for work in sorted(sinks, key=lambda w: (w.tool.weight, w.tool.name)):
        if mouths and (names := shares.reached(work, mouths)):
            found.append((work, names))
            mouths = {name: least for name, least in mouths.items() if name not in names}
    return found


def _opens(segment: Segment, rims: Sequence[Point]) -> bool:
    """Whether a cone's narrow end is the rim of one of these bores, and it is no face."""
    ends = sorted((segment.curve.start, segment.curve.end), key=lambda p: p[1])
    if not isinstance(segment.curve, Line) or abs(ends[0][0] - ends[1][0]) <= _SAME_MM:
        return False
    return any(math.dist(ends[0], rim) <= _SAME_MM for rim in rims)


def drill_before(
    profile: Profile,
    given: dict[str, set[str]],
    works: dict[str, Work],
    all_works: Sequence[Work],
    standing: Region,
) -> Work | None:
    """The drill that a bar or a slot drill follows, where none that is given opens the way.

    Before bars the widest that leaves the bores something and lets them in, or at least the
    smallest, that opens the way for the others; before a slot drill the widest that is no wider.
    None where nothing stands on its way.
    """
    bars = [works[n].tool for n in given if works[n].tool.access == "inner"]
    flat = [works[n].tool for n in given if is_flat(works[n].tool)]
    pointed = [works[n].tool for n in given if is_twist(works[n].tool)]
    if not bars and not flat:
        return None
    by_id = {s.id: s for s in profile.segments}
    bored = [
        2.0 * by_id[s].curve.start[1]
        for n in given
        if works[n].tool.access == "inner"
        for s in given[n]
        if is_bore(by_id[s])
    ]
    most = min(bored, default=float("inf"))
    enters = max((enters_mm(tool) for tool in bars), default=0.0)
    if bars:
        if _is_open(standing, enters) or any(diameter_of(t) >= enters for t in pointed):
            return None
    else:
        most = max(diameter_of(t) for t in flat) + LEFT_TO_BORE_MM
        if pointed:
            return None
    able = [work for work in all_works if is_twist(work.tool)]
    if not bars:
        able = [
            work for work in able if diameter_of(work.tool) <= most - LEFT_TO_BORE_MM + _SAME_MM
        ]

    least = min((enters_mm(tool) for tool in bars), default=0.0)

    def suits(work: Work) -> tuple[bool, bool, bool, bool]:
        d = diameter_of(work.tool)
        leaves = d <= most - LEFT_TO_BORE_MM + _SAME_MM
        lets_in = d >= enters - _SAME_MM
        return (leaves and lets_in, leaves and d >= least - _SAME_MM, lets_in, leaves)

    # what it takes is asked of those alone that nothing else sets back
    for _, alike in groupby(sorted(able, key=suits, reverse=True), key=suits):
        takes = [(work, work.swept & standing) for work in alike]
        found = [
            (taken.area, work.tool.name, work)
            for work, taken in takes
            if thick(taken) and not by_its_point(work, taken)
        ]
        if found:
            return max(found, key=lambda one: one[:2])[2]
    return None


def by_its_point(work: Work, taken: Region) -> bool:
    """Whether a drill takes this with no more than its point: nobody opens a mouth so."""
    wide = diameter_of(work.tool) / 2.0
    return work.tool.on_axis and taken.bounds[3] < wide - _POINT_MM


def core_of(profile: Profile, stock: Region) -> Region:
    """The stock that stands on the axis of a part with a through bore; nothing of any other."""
    if profile.through_bore_mm is None:
        return nothing()
    return stock & box(0.0, 0.0, profile.length_mm, _CORE_MM)


def drilled_core(profile: Profile, toward: Toward, works: Iterable[Work]) -> Region:
    """What drills take of that core from the free end, none deeper than its flutes let it.

    The wide ones make room for the chips of those that go on from their floors.
    """
    taken = nothing()
    begun: list[tuple[float, float]] = []
    twist = [work for work in works if is_twist(work.tool)]
    for work in sorted(twist, key=lambda work: -diameter_of(work.tool)):
        mine = _alone(profile, toward, work, begun)
        begun.append((diameter_of(work.tool), mine.area / _CORE_MM))
        taken = taken | mine
    return taken


def through_drill(
    profile: Profile,
    toward: Toward,
    given: Iterable[str],
    works: Mapping[str, Work],
    all_works: Sequence[Work],
    core: Region,
) -> Work | None:
    """The drill that goes through a through bore first, where those given do not open it.

    The widest that passes its narrowest place, and leaves it something for a bar that gets there;
    where none is long enough the one that goes deepest. None where nothing is done inside, or
    nothing stands on the axis any more (`core`).
    """
    throat = profile.through_bore_mm
    inside = [works[n] for n in given if works[n].tool.access == "inner" or works[n].tool.on_axis]
    if throat is None or not inside:
        return None
    rest = core - drilled_core(profile, toward, inside)
    if not thick(rest):
        return None
    begun = [
        (diameter_of(work.tool), _alone(profile, toward, work, ()).area / _CORE_MM)
        for work in inside
        if is_twist(work.tool)
    ]
    bars = [enters_mm(work.tool) for work in inside if not work.tool.on_axis]
    bored = any(0.0 < enters <= throat for enters in bars)
    most = throat - LEFT_TO_BORE_MM if bored else throat
    deep: list[tuple[float, float, str, Work]] = []
    twist = [work for work in all_works if is_twist(work.tool)]
    for work in sorted(twist, key=lambda work: (-diameter_of(work.tool), work.tool.name)):
        takes = rest & _alone(profile, toward, work, begun)
        length, d = round(takes.area / _CORE_MM, 1), diameter_of(work.tool)
        if d <= most + _SAME_MM and not thick(rest - takes):
            return work
        if length >= _WORTH_MM:
            deep.append((length, d, work.tool.name, work))
    return max(deep, key=lambda one: one[:3])[3] if deep else None


def _alone(
    profile: Profile, toward: Toward, work: Work, begun: Sequence[tuple[float, float]]
) -> Region:
    """What a drill takes of the core, from the floors of wider holes `begun` (diameter, depth)."""
    depth = begins_at_mm(work.tool, begun) + work.tool.limits.get(
        "usable_length_mm", profile.length_mm
    )
    low, high = (profile.length_mm - depth, profile.length_mm) if toward == "low" else (0.0, depth)
    return work.swept & box(low, 0.0, high, _CORE_MM)


def begins_at_mm(drill: Tool, begun: Sequence[tuple[float, float]]) -> float:
    """How deep the holes `begun` (diameter, depth) lie that are wide enough to let its chips out.

    From there its flutes reach; 0, from the free end, where none is.
    """
    lets_chips_out = practice("drill_chip_entry").value * diameter_of(drill)
    return max((deep for d, deep in begun if d >= lets_chips_out), default=0.0)


def _is_open(standing: Region, diameter_mm: float) -> bool:
    """Whether no stock stands so near to the axis."""
    r = diameter_mm / 2.0
    if standing.empty:
        return r > 0.0
    z0, _, z1, _ = standing.bounds
    return r > 0.0 and not thick(standing & box(z0, 0.0, z1, r))


def follows_drill(tool: Tool, bore_mm: float, drills_mm: Sequence[float], standing: Region) -> bool:
    """Whether it bores this after a drill that leaves it something, or where the way is open."""
    if tool.access != "inner":
        return True
    enters = enters_mm(tool)
    if any(enters - _SAME_MM <= d <= bore_mm - LEFT_TO_BORE_MM + _SAME_MM for d in drills_mm):
        return True
    return _is_open(standing, enters)
