"""The tools that the parts' sheets need: as few as do, and what is missing beyond the shop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from turnability.batch.model import Judged

_FIRST = 2
"""So many parts are planned without a tool before all others that need it: those with the fewest
tools that reach anything, which likely miss it, so that what stays is seldom asked of many."""
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
    neither list was not tried: enough parts were planned anew before, or one could not be.
    `checked` parts were analysed anew at the end with just `tools` and `unchecked` were not; of
    these `worse` are worse than with the whole shop whichever of their own tools are added.
    """

    tools: tuple[str, ...]
    users: tuple[tuple[str, int, str], ...] = ()
    missed: tuple[tuple[str, str], ...] = ()
    spared: tuple[str, ...] = ()
    again: int = 0
    unproven: tuple[str, ...] = ()
    checked: int = 0
    unchecked: int = 0
    worse: tuple[str, ...] = ()


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
        self._reaching: dict[int, Tools] = {}
        self._wants: dict[_Kind, _Wanted] = defaultdict(_Wanted)

    def add(self, title: str, one: Judged) -> None:
        """One more part."""
        if one.sheet is not None:
            self._sheets[len(self._titles)] = one.sheet.tools
            self._reaching[len(self._titles)] = one.sheet.reaching
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
            if replan is None or planned > _MOST_PLANNED:
                continue
            new = self._without(tool, places, tools, replan)
            planned += len(new)
            again.update(new)
            misses = next((p for p in places if p in new and new[p] is None), None)
            if misses is not None:
                missed.append((tool, self._titles[misses]))
            elif len(new) == len(places):
                sheets.update({place: some for place, some in new.items() if some is not None})
                tools -= {tool}
                spared.append(tool)
            else:
                unproven.update(place for place in places if place not in new)
        found: dict[int, Tools | None] = {}
        worse: list[int] = []
        if replan is not None:
            tools, back, found, worse = self._made_good(tools, spared, replan)
            sheets.update({place: some for place, some in found.items() if some is not None})
            missed += [(tool, self._titles[place]) for tool, place in back]
            spared = [tool for tool in spared if tool not in tools]
            unproven.update(list(sheets)[:_MOST_PLANNED] - found.keys())
            again.update(found)
        users = [(t, sum(t in some for some in sheets.values())) for t in sorted(tools)]
        first = {t: next(p for p, some in sheets.items() if t in some) for t, n in users if n}
        return Crib(
            tuple(sorted(tools)),
            tuple((t, n, self._titles[first[t]]) for t, n in users if n),
            tuple(missed),
            tuple(sorted(spared)),
            len(again),
            tuple(self._titles[place] for place in sorted(unproven)),
            len(found),
            0 if replan is None else len(sheets) - len(found),
            tuple(self._titles[place] for place in sorted(worse)),
        )

    def _without(
        self, tool: str, places: Sequence[int], tools: Tools, replan: Replan
    ) -> Mapping[int, Tools | None]:
        """What comes of these parts planned anew without a tool, until one misses it."""
        likely = sorted(places, key=lambda place: (len(self._reaching[place]), place))[:_FIRST]
        new = dict(replan(likely, tools - {tool}))
        others = [place for place in places if place not in likely]
        if others and None not in new.values():
            new |= replan(others, tools - {tool})
        return new

    def _made_good(
        self, tools: Tools, spared: Sequence[str], replan: Replan
    ) -> tuple[Tools, list[tuple[str, int]], dict[int, Tools | None], list[int]]:
        """The tools with which each part, planned anew with just these, is no worse.

        Beside them those that had to come back, each with the part that misses it; what came of
        each part, and which stay worse. A sheet that stands without a tool does not tell that the
        part does: the tool may reach what no other does, or be the one that proves a change.
        """
        back: list[tuple[str, int]] = []
        worse: list[int] = []
        places = list(self._sheets)[:_MOST_PLANNED]
        while True:
            new = dict(replan([place for place in places if place not in worse], tools))
            bad = next((place for place, some in new.items() if some is None), None)
            if bad is None:
                return tools, back, {**dict.fromkeys(worse), **new}, worse
            own = self._sheets[bad]
            late = list(reversed(spared))
            wanted = [t for t in late if t in own] + [t for t in late if t not in own]
            wanted += sorted(self._reaching[bad].difference(wanted))
            more: list[str] = []
            for tool in wanted:
                if tool in tools:
                    continue
                more.append(tool)
                if replan([bad], tools.union(more)).get(bad) is not None:
                    break
            else:
                worse.append(bad)
                continue
            for tool in more[:-1]:
                less = tools.union(more) - {tool}
                if replan([bad], less).get(bad) is not None:
                    more.remove(tool)
            tools = tools.union(more)
            back += [(tool, bad) for tool in more]
