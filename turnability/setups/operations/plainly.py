"""Whether a setup's operations get at their surfaces in the usual order: told by straight passes.

Less goes so than could: a yes needs no second look, a no says little.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from turnability.half_plane.regions import Region, nothing
from turnability.reach.removal import Work, fixed_point
from turnability.reach.stock import Standing
from turnability.setups.model import Operation
from turnability.setups.surfaces.cuts import Samples
from turnability.setups.surfaces.sinking import sunk_by, sunk_in
from turnability.setups.surfaces.taken import part_of

ALIKE = 0.1
"""A surface counts as reached by what cuts it but for this share of what can be cut at the end."""

REAMED = 0.6
"""Of what a reamer gets at, this share must be open to it: what a drill's point leaves is not."""


def plainly(
    operations: Sequence[Operation],
    works: Mapping[str, Work],
    samples: Samples,
    first: Standing,
) -> bool:
    """Whether each gets there in the work as it stands at first, or else after all before it.

    Most do so at first, whatever goes before them: then nothing that goes need be worked out. The
    order is that of the operations given.
    """
    full = not first.core.region.empty
    at_first: dict[str, _Along] = {}
    done: list[tuple[Operation, _Along]] = []
    gone, taken = nothing(), 0
    for operation in operations:
        work = works.get(operation.tool)
        if work is None:
            continue
        wanted = wanted_of(operation, work, samples)
        if work.tool.name not in at_first:
            at_first[work.tool.name] = _Along(work, samples, first)
        along = at_first[work.tool.name]
        # a bar follows a drill
        if wanted and ((full and work.tool.access == "inner") or not along.gets_at(wanted)):
            for one, its in done[taken:]:
                gone = gone | part_of(its.taken(), one, its.work, samples)
            taken = len(done)
            along = _Along(work, samples, first.without(gone))
            if gone.empty or not along.gets_at(wanted, thoroughly=True):
                return False
        done.append((operation, along))
    return True


class _Along:
    """One tool that goes along in a state of the work, no more often than it takes."""

    def __init__(self, work: Work, samples: Samples, standing: Standing) -> None:
        self.work, self._samples, self._standing = work, samples, standing
        self._ways = _in_passes(work, standing)
        self._new = nothing()
        self._sunk = _may_sink(work, standing)
        self._doubtful = not self._sunk.empty

    def gets_at(self, wanted: Mapping[str, float], *, thoroughly: bool = False) -> bool:
        """Whether it gets at so much of these segments."""
        while not self._reaches(self._new, wanted):
            more = next(self._ways, None)
            if more is None:
                break
            self._new = self._new | more
        else:
            return True
        last = self.work.asked.swept_at_last(self._after())
        if self._reaches(last, wanted):
            return True
        if self._doubtful:
            self._sunk, self._doubtful = sunk_in(self.work, self._standing), False
            if self._reaches(self._new, wanted) or self._reaches(last, wanted):
                return True
        if not thoroughly:
            return False
        after = fixed_point([self.work.asked], self._after())[0]
        self._new = self._standing.stock - after.stock
        return self._reaches(self.work.asked.swept_at_last(after), wanted)

    def _after(self) -> Standing:
        return self._standing.without(self._new & self._standing.stock)

    def _reaches(self, swept: Region, wanted: Mapping[str, float]) -> bool:
        if swept.empty:
            return False
        mine = self._samples.by_id(but(swept, self._sunk))
        return all(mine[s] >= share for s, share in wanted.items())

    def taken(self) -> Region:
        """What it has taken, in one pass at least."""
        if self._new.empty:
            self._new = next(self._ways, self._new)
        return but(self._new & self._standing.stock, self._sunk)


def _may_sink(work: Work, standing: Standing) -> Region:
    """No less than `sunk_in`, and quick to tell."""
    return sunk_by(work) & standing.kept


def but(swept: Region, sunk: Region) -> Region:
    """What is swept but for what is sunk into."""
    return swept if sunk.empty else swept - sunk


def _in_passes(work: Work, standing: Standing) -> Iterator[Region]:
    """What it sweeps in straight passes, each way that it feeds."""
    if work.tool.on_axis:
        yield work.asked.swept_at_last(standing)
    for feed in work.asked.feeds:
        yield work.asked.in_slices(feed, standing)


def wanted_of(operation: Operation, work: Work, samples: Samples) -> dict[str, float]:
    """How much of each of its segments it must get at: a reamer stops short of a floor anyhow."""
    at_last = samples.by_id(work.swept)
    less = REAMED if operation.kind == "ream" else 1.0
    return {s: less * at_last[s] - ALIKE for s in operation.segments or operation.leaves}
