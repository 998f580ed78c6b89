"""Where each solid stands in the tree of products of a STEP file (ISO 10303-44)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from turnability.part.reading.names import clean, name_of
from turnability.part.reading.records import Records, Value, at, number_in, references, text_in

DEEPEST = 60
MOST_PLACES = 20_000
"""Occurrences beyond which a tree is no longer walked; real ones have a few thousand."""
_USAGE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE"
_OPERATOR = "CARTESIAN_TRANSFORMATION_OPERATOR_3D"
_MADE_UP = re.compile(r"=>\[[\d:]*\]")
"""What the CAD kernel writes for an occurrence that nobody named."""


class Spot(NamedTuple):
    """One place of a product: the names from the root down to it, and how it is distorted there."""

    path: tuple[str, ...]
    mirrored: bool = False
    scale: float = 1.0


class _Usage(NamedTuple):
    part: int
    name: str
    mirrored: bool
    scale: float


class Tree:
    """The products of a file, which contains which, and whose shapes the solids are."""

    def __init__(self, records: Records) -> None:
        self._records = records
        self._text = records.text

    def spots(self, brep: int) -> tuple[Spot, ...]:
        """Every place of a solid in the tree, in the order in which the tree is walked.

        The last name of a path is that of the product's occurrence; a product that is no part of
        another stands alone. Nothing where the file links the solid to no product.
        """
        own = self.definitions_of(brep)
        if len(own) == 1:
            return tuple(spot for _, spot in self._places.get(min(own), ()))
        found = [place for definition in own for place in self._places.get(definition, ())]
        return tuple(spot for _, spot in sorted(found))

    def distortions(self, brep: int) -> tuple[tuple[bool, float], ...]:
        """How items that repeat a solid's representation outside the tree distort it, each once.

        Whether it is mirrored, and its scale; the CAD kernel leaves both out here too.
        """
        if not self._records.named(_OPERATOR):
            return ()
        held = set(self._text.representations_of.get(brep, ()))
        found: dict[tuple[bool, float], None] = {}
        for item in self._records.named("MAPPED_ITEM"):
            ends = self._text.references(item)
            mapped = {n for end in ends[:1] if end for n in self._text.references(end)}
            values = self._records.simple(ends[-1], _OPERATOR) if ends else ()
            if values and mapped & held and (how := self._distortion(values)) != (False, 1.0):
                found[how] = None
        return tuple(found)

    def definitions_of(self, brep: int) -> frozenset[int]:
        """The product definitions whose shape a solid belongs to."""
        return frozenset(
            definition
            for representation in self._text.representations_of.get(brep, ())
            for definition in self._definitions.get(representation, ())
        )

    def definition_of_shape(self, shape: int) -> int | None:
        """The product definition that a product definition shape describes."""
        keywords = self._records.keywords(shape)
        for keyword in ("PRODUCT_DEFINITION_SHAPE", "PROPERTY_DEFINITION"):
            if keyword in keywords:
                values = self._records.simple(shape, keyword)
                for number in references(at(values, 2)):
                    if self._is_definition(number):
                        return number
        return None

    def _is_definition(self, number: int) -> bool:
        # PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS is one, PRODUCT_DEFINITION_SHAPE is not.
        return bool(
            self._records.keywords(number)
            & {"PRODUCT_DEFINITION", "PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS"}
        )

    @cached_property
    def _definitions(self) -> Mapping[int, set[int]]:
        """Product definitions by shape representation, those linked to it too."""
        records, text = self._records, self._text
        found: dict[int, set[int]] = {}
        for link in records.named("SHAPE_DEFINITION_REPRESENTATION"):
            ends = text.references(link)
            definition = self.definition_of_shape(ends[0]) if len(ends) == 2 else None
            if definition is not None:
                found.setdefault(ends[1], set()).add(definition)
        # A relationship without transformation links two representations of one product.
        pairs = [
            pair
            for n in text.by_keyword.get("SHAPE_REPRESENTATION_RELATIONSHIP", ())
            if len(pair := text.references(n)) == 2
        ]
        for _ in range(2):
            for one, other in pairs:
                both = found.get(one, set()) | found.get(other, set())
                if both:
                    found.setdefault(one, set()).update(both)
                    found.setdefault(other, set()).update(both)
        return found

    @cached_property
    def _parts(self) -> Mapping[int, list[_Usage]]:
        """What each product definition contains, in the file's order."""
        records = self._records
        found: dict[int, list[_Usage]] = {}
        for usage in records.named(_USAGE):
            values = records.simple(usage, _USAGE)
            ends = [n for v in (at(values, 3), at(values, 4)) for n in references(v)]
            if len(ends) == 2 and ends[0] != ends[1]:
                said = (_said(text_in(at(values, place))) for place in (1, 5))
                name = next(filter(None, said), None) or self._product(ends[1])
                distorted = self._distorted.get(usage, (False, 1.0))
                found.setdefault(ends[0], []).append(_Usage(ends[1], name, *distorted))
        return {whole: _told_apart(parts) for whole, parts in found.items()}

    @cached_property
    def _distorted(self) -> Mapping[int, tuple[bool, float]]:
        """Usages whose placement mirrors or scales: by a transformation operator (ISO 10303-42).

        The CAD kernel leaves both out without a word.
        """
        records, text = self._records, self._text
        found: dict[int, tuple[bool, float]] = {}
        if not records.named(_OPERATOR):
            return found
        for link in records.named("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"):
            ends = text.references(link)
            if len(ends) != 2:
                continue
            for operator in records.simple(
                ends[0], "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION"
            ):
                for number in references(operator):
                    values = records.simple(number, _OPERATOR)
                    for usage in text.references(ends[1]) if values else ():
                        found[usage] = self._distortion(values)
        return found

    def _distortion(self, values: tuple[Value, ...]) -> tuple[bool, float]:
        """Whether an operator mirrors, and its scale; its values end in them."""
        one, two, _, scale, three = values[-5:] if len(values) >= 5 else (None,) * 5
        axes = [self._direction(axis) for axis in (one, two, three)]
        size = number_in(scale)
        return _is_mirrored(axes), 1.0 if size is None or size <= 0.0 else size

    def _direction(self, value: Value) -> tuple[float, ...] | None:
        for number in references(value):
            ratios = at(self._records.simple(number, "DIRECTION"), 1)
            found = [number_in(r) for r in ratios] if isinstance(ratios, tuple) else []
            known = tuple(r for r in found if r is not None)
            return known if len(known) == 3 else None
        return None

    @cached_property
    def _places(self) -> Mapping[int, list[tuple[int, Spot]]]:
        """Where each product definition stands, with the place's number in the walk."""
        found: dict[int, list[tuple[int, Spot]]] = {}
        for count, (definition, spot) in enumerate(self._walk()):
            found.setdefault(definition, []).append((count, spot))
        return found

    def _walk(self) -> Iterator[tuple[int, Spot]]:
        """All product definitions from the roots down; one that contains itself ends there."""
        inside = {usage.part for parts in self._parts.values() for usage in parts}
        known = {d for definitions in self._definitions.values() for d in definitions}
        roots = sorted((known | set(self._parts)) - inside)
        waiting: list[tuple[tuple[int, ...], Spot]] = [
            ((root,), Spot((self._product(root),))) for root in reversed(roots)
        ]
        count = 0
        while waiting and count < MOST_PLACES:
            line, spot = waiting.pop()
            count += 1
            yield line[-1], spot
            if len(line) < DEEPEST:
                waiting.extend(
                    (
                        (*line, part),
                        Spot((*spot.path, name), spot.mirrored != mirrored, spot.scale * scale),
                    )
                    for part, name, mirrored, scale in reversed(self._parts.get(line[-1], []))
                    if part not in line
                )

    def _product(self, definition: int) -> str:
        """The name of a product definition's product, else its id."""
        formations = self._text.references(definition) if definition in self._text.instances else ()
        for formation in formations:
            if not self._text.instances[formation].keyword.startswith("PRODUCT_DEFINITION_FORM"):
                continue
            for product in self._text.references(formation):
                values = self._records.simple(product, "PRODUCT")
                for value in (at(values, 1), at(values, 0)):
                    if said := _said(text_in(value)):
                        return said
        return "unnamed"


def solid_name(records: Records, brep: int, products: Iterable[str]) -> str | None:
    """A solid's own name; None where it only repeats its product's."""
    name = name_of(records, brep)
    return None if name in set(products) else name


def _said(text: str) -> str:
    return "" if _MADE_UP.fullmatch(text) else clean(text)


def _is_mirrored(axes: list[tuple[float, ...] | None]) -> bool:
    one, two, three = axes
    if one is None or two is None or three is None:
        return False  # a missing axis completes a right-handed system
    across = (
        one[1] * two[2] - one[2] * two[1],
        one[2] * two[0] - one[0] * two[2],
        one[0] * two[1] - one[1] * two[0],
    )
    return sum(a * b for a, b in zip(across, three, strict=True)) < 0.0


def _told_apart(parts: list[_Usage]) -> list[_Usage]:
    """Occurrences of one name within one product are numbered."""
    total = Counter(usage.name for usage in parts)
    seen: Counter[str] = Counter()
    made = []
    for usage in parts:
        seen[usage.name] += 1
        numbered = f"{usage.name} ({seen[usage.name]})" if total[usage.name] > 1 else usage.name
        made.append(usage._replace(name=numbered))
    return made
