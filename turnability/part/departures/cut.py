"""What the kinds of departures look at, and what they answer: cuts of walls, and claims on them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from turnability.part.departures.walls import Wall
from turnability.part.model import DepartureKind, Parameter

Neighbours = Mapping[int, frozenset[int]]
"""For each face of the solid the faces that share an edge with it."""


@dataclass(frozen=True, eq=False)
class Cut:
    """Walls that edges join, not yet named; `account`: the account of the books they belong to.

    `on_body`: the faces that bound the turned body, by index, each as a wall of its own.
    """

    account: int
    walls: tuple[Wall, ...]
    neighbours: Neighbours
    on_body: Mapping[int, Wall]

    @cached_property
    def _by_face(self) -> dict[int, Wall]:
        return {index: wall for wall in self.walls for index in wall.indices}

    def beside(self, wall: Wall) -> list[Wall]:
        """The cut's other walls that share an edge with one of them."""
        found = {id(w): w for i in self._next_to(wall) if (w := self._by_face.get(i)) is not None}
        return [w for w in found.values() if w is not wall]

    def rims(self, wall: Wall) -> list[Wall]:
        """The turned body's faces that a wall ends on."""
        return [self.on_body[i] for i in self._next_to(wall) if i in self.on_body]

    def _next_to(self, wall: Wall) -> set[int]:
        return {i for index in wall.indices for i in self.neighbours.get(index, ())}

    @cached_property
    def z_mm(self) -> tuple[float, float]:
        """Range along the part's axis."""
        return z_range(self.walls)

    @cached_property
    def r_mm(self) -> tuple[float, float]:
        """Range of distances from the part's axis."""
        return r_range(self.walls)

    def without(self, taken: set[int]) -> Iterable[Cut]:
        """What is left when some walls (by `id`) are taken: again pieces that edges join."""
        left = [wall for wall in self.walls if id(wall) not in taken]
        if len(left) == len(self.walls):
            yield self
            return
        whole = replace(self, walls=tuple(left))
        open_ = {id(wall): wall for wall in left}
        while open_:
            _, first = open_.popitem()
            piece, todo = [first], [first]
            while todo:
                for wall in whole.beside(todo.pop()):
                    if open_.pop(id(wall), None) is not None:
                        piece.append(wall)
                        todo.append(wall)
            yield replace(self, walls=tuple(sorted(piece, key=lambda w: min(w.indices))))


@dataclass(frozen=True, eq=False)
class Claim:
    """A departure that some walls make, with its own sizes."""

    kind: DepartureKind
    walls: tuple[Wall, ...]
    parameters: Mapping[str, Parameter] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Example:
    """A part drawn in CadQuery (`draw` gets the module) and what a person says of it.

    `expected`: the departures of the file's own kind (and form), some of their parameters each,
    sizes to 1e-6 of their value; also `faces` (how many), `z_mm`.
    """

    name: str
    draw: Callable[[Any], Any]
    expected: tuple[Mapping[str, Any], ...] = ()


def z_range(walls: Iterable[Wall]) -> tuple[float, float]:
    """Range of walls along the part's axis."""
    ranges = [wall.z_mm for wall in walls]
    return min(low for low, _ in ranges), max(high for _, high in ranges)


def r_range(walls: Iterable[Wall]) -> tuple[float, float]:
    """Range of walls' distances from the part's axis."""
    ranges = [wall.r_mm for wall in walls]
    return min(low for low, _ in ranges), max(high for _, high in ranges)


def extent(walls: Iterable[Wall], direction: tuple[float, float, float]) -> tuple[float, float]:
    """Range of walls along a direction."""
    ranges = [wall.extent(direction) for wall in walls]
    return min(low for low, _ in ranges), max(high for _, high in ranges)


def same(a: float, b: float) -> bool:
    """Whether two sizes are one: within 1 µm, or 1e-5 of a large one."""
    return abs(a - b) <= max(1e-3, 1e-5 * abs(a))


def area(walls: Iterable[Wall]) -> float:
    """Area of walls together, mm2."""
    return math.fsum(wall.area_mm2 for wall in walls)


def by_account(cuts: Sequence[Cut]) -> list[list[Cut]]:
    """The cuts of each account of the books."""
    accounts: dict[int, list[Cut]] = {}
    for cut in cuts:
        accounts.setdefault(cut.account, []).append(cut)
    return list(accounts.values())


def walls_by_account(cuts: Sequence[Cut]) -> list[list[Wall]]:
    """The walls of each account of the books."""
    return [[wall for cut in own for wall in cut.walls] for own in by_account(cuts)]
