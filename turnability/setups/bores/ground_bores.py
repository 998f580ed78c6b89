"""Bores that are ground or honed after turning: drilled so that something is left for that."""

from __future__ import annotations

from collections.abc import Collection

from turnability.reach.removal import Work
from turnability.setups.bores.drilling import TO_SIZE_MM, follows_drill
from turnability.setups.bores.reaming import bores_along, opens
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.finer import is_bore
from turnability.shop.told_apart import diameter_of, is_twist

_SAME_MM = 1e-3


def drilled_to_grind(
    chucking: Chucking, wanted: Collection[str]
) -> tuple[list[tuple[Work, set[str]]], frozenset[str]]:
    """Such bores that no bar bores whole, with the drill that leaves enough of each.

    Of drills within the size to be turned that in its middle, else the widest below. Also the names
    of those that would leave nothing of a bore for which there is such a way.
    """
    works = chucking.shares.removal.works
    twist = [work for work in works if is_twist(work.tool)]
    drills_mm = [diameter_of(work.tool) for work in twist]
    bars = [work for work in works if work.tool.access == "inner" and not work.tool.on_axis]
    turned = dict(chucking.wishes.ground)
    found: list[tuple[Work, set[str]]] = []
    spared: set[str] = set()
    for bore in chucking.profile.segments:
        if bore.id not in turned or not is_bore(bore):
            continue
        (low, high), d = turned[bore.id], 2.0 * bore.curve.start[1]
        bored = any(
            bores_along(bar, bore) and follows_drill(bar.tool, d, drills_mm, chucking.standing)
            for bar in bars
        )
        able = [w for w in twist if diameter_of(w.tool) <= high + _SAME_MM and opens(w, [bore])]
        if bore.id in wanted and not bored and able:
            # none is above it, so that the nearest to its middle is within it, or the widest below
            middle = (low + high) / 2.0
            off = [(abs(diameter_of(w.tool) - middle), w.tool.name) for w in able]
            found.append((able[off.index(min(off))], {bore.id}))
        if bored or able:
            spared |= {
                work.tool.name
                for work in works
                if work.tool.kind == "drill"
                and high + _SAME_MM < diameter_of(work.tool) <= d + TO_SIZE_MM
            }
    return found, frozenset(spared)
