"""Every solid of a STEP file with what the file says of it, and where else it stands there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from turnability.errors import PartUnreadable
from turnability.part.model import Instance
from turnability.part.reading.facts import Facts, FileFacts
from turnability.part.reading.step_text import StepText
from turnability.part.reading.tree import Spot

if TYPE_CHECKING:
    from turnability.part.reading.read import ReadSolid


def tell(
    text: StepText, found: Sequence[ReadSolid | PartUnreadable]
) -> tuple[ReadSolid | PartUnreadable, ...]:
    """The solids again, each with its facts and all places of the same shape in the file."""
    file = FileFacts(text)
    places: dict[int, list[int]] = {}
    for read in found:
        if not isinstance(read, PartUnreadable):
            places.setdefault(id(read.shape), []).append(read.source.solid)
    known: dict[int, tuple[Facts, tuple[Instance, ...]]] = {}
    told: list[ReadSolid | PartUnreadable] = []
    for read in found:
        if isinstance(read, PartUnreadable):
            told.append(read)
            continue
        key = id(read.shape)
        if key not in known:
            facts = file.of(read.step_ids)
            known[key] = (facts, _instances(facts.spots, places[key]))
        facts, instances = known[key]
        source = replace(read.source, solid_name=facts.solid_name, instances=instances)
        (own,) = (one for one in instances if one.solid == source.solid)
        remarks = (*read.remarks, *facts.remarks, *_distorted(own))
        told.append(replace(read, source=source, facts=facts, remarks=remarks))
    return tuple(told)


def _distorted(place: Instance) -> Iterator[str]:
    if place.scale != 1.0:
        yield (
            f"the assembly places this solid at {place.scale:g} times its size; it was analysed "
            "in the size of its own product"
        )
    if place.mirrored:
        yield "the assembly places this solid mirrored; it was analysed as its own product is"


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
