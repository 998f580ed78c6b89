"""A TOML text that does not parse: what is wrong with each statement, and a text that does parse.

The parser of the standard library stops at the first fault, and often names a later line than the
one to mend. Here every statement is read by itself, so that all faults of a file are told at once.
A statement that is broken keeps its key in the mended text, with an empty table as its value.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field

from turnability.toml_file.lines import Path
from turnability.toml_file.values import cause_of

_NAME = r"(?:\"[^\"\n]*\"|'[^'\n]*'|[A-Za-z0-9_-]+)"
_KEY = re.compile(rf"\s*({_NAME}(?:\s*\.\s*{_NAME})*)\s*=")
_NO_EQUALS = re.compile(r"\s*([A-Za-z_][\w-]*)\s*(?::|\s)\s*[^\s=:]")
_HEADER = re.compile(rf"\s*(\[\[?)\s*({_NAME}(?:\s*\.\s*{_NAME})*)\s*(\]\]?)\s*(?:#.*)?$")
_HEADER_LIKE = re.compile(rf"\s*\[\s*\[?\s*({_NAME})\s*(?:\]|$|#)")
_BEGINS = re.compile(r"\s*(?:\[\[?\s*[A-Za-z_][\w.-]*\s*\]|[A-Za-z_][\w-]*\s*=(?!=))")
"""A line that begins a table or a key: a list still open before it was not closed."""
_CLOSES = {"[": "]", "{": "}"}


@dataclass(frozen=True, slots=True)
class Broken:
    """One statement that is no TOML: its line, its table, its key where it has one, and why."""

    line: int
    table: Path
    key: str | None
    cause: str
    remedy: str


@dataclass(slots=True)
class _Reading:
    """Where the reading stands: the table, what was there before, the faults, the mended lines."""

    lists: Sequence[str]
    table: Path = ()
    counts: dict[str, int] = field(default_factory=dict)
    tables: dict[Path, int] = field(default_factory=dict)
    keys: dict[Path, int] = field(default_factory=dict)
    found: list[Broken] = field(default_factory=list)
    mended: list[str] = field(default_factory=list)

    def fault(self, line: int, key: str | None, told: tuple[str, str]) -> None:
        self.found.append(Broken(line, self.table, key, *told))


def mend(text: str, lists: Sequence[str]) -> tuple[str, list[Broken]]:
    """A text with as many lines that parses wherever this can be had, and the faults in order.

    `lists` are the tables that must stand in double brackets.
    """
    lines = text.split("\n")
    reading = _Reading(lists)
    at = 0
    while at < len(lines):
        line = lines[at]
        if not line.strip() or line.lstrip().startswith("#"):
            reading.mended.append(line)
            at += 1
        elif line.lstrip().startswith("["):
            _header(reading, line, at + 1)
            at += 1
        else:
            end, fault = _extent(lines, at)
            _statement(reading, lines[at:end], at + 1, fault)
            at = end
    return "\n".join(reading.mended), reading.found


def _header(reading: _Reading, line: str, number: int) -> None:
    whole = _HEADER.match(line)
    like = whole or _HEADER_LIKE.match(line)
    name = (whole[2] if whole else like[1]) if like else None
    double = whole[1] == "[[" if whole else name in reading.lists
    reading.table = ()
    if name is None:
        told = ("is no table's heading", "Headings look like [[tool]] or [stock_policy]")
        reading.fault(number, None, told)
    elif whole is None or len(whole[1]) != len(whole[3]):
        double = name in reading.lists or line.lstrip().startswith("[[")
        right = f"[[{name}]]" if double else f"[{name}]"
        told = (f"the brackets of {name} do not match", f"Write {right} alone in its line")
        reading.fault(number, None, told)
    elif not double and name in reading.lists:
        told = (f"[{name}] stands in single brackets", f"Begin each {name} with [[{name}]]")
        reading.fault(number, None, told)
        double = True
    elif not double and (name,) in reading.tables:
        before = reading.tables[name,]
        told = (f"[{name}] stands there twice, first in line {before}", "Put both together")
        reading.fault(number, None, told)
        name = None
    if name is None:  # what follows belongs to no table that anybody knows
        name, double = f'"line {number}"', False
    reading.mended.append(f"[[{name}]]" if double else f"[{name}]")
    reading.table = (name,)
    if double:
        reading.counts[name] = reading.counts.get(name, -1) + 1
        reading.table = (name, reading.counts[name])
    elif "." in name:  # a table within the last of a list is a new one each time
        reading.table = (name, number)
    reading.tables.setdefault(reading.table, number)


def _statement(
    reading: _Reading, lines: Sequence[str], number: int, fault: tuple[int, str, str] | None
) -> None:
    blank = [""] * (len(lines) - 1)
    match = _KEY.match(lines[0])
    if match is None and "=" not in lines[0].split("#", 1)[0]:
        match = _NO_EQUALS.match(lines[0])
    key = match[1] if match else None
    told = fault or _fault_of("\n".join(lines), key)
    at = number + told[0] if told else number
    path = (*reading.table, key) if key is not None else ()
    if key is not None and path in reading.keys:
        before = reading.keys[path]
        way = "Keep one of the two"
        if reading.table and reading.table[0] in reading.lists:
            way += f"; another {reading.table[0]} begins with [[{reading.table[0]}]]"
        reading.fault(number, key, (f"is given twice, first in line {before}", way))
        reading.mended += ["", *blank]
        return
    if key is not None:
        reading.keys[path] = number
    if told is None:
        reading.mended += lines
        return
    reading.fault(at, key, told[1:])
    reading.mended += [f"{key} = {{}}" if key is not None else "", *blank]


def _fault_of(statement: str, key: str | None) -> tuple[int, str, str] | None:
    """What is wrong with one statement: how many lines down, cause, way out; None if nothing."""
    try:
        tomllib.loads(statement)
    except RecursionError:
        return 0, "holds lists nested too deeply", "Write [[[z, r], [z, r], [z, r]]]"
    except ValueError as error:  # also numbers of more figures than Python reads
        first = statement.split("\n", 1)[0]
        place = re.search(r"line (\d+)", str(error))
        down = int(place[1]) - 1 if place else 0
        return (min(down, statement.count("\n")), *cause_of(first, key, str(error)))
    return None


def _extent(lines: Sequence[str], begin: int) -> tuple[int, tuple[int, str, str] | None]:
    """The line after a statement, and a quote or bracket in it without its partner.

    The fault names how many lines down it stands, its cause and the way out.
    """
    open_: list[tuple[str, int]] = []
    fault: tuple[int, str, str] | None = None
    at, column = begin, 0
    while at < len(lines):
        line = lines[at]
        if open_ and at > begin and _BEGINS.match(line):
            break
        while column < len(line):
            letter = line[column]
            if letter == "#":
                break
            if letter in "\"'":
                if line.startswith(3 * letter, column):
                    end = _closing(lines, at, column + 3, 3 * letter)
                    if end is None:
                        told = f"opens a text with {3 * letter} that is not closed"
                        after = at + 1
                        while after < len(lines) and not _BEGINS.match(lines[after]):
                            after += 1
                        return after, (at - begin, told, f"Close it with {3 * letter}")
                    at, column = end
                    line = lines[at]
                    continue
                text = re.compile(r'"(?:[^"\\]|\\.)*"' if letter == '"' else r"'[^']*'")
                whole = text.match(line, column)
                if whole is None:
                    told = f"has a quote ({letter}) without its partner"
                    way = f"Put text between two quotes in one line: {letter}...{letter}"
                    fault = fault or (at - begin, told, way)
                    break
                column = whole.end()
                continue
            if letter in _CLOSES:
                open_.append((letter, at))
            elif letter in _CLOSES.values() and open_:
                open_.pop()
            column += 1
        at, column = at + 1, 0
        if not open_:
            return at, fault
    bracket, line_at = open_[-1]
    told = f"opens a list with {bracket} that is not closed"
    if bracket == "{":
        told = "opens a table with { that is not closed"
    return at, fault or (line_at - begin, told, f"Close it with {_CLOSES[bracket]}")


def _closing(lines: Sequence[str], at: int, column: int, quotes: str) -> tuple[int, int] | None:
    """Line and column behind the closing quotes of a text of several lines."""
    while at < len(lines):
        found = lines[at].find(quotes, column)
        if found >= 0:
            return at, found + 3
        at, column = at + 1, 0
    return None
