"""Bores that are bored: which drills leave a bar something of them, and where none does.

A drill of a bore's own size leaves nothing. It is run where bars do not get along all of the bore,
and then they are not: what they would cut is gone, and the rest they don't get at.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.regions import Region, box, nothing
from turnability.part.model import Segment
from turnability.reach.removal import Work
from turnability.setups.bores.drilling import LEFT_TO_BORE_MM, TO_SIZE_MM, follows_drill
from turnability.setups.bores.inside_blades import FLOOR_MM, NOOK_MM
from turnability.setups.bores.reaming import FINISHED_SHARE
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.cuts import SAMPLES, thick
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.rests import LEAST_MM
from turnability.setups.surfaces.shares import CUT_SHARE
from turnability.setups.surfaces.sharing import Sharing
from turnability.shop.model import Tool
from turnability.shop.told_apart import diameter_of, is_bar, is_flat, is_twist

_SAME_MM = 1e-3


def finely_bored(
    chucking: Chucking, reamed_ids: Collection[str]
) -> tuple[list[float], list[float]]:
    """Diameters of the fine bores that bars finish: here, and in chuckings later.

    None of these where a bore of that size is to be cut here that no bar gets along.
    """
    bores = [(s, 2.0 * s.curve.start[1]) for s in chucking.profile.segments if is_bore(s)]
    fine = [(s, d) for s, d in bores if s.id in chucking.wishes.fine and s.id not in reamed_ids]
    here = [d for s, d in fine if _bored_whole(chucking, s)]
    later = {d for s, d in fine if _bored_in_one_later(chucking, s)}
    shares = chucking.shares
    bars = [w for w in shares.removal.works if later and is_bar(w.tool)]
    for s, d in bores:
        same = {one for one in later if abs(one - d) <= TO_SIZE_MM}
        asked = {s.id: CUT_SHARE} if same and s.id in chucking.wanted else {}
        if asked and not any(shares.reached(bar, asked) for bar in bars):
            later -= same
    return here, sorted(later)


def leave_no_bar_anything(
    chucking: Chucking, here: Sequence[float], later: Sequence[float]
) -> frozenset[str]:
    """Drills, by name, that are not run as a bar finishes fine bores of these diameters.

    Slot drills for what a bar finishes here: where it does not, the widest makes the floor whole.
    Of what bars finish in chuckings later, any drill. What a reamer is left, `spoils` says.
    """
    drills = [w.tool for w in chucking.shares.removal.works if w.tool.kind == "drill"]
    return frozenset(
        tool.name
        for tool in drills
        if _leaves_nothing(tool, later) or (is_flat(tool) and _leaves_nothing(tool, here))
    )


def _leaves_nothing(drill: Tool, bores_mm: Iterable[float]) -> bool:
    d = diameter_of(drill)
    return any(b - LEFT_TO_BORE_MM + _SAME_MM < d <= b + TO_SIZE_MM for b in bores_mm)


def _bored_whole(chucking: Chucking, bore: Segment) -> bool:
    """Whether a bar finishes it, and something else than a slot drill of its size its floor."""
    shares, works = chucking.shares, chucking.shares.removal.works
    d = 2.0 * bore.curve.start[1]
    able = any(
        shares.reached(work, {bore.id: CUT_SHARE})
        for work in _led_in(chucking, bore, works)
        if is_bar(work.tool)
    )
    if not able or _unbored(chucking, bore, works).any():
        return False
    flats = [w for w in works if is_flat(w.tool) and _leaves_nothing(w.tool, [d])]
    others = [w for w in works if w not in flats and (w.tool.on_axis or w.tool.access == "inner")]
    floor = floor_beside(chucking, bore)
    for flat in flats:
        rest = flat.swept & floor
        for work in others:
            if not thick(rest):
                break
            rest = rest - work.swept
        if thick(rest):
            return False
    return True


def floor_beside(chucking: Chucking, bore: Segment) -> Region:
    """What lies just over the flat floor of a bore, but for its rim; nothing where it has none."""
    z = (min if chucking.toward == "low" else max)(bore.curve.start[0], bore.curve.end[0])
    r = bore.curve.start[1]
    for s in chucking.profile.segments:
        (z0, r0), (z1, r1) = s.curve.start, s.curve.end
        if s.surface == "end" and max(abs(z0 - z), abs(z1 - z), abs(max(r0, r1) - r)) <= _SAME_MM:
            up = FLOOR_MM if chucking.toward == "low" else -FLOOR_MM
            return box(min(z, z + up), min(r0, r1), max(z, z + up), max(r - NOOK_MM, min(r0, r1)))
    return nothing()


def _bored_in_one_later(chucking: Chucking, bore: Segment) -> bool:
    """Whether a later chucking has a bar for a fine bore, of which this one is to cut nothing."""
    if bore.id in chucking.wanted or bore.id in chucking.begun:
        return False
    samples = chucking.shares.samples
    n = samples.ids.index(bore.id)
    return any(
        samples.shares(samples.within(work.swept))[n] >= FINISHED_SHARE
        for removal in chucking.later
        for work in removal.works
        if is_bar(work.tool)
    )


def _led_in(chucking: Chucking, bore: Segment, works: Iterable[Work]) -> Iterator[Work]:
    """Those that a drill lets into this bore and leaves something of it, or that find it open."""
    twist = [w.tool for w in chucking.shares.removal.works if is_twist(w.tool)]
    d, drills = 2.0 * bore.curve.start[1], [diameter_of(tool) for tool in twist]
    return (w for w in works if follows_drill(w.tool, d, drills, chucking.standing))


def drilled_alone(chucking: Chucking, sharing: Sharing) -> None:
    """Bores of which bars leave something that a drill of their size gets at, to that alone.

    And those that such a drill goes through on its way to what it takes further down. Where no
    other lets a bar in, that has what its point leaves.
    """
    samples, works = chucking.shares.samples, chucking.shares.removal.works
    drills = [w for w in works if w.tool.kind == "drill" and w.tool.name not in sharing.spared]
    bores = [s for s in chucking.profile.segments if is_bore(s)]
    # the deepest first: what drills one goes through the others
    bores.sort(key=lambda s: s.curve.at(0.5)[0] * (1.0 if chucking.toward == "low" else -1.0))
    for segment in bores:
        d, n = 2.0 * segment.curve.start[1], samples.ids.index(segment.id)
        bars = [m for m, takes in sharing.given.items() if segment.id in takes]
        bars = [m for m in bars if is_bar(sharing.works[m].tool)]
        sized = [w for w in drills if abs(diameter_of(w.tool) - d) <= TO_SIZE_MM] if bars else []
        if not sized:
            continue
        asked = _unbored(chucking, segment, works)
        led = bool(list(_led_in(chucking, segment, [sharing.works[m] for m in bars])))
        if not asked.any():
            sized, led = [w for w in sized if sharing.given.get(w.tool.name)], True
        for m in bars:
            asked = asked | (samples.within(sharing.works[m].swept)[n] & chucking.shares.bare[n])
        able = [w for w in sized if not (asked & ~samples.within(w.swept)[n]).any()]
        if able:
            best = min(able, key=lambda w: (not is_twist(w.tool), w.tool.name))
            for m in bars:
                sharing.given[m].discard(segment.id)
        elif not led and any(is_twist(w.tool) for w in sized):
            best = min((w for w in sized if is_twist(w.tool)), key=lambda w: w.tool.name)
        else:
            continue
        sharing.given.setdefault(best.tool.name, set()).add(segment.id)
        sharing.works[best.tool.name] = best
    _gone_through(chucking, sharing, bores)


def _gone_through(chucking: Chucking, sharing: Sharing, bores: Iterable[Segment]) -> None:
    """Fine bores of chuckings later that a drill of their size makes here by the way: its own."""
    ids = chucking.wishes.fine - set(chucking.wanted) - set(chucking.begun)
    for name in [n for n, takes in sharing.given.items() if takes]:
        work = sharing.works[name]
        if not is_twist(work.tool):
            continue
        size = diameter_of(work.tool)
        own = [s for s in bores if abs(2.0 * s.curve.start[1] - size) <= TO_SIZE_MM]
        least = {s.id: FINISHED_SHARE for s in own if s.id in ids}
        if least:
            sharing.given[name] |= chucking.shares.reached(work, least)


def _unbored(chucking: Chucking, segment: Segment, works: Iterable[Work]) -> NDArray[np.bool_]:
    """Places of a bore (SAMPLES,) that no bar let in gets at, nor any in chuckings later.

    None where that is little, or where the bore was begun in one before.
    """
    shares, samples = chucking.shares, chucking.shares.samples
    n = samples.ids.index(segment.id)
    missing: NDArray[np.bool_] = shares.bare[n] & samples.asked.reshape(shares.bare.shape)[n]
    later = [work for removal in chucking.later for work in removal.works]
    for work in _led_in(chucking, segment, (*works, *later)):
        if is_bar(work.tool) and missing.any():
            missing = missing & ~samples.within(work.swept)[n]
    little = missing.sum() * segment.curve.length() / SAMPLES < LEAST_MM
    return np.zeros_like(missing) if little or segment.id in chucking.begun else missing


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
