"""Bores that are bored: which drills leave a bar something of them, and where none does.

A drill of a bore's own size leaves nothing. It is run where bars do not get along all of the bore,
and then they are not: what they would cut is gone, and the rest they don't get at.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

import numpy as np
from numpy.typing import NDArray

from turnability.part.model import Segment
from turnability.reach.removal import Work
from turnability.setups.chucking import Chucking
from turnability.setups.cuts import SAMPLES
from turnability.setups.drilling import (
    LEFT_TO_BORE_MM,
    TO_SIZE_MM,
    diameter_of,
    follows_drill,
    is_bore,
    is_twist,
)
from turnability.setups.rests import LEAST_MM
from turnability.setups.roughing import is_blade
from turnability.setups.shares import CUT_SHARE
from turnability.setups.sharing import Sharing

_SAME_MM = 1e-3


def bored_later(chucking: Chucking, reamed_ids: Collection[str]) -> list[float]:
    """Diameters of the fine bores that a bar finishes, so that a slot drill leaves of them.

    Where none gets in and along it, the widest makes the floor whole; what a reamer is left,
    `spoils` says.
    """
    shares, works = chucking.shares, chucking.shares.removal.works
    drills = [diameter_of(work.tool) for work in works if is_twist(work.tool)]
    bars = [work for work in works if work.tool.access == "inner"]
    found: list[float] = []
    for segment in chucking.profile.segments:
        if segment.id not in chucking.wishes.fine or not is_bore(segment):
            continue
        d = 2.0 * segment.curve.start[1]
        if segment.id in reamed_ids or _unbored(chucking, segment, bars).any():
            continue
        if any(
            shares.reached(bar, {segment.id: CUT_SHARE})
            and follows_drill(bar.tool, d, drills, chucking.standing)
            for bar in bars
        ):
            found.append(d)
    return found


def drilled_alone(chucking: Chucking, sharing: Sharing) -> None:
    """Bores of which bars leave something that a drill of their size gets at, to that alone."""
    samples, works = chucking.shares.samples, chucking.shares.removal.works
    drills = [w for w in works if w.tool.kind == "drill" and w.tool.name not in sharing.spared]
    for segment in filter(is_bore, chucking.profile.segments):
        d, n = 2.0 * segment.curve.start[1], samples.ids.index(segment.id)
        bars = [m for m, takes in sharing.given.items() if segment.id in takes]
        bars = [m for m in bars if _is_bar(sharing.works[m])]
        sized = [w for w in drills if abs(diameter_of(w.tool) - d) <= TO_SIZE_MM] if bars else []
        if not sized:
            continue
        missing = _unbored(chucking, segment, works)
        if not missing.any():
            continue
        asked = missing.copy()
        for m in bars:
            asked |= samples.within(sharing.works[m].swept)[n] & chucking.shares.bare[n]
        able = [w for w in sized if not (asked & ~samples.within(w.swept)[n]).any()]
        if able:
            best = min(able, key=lambda w: (not is_twist(w.tool), w.tool.name))
            for m in bars:
                sharing.given[m].discard(segment.id)
            sharing.given.setdefault(best.tool.name, set()).add(segment.id)
            sharing.works[best.tool.name] = best


def _unbored(chucking: Chucking, segment: Segment, works: Iterable[Work]) -> NDArray[np.bool_]:
    """Places of a bore (SAMPLES,) that none of the bars gets at, nor any in chuckings later.

    None where that is little, or where the bore was begun in one before.
    """
    shares, samples = chucking.shares, chucking.shares.samples
    n = samples.ids.index(segment.id)
    missing: NDArray[np.bool_] = shares.bare[n] & samples.asked.reshape(shares.bare.shape)[n]
    later = (work for removal in chucking.later for work in removal.works)
    for work in (*works, *later):
        if _is_bar(work) and missing.any():
            missing = missing & ~samples.within(work.swept)[n]
    little = missing.sum() * segment.curve.length() / SAMPLES < LEAST_MM
    return np.zeros_like(missing) if little or segment.id in chucking.begun else missing


def _is_bar(work: Work) -> bool:
    return work.tool.access == "inner" and not work.tool.on_axis and not is_blade(work.tool)


def cones_of_narrower_drills(chucking: Chucking, sharing: Sharing) -> None:
    """What a drill's point makes beyond a fine bore, to one that leaves a bar something of that."""
    straight = [s for s in chucking.profile.segments if is_bore(s)]
    own = {s.id for s in straight}
    fine = {2.0 * s.curve.start[1] for s in straight if s.id in chucking.wishes.fine}
    twist = [w for w in chucking.shares.removal.works if is_twist(w.tool)]
    before_reamers = {one.drill.tool.name for one in sharing.reamed if one.drill is not None}
    for name in [n for n in sharing.given if is_twist(sharing.works[n].tool)]:
        if name in before_reamers:
            continue
        d, takes = diameter_of(sharing.works[name].tool), set(sharing.given[name])
        bores = [b for b in fine if b - LEFT_TO_BORE_MM < d <= b + TO_SIZE_MM]
        if not bores or not takes or takes & own:
            continue
        least = dict.fromkeys(takes, CUT_SHARE)
        most = min(bores) - LEFT_TO_BORE_MM + _SAME_MM
        able = [
            w
            for w in twist
            if diameter_of(w.tool) <= most and chucking.shares.reached(w, least) == takes
        ]
        if able:
            best = max(able, key=lambda w: (diameter_of(w.tool), w.tool.name))
            sharing.pass_on(takes, name, [best])
