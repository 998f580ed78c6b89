"""From cuts to named departures: every kind found by being there, every wall in exactly one."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from turnability.part.departures import kinds
from turnability.part.departures.cut import Claim, Cut, Example, area, r_range, z_range
from turnability.part.departures.rings import alike, evenly_spaced, turn_of
from turnability.part.model import DepartureKind

_RING = 3
"""Equal departures from this many on about the axis are one, with their count."""
_EVEN_RAD = 0.03
"""Angles between equal ones are told by their edges, which exporters split as they like."""
_FINISH_SHARE = 0.25
"""Left walls smaller than this share of the claims that they touch are those claims' finish."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One file of `kinds/`."""

    name: str
    kind: DepartureKind
    form: str | None
    rank: int
    find: Callable[[Sequence[Cut]], list[Claim]]
    examples: tuple[Example, ...]


@cache
def all_kinds() -> tuple[Kind, ...]:
    """Every kind by rank. Raises AttributeError for a file that lacks a part."""
    found = []
    for info in pkgutil.iter_modules(kinds.__path__):
        module = importlib.import_module(f"{kinds.__name__}.{info.name}")
        found.append(
            Kind(info.name, module.KIND, module.FORM, module.RANK, module.find, module.EXAMPLES)
        )
    return tuple(sorted(found, key=lambda kind: (kind.rank, kind.name)))


def name_cuts(cuts: Sequence[Cut]) -> list[Claim]:
    """Claims on all walls of all cuts; what nothing knows is "other", account by account."""
    claims: list[Claim] = []
    open_ = list(cuts)
    for kind in all_kinds():
        taken: set[int] = set()
        for claim in kind.find(open_):
            fresh = tuple(wall for wall in claim.walls if id(wall) not in taken)
            if len(fresh) == len(claim.walls):
                taken.update(id(wall) for wall in fresh)
                claims.append(claim)
        if taken:
            open_ = [piece for cut in open_ for piece in cut.without(taken)]
    return _in_rings(_with_the_rest(claims, cuts, open_))


def unnamed(cuts: Sequence[Cut], why: str) -> list[Claim]:
    """All as "other", account by account, saying why nothing was named."""
    return [
        replace(claim, parameters={"not_named_because": why})
        for claim in _with_the_rest([], cuts, cuts)
    ]


def _with_the_rest(claims: list[Claim], cuts: Sequence[Cut], left: Sequence[Cut]) -> list[Claim]:
    """Small left walls join the claim they touch; all else is "other", one for each account."""
    owner = {id(wall): i for i, claim in enumerate(claims) for wall in claim.walls}
    whole = {id(wall): cut for cut in cuts for wall in cut.walls}
    grown = [list(claim.walls) for claim in claims]
    rest: dict[int, list[Cut]] = {}
    for piece in left:
        touched = [
            owner[id(other)]
            for wall in piece.walls
            for other in whole[id(wall)].beside(wall)
            if id(other) in owner
        ]
        small = touched and area(piece.walls) <= _FINISH_SHARE * area(
            wall for i in set(touched) for wall in claims[i].walls
        )
        if small:
            grown[max(set(touched), key=lambda i: (touched.count(i), -i))].extend(piece.walls)
        else:
            rest.setdefault(piece.account, []).append(piece)
    made = [replace(claim, walls=tuple(walls)) for claim, walls in zip(claims, grown, strict=True)]
    for pieces in rest.values():
        made.append(Claim("other", tuple(wall for piece in pieces for wall in piece.walls)))
    return made


def _in_rings(claims: Sequence[Claim]) -> list[Claim]:
    """Equal claims about the axis as one with their count and whether they are evenly spaced."""
    made = []
    for lot in alike(claims, _sizes, _names):
        if len(lot) < _RING or "count" in lot[0].parameters:
            made.extend(lot)
            continue
        walls = tuple(wall for claim in lot for wall in claim.walls)
        turns = [turn_of(claim.walls) for claim in lot]
        even = (
            None
            if None in turns
            else evenly_spaced((turn for turn in turns if turn is not None), _EVEN_RAD)
        )
        made.append(
            Claim(lot[0].kind, walls, {**lot[0].parameters, "count": len(lot), "even": even})
        )
    return made


def _sizes(claim: Claim) -> tuple[float, ...]:
    numbers = [
        float(value)
        for value in claim.parameters.values()
        if isinstance(value, float | int) and not isinstance(value, bool)
    ]
    unnamed = [] if numbers else [round(area(claim.walls), 1)]
    return (*z_range(claim.walls), *r_range(claim.walls), *unnamed, *numbers)


def _names(claim: Claim) -> tuple[object, ...]:
    words = [
        (key, value)
        for key, value in claim.parameters.items()
        if isinstance(value, str | bool) or value is None
    ]
    return (claim.kind, tuple(claim.parameters), tuple(words))
