"""Entities of a STEP file with their parameters as values (ISO 10303-21, clause 12).

For the few entities whose parameters matter one by one; `StepText` tells which there are, and is
quicker where only references count.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import NamedTuple, TypeAlias

from turnability.part.reading.step_strings import decode_string
from turnability.part.reading.step_text import StepText

DEEPEST = 40
"""Lists nested deeper than this belong to no entity that is read here."""
_TOKEN = re.compile(
    r"(?:\s|/\*(?s:.*?)\*/)*+"
    r"(?:(?P<text>'(?:[^']|'')*+')|#(?P<reference>\d+)|\.(?P<word>[A-Za-z0-9_]+)\."
    r"|(?P<number>[-+]?\d[\d.]*(?:[Ee][-+]?\d+)?)|(?P<keyword>!?[A-Za-z][A-Za-z0-9_]*)"
    r"|(?P<binary>\"[0-9A-Fa-f]*\")|(?P<mark>[(),$*]))"
)


class Reference(NamedTuple):
    """A reference to another entity."""

    number: int


class Word(NamedTuple):
    """One of an enumeration's words, in capitals, without its points."""

    word: str


class Typed(NamedTuple):
    """A value that names its type, as LENGTH_MEASURE(25.4) does."""

    keyword: str
    values: tuple[Value, ...]


Value: TypeAlias = "str | float | Reference | Word | Typed | tuple[Value, ...] | None"
"""None for $ and *."""
Record: TypeAlias = Mapping[str, tuple["Value", ...]]
"""Parameters by keyword: one keyword for a simple entity, all its parts' for a complex one."""


class Records:
    """The parsed entities of one file, each parsed when first asked for."""

    def __init__(self, text: StepText) -> None:
        self.text = text
        self._parsed: dict[int, Record] = {}

    def __getitem__(self, number: int) -> Record:
        """An entity's parameters; nothing for one that is missing or cannot be parsed."""
        if number not in self._parsed:
            self._parsed[number] = self._parse(number)
        return self._parsed[number]

    def named(self, *keywords: str) -> list[int]:
        """Entities, simple and complex, that hold one of these keywords, in the file's order."""
        found = {n for k in keywords for n in self.text.by_keyword.get(k, ())}
        found |= {n for k in keywords for n in self._complex.get(k, ())}
        return sorted(found, key=lambda n: self.text.instances[n].place)

    def keywords(self, number: int) -> frozenset[str]:
        """The keywords of an entity; none for one that is missing."""
        instance = self.text.instances.get(number)
        if instance is None:
            return frozenset()
        return frozenset({instance.keyword}) if instance.keyword else frozenset(self[number])

    def simple(self, number: int, keyword: str) -> tuple[Value, ...]:
        """What follows `keyword` in an entity, whether it is simple or complex; else nothing."""
        return self[number].get(keyword, ())

    @cached_property
    def all_keywords(self) -> frozenset[str]:
        """Every keyword of the data section, those within complex entities too."""
        return frozenset(self.text.by_keyword) | frozenset(self._complex)

    @cached_property
    def _complex(self) -> Mapping[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number in self.text.by_keyword.get("", ()):
            for keyword in dict.fromkeys(_KEYWORD.findall(self.text.parameters(number).upper())):
                found.setdefault(keyword, []).append(number)
        return found

    def _parse(self, number: int) -> Record:
        instance = self.text.instances.get(number)
        if instance is None:
            return {}
        try:
            values = _values(self.text.parameters(number))
        except ValueError:
            return {}
        inside = values[0] if len(values) == 1 else None
        if not isinstance(inside, tuple) or isinstance(inside, Reference | Word | Typed):
            return {}
        if instance.keyword:
            return {instance.keyword: inside}
        return {part.keyword: part.values for part in inside if isinstance(part, Typed)}


_KEYWORD = re.compile(r"\b([A-Z][A-Z0-9_]*)\s*\(")


def references(value: Value) -> Iterator[int]:
    """All references in a value, in order."""
    return (leaf.number for leaf in _leaves(value) if isinstance(leaf, Reference))


def _leaves(value: Value) -> Iterator[Value]:
    """What a value holds at any depth, in order."""
    if isinstance(value, Typed):
        value = value.values
    if isinstance(value, tuple) and not isinstance(value, Reference | Word):
        for inner in value:
            yield from _leaves(inner)
    else:
        yield value


def number_in(value: Value) -> float | None:
    """A number, or the number that a typed value holds."""
    if isinstance(value, float):
        return value
    if isinstance(value, Typed) and len(value.values) == 1:
        return number_in(value.values[0])
    return None


def text_in(value: Value) -> str:
    """A text, stripped; "" for anything else."""
    if isinstance(value, Typed) and len(value.values) == 1:
        return text_in(value.values[0])
    return value.strip() if isinstance(value, str) else ""


def words_in(value: Value) -> Iterator[str]:
    """All words of enumerations in a value, in order."""
    return (leaf.word for leaf in _leaves(value) if isinstance(leaf, Word))


def at(values: tuple[Value, ...], place: int) -> Value:
    """The value at a place, None beyond the last."""
    return values[place] if place < len(values) else None


def _values(text: str) -> tuple[Value, ...]:
    """The values in a text, without recursion. Raises ValueError where it is none."""
    levels: list[list[Value]] = [[]]
    names: list[str | None] = []
    keyword: str | None = None
    at = 0
    while at < len(text):
        token = _TOKEN.match(text, at)
        if token is None:
            if text[at:].strip():
                raise ValueError("no parameters")
            break
        at = token.end()
        kind = token.lastgroup
        said = token.group(kind) if kind else ""
        if kind == "keyword":
            # In a complex entity each keyword is followed by its own list.
            keyword = said.upper()
        elif said == "(":
            if len(levels) > DEEPEST:
                raise ValueError("nested too deep")
            levels.append([])
            names.append(keyword)
            keyword = None
        elif said == ")":
            if len(levels) < 2:
                raise ValueError("one bracket too many")
            inside = tuple(levels.pop())
            name = names.pop()
            levels[-1].append(inside if name is None else Typed(name, inside))
        elif said != ",":
            levels[-1].append(_value(kind, said))
    if len(levels) != 1:
        raise ValueError("a bracket is missing")
    return tuple(levels[0])


def _value(kind: str | None, said: str) -> Value:
    if kind == "text":
        return decode_string(said[1:-1])
    if kind == "reference":
        return Reference(int(said))
    if kind == "word":
        return Word(said.upper())
    if kind == "number":
        return float(said)
    return None
