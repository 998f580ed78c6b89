"""Which tool of a setup takes which surface: few tools, sturdy ones, a groove to one blade."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from itertools import compress, groupby, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Line
from turnability.half_plane.regions import Region
from turnability.part.model import Profile, Segment
from turnability.reach.removal import Work
from turnability.setups.drilling import (
    countersunk,
    diameter_of,
    drilled,
    follows_drill,
    is_bore,
    is_flat,
    is_twist,
    leaves_nothing,
)
from turnability.setups.roughing import is_blade, is_pointed
from turnability.setups.shares import CUT_SHARE, Array, Shares, rank_of
from turnability.setups.sinking import is_left
from turnability.setups.wishes import Wishes
from turnability.shop.model import Tool

_ALIKE = 0.1
_SAME_MM = 1e-3
_BLADES = 3
"""From this rank on it is blades (`rank_of`)."""
LONG_NECK = 5.0
"""More than this many widths of its blade a neck is turned (our choice; a blade chatters along)."""


def assigned(
    profile: Profile,
    shares: Shares,
    wanted: Iterable[str],
    chosen: Sequence[str],
    used: Collection[str],
    wishes: Wishes | None,
    standing: Region,
    begun: Collection[str] = (),
    parting: str | None = None,
) -> tuple[dict[str, set[str]], dict[str, Work], dict[str, float]]:
    """Segments by the tools that take them, those tools' work, the best share of each segment.

    Every segment goes to a tool that cuts (nearly) most of it, with few tools in all; `chosen` are
    those that reach prefers, `used` those that setups before have put up, `standing` the stock. Of
    bores, and of segments `begun` in a setup before, it may be little that is cut. `parting` is the
    blade that parts the work off in this setup.
    """
    wishes = Wishes() if wishes is None else wishes
    wanted_ids = set(wanted)
    given: dict[str, set[str]] = {}
    works: dict[str, Work] = {}
    for work, names in drilled(profile, shares, wanted_ids - wishes.fine):
        given[work.tool.name], works[work.tool.name] = names, work
        wanted_ids -= names
    for work, names in countersunk(profile, shares, wanted_ids - wishes.fine):
        given[work.tool.name], works[work.tool.name] = names, work
        wanted_ids -= names
    ids = shares.samples.ids
    asked_for = np.array([s in wanted_ids for s in ids])
    most = np.where(asked_for, 0.0, np.inf)
    fine = [2.0 * s.curve.start[1] for s in profile.segments if s.id in wishes.fine and is_bore(s)]
    for ranked in shares.by_rank():
        alike = [work for work in ranked if not leaves_nothing(work.tool, fine)]
        if (most >= shares.utmost).all():
            break  # nobody cuts more, and those asked later are given only what is left
        works |= {work.tool.name: work for work in alike}
        for work in alike:
            if shares.may_exceed(work, most):
                most = np.maximum(most, shares.of(work))
    inner = {s.id for s in profile.segments if s.surface == "inner"}
    rest = np.array([s in begun or s in inner for s in ids])
    open_ = asked_for & ((most >= CUT_SHARE) | (rest & (most > _ALIKE)))
    bores = {s.id: 2.0 * s.curve.start[1] for s in profile.segments if is_bore(s)}
    drills = [diameter_of(work.tool) for work in shares.removal.works if is_twist(work.tool)]

    def follows(tool: Tool, takes: Collection[str]) -> bool:
        through = min((bores[s] for s in takes if s in bores), default=None)
        return through is None or follows_drill(tool, through, drills, standing)

    while open_.any():
        least = np.where(open_, most - _ALIKE, np.inf)
        name, takes = _best(shares, works.values(), least, chosen, used, follows)
        given[name] = given.get(name, set()) | set(compress(ids, takes))
        open_ &= ~takes
    best = {s: float(most[n]) for n, s in enumerate(ids) if asked_for[n]}
    _not_sunk(given, works, shares, best, chosen)
    _whole_grooves(given, works, shares, best, wishes.grooves)
    _broken_edges(profile, given, works, shares, best, parting)
    _long_necks(profile, given, works, shares)
    _short_neighbours(
        profile, {n: takes for n, takes in given.items() if takes}, works, shares, best
    )
    return {name: takes for name, takes in given.items() if takes}, works, best


def _best(
    shares: Shares,
    works: Iterable[Work],
    least: Array,
    chosen: Sequence[str],
    used: Collection[str],
    follows: Callable[[Tool, Collection[str]], bool],
) -> tuple[str, NDArray[np.bool_]]:
    """Who has most merit among tools sorted by rank, and which segments it reaches."""

    def merit(tool: Tool, takes: int, follows: bool) -> tuple[Any, ...]:
        # of blades that do as much the wider one, of drills a pointed one, then what stands ready
        blade = is_blade(tool)
        width = tool.limits.get("width_mm", 0.0) if blade else 0.0
        # a bar that no drill leads in is let in by another bar: no blade bores in its place
        much = (takes > 0, not blade, follows, -rank_of(tool), takes, not is_flat(tool), width)
        return (*much, tool.name in used, tool.name in chosen, -tool.weight, tool.name)

    best: tuple[tuple[Any, ...], str, NDArray[np.bool_]] | None = None
    for rank, alike in groupby(works, key=lambda work: rank_of(work.tool)):
        if best is not None and best[0][0] and (best[0][2] or rank >= _BLADES):
            break
        hopes = [(merit(w.tool, shares.may_reach(w, least), True), w) for w in alike]
        for hope, work in sorted(hopes, key=lambda entry: entry[0], reverse=True):
            if best is not None and hope <= best[0]:
                break
            takes = shares.reaches(work, least)
            mine = set(compress(shares.samples.ids, takes))
            worth = merit(work.tool, len(mine), follows(work.tool, mine))
            if best is None or worth > best[0]:
                best = worth, work.tool.name, takes
    assert best is not None
    return best[1], best[2]


def _not_sunk(
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    best: dict[str, float],
    chosen: Sequence[str],
) -> None:
    """What a corner would be sunk to in the full goes to a slimmer one that comes in along it."""
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
                if shares.reached(work, {segment: best[segment] - _ALIKE})
                and not shares.sinks(work, [segment])
            ]
            _pass_on(segment, name, able, given, works, chosen)


def _pass_on(
    segment: str,
    name: str,
    able: Sequence[Work],
    given: dict[str, set[str]],
    works: dict[str, Work],
    chosen: Sequence[str] = (),
) -> None:
    """A surface from one tool to another that is able: one at hand, then the sturdiest."""
    if not able:
        return

    def wish(work: Work) -> tuple[bool, bool, float, str]:
        tool = work.tool
        return tool.name not in given, tool.name not in chosen, tool.weight, tool.name

    best = min(able, key=wish)
    given[name].discard(segment)
    given.setdefault(best.tool.name, set()).add(segment)
    works[best.tool.name] = best


def _whole_grooves(
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    best: dict[str, float],
    narrow: Sequence[frozenset[str]],
) -> None:
    """The blade that is sunk into a groove takes its walls as well, where it reaches them."""
    for groove in narrow:
        blades = [n for n, takes in given.items() if is_blade(works[n].tool) and takes & groove]
        if not blades:
            continue
        name = max(blades, key=lambda n: (len(given[n] & groove), n))
        least = {s: best[s] - _ALIKE for s in groove if s in best}
        mine = shares.reached(works[name], least)
        for other, takes in list(given.items()):
            given[other] = takes | mine if other == name else takes - mine


def _broken_edges(
    profile: Profile,
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    best: dict[str, float],
    parting: str | None,
) -> None:
    """Chamfers that fall into a groove, or to where the work is parted off, to that blade.

    A corner that turns would dig into the full there: nothing stands open behind the edge before
    the blade has been sunk, and then that breaks it by the way. No end of a turned taper is one.
    """
    edges = _edges(profile)
    blades = {n: set(takes) for n, takes in given.items() if is_blade(works[n].tool)}
    for work in shares.removal.works:
        if work.tool.name == parting:
            z = 0.0 if work.toward == "low" else profile.length_mm
            ends = {b for _, b in edges if b.surface == "end" and _at(b, z)}
            blades[parting] = blades.get(parting, set()) | {b.id for b in ends}
            works[parting] = work
    for name, walls in blades.items():
        width = works[name].tool.limits.get("width_mm", 0.0)
        near = {
            a.id for a, b in edges if b.id in walls and a.curve.length() <= width and a.id in best
        }
        for other in [n for n in given if _digs(works[n].tool)]:
            mine = near & given[other]
            if mine:
                mine = shares.reached(works[name], {s: best[s] - _ALIKE for s in mine})
                given[other] -= mine
                given.setdefault(name, set()).update(mine)
                if mine and is_pointed(works[other].tool):
                    _to_sturdy(other, given, works, shares, best)


def _to_sturdy(
    name: str,
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    best: dict[str, float],
) -> None:
    """All that a pointed corner still has to the sturdiest one of its hand that takes all of it."""
    takes, hand = set(given[name]), works[name].tool.hand
    least = {s: best[s] - _ALIKE for s in takes if s in best}
    for work in sorted(shares.removal.works, key=lambda w: (w.tool.weight, w.tool.name)):
        tool = work.tool
        if (
            rank_of(tool) == 0
            and tool.hand == hand
            and not is_pointed(tool)
            and shares.reached(work, least) == takes
            and not shares.sinks(work, takes)
        ):
            given[name] = set()
            given.setdefault(tool.name, set()).update(takes)
            works[tool.name] = work
            return


def _short_neighbours(
    profile: Profile,
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    best: dict[str, float],
) -> None:
    """A blade takes short surfaces beside its own from pointed corners, as it is sunk there anyway.

    Else either would wait for what the other clears. Those round an outside corner are none.
    """
    ring = profile.outline.segments
    joined = [(a, b) for a, b in pairwise(ring) if _bends_in(a, b)]
    for name in [n for n in given if is_blade(works[n].tool)]:
        tool = works[name].tool
        near = {
            b.id
            for a, b in (*joined, *((b, a) for a, b in joined))
            if a.id in given[name] and b.curve.length() <= 2.0 * tool.limits.get("width_mm", 0.0)
        }
        for other in [n for n in given if is_pointed(works[n].tool)]:
            least = {s: best[s] - _ALIKE for s in near & given[other] if s in best}
            mine = shares.reached(works[name], least)
            given[other] -= mine
            given[name] |= mine


def _long_necks(
    profile: Profile, given: dict[str, set[str]], works: dict[str, Work], shares: Shares
) -> None:
    """Long cylinders from blades to the turning tool that gets at most of one, the best at hand.

    The blade then makes the way in alone, and cuts what that tool leaves (`rests`).
    """
    long = {
        s.id: s.curve.length()
        for s in profile.segments
        if s.surface == "outer" and abs(s.curve.start[1] - s.curve.end[1]) <= _SAME_MM
    }
    turning = [work for work in shares.removal.works if rank_of(work.tool) == 0]
    for name in [n for n in given if is_blade(works[n].tool)]:
        least_mm = LONG_NECK * works[name].tool.limits.get("width_mm", 0.0)
        for neck in [s for s in given[name] if long.get(s, 0.0) > least_mm]:
            able = [work for work in turning if shares.reached(work, {neck: CUT_SHARE})]
            _pass_on(neck, name, able, given, works)


def _edges(profile: Profile) -> list[tuple[Segment, Segment]]:
    """Chamfers of the outside, each with the steep wall or end at its lower rim."""
    found = []
    for a, b in pairwise(profile.outline.segments):
        for edge, wall in ((a, b), (b, a)):
            rim = min(edge.curve.start, edge.curve.end, key=lambda p: p[1])
            top = max(wall.curve.start, wall.curve.end, key=lambda p: p[1])
            steep = abs(wall.curve.start[0] - wall.curve.end[0]) <= _SAME_MM
            if _is_chamfer(edge) and steep and math.dist(rim, top) <= _SAME_MM:
                found.append((edge, wall))
    return found


def _is_chamfer(segment: Segment) -> bool:
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    slanted = abs(z0 - z1) > _SAME_MM and abs(r0 - r1) > _SAME_MM
    return segment.surface == "outer" and isinstance(segment.curve, Line) and slanted


def _at(segment: Segment, z: float) -> bool:
    return abs(segment.curve.start[0] - z) <= _SAME_MM


def _digs(tool: Tool) -> bool:
    return tool.access == "outer" and not is_blade(tool)


def _bends_in(a: Segment, b: Segment) -> bool:
    """Whether the empty side lies within the corner between neighbours, or there is none."""
    (z0, r0), (z1, r1) = a.curve.direction(1.0), b.curve.direction(0.0)
    return z0 * r1 - r0 * z1 <= _SAME_MM


def sturdier(
    profile: Profile,
    given: dict[str, set[str]],
    works: dict[str, Work],
    shares: Shares,
    best: dict[str, float],
    faced: Collection[str],
) -> None:
    """Runs of surfaces that a pointed corner was given, to a sturdy one at hand that takes all.

    A run with a fillet that only the pointed one makes stays whole: two tools leave a line. The
    end that is `faced` is none of a run.
    """
    for name in [n for n in given if is_pointed(works[n].tool)]:
        tool = works[name].tool
        others = sorted(
            (n for n in given if n != name and _turns_like(works[n].tool, tool)),
            key=lambda n: (works[n].tool.weight, n),
        )
        ends = [{s} for s in given[name] if s in faced]
        for run in [*ends, *_runs(profile, given[name] - set(faced))]:
            least = {s: best[s] - _ALIKE for s in run if s in best}
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
