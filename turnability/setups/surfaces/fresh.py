"""The work as a chucking finds it, and what its tools take of that at once, in straight passes."""

from __future__ import annotations

from turnability.half_plane.regions import Region, nothing
from turnability.reach.ground import Ground
from turnability.reach.removal import Work
from turnability.reach.stock import Standing, at_first


class Passes:
    """One tool's straight passes in a state of the work, no more of them than are asked for.

    `swept` is what those so far sweep: on the axis down to where it stops, else each way it feeds.
    """

    def __init__(self, work: Work, standing: Standing) -> None:
        self.work, self.standing, self.swept = work, standing, nothing()
        self._ways = list(work.asked.feeds)
        self._plunges = work.tool.on_axis

    def go_on(self) -> bool:
        """One pass more; False where there is none."""
        asked = self.work.asked
        if self._plunges:
            self._plunges, new = False, asked.swept_at_last(self.standing)
        elif self._ways:
            new = asked.in_slices(self._ways.pop(0), self.standing)
        else:
            return False
        self.swept = self.swept | new
        return True

    def all_swept(self) -> Region:
        """What all of them sweep."""
        while self.go_on():
            pass
        return self.swept


class Fresh:
    """The work before anything is cut in a chucking; passes in it are remembered."""

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        self._passes: dict[int, Passes] = {}

    def passes(self, work: Work) -> Passes:
        """Of a tool, as far as anybody has asked."""
        known = self._passes.get(id(work))
        if known is None:
            known = self._passes[id(work)] = Passes(work, self.standing)
        return known


def fresh_of(ground: Ground, before: Region | None = None) -> Fresh:
    """The work of which chuckings before have removed so much (r >= 0)."""
    return Fresh(at_first(ground, before))
