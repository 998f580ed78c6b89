"""The shop file read: TOML checked key by key, all faults told at once with their lines."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path as FilePath
from typing import Any, TypeVar

from turnability.errors import ShopUnusable
from turnability.shop.model import Shop, StockPolicy, StockSize, Tool
from turnability.shop.tool_kind import COMMON, kinds
from turnability.shop.workshop import (
    HOLDING_KEYS,
    MACHINE_KEYS,
    POLICY_KEYS,
    STOCK_KEYS,
    holding_from,
    machine_from,
    policy_from,
    stock_from,
)
from turnability.toml_file.keys import Fault, Faults, Key, check, nearest
from turnability.toml_file.lines import Path, key_lines, line_of

_TOP = (
    Key("name", "text", "what the shop is called"),
    Key("units", "choice", "what people read", default="mm", choices=("mm", "inch")),
)
_TABLES = ("tool", "holding", "machine", "stock")
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class _Found:
    line: int
    where: str
    fault: Fault

    def __str__(self) -> str:
        return f"line {self.line}: {self.subject()} {self.fault}"

    def subject(self) -> str:
        return self.where if self.fault.key is None else f"{self.where}, key {self.fault.key},"


def load_shop(path: str | FilePath) -> Shop:
    """Read a shop file. Lengths may be written in mm (`_mm`) or inches (`_in`), never both.

    Raises ShopUnusable naming the file, each wrong key with its line, the cause and the way out.
    """
    file = FilePath(path)
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        raise ShopUnusable(
            str(file), "there is no such file", "Check the name of the shop file"
        ) from None
    except IsADirectoryError:
        raise ShopUnusable(str(file), "is a folder", "Name the shop file (TOML) in it") from None
    except OSError as error:
        raise ShopUnusable(
            str(file), f"cannot be read ({error.strerror})", "Check the file and its permissions"
        ) from None
    return _shop_of(data, str(file), file.stem)


def starter_shop() -> Shop:
    """The small shop that comes with the package, read like any other file."""
    return _shop_of(starter_shop_text().encode(), "starter.toml", "starter")


def starter_shop_text() -> str:
    """The starter shop's file, with comments for whoever makes it their own."""
    return (resources.files("turnability.shop") / "starter.toml").read_text("utf-8")


def _shop_of(data: bytes, what: str, stem: str) -> Shop:
    raw, text = _parse(data, what)
    lines = key_lines(text)
    found: list[_Found] = []

    def report(faults: Sequence[Fault], path: Path, where: str) -> None:
        for fault in faults:
            at = path if fault.key is None else (*path, fault.key)
            found.append(_Found(line_of(lines, at), where, fault))

    top = {k: v for k, v in raw.items() if k not in (*_TABLES, "stock_policy")}
    values, faults = check(top, _TOP)
    report([_top_level(fault) for fault in faults], (), "top of the file")

    def each(
        name: str, keys: Sequence[Key], make: Callable[[Mapping[str, Any]], _T]
    ) -> list[tuple[Path, _T]]:
        made: list[tuple[Path, _T]] = []
        for path, table in _tables(raw, name, report):
            where = _where(path, table)
            checked, faults = check(table, keys)
            report(faults, path, where)
            if not faults:
                try:
                    made.append((path, make(checked)))
                except Fault as fault:
                    report([_as_written(fault, table)], path, where)
        return made

    tools: list[tuple[Path, Tool]] = []
    for path, table in _tables(raw, "tool", report):
        try:
            tools += [(path, tool) for tool in _tools(table)]
        except Faults as several:
            shown = [_as_written(fault, table) for fault in several.faults]
            report(shown, path, _where(path, table))
    holdings = each("holding", HOLDING_KEYS, holding_from)
    machines = each("machine", MACHINE_KEYS, machine_from)
    stock: list[StockSize] = []
    for _, sizes in each("stock", STOCK_KEYS, stock_from):
        stock += sizes
    policy = _policy(raw, report)
    for group in (tools, holdings, machines):
        _same_names([(path, entry.name) for path, entry in group], lines, report)
    if not tools and not found:
        cause = "the file is empty" if not text.strip() else "no tool is given"
        raise ShopUnusable(
            what, cause, "Add at least one [[tool]] table; the starter shop shows how"
        )
    if found:
        raise _unusable(what, found)
    return Shop(
        name=values["name"] or stem,
        sha256=hashlib.sha256(data).hexdigest(),
        inch=values["units"] == "inch",
        tools=tuple(tool for _, tool in tools),
        holdings=tuple(holding for _, holding in holdings),
        machines=tuple(machine for _, machine in machines),
        stock=tuple(stock),
        stock_policy=policy,
    )


def _parse(data: bytes, what: str) -> tuple[dict[str, Any], str]:
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise ShopUnusable(
            f"{what} line {line}", "is not UTF-8 text", "Save the shop file as UTF-8"
        ) from None
    try:
        return tomllib.loads(text), text
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", str(error))
        cause = str(error)
        line = text.rstrip().count("\n") + 1
        if place:
            cause = cause.replace(place.group(), "")
            line = int(place[1]) if place[1] else line
        cause = cause[:1].lower() + cause[1:]
    except RecursionError:
        cause, line = "lists are nested too deeply", 1
    raise ShopUnusable(
        f"{what} line {line}",
        f"is not TOML: {cause}",
        "Correct this line; keys look like width_mm = 3.0",
    )


def _tools(table: Mapping[str, Any]) -> list[Tool]:
    """The tools of one table: one, or a set. Raises Faults."""
    kind = table.get("kind")
    if not isinstance(kind, str):
        cause = "has no kind" if kind is None else "is not text"
        key = None if kind is None else "kind"
        raise Faults([Fault(key, cause, "It may be " + ", ".join(kinds()))])
    module = kinds().get(kind)
    if module is None:
        raise Faults([Fault("kind", f'is "{kind}"', nearest(kind, kinds()))])
    values, faults = check(table, (*COMMON, *module.KEYS))
    if faults:
        raise Faults(faults)
    try:
        expand = getattr(module, "expand", lambda one: [one])
        made = [module.tool_from(one) for one in expand(values)]
    except Fault as fault:
        raise Faults([fault]) from None
    notes = () if values["note"] is None else (values["note"],)
    return [
        replace(
            tool,
            weight=tool.weight if values["weight"] is None else values["weight"],
            notes=tool.notes + notes,
        )
        for tool in made
    ]


def _tables(
    raw: Mapping[str, Any], name: str, report: Callable[[Sequence[Fault], Path, str], None]
) -> list[tuple[Path, Mapping[str, Any]]]:
    entries = raw.get(name, [])
    if not isinstance(entries, list) or not all(isinstance(e, dict) for e in entries):
        fault = Fault(
            None, "is not a list of tables", f"Begin each with [[{name}]] in double brackets"
        )
        report([fault], (name,), name)
        return []
    return [((name, i), entry) for i, entry in enumerate(entries)]


def _policy(
    raw: Mapping[str, Any], report: Callable[[Sequence[Fault], Path, str], None]
) -> StockPolicy | None:
    table = raw.get("stock_policy")
    if table is None:
        return None
    path: Path = ("stock_policy",)
    if not isinstance(table, dict):
        fault = Fault(None, "is not one table", "Write [stock_policy] in single brackets, once")
        report([fault], path, "stock_policy")
        return None
    values, faults = check(table, POLICY_KEYS)
    report(faults, path, "stock_policy")
    return None if faults else policy_from(values)


def _same_names(
    named: Sequence[tuple[Path, str]],
    lines: Mapping[Path, int],
    report: Callable[[Sequence[Fault], Path, str], None],
) -> None:
    first: dict[str, Path] = {}
    for path, name in named:
        if name in first:
            at = line_of(lines, first[name])
            fault = Fault(
                "name", f'"{name}" is taken by the one in line {at}', "Give each its own name"
            )
            report([fault], path, f"{path[0]} {int(path[1]) + 1}")
        first.setdefault(name, path)


def _where(path: Path, table: Mapping[str, Any]) -> str:
    name = table.get("name")
    return f"{path[0]} {int(path[1]) + 1}" + (f' "{name}"' if isinstance(name, str) else "")


def _as_written(fault: Fault, table: Mapping[str, Any]) -> Fault:
    """Name the key as the file has it (inches), or the table where the key is not in it."""
    if fault.key is None or fault.key in table:
        return fault
    inch = fault.key.removesuffix("_mm") + "_in"
    return Fault(inch if inch in table else None, fault.cause, fault.remedy)


def _top_level(fault: Fault) -> Fault:
    if fault.key is None or fault.cause != "is no key here":
        return fault
    names = (*_TABLES, "stock_policy", *(key.name for key in _TOP))
    return Fault(fault.key, "is no key or table of a shop file", nearest(fault.key, names))


def _unusable(what: str, found: Sequence[_Found]) -> ShopUnusable:
    found = sorted(found, key=lambda f: f.line)
    if len(found) == 1:
        (one,) = found
        return ShopUnusable(
            f"{what} line {one.line}", f"{one.subject()} {one.fault.cause}", one.fault.remedy
        )
    listed = "".join(f"\n  {one}" for one in found)
    return ShopUnusable(what, f"{len(found)} faults", f"Mend these lines:{listed}")
