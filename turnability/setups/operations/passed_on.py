"""Surfaces that pass on to another tool than was given them: in grooves, at edges, on necks."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

from turnability.part.model import Profile, Segment
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.edges import edges_at_walls, is_at, is_chamfer
from turnability.setups.surfaces.shares import BARS, CUT_SHARE, TURNING, rank_of
from turnability.setups.surfaces.sharing import Sharing
from turnability.setups.surfaces.sinking import is_left
from turnability.shop.model import Tool
from turnability.shop.told_apart import (
    is_blade,
    is_pointed,
)

_SAME_MM = 1e-3
LONG_NECK = 5.0
"""More than this many widths of its blade a neck is turned (our choice; a blade chatters along)."""


def not_sunk(chucking: Chucking, sharing: Sharing) -> None:
    """What a corner would be sunk to in the full goes to a slimmer one that comes in along it.

    Where none does, the rim of a bore that is broken from outside goes to the bar in it.
    """
    shares, given, works = chucking.shares, sharing.given, sharing.works
    bars = [works[n] for n in given if rank_of(works[n].tool) == BARS]
    for name in list(given):
        alike = [
            work
            for work in shares.removal.works
            if rank_of(work.tool) == rank_of(works[name].tool) and not is_left(work.tool)
        ]
        for segment in sorted(shares.sinks(works[name], given[name])):
            able = [
                work
                for work in alike
                if shares.reached(work, sharing.least([segment]))
                and not shares.sinks(work, [segment])
            ]
            able = able or [w for w in bars if shares.reached(w, sharing.least([segment]))]
            sharing.pass_on({segment}, name, able, chucking.chosen)


def whole_grooves(chucking: Chucking, sharing: Sharing) -> None:
    """The blade that is sunk into a groove takes its walls as well, where it reaches them."""
    given, works = sharing.given, sharing.works
    for groove in chucking.wishes.grooves:
        blades = [n for n, takes in given.items() if is_blade(works[n].tool) and takes & groove]
        if not blades:
            continue
        name = max(blades, key=lambda n: (len(given[n] & groove), n))
        mine = chucking.shares.reached(works[name], sharing.least(groove))
        for other, takes in list(given.items()):
            given[other] = takes | mine if other == name else takes - mine


def broken_edges(chucking: Chucking, sharing: Sharing) -> None:
    """Chamfers that fall into a groove, or to where the work is parted off, to that blade.

    A corner that turns would dig into the full there: nothing stands open behind the edge before
    the blade has been sunk, and then that breaks it by the way. No end of a turned taper is one.
    """
    profile, shares, parting = chucking.profile, chucking.shares, chucking.parting
    given, works = sharing.given, sharing.works
    edges = [(edge, wall) for edge, wall in edges_at_walls(profile) if is_chamfer(edge)]
    blades = {n: set(takes) for n, takes in given.items() if is_blade(works[n].tool)}
    for work in shares.removal.works:
        if parting is not None and work.tool.name == parting.name:
            z = 0.0 if work.toward == "low" else profile.length_mm
            ends = {wall for _, wall in edges if wall.surface == "end" and is_at(wall, z)}
            blades[parting.name] = blades.get(parting.name, set()) | {wall.id for wall in ends}
            works[parting.name] = work
    for name, walls in blades.items():
        width = works[name].tool.limits.get("width_mm", 0.0)
        near = {a.id for a, b in edges if b.id in walls and a.curve.length() <= width}
        for other in [n for n in given if _digs(works[n].tool)]:
            mine = shares.reached(works[name], sharing.least(near & given[other]))
            given[other] -= mine
            if mine:
                given.setdefault(name, set()).update(mine)
            if mine and given[other] and is_pointed(works[other].tool):
                _to_sturdy(other, chucking, sharing)


def _to_sturdy(name: str, chucking: Chucking, sharing: Sharing) -> None:
    """All that a pointed corner still has to a sturdy one of its hand that takes all of it."""
    shares, pointed = chucking.shares, sharing.works[name].tool
    takes = set(sharing.given[name])
    least = sharing.least(takes)
    able = [
        work
        for work in shares.removal.works
        if rank_of(work.tool) == TURNING
        and work.tool.hand == pointed.hand
        and not is_pointed(work.tool)
        and shares.reached(work, least) == takes
        and not shares.sinks(work, takes)
    ]
    sharing.pass_on(takes, name, able, chucking.chosen)


def short_neighbours(chucking: Chucking, sharing: Sharing) -> None:
    """A blade takes short surfaces beside its own from pointed corners, as it is sunk there anyway.

    Else either would wait for what the other clears. Those round an outside corner are none.
    """
    given, works = sharing.given, sharing.works
    ring = chucking.profile.outline.segments
    joined = [(a, b) for a, b in pairwise(ring) if _bends_in(a, b)]
    for name in [n for n in given if is_blade(works[n].tool)]:
        tool = works[name].tool
        near = {
            b.id
            for a, b in (*joined, *((b, a) for a, b in joined))
            if a.id in given[name] and b.curve.length() <= 2.0 * tool.limits.get("width_mm", 0.0)
        }
        for other in [n for n in given if is_pointed(works[n].tool)]:
            mine = chucking.shares.reached(works[name], sharing.least(near & given[other]))
            given[other] -= mine
            given[name] |= mine


def long_necks(chucking: Chucking, sharing: Sharing) -> None:
    """Long cylinders from blades to the turning tool that gets at most of one, the best at hand.

    The blade then makes the way in alone, and cuts what that tool leaves (`rests`).
    """
    shares, given, works = chucking.shares, sharing.given, sharing.works
    long = {
        s.id: s.curve.length()
        for s in chucking.profile.segments
        if s.surface == "outer" and abs(s.curve.start[1] - s.curve.end[1]) <= _SAME_MM
    }
    turning = [work for work in shares.removal.works if rank_of(work.tool) == TURNING]
    for name in [n for n in given if is_blade(works[n].tool)]:
        least_mm = LONG_NECK * works[name].tool.limits.get("width_mm", 0.0)
        for neck in [s for s in given[name] if long.get(s, 0.0) > least_mm]:
            able = [work for work in turning if shares.reached(work, {neck: CUT_SHARE})]
            sharing.pass_on({neck}, name, able)


def _digs(tool: Tool) -> bool:
    return tool.access == "outer" and not is_blade(tool)


def _bends_in(a: Segment, b: Segment) -> bool:
    """Whether the empty side lies within the corner between neighbours, or there is none."""
    (z0, r0), (z1, r1) = a.curve.direction(1.0), b.curve.direction(0.0)
    return z0 * r1 - r0 * z1 <= _SAME_MM


def sturdier(chucking: Chucking, sharing: Sharing, faced: Collection[str]) -> None:
    """Runs of surfaces that a pointed corner was given, to a sturdy one at hand that takes all.

    A run with a fillet that only the pointed one makes stays whole: two tools leave a line. The
    end that is `faced` is none of a run.
    """
    shares, given, works = chucking.shares, sharing.given, sharing.works
    for name in [n for n in given if is_pointed(works[n].tool)]:
        tool = works[name].tool
        others = sorted(
            (n for n in given if n != name and _turns_like(works[n].tool, tool)),
            key=lambda n: (works[n].tool.weight, n),
        )
        ends = [{s} for s in given[name] if s in faced]
        for run in [*ends, *_runs(chucking.profile, given[name] - set(faced))]:
            least = sharing.least(run)
            for other in others:
                takes_all = len(least) == len(run) and shares.reached(works[other], least) == run
                if takes_all and not shares.sinks(works[other], run):
                    given[other] |= run
                    given[name] -= run
                    break
        if not given[name]:
            del given[name]


def _turns_like(tool: Tool, pointed: Tool) -> bool:
    return (
        tool.access == "outer"
        and tool.hand == pointed.hand
        and not is_blade(tool)
        and tool.weight < pointed.weight
        and not is_pointed(tool)
    )


def _runs(profile: Profile, names: set[str]) -> list[set[str]]:
    """Neighbours of the outline that are all among these, together."""
    runs: list[set[str]] = [set()]
    for segment in profile.outline.segments:
        if segment.id in names:
            runs[-1].add(segment.id)
        elif runs[-1]:
            runs.append(set())
    return [run for run in runs if run]
