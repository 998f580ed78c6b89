"""In which line of a TOML text a key stands; the parser of the standard library does not say."""

from __future__ import annotations

import re
from collections.abc import Mapping

Path = tuple[str | int, ...]
"""Names and array indices from the top, such as ("tool", 2, "width_mm")."""

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\]]+?)\s*\]\]?\s*(?:#.*)?$")
_NAME = r"\"(?:[^\"\\]|\\.)*\"|'[^']*'|[A-Za-z0-9_-]+"
_KEY = re.compile(rf"\s*((?:{_NAME})(?:\s*\.\s*(?:{_NAME}))*)\s*=")
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}]|\n',
    re.DOTALL,
)

_ENTRY = re.compile(rf"{_TOKEN.pattern}|,|[^\S\n]+|[^\[\]{{}},#\s\"'=]+", re.DOTALL)
"""The same and all that stands between, for the values of a list."""


def key_lines(text: str) -> dict[Path, int]:
    """1-based line of every table header and key of a TOML text that parses."""
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for number, line in _statements(text):
        header = _HEADER.match(line)
        if header:
            table = ()
            names = _names(header[2])
            for depth, name in enumerate(names):
                table = (*table, name)
                last = depth == len(names) - 1
                if last and header[1] == "[[":
                    counts[table] = counts.get(table, -1) + 1
                if table in counts:
                    table = (*table, counts[table])
            found.setdefault(table, number)
            continue
        key = _KEY.match(line)
        if key:
            found.setdefault((*table, *_names(key[1])), number)
    return found


def line_of(lines: Mapping[Path, int], path: Path) -> int:
    """Line of the path, else of the nearest table that holds it; 1 at the top."""
    while path:
        for found in (path, (*path, 0)):  # a list of tables stands where its first one does
            if found in lines:
                return lines[found]
        path = path[:-1]
    return 1


def entry_line(text: str, line: int, entry: int) -> int:
    """Line of a list's value, counted from 0, where its key stands in `line`; else that line."""
    begin = sum(len(one) for one in text.splitlines(keepends=True)[: line - 1])
    equals = text.find("=", begin)
    depth = count = 0
    for token in _ENTRY.finditer(text, equals) if equals >= 0 else ():
        what = token.group()
        if what.isspace() or what.startswith("#"):
            continue
        if depth == 1 and count == entry and what not in ",]":
            return text.count("\n", 0, token.start()) + 1
        depth += (what in "[{") - (what in "]}")
        count += what == "," and depth == 1
        if what in "]}" and depth == 0:
            break
    return line


def _names(dotted: str) -> list[str]:
    return [part.strip("\"'") for part in re.findall(_NAME, dotted)]


def _statements(text: str) -> list[tuple[int, str]]:
    """Lines that begin a statement: not within a text or list of several lines."""
    begins = [0]
    depth = 0
    for token in _TOKEN.finditer(text):
        what = token.group()
        at_start = not text[begins[-1] : token.start()].strip()
        if what in "[{" and not (depth == 0 and at_start):
            depth += 1
        elif what in "]}" and depth > 0:
            depth -= 1
        elif what == "\n" and depth == 0:
            begins.append(token.end())
    result = []
    number, at = 1, 0
    for begin in begins:
        number += text.count("\n", at, begin)
        at = begin
        line = text[begin:].split("\n", 1)[0]
        if line.strip() and not line.lstrip().startswith("#"):
            result.append((number, line))
    return result
