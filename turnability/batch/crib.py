"""The tools that the whole repository asks for: the fewest that do, and what is missing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import count
from typing import TypeAlias

from turnability.batch.model import Judged

_MOST_ROUNDS = 50
_NAMED = 50
"""So many parts are named where one tool or want is told of."""

Tools: TypeAlias = frozenset[str]
Prove: TypeAlias = Callable[[Collection[int], Tools], Mapping[int, Collection[Tools]]]
"""Analyses parts (by their place in the order they came in) anew with these tools alone. Gives
those of which something becomes uncut, each with all that is known to be wanted of it (tools of
which one would remove some of that), and need not go on once it has some; and those of which it
could not be found out, with nothing wanted."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """What would clear places that no tool reaches now: by cause, parameter and nearest tool.

    `least` and `most` span the values that the parts need; None where no single number says it.
    `parts` are the first of `count`; `whole` of these have no other place that stays uncut.
    """

    causes: tuple[str, ...]
    tool: str | None
    parameter: str | None
    unit: str | None
    least: float | None
    most: float | None
    parts: tuple[str, ...]
    count: int
    whole: int


@dataclass(frozen=True, slots=True)
class Crib:
    """The fewest tools with which nothing becomes uncut that the shop's own cut.

    Each surface that a single tool cuts from end to end still is cut so. `again` parts were
    analysed anew with these tools alone; of all others the tools that their own analysis chose are
    in the crib. `unproven` parts could not be shown to lose nothing. `gap`: how many tools fewer a
    smaller crib might have; 0 where this is proven the smallest.
    """

    tools: tuple[str, ...]
    again: int = 0
    unproven: tuple[str, ...] = ()
    gap: int = 0


_Kind: TypeAlias = tuple[tuple[str, ...], str | None, str | None, str | None]
"""Causes, nearest tool, parameter and unit."""


class _Want:
    def __init__(self) -> None:
        self.names: list[str] = []
        self.count = self.whole = 0
        self.least: float | None = None
        self.most: float | None = None


class Asked:
    """Takes parts one after the other and tells what they ask of the shop's tools."""

    def __init__(self) -> None:
        self._titles: list[str] = []
        self._needs: set[Tools] = set()
        self._chosen: dict[Tools, list[int]] = defaultdict(list)
        self._users: dict[str, tuple[int, str]] = {}
        self._wants: dict[_Kind, _Want] = defaultdict(_Want)

    def add(self, title: str, one: Judged) -> None:
        """One more part."""
        place = len(self._titles)
        self._titles.append(title)
        by_segment: dict[str, set[str]] = defaultdict(set)
        for tool, segments in one.reached:
            for segment in segments:
                by_segment[segment].add(tool)
        self._needs.update(map(frozenset, by_segment.values()))
        if one.chosen_tools:
            self._chosen[frozenset(one.chosen_tools)].append(place)
        for tool in one.chosen_tools:
            users, first = self._users.get(tool, (0, title))
            self._users[tool] = (users + 1, first)
        kinds: set[_Kind] = set()
        for left in one.left:
            need = left.needed
            wanted = (need.parameter, need.unit) if need else (None, None)
            kind = (tuple(left.causes), left.nearest_tool, *wanted)
            want = self._wants[kind]
            if need is not None:
                want.least = need.value if want.least is None else min(want.least, need.value)
                want.most = need.value if want.most is None else max(want.most, need.value)
            kinds.add(kind)
        for kind in kinds:
            want = self._wants[kind]
            want.count += 1
            want.whole += len(kinds) == 1
            if len(want.names) < _NAMED:
                want.names.append(title)

    def used_by(self) -> dict[str, tuple[int, str]]:
        """By tool, in how many parts' plans of tools it stands, and the first of these."""
        return {tool: self._users[tool] for tool in sorted(self._users)}

    def lacking(self) -> tuple[Lacking, ...]:
        """What one more tool would have to be, what unlocks the most parts first."""
        made = [
            Lacking(*kind, want.least, want.most, tuple(want.names), want.count, want.whole)
            for kind, want in self._wants.items()
        ]
        return tuple(sorted(made, key=lambda w: (-w.whole, -w.count, w.causes, w.tool or "")))

    def crib(self, weights: Mapping[str, float], prove: Prove | None = None) -> Crib:
        """The smallest crib, proven part by part where `prove` is given.

        Where a part would lose something, one more tool is needed of those that would remove it:
        tools only ever open ways for each other (`reach.removal`), so this holds for every crib,
        and the crib is chosen anew with all that is known.
        """
        needs = set(self._needs)
        again: set[int] = set()
        added: Tools = frozenset()
        fewest = 0
        for round_ in count():
            if round_ <= _MOST_ROUNDS:
                best = _fewest(needs, weights)
                fewest = len(best)
            tools = best | added
            open_ = {
                place: chosen
                for chosen, places in self._chosen.items()
                if not chosen <= tools
                for place in places
            }
            losing = {} if prove is None else prove(open_, tools)
            if prove is not None:
                again.update(open_)
            more = {place: some for place, some in losing.items() if some}
            if not more:
                break
            needs.update(*more.values())
            if round_ >= _MOST_ROUNDS:  # what each part's own analysis chose does for it
                added = added.union(*(open_[place] for place in more))
        unproven = tuple(self._titles[place] for place in sorted(losing))
        return Crib(tuple(sorted(tools)), len(again), unproven, len(tools) - fewest)


def _fewest(needs: Iterable[Tools], weights: Mapping[str, float]) -> Tools:
    """The fewest tools of which each need has one, and of these the lightest."""
    least = _least(needs)
    names = sorted(frozenset[str]().union(*least)) if least else []
    if not names:
        return frozenset()
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    rows = np.array([[float(name in need) for name in names] for need in least])
    weight = np.array([weights.get(name, 1.0) for name in names])
    # all weights together count less than one tool
    cost = 1.0 + weight / (1.0 + weight.sum())
    result = milp(
        cost,
        constraints=LinearConstraint(rows, 1.0, np.inf),
        integrality=np.ones_like(cost),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    assert result.x is not None  # all tools together are a cover
    return frozenset(name for name, x in zip(names, result.x, strict=True) if x > 0.5)


def _least(needs: Iterable[Tools]) -> list[Tools]:
    """The needs that hold no other one."""
    kept: list[Tools] = []
    for need in sorted(set(needs), key=lambda one: (len(one), sorted(one))):
        if not any(other <= need for other in kept):
            kept.append(need)
    return kept
