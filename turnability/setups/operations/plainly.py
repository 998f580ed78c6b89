"""Whether a setup's operations get at their surfaces in the usual order: told by straight passes.

Less goes so than could: a yes needs no second look, a no says little.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from turnability.half_plane.regions import Region, nothing
from turnability.reach.removal import Work, fixed_point
from turnability.setups.model import Operation
from turnability.setups.surfaces.cuts import Samples
from turnability.setups.surfaces.fresh import Fresh, Passes
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
    fresh: Fresh,
) -> bool:
    """Whether each gets there in the work as it stands at first, or else after all before it.

    Most do so at first, whatever goes before them: then nothing that goes need be worked out. The
    order is that of the operations given.
    """
    first = fresh.standing
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
            at_first[work.tool.name] = _Along(fresh.passes(work), samples)
        along = at_first[work.tool.name]
        # a bar follows a drill
        if wanted and ((full and work.tool.access == "inner") or not along.gets_at(wanted)):
            for one, its in done[taken:]:
                gone = gone | part_of(its.taken(), one, its.work, samples)
            taken = len(done)
            along = _Along(Passes(work, first.without(gone)), samples)
            if gone.empty or not along.gets_at(wanted, thoroughly=True):
                return False
        done.append((operation, along))
    return True


class _Along:
    """One tool that goes along in a state of the work, no more often than it takes."""

    def __init__(self, passes: Passes, samples: Samples) -> None:
        self.work, self._passes, self._samples = passes.work, passes, samples
        self._standing = passes.standing
        self._sunk = sunk_by(self.work) & self._standing.kept
        self._doubtful = not self._sunk.empty  # no less than what it is sunk into
        self._gone: Region | None = None

    def gets_at(self, wanted: Mapping[str, float], *, thoroughly: bool = False) -> bool:
        """Whether it gets at so much of these segments."""
        passes, asked = self._passes, self.work.asked
        while not self._reaches(passes.swept, wanted):
            if not passes.go_on():
                break
        else:
            return True
        after = self._standing.without(passes.swept & self._standing.stock)
        last = asked.swept_at_last(after)
        if self._reaches(last, wanted):
            return True
        if self._doubtful:
            self._sunk, self._doubtful = sunk_in(self.work, self._standing), False
            if self._reaches(passes.swept, wanted) or self._reaches(last, wanted):
                return True
        if not thoroughly:
            return False
        after = fixed_point([asked], after)[0]
        self._gone = self._standing.stock - after.stock
        return self._reaches(asked.swept_at_last(after), wanted)

    def _reaches(self, swept: Region, wanted: Mapping[str, float]) -> bool:
        if swept.empty:
            return False
        mine = self._samples.by_id(but(swept, self._sunk))
        return all(mine[s] >= share for s, share in wanted.items())

    def taken(self) -> Region:
        """What it has taken, in one pass at least."""
        if self._gone is not None:
            return but(self._gone, self._sunk)
        if self._passes.swept.empty:
            self._passes.go_on()
        return but(self._passes.swept & self._standing.stock, self._sunk)


def but(swept: Region, sunk: Region) -> Region:
    """What is swept but for what is sunk into."""
    return swept if sunk.empty else swept - sunk


def wanted_of(operation: Operation, work: Work, samples: Samples) -> dict[str, float]:
    """How much of each of its segments it must get at: a reamer stops short of a floor anyhow."""
    at_last = samples.by_id(work.swept)
    less = REAMED if operation.kind == "ream" else 1.0
    return {s: less * at_last[s] - ALIKE for s in operation.segments or operation.leaves}
