"""How the work of a chucking is shared out among tools, while that is being done."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from turnability.reach.removal import Work

ALIKE = 0.1
"""A tool that cuts less of a surface than the best one does, but no more so, does as well."""


@dataclass(frozen=True, slots=True, eq=False)
class Reamed:
    """Bores that one reamer finishes, the drill before it, and the bar between them, if any.

    No `drill` where the hole is open already. `by_drill`: what that cuts beside, a blind hole's
    cone.
    """

    work: Work
    segments: frozenset[str]
    drill: Work | None
    by_drill: frozenset[str] = frozenset()
    bar: Work | None = None


@dataclass(slots=True)
class Sharing:
    """Segments by the tools that take them, those tools' work, the best share of each segment."""

    given: dict[str, set[str]]
    works: dict[str, Work]
    best: dict[str, float]
    reamed: tuple[Reamed, ...] = ()
    spared: frozenset[str] = frozenset()
    """Drills that are not run here beside those given: they would spoil what is reamed."""

    def least(self, names: Iterable[str]) -> dict[str, float]:
        """What share of each of these counts as cut: nearly the best."""
        return {s: self.best[s] - ALIKE for s in names if s in self.best}

    def pass_on(
        self, names: Collection[str], name: str, able: Sequence[Work], chosen: Sequence[str] = ()
    ) -> None:
        """Surfaces from one tool to another that is able: one at hand, then the sturdiest."""
        if not able:
            return

        def wish(work: Work) -> tuple[bool, bool, float, str]:
            tool = work.tool
            return tool.name not in self.given, tool.name not in chosen, tool.weight, tool.name

        best = min(able, key=wish)
        self.given[name] -= set(names)
        self.given.setdefault(best.tool.name, set()).update(names)
        self.works[best.tool.name] = best
