"""What the tool that takes a surface leaves of it and another one gets at: a ball's back, a wall.

A surface goes to one tool that cuts nearly all of it (`assigned`). Of a long arc or of a wide face
the rest is a ring that somebody must cut as well: a second tool takes the same surface then.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.part.model import Profile
from turnability.reach.removal import Removal, Work
from turnability.setups.surfaces.cuts import SAMPLES
from turnability.setups.surfaces.shares import CUT_SHARE, Shares, rank_of
from turnability.shop.told_apart import is_blade, is_reamer

LEAST_MM = 1.0
"""Less than this along a surface is no work for another tool (our choice): a nose rounds it off."""
BESIDE_MM = 2.0

Places = NDArray[np.bool_]


def rests(
    profile: Profile,
    given: Mapping[str, set[str]],
    works: Mapping[str, Work],
    shares: Shares,
    later: Sequence[Removal] = (),
    begun: Collection[str] = (),
    close: Collection[str] = (),
    spared: Collection[str] = (),
) -> tuple[list[tuple[Work, set[str]]], frozenset[str]]:
    """Tools with the surfaces of which they cut what those leave that take them, best first.

    Tools that are given something anyway come before others, sturdy ones before blades. And those
    surfaces of which the same tool cuts the rest in a chucking `later`: a bore from its other end.
    Those `begun` in one before are at their rest. An outside is not left to it where a tool that
    has work here gets at the rest, or any where it is `close`: that would leave a line. `spared`
    are drills that would spoil something.
    """
    missing = _missing(profile, given, works, shares)
    from_inside = {s for n, takes in given.items() if _from_inside(works[n]) for s in takes}
    missing &= np.array([s not in begun for s in shares.samples.ids])[:, None]
    own = [work for name, work in works.items() if given.get(name)]
    outer = {s.id for s in profile.segments if s.surface == "outer"}
    kept = {s: shares.removal.works if s in close else own for s in outer} if later else {}
    postponed = _postponed(missing, given, shares, later, kept)
    missing &= np.array([s not in postponed for s in shares.samples.ids])[:, None]
    able = [
        work
        for work in shares.removal.works
        if not is_reamer(work.tool) and work.tool.name not in spared
    ]
    return list(_taken(missing, given, shares, from_inside, able)), postponed


def _postponed(
    missing: Places,
    given: Mapping[str, set[str]],
    shares: Shares,
    later: Sequence[Removal],
    kept: Mapping[str, Sequence[Work]],
) -> frozenset[str]:
    """`kept` are the tools of this chucking that spare a surface the other one."""
    samples, found = shares.samples, set()
    for removal in later:
        for work in removal.works:
            mine = given.get(work.tool.name, set())
            for s, row in zip(samples.ids, missing, strict=True):
                if s in mine and row.any() and s not in found:
                    n = samples.ids.index(s)
                    if _gets_at(work, row, shares, n) and not any(
                        _gets_at(here, row, shares, n) for here in kept.get(s, ())
                    ):
                        found.add(s)
    return frozenset(found)


def _gets_at(work: Work, row: Places, shares: Shares, n: int) -> bool:
    return not (row & ~shares.samples.within(work.swept)[n]).any()


def _from_inside(work: Work) -> bool:
    return work.tool.on_axis or work.tool.access == "inner"


def _taken(
    missing: Places,
    given: Mapping[str, set[str]],
    shares: Shares,
    from_inside: Collection[str],
    able: Sequence[Work],
) -> Iterator[tuple[Work, set[str]]]:
    inside = np.array([s in from_inside for s in shares.samples.ids])[:, None]
    while missing.any():
        found = _most(shares, missing, given, inside, able)
        if found is None:
            return
        work, cut = found
        yield work, {s for s, row in zip(shares.samples.ids, cut, strict=True) if row.any()}
        missing = missing & ~cut


def _missing(
    profile: Profile, given: Mapping[str, set[str]], works: Mapping[str, Work], shares: Shares
) -> Places:
    """Places that some tool bares and none of those that take their surface, (n, SAMPLES)."""
    samples = shares.samples
    taken = {s for takes in given.values() for s in takes}
    open_ = shares.bare & samples.asked.reshape(shares.bare.shape)
    open_ &= np.array([s in taken for s in samples.ids])[:, None]
    for name, takes in given.items():
        if takes:
            mine = np.array([s in takes for s in samples.ids])[:, None]
            open_ &= ~(mine & samples.within(works[name].swept))
    added = shares.removal.ground.added
    if added is not None:
        # beside jaws a nose leaves its own rounding: they stand a little off in truth
        open_ &= ~samples.within(added.region.grown(BESIDE_MM, "round"))
    lengths = {s.id: s.curve.length() for s in profile.segments}
    long = [
        n * lengths[s] / SAMPLES >= LEAST_MM
        for s, n in zip(samples.ids, open_.sum(axis=1), strict=True)
    ]
    found: Places = open_ & np.array(long)[:, None]
    return found


def _most(
    shares: Shares,
    missing: Places,
    given: Mapping[str, set[str]],
    inside: Places,
    able: Sequence[Work],
) -> tuple[Work, Places] | None:
    """Who cuts most of the places, with those: a bar what a bar or a drill left, and so outside."""

    def wanted(work: Work) -> Places:
        mine: Places = missing & (inside if _from_inside(work) else ~inside)
        return mine

    def first(work: Work) -> tuple[int, bool, bool, int, float, str]:
        tool, hope = work.tool, shares.samples.within(work.asked.most()) & wanted(work)
        own = bool(given.get(tool.name))
        return (-int(hope.sum()), not own, is_blade(tool), rank_of(tool), tool.weight, tool.name)

    best: tuple[Work, Places] | None = None
    hopes = sorted(((first(work), work) for work in able), key=lambda one: one[0])
    for (hope, *_), work in hopes:
        if best is not None and -hope <= best[1].sum():
            break
        cut = shares.samples.within(work.swept) & wanted(work)
        if work.tool.on_axis:
            # a drill's corner touches a taper in passing
            cut = cut & (shares.of(work) >= CUT_SHARE)[:, None]
        if cut.any() and (best is None or cut.sum() > best[1].sum()):
            best = work, cut
    return best
