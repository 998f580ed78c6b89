"""One setup's work as a machinist would write it down: tool by tool, in a sensible order."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import compress, groupby
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.regions import Region
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.reach.removal import Removal, Work
from turnability.setups.cuts import Samples
from turnability.setups.in_order import in_order
from turnability.setups.model import Operation
from turnability.setups.roughing import is_blade, is_pointed, rougher_of
from turnability.shop.model import Tool

Array = NDArray[np.float64]
CUT_SHARE = 0.5
"""A segment counts as cut by a tool that touches at least this share of its places."""
_TOUCHED_MM = 0.0025
"""Deeper than this no tool sweeps at the end into stock that stays (touching is up to 1 µm)."""
_ALIKE = 0.1
_SAME_MM = 1e-3


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
            within = self.samples.within(region) & self._bare  # which keeps the region
            known = self._hopes[id(region)] = self.samples.shares(within)
        return known

    @cached_property
    def utmost(self) -> Array:
        """No less than the shares of any tool: where no stock stays."""
        return self.samples.shares(self._bare)

    @cached_property
    def _bare(self) -> NDArray[np.bool_]:
        # what tools sweep at the end they have removed, but for what is only touched
        return ~self.samples.within(self.removal.stock.grown(-_TOUCHED_MM, "mitre"))

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
        boxes = np.array([work.asked.most().bounds for work in works]).reshape(-1, 1, 4)
        near = (boxes[..., :2] < high) & (low < boxes[..., 2:])
        return {id(work): one for work, one in zip(works, near.all(axis=2), strict=True)}

    def reaches(self, work: Work, least: Array) -> NDArray[np.bool_]:
        """Which segments it cuts at least to that share, infinite for those not asked for."""
        if not self.may_reach(work, least):
            return np.zeros(len(least), dtype=bool)
        reaches: NDArray[np.bool_] = self.of(work) >= least
        return reaches

    def by_rank(self) -> Iterator[list[Work]]:
        """The setup's tools, those that are asked first first."""
        works = sorted(self.removal.works, key=lambda work: _rank(work.tool))
        for _, alike in groupby(works, key=lambda work: _rank(work.tool)):
            yield list(alike)

    def cut(self, but: Collection[str] = ()) -> frozenset[str]:
        """Segments, but for those, that some tool of the setup cuts over most of their length."""
        open_ = (self.utmost >= CUT_SHARE) & [name not in but for name in self.samples.ids]
        cut = np.zeros(len(open_), dtype=bool)
        # who took stock away most likely cut what lay under it
        for work in sorted(self.removal.works, key=lambda w: (w.gained == 0.0, _rank(w.tool))):
            if not open_.any():
                break
            if (open_ & (self.most(work) >= CUT_SHARE)).any():
                mine = open_ & (self.of(work) >= CUT_SHARE)
                cut |= mine
                open_ &= ~mine
        return frozenset(compress(self.samples.ids, cut))


def operations_of(
    profile: Profile,
    shares: Shares,
    toward: Toward,
    *,
    wanted: Iterable[str],
    chosen: Sequence[str],
    parting: Tool | None = None,
    parted: tuple[str, ...] = (),
    before: Region | None = None,
    asked: bool = True,
) -> tuple[Operation, ...]:
    """Give every wanted segment to a tool that cuts (nearly) most of it, with few tools in all.

    `chosen` are the tools that reach prefers; `parting` the blade that parts the work off, if any,
    and `parted` the segments that stay as it leaves them.
    A bar that opens a bore in the full needs its drilled hole: the drill stands there even where
    nothing of its own cut stays. Where a pointed corner finishes the outside and a sturdy one gets
    at stock thicker than the pointed one may take, the sturdy one roughs and faces first; `before`
    is what setups before have removed (r >= 0). Each comes when it gets there, if that is `asked`.
    """
    ids = shares.samples.ids
    wanted_ids = set(wanted)
    asked_for = np.array([s in wanted_ids for s in ids])
    best = np.where(asked_for, 0.0, np.inf)
    works: dict[str, Work] = {}
    for alike in shares.by_rank():
        if (best >= shares.utmost).all():
            break  # nobody cuts more, and those asked later are given only what is left
        works |= {work.tool.name: work for work in alike}
        for work in alike:
            if shares.may_exceed(work, best):
                best = np.maximum(best, shares.of(work))
    open_ = asked_for & (best >= CUT_SHARE)
    given: dict[str, set[str]] = {}
    while open_.any():
        least = np.where(open_, best - _ALIKE, np.inf)
        name, takes = _best(shares, works.values(), least, chosen)
        given[name] = set(compress(ids, takes))
        open_ &= ~takes
    rougher = rougher_of(shares.removal, [works[n].tool for n in given], before)
    if rougher is not None:
        name = rougher.tool.name
        works[name] = rougher
        ends = set(end_face(profile, "high" if toward == "low" else "low"))
        pointed = [n for n in given if is_pointed(works[n].tool)]
        faces = {s for n in pointed for s in given[n] & ends}
        least = np.where([s in faces for s in ids], best - _ALIKE, np.inf)
        faced = set(compress(ids, shares.reaches(rougher, least)))
        given = {n: (t - faced if n in pointed else t) for n, t in given.items()}
        given[name] = given.get(name, set()) | faced
    bored = any(works[n].tool.access == "inner" for n in given)
    if bored and not any(works[n].tool.on_axis for n in given):
        drill = _drill(shares.removal.works, chosen)
        if drill is not None:
            given[drill.tool.name] = set()
            works[drill.tool.name] = drill
    by_id = {s.id: s for s in profile.segments}
    made = [
        Operation(name, tuple(s for s in shares.samples.ids if s in part), kind)
        for name, takes in given.items()
        for kind, part in _by_kind(works[name].tool, takes, by_id, profile, toward)
    ]
    if rougher is not None:
        made.append(Operation(rougher.tool.name, (), "rough"))
    if parting is not None:
        made.append(Operation(parting.name, parted, "part off"))
    return in_order(made, shares.removal, shares.samples, before, asked=asked)


def _best(
    shares: Shares, works: Iterable[Work], least: Array, chosen: Sequence[str]
) -> tuple[str, NDArray[np.bool_]]:
    """Who has most merit among tools sorted by rank, and which segments it reaches."""
    best: tuple[Any, str, NDArray[np.bool_]] | None = None
    for _, alike in groupby(works, key=lambda work: _rank(work.tool)):
        hopes = [(_merit(work.tool, shares.may_reach(work, least), chosen), work) for work in alike]
        for hope, work in sorted(hopes, key=lambda entry: entry[0], reverse=True):
            if best is not None and hope <= best[0]:
                break
            takes = shares.reaches(work, least)
            merit = _merit(work.tool, int(takes.sum()), chosen)
            if best is None or merit > best[0]:
                best = merit, work.tool.name, takes
        if best is not None and best[2].any():
            break
    assert best is not None
    return best[1], best[2]


def _merit(
    tool: Tool, takes: int, chosen: Sequence[str]
) -> tuple[bool, int, int, bool, float, str]:
    return (takes > 0, -_rank(tool), takes, tool.name in chosen, -tool.weight, tool.name)


def _rank(tool: Tool) -> int:
    """Who is asked first: turning tools, bars, then drills, and blades only for the rest."""
    if is_blade(tool):
        return 4 if "part" in tool.kind else 3
    return 2 if tool.on_axis else 0 if tool.access == "outer" else 1


def _drill(works: Sequence[Work], chosen: Sequence[str]) -> Work | None:
    drills = [w for w in works if w.tool.on_axis and w.gained > 0.0]
    return max(drills, key=lambda w: (w.tool.name in chosen, w.gained), default=None)


def _by_kind(
    tool: Tool,
    segments: set[str],
    by_id: dict[str, Segment],
    profile: Profile,
    toward: Toward,
) -> list[tuple[str, set[str]]]:
    if tool.on_axis:
        return [("drill", segments)]
    if is_blade(tool):
        return [("end groove" if tool.access == "end" else "groove", segments)]
    free = profile.length_mm if toward == "low" else 0.0
    faced = {s for s in segments if by_id[s].surface == "end" and _at(by_id[s], free)}
    along = "bore" if tool.access == "inner" else "turn"
    return [(k, part) for k, part in (("face", faced), (along, segments - faced)) if part]


def end_face(profile: Profile, toward: Toward) -> tuple[str, ...]:
    """Segments of the plane that closes the part at this end."""
    at = 0.0 if toward == "low" else profile.length_mm
    return tuple(s.id for s in profile.outline.segments if s.surface == "end" and _at(s, at))


def _at(segment: Segment, z: float) -> bool:
    return abs(segment.curve.start[0] - z) <= _SAME_MM and abs(segment.curve.end[0] - z) <= _SAME_MM
