"""What the parts of a repository have in common, put together from what is kept of each.

Parts come one after the other and are not kept: of each there stays what the whole says of it.
"""

from __future__ import annotations

import heapq
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from turnability.batch.alike import Alike, Twins
from turnability.batch.crib import Asked, Crib, Lacking, Replan
from turnability.batch.cutting import CuttingList, cutting_list, fewest_sizes
from turnability.batch.model import Judged, Saving
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Shop
from turnability.stock.model import StockPiece

_LAID_OUT = 50_000
_MOST = 200
"""So many parts are ranked; the site's index has all of them by their minutes."""


@dataclass(frozen=True, slots=True)
class Named:
    """A solid as kept, under its title and the number of its result."""

    title: str
    result: int
    judged: Judged


@dataclass(frozen=True, slots=True)
class Stock:
    """One stock size with the parts made of it, all their pieces in `length_mm`.

    `cutting` only where the bar's length is stated and there are no more than `_LAID_OUT` lengths.
    Of bars `fed` through the spindle each keeps a rest that the chuck holds.
    """

    name: str
    material: str | None
    parts: tuple[str, ...]
    length_mm: float
    bar_mm: float | None
    cutting: CuttingList | None
    pieces: int = 1
    fed: bool = False


@dataclass(frozen=True, slots=True)
class Sizes:
    """How few sizes of round bar would serve all parts of one material, and the extra volume."""

    material: str | None
    ways: tuple[tuple[int, tuple[float, ...], float], ...]


@dataclass(frozen=True, slots=True)
class Spared:
    """A part, what each of its changes spares alone, and the mean of that in minutes a piece."""

    title: str
    savings: tuple[Saving, ...]
    minutes: float


@dataclass(frozen=True, slots=True)
class Whole:
    """The repository as one. `families` are parts made in one chucking from the same stock."""

    same: tuple[tuple[str, ...], ...]
    twins: tuple[Twins, ...]
    stock: tuple[Stock, ...]
    sizes: tuple[Sizes, ...]
    crib: Crib
    lacking: tuple[Lacking, ...]
    families: tuple[tuple[str, tuple[str, ...]], ...]
    effort: tuple[tuple[str, float], ...]
    """The parts with the most minutes a piece."""
    spared: tuple[Spared, ...]
    """The parts whose changes spare the most for each change."""


MakeReplan = Callable[[Sequence[tuple[str, int, int]]], Replan]
"""From title, result and solid of all parts, in their order, the way to plan them anew."""


Remember = Callable[[Sequence[tuple[str, int, int]], Callable[[], Crib]], Crib]
"""From the same the crib that is known of them, else the one that is found."""


def whole_of(
    parts: Iterable[Named],
    shop: Shop,
    make_replan: MakeReplan | None = None,
    remember: Remember = lambda places, find: find(),
) -> Whole:
    """See all parts together; with `make_replan` the crib is left what can be spared."""
    weights = {tool.name: tool.weight for tool in shop.tools}
    kerf = (shop.stock_policy or COMMON_POLICY).parting_width_mm
    alike, asked, stock = Alike(), Asked(), _Stocks(kerf)
    families: dict[str, list[str]] = defaultdict(list)
    places: list[tuple[str, int, int]] = []
    effort: list[tuple[float, str]] = []
    spared: list[tuple[float, str, tuple[Saving, ...]]] = []
    for named in parts:
        title, one = named.title, named.judged
        places.append((title, named.result, one.solid))
        asked.add(title, one)
        stock.add(title, one)
        if one.profile is not None:
            alike.add(title, one.profile)
        if one.one_chucking and one.stock is not None:
            families[one.stock.name].append(title)
        if one.minutes is not None:
            _keep(effort, (one.minutes, title))
        if one.savings:
            mean = sum(saving.minutes for saving in one.savings) / len(one.savings)
            _keep(spared, (mean, title, one.savings))
    ordered = sorted(families.items(), key=lambda family: stock.place(family[0]))
    return Whole(
        same=alike.same(),
        twins=alike.near_twins(),
        stock=stock.stock(),
        sizes=stock.sizes(),
        crib=remember(
            places, lambda: asked.crib(weights, make_replan(places) if make_replan else None)
        ),
        lacking=asked.lacking(),
        families=tuple((k, tuple(v)) for k, v in ordered if len(v) > 1),
        effort=tuple((title, minutes) for minutes, title in _largest(effort)),
        spared=tuple(
            Spared(title, savings, mean) for mean, title, savings in _largest(spared) if mean > 0.0
        ),
    )


def _keep(heap: list[Any], one: Any) -> None:
    """Keep the largest ones only."""
    if len(heap) < _MOST:
        heapq.heappush(heap, one)
    else:
        heapq.heappushpop(heap, one)


def _largest(heap: list[Any]) -> list[Any]:
    """The largest first, equal ones by their titles."""
    return sorted(heap, key=lambda one: (-one[0], one[1]))


_Bar = tuple[str, str, float | None, bool]
"""Name, material, length in mm, and whether it is fed through the spindle."""


def _lengths(piece: StockPiece, pieces: int) -> list[tuple[float, int]]:
    """The lengths (mm) that so many parts are cut to, each with how often."""
    if piece.fed:
        return [(piece.length_mm, pieces)]
    full, rest = divmod(pieces, piece.parts)
    cut = [(piece.parts * piece.turned_mm + piece.stub_mm, full)] if full else []
    return cut + ([(rest * piece.turned_mm + piece.stub_mm, 1)] if rest else [])


class _Stocks:
    """Takes parts one after the other and tells what to buy for them."""

    def __init__(self, kerf_mm: float) -> None:
        self._kerf = kerf_mm
        self._groups: dict[_Bar, list[tuple[str, int, StockPiece]]] = defaultdict(list)
        self._across: dict[str, float] = {}
        self._bars: dict[str, list[tuple[float, float]]] = defaultdict(list)

    def add(self, title: str, one: Judged) -> None:
        """One more part, with all its pieces."""
        piece = one.stock
        if piece is None:
            return
        key = (piece.name, one.material or "", piece.bar_length_mm, piece.fed)
        self._groups[key].append((title, one.pieces, piece))
        self._across[piece.name] = piece.across_mm
        if piece.form == "bar":
            whole = sum(long * n for long, n in _lengths(piece, one.pieces))
            self._bars[one.material or ""].append((piece.across_mm, whole))

    def place(self, name: str) -> tuple[str, float, str]:
        """Where a size belongs in a list: by the words before its numbers, then by its size."""
        return (re.split(r"\d", name, maxsplit=1)[0], self._across.get(name, 0.0), name)

    def stock(self) -> tuple[Stock, ...]:
        """By stock size, how to cut it."""
        made = []
        groups = sorted(
            self._groups.items(),
            key=lambda g: (self.place(g[0][0]), g[0][1], g[0][2] or 0.0, g[0][3]),
        )
        for (name, material, bar, fed), members in groups:
            counted = [each for _, n, piece in members for each in _lengths(piece, n)]
            # a saw's cut lies between two pieces; a blade's is part of what is parted off
            kerf = 0.0 if fed else self._kerf
            rest = max(piece.stub_mm for _, _, piece in members) if fed else 0.0
            cutting = None
            if bar is not None and sum(n for _, n in counted) <= _LAID_OUT:
                room = bar + kerf - rest
                lengths = [long + kerf for long, n in counted for _ in range(n)]
                cutting = cutting_list(lengths, room) if max(lengths) <= room else None
            titles = tuple(title for title, _, _ in members)
            whole = sum(long * n for long, n in counted)
            pieces = sum(n for _, n, _ in members)
            made.append(Stock(name, material or None, titles, whole, bar, cutting, pieces, fed))
        return tuple(made)

    def sizes(self) -> tuple[Sizes, ...]:
        """By material, how few sizes would serve."""
        return tuple(
            Sizes(material or None, fewest_sizes(pieces))
            for material, pieces in sorted(self._bars.items())
        )
