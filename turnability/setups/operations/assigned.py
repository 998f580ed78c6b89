"""Which tool of a setup takes which surface: few tools, sturdy ones, a groove to one blade."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from itertools import compress, groupby, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnability.part.model import Profile, Segment
from turnability.reach.removal import Work
from turnability.setups.bores.drilling import TO_SIZE_MM, countersunk, drilled, follows_drill
from turnability.setups.bores.ground_bores import drilled_to_grind
from turnability.setups.bores.inside_blades import bored_far, flat_floors
from turnability.setups.bores.reaming import reamed, spoils
from turnability.setups.bores.spared_bores import (
    cones_of_narrower_drills,
    drilled_alone,
    finely_bored,
    leave_no_bar_anything,
)
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.edges import edges_at_walls, is_at, is_chamfer
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.shares import CUT_SHARE, Array, rank_of
from turnability.setups.surfaces.sharing import ALIKE, Sharing
from turnability.setups.surfaces.sinking import is_left
from turnability.shop.model import Tool
from turnability.shop.told_apart import (
    diameter_of,
    is_blade,
    is_flat,
    is_pointed,
    is_reamer,
    is_twist,
)

_SAME_MM = 1e-3
_BARS, _BLADES = 1, 3
"""The rank of boring bars, and that from which on it is blades (`rank_of`)."""
LONG_NECK = 5.0
"""More than this many widths of its blade a neck is turned (our choice; a blade chatters along)."""


def assigned(chucking: Chucking) -> Sharing:
    """Every wanted segment to a tool that cuts (nearly) most of it, with few tools in all.

    Of bores, and of segments begun in a setup before, it may be little that is cut.
    """
    profile, shares, wishes = chucking.profile, chucking.shares, chucking.wishes
    wanted_ids = set(chucking.wanted)
    given: dict[str, set[str]] = {}
    works: dict[str, Work] = {}
    reams = tuple(reamed(chucking, wanted_ids))
    here, later = finely_bored(chucking, {s for one in reams for s in one.segments})
    kept_mm = (*here, *later, *(diameter_of(one.work.tool) for one in reams))
    for work, names in drilled(profile, shares, wanted_ids - wishes.fine, kept_mm):
        given[work.tool.name], works[work.tool.name] = names, work
        wanted_ids -= names
    for work, names in countersunk(profile, shares, wanted_ids - wishes.fine):
        given[work.tool.name], works[work.tool.name] = names, work
        wanted_ids -= names
    for one in reams:
        given.setdefault(one.work.tool.name, set()).update(one.segments)
        works[one.work.tool.name] = one.work
        if one.drill is not None:
            given.setdefault(one.drill.tool.name, set()).update(one.by_drill & wanted_ids)
            works[one.drill.tool.name] = one.drill
        if one.bar is not None:
            works[one.bar.tool.name] = one.bar
        wanted_ids -= one.segments | one.by_drill
    to_grind, too_wide = drilled_to_grind(chucking, wanted_ids)
    for work, names in to_grind:
        given.setdefault(work.tool.name, set()).update(names)
        works[work.tool.name] = work
        wanted_ids -= names
    ids = shares.samples.ids
    asked_for = np.array([s in wanted_ids for s in ids])
    most = np.where(asked_for, 0.0, np.inf)
    spared = spoils(chucking, reams) | too_wide
    spared |= leave_no_bar_anything(chucking, here, later)
    drills = [diameter_of(work.tool) for work in shares.removal.works if is_twist(work.tool)]

    def may(tool: Tool) -> bool:
        if tool.name in spared:
            return False
        # a reamer goes through nothing but what `reamed` says, where a drill makes that size
        sized = is_reamer(tool) and any(abs(d - diameter_of(tool)) <= TO_SIZE_MM for d in drills)
        return not sized

    for ranked in shares.by_rank():
        if (most >= shares.utmost).all():
            break  # nobody cuts more, and those asked later are given only what is left
        alike = [work for work in ranked if may(work.tool)]
        works |= {work.tool.name: work for work in alike}
        for work in alike:
            if shares.may_exceed(work, most):
                most = np.maximum(most, shares.of(work))
    inner = {s.id for s in profile.segments if s.surface == "inner"}
    rest = np.array([s in chucking.begun or s in inner for s in ids])
    open_ = asked_for & ((most >= CUT_SHARE) | (rest & (most > ALIKE)))
    bores = {s.id: 2.0 * s.curve.start[1] for s in profile.segments if is_bore(s)}
    standing = chucking.standing

    def follows(tool: Tool, takes: Collection[str]) -> bool:
        through = min((bores[s] for s in takes if s in bores), default=None)
        return through is None or follows_drill(tool, through, drills, standing)

    ranked_works = sorted(works.values(), key=lambda work: rank_of(work.tool))
    while open_.any():
        least = np.where(open_, most - ALIKE, np.inf)
        name, takes = _best(chucking, ranked_works, least, follows)
        given[name] = given.get(name, set()) | set(compress(ids, takes))
        open_ &= ~takes
    best = {s: float(most[n]) for n, s in enumerate(ids) if asked_for[n]}
    sharing = Sharing(given, works, best, reams, spared)
    cones_of_narrower_drills(chucking, sharing)
    _not_sunk(chucking, sharing)
    _whole_grooves(chucking, sharing)
    flat_floors(chucking, sharing)
    bored_far(chucking, sharing)
    drilled_alone(chucking, sharing)
    _broken_edges(chucking, sharing)
    _long_necks(chucking, sharing)
    _drop_idle(sharing)
    _short_neighbours(chucking, sharing)
    _drop_idle(sharing)
    return sharing


def _drop_idle(sharing: Sharing) -> None:
    kept = {one.drill.tool.name for one in sharing.reamed if one.drill is not None}
    sharing.given = {name: takes for name, takes in sharing.given.items() if takes or name in kept}


def _best(
    chucking: Chucking,
    works: Iterable[Work],
    least: Array,
    follows: Callable[[Tool, Collection[str]], bool],
) -> tuple[str, NDArray[np.bool_]]:
    """Who has most merit among tools sorted by rank, and which segments it reaches."""
    shares, chosen, used = chucking.shares, chucking.chosen, chucking.used

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


def _not_sunk(chucking: Chucking, sharing: Sharing) -> None:
    """What a corner would be sunk to in the full goes to a slimmer one that comes in along it.

    Where none does, the rim of a bore that is broken from outside goes to the bar in it.
    """
    shares, given, works = chucking.shares, sharing.given, sharing.works
    bars = [works[n] for n in given if rank_of(works[n].tool) == _BARS]
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


def _whole_grooves(chucking: Chucking, sharing: Sharing) -> None:
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


def _broken_edges(chucking: Chucking, sharing: Sharing) -> None:
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
        if rank_of(work.tool) == 0
        and work.tool.hand == pointed.hand
        and not is_pointed(work.tool)
        and shares.reached(work, least) == takes
        and not shares.sinks(work, takes)
    ]
    sharing.pass_on(takes, name, able, chucking.chosen)


def _short_neighbours(chucking: Chucking, sharing: Sharing) -> None:
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


def _long_necks(chucking: Chucking, sharing: Sharing) -> None:
    """Long cylinders from blades to the turning tool that gets at most of one, the best at hand.

    The blade then makes the way in alone, and cuts what that tool leaves (`rests`).
    """
    shares, given, works = chucking.shares, sharing.given, sharing.works
    long = {
        s.id: s.curve.length()
        for s in chucking.profile.segments
        if s.surface == "outer" and abs(s.curve.start[1] - s.curve.end[1]) <= _SAME_MM
    }
    turning = [work for work in shares.removal.works if rank_of(work.tool) == 0]
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
