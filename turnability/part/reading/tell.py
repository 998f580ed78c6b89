"""What a STEP file says of each of its solids, and where else each one stands in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from turnability.part.model import Instance, Source
from turnability.part.reading.facts import Facts, FileFacts, distortion_remarks
from turnability.part.reading.step_text import StepText
from turnability.part.reading.tree import Spot


class Untold(NamedTuple):
    """A solid as the kernel read it: `shape` is the same for solids that are one shape."""

    shape: int
    source: Source
    step_ids: tuple[int | None, ...]


class Told(NamedTuple):
    """What the file says of it: its source with all its places, its facts, remarks."""

    source: Source
    facts: Facts
    remarks: tuple[str, ...]


def tell(text: StepText, solids: Sequence[Untold]) -> dict[int, Told]:
    """What the file says of each solid, by the solid's number in the file."""
    file = FileFacts(text)
    places: dict[int, list[int]] = {}
    for solid in solids:
        places.setdefault(solid.shape, []).append(solid.source.solid)
    known: dict[int, tuple[Facts, tuple[Instance, ...]]] = {}
    told: dict[int, Told] = {}
    for shape, source, step_ids in solids:
        if shape not in known:
            facts = file.of(step_ids)
            known[shape] = (facts, _instances(facts.spots, places[shape]))
        facts, instances = known[shape]
        (own,) = (one for one in instances if one.solid == source.solid)
        told[source.solid] = Told(
            replace(source, solid_name=facts.solid_name, instances=instances),
            facts,
            (*facts.remarks, *distortion_remarks(own.mirrored, own.scale)),
        )
    return told


def _instances(spots: Sequence[Spot], solids: Sequence[int]) -> tuple[Instance, ...]:
    """The places of one solid by its numbers in the file, which follow the tree's order."""
    if len(spots) == len(solids):
        pairs: Iterable[tuple[int, Spot]] = zip(solids, spots, strict=True)
    else:
        # Placed in other ways than by the tree: only what all its places share is known.
        shared = spots[0] if len(set(spots)) == 1 else Spot(_shared(spots))
        pairs = ((number, shared) for number in solids)
    return tuple(Instance(number, *spot) for number, spot in pairs)


def _shared(spots: Sequence[Spot]) -> tuple[str, ...]:
    """The names that all paths begin with."""

    def names() -> Iterator[str]:
        for level in zip(*(spot.path for spot in spots), strict=False):
            if len(set(level)) > 1:
                return
            yield level[0]

    return tuple(names())
