"""Who takes the bulk of the outside: a sturdy corner before a pointed one finishes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from turnability.half_plane.regions import Region, box, nothing
from turnability.part.model import Profile
from turnability.reach.removal import Removal, Work, fixed_point
from turnability.reach.stock import Standing
from turnability.setups.surfaces.fresh import Fresh
from turnability.shop.model import Tool
from turnability.shop.told_apart import POINTED_TAKES_MM, is_pointed, is_sturdy


def bar_outside(profile: Profile, bar_mm: float) -> Region:
    """What a bar of that diameter has beyond the part's largest one, along the part (r >= 0)."""
    out = profile.max_diameter_mm / 2.0
    return box(0.0, out, profile.length_mm, bar_mm / 2.0) if bar_mm / 2.0 > out else nothing()


def rougher_of(removal: Removal, chosen: Sequence[Tool], stock: Region, bar: Region) -> Work | None:
    """The sturdiest corner that gets at what is too thick for the pointed ones chosen, if any.

    `stock` is what stands before the setup (r >= 0), `bar` what the bar has beyond the part.
    """
    pointed = [tool for tool in chosen if is_pointed(tool)]
    if not pointed:
        return None
    stock = stock | bar
    for work in sorted(removal.works, key=lambda work: (work.tool.weight, work.tool.name)):
        tool = work.tool
        if tool.weight >= min(one.weight for one in pointed):
            break
        if is_sturdy(tool) and _too_thick(work.swept & stock):
            return work
    return None


class Rest:
    """Stock that still stands when those sturdy corners have been along that go before others.

    It is worked out no closer than it takes to answer what is asked of it.
    """

    def __init__(self, fresh: Fresh, given: Iterable[Work], bar: Region) -> None:
        self._fresh = fresh
        self._first = [w for w in given if is_sturdy(w.tool) and w.tool.hand != "left"]
        for work in self._first if not bar.empty else ():
            bar = bar - work.swept
        self._bar = bar

    @cached_property
    def _least(self) -> Region:
        """With all that others do meanwhile, too."""
        stock = self._fresh.standing.stock
        for work in self._first:
            stock = stock - work.swept
        return stock | self._bar

    @cached_property
    def _after_passes(self) -> Standing:
        gone, standing = nothing(), self._fresh.standing
        for work in self._first:
            gone = gone | self._fresh.passes(work).all_swept()
        return standing.without(gone & standing.stock)

    @cached_property
    def _exactly(self) -> Region:
        return fixed_point([work.asked for work in self._first], self._after_passes)[0].stock

    def is_too_thick(self, pointed: Work) -> bool:
        """Whether a pointed corner meets more than it may take."""
        swept = pointed.swept
        if _too_thick(swept & self._least):
            return True
        if not _too_thick(swept & (self._after_passes.stock | self._bar)):
            return False
        return _too_thick(swept & (self._exactly | self._bar))


def _too_thick(stock: Region) -> bool:
    return not stock.grown(-POINTED_TAKES_MM / 2.0).empty
