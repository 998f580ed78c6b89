"""The tools that the parts' sheets need: as few as do, and what is missing beyond the shop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from turnability.batch.model import Judged

_MOST_USERS = 8
"""A tool that more sheets need is worth owning: nobody asks whether it could be spared."""
_MOST_PLANNED = 600
"""Parts that are planned anew in all, those of the least used tools first."""
_NAMED = 50
"""So many parts are named where one want is told of."""

Tools: TypeAlias = frozenset[str]
Replan: TypeAlias = Callable[[Collection[int], Tools], Mapping[int, Tools | None]]
"""Plans parts (by their place in the order they came in) anew with these tools alone. Gives of each
the tools of a sheet that is no worse than its own, None where there is none: then it need not go
on. A part of which it could not be found out is left out."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """What a tool beyond the shop would have to be, in words and, where one says it, by a number.

    `least` and `most` span the values that the parts need; None where no single number says it.
    `parts` are the first of `count`; `whole` of these want nothing else.
    """

    what: str
    parameter: str | None
    unit: str | None
    least: float | None
    most: float | None
    parts: tuple[str, ...]
    count: int
    whole: int


@dataclass(frozen=True, slots=True)
class Crib:
    """Tools with which every part's sheet is carried out, as it stands or planned anew no worse.

    `users`: of each tool on how many sheets it is, and the first of these. `missed`: tools without
    which, the others given, some part's sheet is worse, with that part; `spared` those that the
    parts' own sheets name and nobody misses, for which `again` parts were planned anew. What is in
    neither list was not tried: it stands on many sheets, or a part of it could not be planned anew.
    """

    tools: tuple[str, ...]
    users: tuple[tuple[str, int, str], ...] = ()
    missed: tuple[tuple[str, str], ...] = ()
    spared: tuple[str, ...] = ()
    again: int = 0
    unproven: tuple[str, ...] = ()


_Kind: TypeAlias = tuple[str, str | None, str | None]
"""In words, parameter and unit."""


class _Wanted:
    def __init__(self) -> None:
        self.names: list[str] = []
        self.count = self.whole = 0
        self.least: float | None = None
        self.most: float | None = None


class Asked:
    """Takes parts one after the other and tells what they ask of the shop's tools."""

    def __init__(self) -> None:
        self._titles: list[str] = []
        self._sheets: dict[int, Tools] = {}
        self._wants: dict[_Kind, _Wanted] = defaultdict(_Wanted)

    def add(self, title: str, one: Judged) -> None:
        """One more part."""
        if one.sheet is not None:
            self._sheets[len(self._titles)] = one.sheet.tools
        self._titles.append(title)
        kinds: set[_Kind] = set()
        for want in one.wants:
            kind = (want.what, want.parameter, want.unit)
            wanted = self._wants[kind]
            if want.value is not None:
                least, most = wanted.least, wanted.most
                wanted.least = want.value if least is None else min(least, want.value)
                wanted.most = want.value if most is None else max(most, want.value)
            kinds.add(kind)
        for kind in kinds:
            wanted = self._wants[kind]
            wanted.count += 1
            wanted.whole += len(kinds) == 1
            if len(wanted.names) < _NAMED:
                wanted.names.append(title)

    def lacking(self) -> tuple[Lacking, ...]:
        """What one more tool would have to be, what clears the most parts first."""
        made = [
            Lacking(*kind, one.least, one.most, tuple(one.names), one.count, one.whole)
            for kind, one in self._wants.items()
        ]
        return tuple(sorted(made, key=lambda one: (-one.whole, -one.count, one.what)))

    def crib(self, weights: Mapping[str, float], replan: Replan | None = None) -> Crib:
        """All that the sheets need, less what is spared by planning its few parts anew.

        One tool after the other is left away, those on the fewest sheets and the heaviest first. It
        stays away where each part that needs it has another sheet without it that is no worse; that
        sheet stands for the part from then on, so that in the end every part has one all of whose
        tools are there.
        """
        sheets = dict(self._sheets)
        tools = frozenset[str]().union(*sheets.values())
        on = {t: [place for place, some in sheets.items() if t in some] for t in sorted(tools)}
        missed: list[tuple[str, str]] = []
        spared: list[str] = []
        again: set[int] = set()
        unproven: set[int] = set()
        planned = 0
        for tool in sorted(on, key=lambda t: (len(on[t]), -weights.get(t, 1.0), t)):
            places = [place for place, some in sheets.items() if tool in some]
            if replan is None or len(on[tool]) > _MOST_USERS or planned > _MOST_PLANNED:
                continue
            found = replan(places, tools - {tool})
            planned += len(found)
            again.update(found)
            worse = next((p for p in places if p in found and found[p] is None), None)
            if worse is not None:
                missed.append((tool, self._titles[worse]))
            elif len(found) == len(places):
                sheets.update({place: some for place, some in found.items() if some is not None})
                tools -= {tool}
                spared.append(tool)
            else:
                unproven.update(place for place in places if place not in found)
        users = [(t, sum(t in some for some in sheets.values())) for t in sorted(tools)]
        first = {t: next(p for p, some in sheets.items() if t in some) for t, n in users if n}
        return Crib(
            tuple(sorted(tools)),
            tuple((t, n, self._titles[first[t]]) for t, n in users if n),
            tuple(missed),
            tuple(sorted(spared)),
            len(again),
            tuple(self._titles[place] for place in sorted(unproven)),
        )
