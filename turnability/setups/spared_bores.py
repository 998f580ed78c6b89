"""Fine bores that are bored: which drills leave a bar something of them."""

from __future__ import annotations

from collections.abc import Collection

from turnability.setups.chucking import Chucking
from turnability.setups.drilling import (
    LEFT_TO_BORE_MM,
    TO_SIZE_MM,
    diameter_of,
    follows_drill,
    is_bore,
    is_twist,
)
from turnability.setups.shares import CUT_SHARE
from turnability.setups.sharing import Sharing

_SAME_MM = 1e-3


def bored_later(chucking: Chucking, reamed_ids: Collection[str]) -> list[float]:
    """Diameters of the fine bores that a bar finishes, so that a slot drill leaves of them.

    Where none gets in, the widest makes the floor whole; what a reamer is left, `spoils` says.
    """
    shares, works = chucking.shares, chucking.shares.removal.works
    drills = [diameter_of(work.tool) for work in works if is_twist(work.tool)]
    bars = [work for work in works if work.tool.access == "inner"]
    found: list[float] = []
    for segment in chucking.profile.segments:
        if segment.id not in chucking.wishes.fine or not is_bore(segment):
            continue
        d = 2.0 * segment.curve.start[1]
        if segment.id not in reamed_ids and any(
            shares.reached(bar, {segment.id: CUT_SHARE})
            and follows_drill(bar.tool, d, drills, chucking.standing)
            for bar in bars
        ):
            found.append(d)
    return found


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
