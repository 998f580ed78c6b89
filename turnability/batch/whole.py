"""What the parts of a repository have in common, put together from what is kept of each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from turnability.batch.alike import Twins, near_twins, same
from turnability.batch.crib import Lacking, lacking, smallest_crib, used_by
from turnability.batch.cutting import CuttingList, cutting_list, fewest_sizes
from turnability.batch.model import Judged
from turnability.shop.model import Shop

Named = tuple[str, Judged]


@dataclass(frozen=True, slots=True)
class Stock:
    """One stock size with the parts made of it; `cutting` only where the bar's length is stated."""

    name: str
    material: str | None
    parts: tuple[str, ...]
    length_mm: float
    bar_mm: float | None
    cutting: CuttingList | None


@dataclass(frozen=True, slots=True)
class Sizes:
    """How few sizes of round bar would serve all parts of one material, and the extra volume."""

    material: str | None
    ways: tuple[tuple[int, tuple[float, ...], float], ...]


@dataclass(frozen=True, slots=True)
class Whole:
    """The repository as one. `families` are parts made in one chucking from the same stock."""

    same: tuple[tuple[str, ...], ...]
    twins: tuple[Twins, ...]
    stock: tuple[Stock, ...]
    sizes: tuple[Sizes, ...]
    crib: tuple[str, ...]
    used_by: dict[str, tuple[str, ...]]
    lacking: tuple[Lacking, ...]
    families: tuple[tuple[str, tuple[str, ...]], ...]
    effort: tuple[tuple[str, float, int], ...]
    """Parts by minutes a piece, with how many proven changes each has."""


def whole_of(parts: Sequence[Named], shop: Shop) -> Whole:
    """See all parts together."""
    weights = {tool.name: tool.weight for tool in shop.tools}
    profiles = [(name, one.profile) for name, one in parts if one.profile is not None]
    alike = same(profiles)
    again = {name for names in alike for name in names[1:]}
    families: dict[str, list[str]] = defaultdict(list)
    for name, one in parts:
        if one.one_chucking and one.stock is not None:
            families[one.stock.name].append(name)
    effort = [
        (name, one.minutes, sum(f.change is not None and f.change.proven for f in one.findings))
        for name, one in parts
        if one.minutes is not None
    ]
    return Whole(
        same=alike,
        twins=near_twins([pair for pair in profiles if pair[0] not in again]),
        stock=_stock(parts),
        sizes=_sizes(parts),
        crib=smallest_crib(parts, weights),
        used_by=used_by(parts),
        lacking=lacking(parts),
        families=tuple((k, tuple(v)) for k, v in sorted(families.items()) if len(v) > 1),
        effort=tuple(sorted(effort, key=lambda one: (-one[1], one[0]))),
    )


def _stock(parts: Sequence[Named]) -> tuple[Stock, ...]:
    groups: dict[tuple[str, str, float | None], list[Named]] = defaultdict(list)
    for name, one in parts:
        if one.stock is not None:
            key = (one.stock.name, one.material or "", one.stock.bar_length_mm)
            groups[key].append((name, one))
    made = []
    for (name, material, bar), members in sorted(groups.items(), key=lambda g: (g[0][0], g[0][1])):
        lengths = [one.stock.length_mm for _, one in members if one.stock is not None]
        fits = bar is not None and all(length <= bar for length in lengths)
        cutting = cutting_list(lengths, bar) if bar is not None and fits else None
        names = tuple(title for title, _ in members)
        made.append(Stock(name, material or None, names, sum(lengths), bar, cutting))
    return tuple(made)


def _sizes(parts: Sequence[Named]) -> tuple[Sizes, ...]:
    groups: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for _, one in parts:
        if one.stock is not None and one.stock.form == "bar":
            groups[one.material or ""].append((one.stock.across_mm, one.stock.length_mm))
    return tuple(
        Sizes(material or None, fewest_sizes(pieces)) for material, pieces in sorted(groups.items())
    )
