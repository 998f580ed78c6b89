"""Who takes the bulk of the outside: a sturdy corner before a pointed one finishes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from turnability.half_plane.regions import Region, box, nothing
from turnability.part.model import Profile
from turnability.reach.removal import Removal, Work, fixed_point
from turnability.reach.stock import at_first
from turnability.shop.model import Tool
from turnability.shop.told_apart import POINTED_TAKES_MM, is_pointed, is_sturdy


def bar_outside(profile: Profile, bar_mm: float) -> Region:
    """What a bar of that diameter has beyond the part's largest one, along the part (r >= 0)."""
    out = profile.max_diameter_mm / 2.0
    return box(0.0, out, profile.length_mm, bar_mm / 2.0) if bar_mm / 2.0 > out else nothing()


def rougher_of(
    removal: Removal, chosen: Sequence[Tool], before: Region | None, bar: Region
) -> Work | None:
    """The sturdiest corner that gets at what is too thick for the pointed ones chosen, if any.

    `before` is what setups before have removed (r >= 0), `bar` what the bar has beyond the part.
    """
    pointed = [tool for tool in chosen if is_pointed(tool)]
    if not pointed:
        return None
    stock = (removal.ground.stock if before is None else removal.ground.stock - before) | bar
    for work in sorted(removal.works, key=lambda work: (work.tool.weight, work.tool.name)):
        tool = work.tool
        if tool.weight >= min(one.weight for one in pointed):
            break
        if not is_sturdy(tool):
            continue
        if not (work.swept & stock).grown(-POINTED_TAKES_MM / 2.0).empty:
            return work
    return None


def left_by_sturdy(
    removal: Removal, given: Iterable[Work], before: Region | None, bar: Region
) -> Region:
    """Stock that still stands when those sturdy corners have been along that go before others."""
    first = [work for work in given if is_sturdy(work.tool) and work.tool.hand != "left"]
    stock = fixed_point([work.asked for work in first], at_first(removal.ground, before))[0].stock
    for work in first if not bar.empty else ():
        bar = bar - work.swept
    return stock | bar


def must_rough(pointed: Work, stock: Region) -> bool:
    """Whether a pointed corner meets stock that is too thick for it."""
    return not (pointed.swept & stock).grown(-POINTED_TAKES_MM / 2.0).empty
