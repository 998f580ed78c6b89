"""Which drills go before bars and slot drills, and which bores a drill alone leaves as drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from turnability.cited import Cited
from turnability.half_plane.regions import Region, box, nothing
from turnability.part.model import Profile, Segment
from turnability.reach.removal import Work
from turnability.setups.cuts import thick
from turnability.setups.shares import Shares
from turnability.shop.model import Tool

_ALIKE = 0.1
_SAME_MM = 1e-3
_TO_SIZE_MM = 0.02
_LEFT_TO_BORE_MM = 0.4
"""What a drill leaves on a diameter for a bar at least (common practice, no source)."""
DRILLED_UP_TO = Cited(
    13.0,
    "mm",
    "common practice",
    "bores of which nothing fine is stated are left as drilled up to here, from memory",
    verified=False,
)
DRILLED_GRADE = 12
"""A drill holds IT12 and leaves Ra 6.3 µm (common practice, from memory)."""
DRILLED_RA_UM = 6.3
_CORE_MM = 0.2


def drilled(profile: Profile, shares: Shares, wanted: set[str]) -> list[tuple[Work, set[str]]]:
    """Bores that a drill of their own diameter leaves as they are drawn, with that drill."""
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
        own = {s: 1.0 - _ALIKE for s, d in bores.items() if abs(d - size) <= _TO_SIZE_MM}
        if own and shares.reached(work, own):
            least = dict.fromkeys(inside, 1.0 - _ALIKE)
            names = shares.reached(work, least)
            found.append((work, names))
            inside -= names
    return found


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
    pointed = [works[n].tool for n in given if works[n].tool.on_axis and not is_flat(works[n].tool)]
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
    enters = max((_enters_mm(tool) for tool in bars), default=0.0)
    if bars:
        if _is_open(standing, enters) or any(diameter_of(t) >= enters for t in pointed):
            return None
    else:
        most = max(diameter_of(t) for t in flat) + _LEFT_TO_BORE_MM
        if pointed:
            return None
    able = [work for work in all_works if is_twist(work.tool)]
    if not bars:
        able = [
            work for work in able if diameter_of(work.tool) <= most - _LEFT_TO_BORE_MM + _SAME_MM
        ]

    least = min((_enters_mm(tool) for tool in bars), default=0.0)

    def suits(work: Work) -> tuple[bool, bool, bool, bool]:
        d = diameter_of(work.tool)
        leaves = d <= most - _LEFT_TO_BORE_MM + _SAME_MM
        lets_in = d >= enters - _SAME_MM
        return (leaves and lets_in, leaves and d >= least - _SAME_MM, lets_in, leaves)

    # what it takes is asked of those alone that nothing else sets back
    for _, alike in groupby(sorted(able, key=suits, reverse=True), key=suits):
        takes = [(work, work.swept & standing) for work in alike]
        found = [(taken.area, work.tool.name, work) for work, taken in takes if thick(taken)]
        if found:
            return max(found, key=lambda one: one[:2])[2]
    return None


def through_drill(
    profile: Profile,
    given: Iterable[str],
    works: Mapping[str, Work],
    all_works: Sequence[Work],
    standing: Region,
) -> Work | None:
    """The drill that goes through a through bore first, where none of those given does.

    The widest that passes its narrowest place, and leaves it something for a bar that gets there.
    None where nothing is done inside, the way is open, or no drill is long enough from here.
    """
    throat = profile.through_bore_mm
    inside = [works[n] for n in given if works[n].tool.access == "inner" or works[n].tool.on_axis]
    if throat is None or not inside or _passes(nothing(), profile, standing):
        return None
    if any(_passes(work.swept, profile, standing) for work in inside if work.tool.on_axis):
        return None
    bars = [_enters_mm(work.tool) for work in inside if not work.tool.on_axis]
    bored = any(0.0 < enters <= throat for enters in bars)
    most = throat - _LEFT_TO_BORE_MM if bored else throat
    able = [
        work
        for work in all_works
        if is_twist(work.tool) and diameter_of(work.tool) <= most + _SAME_MM
    ]
    for work in sorted(able, key=lambda work: (-diameter_of(work.tool), work.tool.name)):
        if _passes(work.swept, profile, standing):
            return work
    return None


def _passes(swept: Region, profile: Profile, standing: Region) -> bool:
    """Whether no stock stays on the axis once this is gone."""
    core = box(0.0, 0.0, profile.length_mm, _CORE_MM)
    return not thick((standing & core) - swept)


def is_bore(segment: Segment) -> bool:
    """Whether it is a straight wall inside."""
    (_, r0), (_, r1) = segment.curve.start, segment.curve.end
    return segment.surface == "inner" and abs(r0 - r1) <= _SAME_MM and r0 > _SAME_MM


def is_flat(tool: Tool) -> bool:
    """A slot drill: it squares the floor that a pointed drill left."""
    return tool.on_axis and tool.limits.get("point_angle_deg", 0.0) >= 180.0


def is_twist(tool: Tool) -> bool:
    """A drill with a point."""
    return tool.kind == "drill" and not is_flat(tool)


def _enters_mm(bar: Tool) -> float:
    """Least bore that a bar goes into; 0 where it is not known."""
    if not {"f_mm", "bar_diameter_mm"} <= set(bar.limits):
        return 0.0
    return bar.limits["f_mm"] + bar.limits["bar_diameter_mm"] / 2.0


def _is_open(standing: Region, diameter_mm: float) -> bool:
    """Whether no stock stands so near to the axis."""
    r = diameter_mm / 2.0
    z0, _, z1, _ = standing.bounds
    return r > 0.0 and not thick(standing & box(z0, 0.0, z1, r))


def follows_drill(tool: Tool, bore_mm: float, drills_mm: Sequence[float], standing: Region) -> bool:
    """Whether it bores this after a drill that leaves it something, or where the way is open."""
    if tool.access != "inner":
        return True
    enters = _enters_mm(tool)
    if any(enters - _SAME_MM <= d <= bore_mm - _LEFT_TO_BORE_MM + _SAME_MM for d in drills_mm):
        return True
    return _is_open(standing, enters)


def diameter_of(tool: Tool) -> float:
    """Of a drill; 0 where it has none."""
    return tool.limits.get("diameter_mm", 0.0)
