"""Which tool of a setup takes which surface: few tools, sturdy ones, a groove to one blade."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from itertools import compress, groupby
from typing import Any

import numpy as np
from numpy.typing import NDArray

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
from turnability.setups.operations.passed_on import (
    broken_edges,
    long_necks,
    not_sunk,
    short_neighbours,
    whole_grooves,
)
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.shares import BLADES, CUT_SHARE, Array, rank_of
from turnability.setups.surfaces.sharing import ALIKE, Sharing
from turnability.shop.model import Tool
from turnability.shop.told_apart import (
    diameter_of,
    is_blade,
    is_flat,
    is_reamer,
    is_twist,
)


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
        # who took most stock away most likely cuts most
        for work in sorted(alike, key=lambda work: -work.gained):
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
    not_sunk(chucking, sharing)
    whole_grooves(chucking, sharing)
    flat_floors(chucking, sharing)
    bored_far(chucking, sharing)
    drilled_alone(chucking, sharing)
    broken_edges(chucking, sharing)
    long_necks(chucking, sharing)
    _drop_idle(sharing)
    short_neighbours(chucking, sharing)
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
        if best is not None and best[0][0] and (best[0][2] or rank >= BLADES):
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
