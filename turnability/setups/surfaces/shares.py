"""What share of each segment each tool of a setup cuts."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import compress, groupby

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.regions import Region, nothing
from turnability.reach.removal import Removal, Work
from turnability.setups.surfaces.cuts import Samples
from turnability.setups.surfaces.sinking import is_left, sunk_by
from turnability.shop.model import Tool
from turnability.shop.told_apart import is_blade

Array = NDArray[np.float64]
TURNING, BARS, DRILLS, BLADES, PARTING = range(5)
"""The ranks of tools (`rank_of`)."""
CUT_SHARE = 0.5
"""A segment counts as cut by a tool that touches at least this share of its places."""
_ALIKE = 0.1
_TOUCHED_MM = 0.0025
"""Deeper than this no tool sweeps at the end into stock that stays (touching is up to 1 µm)."""


@dataclass(frozen=True, eq=False)
class Shares:
    """For each tool of a setup the share of each segment's places that it cuts, told when asked.

    Shares are (len(samples.ids),) each, in their order.
    """

    samples: Samples
    removal: Removal
    _hopes: dict[int, Array] = field(default_factory=dict)

    def of(self, work: Work) -> Array:
        """Shares of one tool."""
        return self.samples.shares(self.samples.within(work.swept))

    def most(self, work: Work) -> Array:
        """No less than its shares, and quicker to tell: what it cuts where no stock stands."""
        region = work.asked.most()
        known = self._hopes.get(id(region))
        if known is None:
            within = self.samples.within(region) & self.bare  # which keeps the region
            known = self._hopes[id(region)] = self.samples.shares(within)
        return known

    @cached_property
    def utmost(self) -> Array:
        """No less than the shares of any tool: where no stock stays."""
        return self.samples.shares(self.bare)

    @cached_property
    def bare(self) -> NDArray[np.bool_]:
        """At which places no stock stays, (len(samples.ids), SAMPLES)."""
        return ~self.samples.within(self.left)

    @cached_property
    def left(self) -> Region:
        """Stock that stays, but for what is only touched: tools sweep that at the end."""
        return self.removal.stock.grown(-_TOUCHED_MM, "mitre")

    def may_exceed(self, work: Work, shares: Array) -> bool:
        """Whether it might cut more of some segment than that share."""
        return self._is_near(work, shares < self.utmost) and bool((self.most(work) > shares).any())

    def may_reach(self, work: Work, least: Array) -> int:
        """No less than the number of segments that it cuts at least to that share."""
        if not self._is_near(work, np.isfinite(least)):
            return 0
        return int((self.most(work) >= least).sum())

    def _is_near(self, work: Work, segments: NDArray[np.bool_]) -> bool:
        return bool((self._near[id(work)] & segments).any())

    @cached_property
    def _near(self) -> dict[int, NDArray[np.bool_]]:
        # by tool, whose places reach into the box about all that it cuts unhindered
        points = self.samples.points.reshape(len(self.samples.ids), -1, 2)
        low, high = points.min(axis=1), points.max(axis=1)
        works = self.removal.works
        boxes = np.array([work.asked.most_box() for work in works]).reshape(-1, 1, 4)
        near = (boxes[..., :2] < high) & (low < boxes[..., 2:])
        return {id(work): one for work, one in zip(works, near.all(axis=2), strict=True)}

    def reaches(self, work: Work, least: Array) -> NDArray[np.bool_]:
        """Which segments it cuts at least to that share, infinite for those not asked for."""
        if not self.may_reach(work, least):
            return np.zeros(len(least), dtype=bool)
        reaches: NDArray[np.bool_] = self.of(work) >= least
        return reaches

    def reached(self, work: Work, least: Mapping[str, float]) -> set[str]:
        """The same by the segments' ids; those not named are not asked for."""
        wanted = np.array([least.get(name, np.inf) for name in self.samples.ids])
        return set(compress(self.samples.ids, self.reaches(work, wanted)))

    def sinks(self, work: Work, names: Collection[str]) -> set[str]:
        """Those of these segments that it cuts in good part only where it is sunk into the full.

        None for left-hand corners, that come after what opens the way for them.
        """
        sunk = sunk_by(work) if names and not is_left(work.tool) else nothing()
        if sunk.empty:
            return set()
        within = self.samples.within(work.swept) & self.samples.within(sunk)
        some = self.samples.shares(within) > _ALIKE
        return set(compress(self.samples.ids, some)).intersection(names)

    def by_rank(self) -> Iterator[list[Work]]:
        """The setup's tools, those that are asked first first."""
        works = sorted(self.removal.works, key=lambda work: rank_of(work.tool))
        for _, alike in groupby(works, key=lambda work: rank_of(work.tool)):
            yield list(alike)

    def cut(self, but: Collection[str] = (), least: float = CUT_SHARE) -> frozenset[str]:
        """Segments, but for those, of which some tool cuts this share: most of their length."""
        open_ = (self.utmost >= least) & [name not in but for name in self.samples.ids]
        cut = np.zeros(len(open_), dtype=bool)
        # who took stock away most likely cut what lay under it
        for work in sorted(self.removal.works, key=lambda w: (w.gained == 0.0, rank_of(w.tool))):
            if not open_.any():
                break
            if (open_ & (self.most(work) >= least)).any():
                mine = open_ & (self.of(work) >= least)
                cut |= mine
                open_ &= ~mine
        return frozenset(compress(self.samples.ids, cut))


def rank_of(tool: Tool) -> int:
    """Who is asked first: turning tools, bars, then drills, and blades only for the rest."""
    if is_blade(tool):
        return PARTING if "part" in tool.kind else BLADES
    return DRILLS if tool.on_axis else TURNING if tool.access == "outer" else BARS
