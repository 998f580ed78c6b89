"""Shape aspects: the places of a product that tolerances and datums are about, as faces.

ISO 10303-41 and -47, by the recommended practices for semantic tolerances: an aspect is tied to
faces by usages (GEOMETRIC_ITEM_SPECIFIC_USAGE) or by a representation of its own, and to other
aspects by relationships: a composite to its members, a derived one to what it derives from, a
datum feature to its datum.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from turnability.part.reading.names import clean
from turnability.part.reading.records import Records, Value, at, references, text_in
from turnability.part.reading.tree import Tree

SIZES = (
    "DIMENSIONAL_SIZE",
    "ANGULAR_SIZE",
    "DIMENSIONAL_SIZE_WITH_PATH",
    "DIMENSIONAL_SIZE_WITH_DATUM_FEATURE",
)
LOCATIONS = (
    "DIMENSIONAL_LOCATION",
    "ANGULAR_LOCATION",
    "DIRECTED_DIMENSIONAL_LOCATION",
    "DIRECTED_ANGULAR_LOCATION",
    "DIMENSIONAL_LOCATION_WITH_PATH",
)
_USAGES = ("GEOMETRIC_ITEM_SPECIFIC_USAGE", "ITEM_IDENTIFIED_REPRESENTATION_USAGE")
_RELATIONSHIPS = ("SHAPE_ASPECT_RELATIONSHIP", "SHAPE_ASPECT_DERIVING_RELATIONSHIP")
_TARGET = "FEATURE_FOR_DATUM_TARGET_RELATIONSHIP"
_HOLDERS = {"CLOSED_SHELL", "OPEN_SHELL", "CONNECTED_FACE_SET", "CONNECTED_FACE_SUB_SET"}
_SOLIDS = {"MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS", "FACETED_BREP"}
_PROPERTIES = ("PRODUCT_DEFINITION_SHAPE", "PROPERTY_DEFINITION")


class Aspects:
    """What the shape aspects of one file lead to."""

    def __init__(self, records: Records, tree: Tree) -> None:
        self._records = records
        self._tree = tree
        self._faces = frozenset(records.text.faces)

    def faces(self, aspect: int) -> tuple[int, ...]:
        """Faces (entity numbers) of an aspect or dimension, in the file's order of usages."""
        found: dict[int, None] = {}
        for one in self._family(aspect):
            for item in self._items.get(one, ()):
                found.update(dict.fromkeys(self._faces_in(item)))
        return tuple(found)

    def ends(self, location: int) -> tuple[int | None, int | None]:
        """The two aspects that a location lies between."""
        for keyword in (*LOCATIONS, "SHAPE_ASPECT_RELATIONSHIP"):
            values = self._records.simple(location, keyword)
            if len(values) >= 4:
                one, other = (next(references(v), None) for v in values[2:4])
                return one, other
        return None, None

    def sized(self, size: int) -> int | None:
        """The aspect whose size a dimension states; the dimension itself may be one."""
        for keyword in SIZES:
            for value in self._records.simple(size, keyword):
                for number in references(value):
                    if number not in self._shapes:
                        return number
        return size if self._records.simple(size, "SHAPE_ASPECT") else None

    def definition(self, aspect: int) -> int | None:
        """The product definition that an aspect (or dimension) is a part of."""
        for one in self._family(aspect):
            if one in self._shapes:
                return self._tree.definition_of_shape(one)
            for values in self._records[one].values():
                for number in (n for value in values for n in references(value)):
                    if number in self._shapes:
                        return self._tree.definition_of_shape(number)
        return None

    def _family(self, aspect: int) -> list[int]:
        """The aspect and those that it consists of or comes from; each once."""
        found: list[int] = []
        waiting = [aspect]
        seen = {aspect}
        while waiting:
            one = waiting.pop()
            found.append(one)
            keywords = self._records.keywords(one)
            below: list[int | None] = list(self._below.get(one, ()))
            if keywords & set(LOCATIONS):
                below += self.ends(one)
            elif keywords & set(SIZES):
                below.append(self.sized(one))
            for number in reversed(below):
                if number is not None and number not in seen:
                    seen.add(number)
                    waiting.append(number)
        return found

    @cached_property
    def _shapes(self) -> frozenset[int]:
        return frozenset(self._records.named("PRODUCT_DEFINITION_SHAPE"))

    @cached_property
    def _below(self) -> Mapping[int, list[int]]:
        """Aspects below each: members, bases; for a datum or target, the features that make it."""
        found: dict[int, list[int]] = {}
        for relationship in self._records.named(*_RELATIONSHIPS, _TARGET):
            if self._records.keywords(relationship) & set(LOCATIONS):
                continue  # a distance is a relationship too
            for keyword in (*_RELATIONSHIPS, _TARGET):
                values = self._records.simple(relationship, keyword)
                if len(values) < 4:
                    continue
                upper, lower = (next(references(v), None) for v in values[2:4])
                if upper is None or lower is None:
                    continue
                kinds = self._records.keywords(lower)
                if keyword == _TARGET or "DATUM" in kinds:
                    upper, lower = lower, upper
                found.setdefault(upper, []).append(lower)
        return found

    @cached_property
    def _items(self) -> Mapping[int, list[int]]:
        """Geometric items by aspect."""
        records, text = self._records, self._records.text
        found: dict[int, list[int]] = {}
        for usage in records.named(*_USAGES):
            for keyword in _USAGES:
                values = records.simple(usage, keyword)
                # name, description, definition, representation, item or items
                for aspect in references(at(values, 2)):
                    found.setdefault(aspect, []).extend(references(at(values, 4)))
        # The older way: the aspect has a representation of its own.
        owners: dict[int, int] = {}
        for keyword in _PROPERTIES:
            for number in text.by_keyword.get(keyword, ()):
                values = records.simple(number, keyword)
                for aspect in references(at(values, 2)):
                    owners[number] = aspect
        for keyword in ("SHAPE_DEFINITION_REPRESENTATION", "PROPERTY_DEFINITION_REPRESENTATION"):
            for link in text.by_keyword.get(keyword, ()):
                ends = text.references(link)
                aspect_of = owners.get(ends[0]) if len(ends) == 2 else None
                if aspect_of is not None and not self._records.keywords(aspect_of) & {
                    "PRODUCT_DEFINITION"
                }:
                    found.setdefault(aspect_of, []).extend(
                        item
                        for item in text.references(ends[1])
                        if item in self._faces or self._is_holder(item)
                    )
        return found

    def _is_holder(self, item: int) -> bool:
        return bool(self._records.keywords(item) & (_HOLDERS | _SOLIDS))

    def _faces_in(self, item: int) -> Iterable[int]:
        """The faces of an item: itself, or those of a shell or solid."""
        waiting = [item]
        for _ in range(3):  # solid, shell, face
            deeper: list[int] = []
            for number in waiting:
                if number in self._faces:
                    yield number
                elif self._is_holder(number):
                    deeper += self._records.text.references(number)
            waiting = deeper


def described(value: Value) -> str | None:
    """A name in a file as people may read it, None where there is none."""
    return clean(text_in(value)) or None
