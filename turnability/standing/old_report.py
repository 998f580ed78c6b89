"""An earlier report read from its JSON, or a clear word why it cannot be compared with."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar, get_args

from turnability.errors import BaselineUnusable
from turnability.rules.model import Basis, BasisKind, Change, Finding, Level, Where
from turnability.standing.model import Corners, OldReport, Range

VERSION = 1
"""The `report_version` whose keys are read here."""
_AGAIN = "Name a JSON report that turnability wrote, unchanged, or make it again from the old file"
_T = TypeVar("_T")


def read_old(path: Path) -> OldReport:
    """Read an earlier report. Raises BaselineUnusable naming the file and what is wrong in it."""
    what = str(path)
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise BaselineUnusable(
            what, "there is no such file", "Check the name of the earlier report"
        ) from None
    except (OSError, ValueError) as fault:
        cause = f"it cannot be read ({getattr(fault, 'strerror', None) or fault})"
        raise BaselineUnusable(what.replace("\0", r"\0"), cause, "Check the file") from None
    try:
        document = json.loads(data.decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError:
        raise BaselineUnusable(what, "it is not UTF-8 text", _AGAIN) from None
    except json.JSONDecodeError as fault:
        cause = f"it is not JSON (line {fault.lineno}: {fault.msg})"
        raise BaselineUnusable(what, cause, _AGAIN) from None
    except (ValueError, RecursionError) as fault:
        raise BaselineUnusable(what, f"it is no report ({fault})", _AGAIN) from None
    if not isinstance(document, dict) or "report_version" not in document:
        raise BaselineUnusable(what, "it is no report of turnability's (no report_version)", _AGAIN)
    version = document["report_version"]
    if type(version) is not int or version != VERSION:
        raise BaselineUnusable(
            what,
            f"it is of report_version {json.dumps(version)}, and only {VERSION} can be compared",
            "Analyse the old STEP file again with this turnability and compare with that",
        )
    try:
        return _old(_Node(document, ""), what, hashlib.sha256(data).hexdigest())
    except _Damaged as damage:
        cause = f"it is damaged: {damage}"
        raise BaselineUnusable(what, cause, _AGAIN) from None


class _Damaged(Exception):
    """Where the document is not as the schema has it."""


def _no_number(word: str) -> float:
    raise ValueError(f"it holds {word}, which is no number")


class _Node:
    """One value of the document with its place, for messages."""

    def __init__(self, value: Any, place: str) -> None:
        self.value = value
        self.place = place

    def __getitem__(self, key: str) -> _Node:
        place = f"{self.place}.{key}" if self.place else key
        if not isinstance(self.value, dict):
            raise _Damaged(f"{self.place or 'the document'} is not an object")
        if key not in self.value:
            raise _Damaged(f"{place} is missing")
        return _Node(self.value[key], place)

    def a(self, kind: type[_T]) -> _T:
        if not isinstance(self.value, kind) or (kind is not bool and isinstance(self.value, bool)):
            raise _Damaged(f"{self.place} is not {_NAMES[kind]}")
        return self.value

    def number(self) -> float:
        value = self.value
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise _Damaged(f"{self.place} is not a number")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise _Damaged(f"{self.place} is no finite number")
        return number

    def one_of(self, words: Sequence[_T]) -> _T:
        for word in words:
            if self.value == word:
                return word
        raise _Damaged(f"{self.place} is none of {', '.join(map(str, words))}")

    def each(self) -> list[_Node]:
        return [_Node(v, f"{self.place}[{i}]") for i, v in enumerate(self.a(list))]

    def maybe(self, read: Callable[[_Node], _T]) -> _T | None:
        return None if self.value is None else read(self)

    def pair(self) -> Range:
        ends = self.each()
        if len(ends) != 2:
            raise _Damaged(f"{self.place} is not two numbers")
        return (ends[0].number(), ends[1].number())


_NAMES: dict[type, str] = {
    str: "text",
    list: "a list",
    bool: "true or false",
    int: "a whole number",
}


def _old(document: _Node, what: str, sha256: str) -> OldReport:
    source = document["source"]
    return OldReport(
        path=what,
        sha256=sha256,
        turnability_version=document["turnability_version"].a(str),
        source_sha256=source["sha256"].maybe(lambda n: n.a(str)),
        shop_sha256=document["inputs"]["shop"]["sha256"].a(str),
        solid=source["solid"].a(int),
        solids=source["solids"].a(int),
        corners=document["profile"].maybe(_corners),
        findings=tuple(_finding(node) for node in document["findings"].each()),
        part=source["path"].maybe(lambda n: n.a(str)),
    )


def _corners(profile: _Node) -> Corners:
    points = [
        segment["start"].pair()
        for loop in profile["loops"].each()
        for segment in loop["segments"].each()
    ]
    return Corners(profile["length_mm"].number(), tuple(points))


def _finding(node: _Node) -> Finding:
    where = node["where"]
    return Finding(
        rule=node["rule"].a(str),
        level=node["level"].one_of(get_args(Level)),
        message=node["message"].a(str),
        where=Where(
            tuple(s.a(str) for s in where["segments"].each()),
            tuple(f.a(int) for f in where["faces"].each()),
            tuple(f.a(str) for f in where["features"].each()),
            where["z_mm"].maybe(_Node.pair),
            where["diameter_mm"].maybe(_Node.pair),
        ),
        basis=Basis(
            node["basis"]["text"].a(str), node["basis"]["kind"].one_of(get_args(BasisKind))
        ),
        measured=node["measured"].maybe(_Node.number),
        limit=node["limit"].maybe(_Node.number),
        unit=node["unit"].maybe(lambda n: n.a(str)),
        change=node["change"].maybe(_change),
        id=node["id"].a(str),
    )


def _change(node: _Node) -> Change:
    return Change(
        node["text"].a(str),
        node["parameter"].a(str),
        node["from"].maybe(_Node.number),
        node["to"].maybe(_Node.number),
        node["proven"].a(bool),
    )
