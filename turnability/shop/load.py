"""The shop file read: TOML checked key by key, all faults told at once with their lines."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from importlib import resources
from pathlib import Path as FilePath
from typing import Any

from turnability.errors import ShopUnusable
from turnability.shop.model import Rates, Shop, StockPolicy, StockSize, Tool
from turnability.shop.tool_kind import COMMON, ToolKind, kinds
from turnability.shop.workshop import (
    HOLDING_KEYS,
    MACHINE_KEYS,
    POLICY_KEYS,
    RATE_KEYS,
    STOCK_KEYS,
    holding_from,
    machine_from,
    policy_from,
    rates_from,
    stock_from,
)
from turnability.toml_file.keys import (
    Checked,
    Fault,
    Faults,
    Key,
    check,
    close,
    nearest,
    shortened,
)
from turnability.toml_file.lines import Path
from turnability.toml_file.read import (
    TomlFile,
    all_of,
    as_written,
    beside,
    bytes_of,
    lacks,
    parse,
    where_of,
)

_SORT = "shop file"
_TOP = (
    Key("name", "text", "what the shop is called"),
    Key("units", "choice", "what people read", default="mm", choices=("mm", "inch")),
)
_TABLES = ("tool", "holding", "machine", "stock")
_SINGLE = ("stock_policy", "rates")
_MEANT = {
    **dict.fromkeys(("lathe", "lathes"), "machine"),
    **dict.fromkeys(("chuck", "grip", "collet"), "holding"),
    **dict.fromkeys(("bar", "bars", "material"), "stock"),
}
"""What people write for a table, where spelling leads to another one or to none."""


class NoShop(ShopUnusable, TypeError):
    """What was given as the shop is neither a shop nor a path."""


def load_shop(path: str | os.PathLike[str]) -> Shop:
    """Read a shop file. Lengths may be written in mm (`_mm`) or inches (`_in`), never both.

    Raises ShopUnusable naming the file, each wrong key with its line, the cause and the way out
    (NoShop, which is a TypeError too, where `path` is no path).
    """
    try:
        file = FilePath(path)
    except TypeError:
        shown = repr(path)
        raise NoShop(
            "shop=" + (shown if len(shown) <= 40 else shown[:37] + "..."),
            f"{type(path).__name__} is no type of shop",
            "Give a turnability.Shop (as load_shop returns it), the path of a shop file as str or "
            "os.PathLike, or None for the starter shop",
        ) from None
    data = bytes_of(file, _SORT, ShopUnusable)
    if data.lstrip().startswith(b"ISO-10303-21"):
        cause = "this is a STEP file, and no shop file"
        raise ShopUnusable(
            str(file), cause, "Name the shop file (TOML) here, and the part as the argument"
        )
    return _shop_of(data, str(file), file.stem)


def starter_shop() -> Shop:
    """The small shop that comes with the package, read like any other file."""
    return _shop_of(starter_shop_text().encode(), "starter.toml", "starter")


def starter_shop_text() -> str:
    """The starter shop's file, with comments for whoever makes it their own."""
    return (resources.files("turnability.shop") / "starter.toml").read_text("utf-8")


def _shop_of(data: bytes, what: str, stem: str) -> Shop:
    file = parse(data, what, _SORT, ShopUnusable, _TABLES)
    top = {k: v for k, v in file.raw.items() if k not in (*_TABLES, *_SINGLE)}
    values, faults = check(top, _TOP)
    file.report([_top_level(fault) for fault in faults], (), "top of the file")
    tools: list[tuple[Path, Tool]] = []
    for path, table in file.tables("tool"):
        made, wrong = _tools(table)
        tools += [(path, tool) for tool in made]
        file.report([as_written(one, table) for one in wrong], path, where_of(path, table))
    holdings = file.each("holding", HOLDING_KEYS, holding_from)
    machines = file.each("machine", MACHINE_KEYS, machine_from)
    stock: list[StockSize] = []
    for _, sizes in file.each("stock", STOCK_KEYS, stock_from):
        stock += sizes
    policy = _policy(file)
    rates = _rates(file)
    for sort, group in (("tool", tools), ("holding", holdings), ("machine", machines)):
        named = [(path, entry.name) for path, entry in group]
        _same_names(file, sorted(named + _named_only(file, sort, named), key=lambda n: n[0][1]))
    if not tools and not file.found:
        cause = "the file is empty" if not file.text.strip() else "no tool is given"
        raise ShopUnusable(
            what, cause, "Add at least one [[tool]] table; the starter shop shows how"
        )
    if file.found:
        raise file.error()
    return Shop(
        name=values["name"] or stem,
        sha256=file.sha256,
        inch=values["units"] == "inch",
        tools=tuple(tool for _, tool in tools if not cuts_threads(tool)),
        holdings=tuple(holding for _, holding in holdings),
        machines=tuple(machine for _, machine in machines),
        stock=tuple(stock),
        stock_policy=policy,
        thread_tools=tuple(tool for _, tool in tools if cuts_threads(tool)),
        rates=rates,
    )


def cuts_threads(tool: Tool) -> bool:
    """Is it of a kind that cuts threads and nothing else?"""
    return bool(getattr(kinds()[tool.kind], "THREADS", False))


def tools_of(table: Mapping[str, Any]) -> list[Tool]:
    """The tools of one `[[tool]]` table: one, or a set. Raises Faults with all that is wrong."""
    made, faults = _tools(table)
    if faults:
        raise Faults(list(faults))
    return made


def _tools(table: Mapping[str, Any]) -> tuple[list[Tool], Sequence[Fault]]:
    """The tools of one table, one or a set, and all that is wrong in it."""
    kind = table.get("kind")
    module = kinds().get(kind) if isinstance(kind, str) else None
    if module is None:
        return [], _kindless(table, kind)
    keys = (*COMMON, *module.KEYS)
    values, faults = check(table, keys)
    if lacks(values, keys):
        return [], faults
    made, more = _made(module, values)
    notes = () if values["note"] is None else (values["note"],)
    whole = [
        replace(
            tool,
            weight=tool.weight if values["weight"] is None else values["weight"],
            notes=tool.notes + notes,
        )
        for tool in made
    ]
    return whole, [*faults, *beside(faults, [as_written(one, table) for one in more], table)]


def _kindless(table: Mapping[str, Any], kind: object) -> list[Fault]:
    """What is wrong in a table of no known kind, in its other keys too.

    They are judged by the kind that is probably meant; without one, by what any kind may hold.
    """
    if not isinstance(kind, str):
        cause = "has no kind" if kind is None else "is not text"
        fault = Fault(None if kind is None else "kind", cause, "It may be " + ", ".join(kinds()))
    else:
        fault = Fault("kind", f'is "{kind}"', nearest(kind, kinds()))
    rest = {key: value for key, value in table.items() if key != "kind"}
    meant = close(kind, kinds()) if isinstance(kind, str) else None
    if meant is not None:
        keys = [key for key in (*COMMON, *kinds()[meant].KEYS) if key.name != "kind"]
        return [fault, *check(rest, keys)[1]]
    of_all = list({k.name: k for m in kinds().values() for k in m.KEYS}.values())
    names = {name for key in of_all for name in (key.name, key.inch_name)}
    common = {key.name for key in COMMON}
    told = {key: value for key, value in rest.items() if key in common or key not in names}
    faults = [one for one in check(told, [*COMMON, *of_all])[1] if one.key is not None]
    return [fault, *map(_of_no_kind, faults)]


def _of_no_kind(fault: Fault) -> Fault:
    """The fault; of an unknown key that is near none of any kind, without a list of them all."""
    if fault.cause != "is no key here" or "It may be" not in fault.remedy:
        return fault
    way = "Take it out, or look at the tools of the starter shop: turnability shop new FILE"
    return Fault(fault.key, "is a key of no kind of tool", way)


def _made(module: ToolKind, values: Checked) -> tuple[list[Tool], Sequence[Fault]]:
    """The tools of a checked table, and all that is wrong with any of them."""
    made: list[Tool] = []
    faults: list[Fault] = []
    a_set = next((k.name for k in module.KEYS if k.kind == "lengths" and values[k.name]), None)
    try:
        tables = getattr(module, "expand", lambda one: [one])(values)
    except Fault as fault:
        return [], [fault]
    for entry, one in enumerate(tables):
        try:
            made.append(module.tool_from(one))
        except (Fault, Faults) as raised:
            for told in all_of(raised):
                of_one = a_set is not None and (told.key is None or values[told.key] is None)
                one_fault = Fault(a_set, told.cause, told.remedy, entry) if of_one else told
                if of_one or str(told) not in map(str, faults):  # of a whole set, told once
                    faults.append(one_fault)
    return made, faults if a_set is None else shortened(a_set, faults)


def _policy(file: TomlFile) -> StockPolicy | None:
    table = file.table("stock_policy")
    if table is None:
        return None
    values, faults = check(table, POLICY_KEYS)
    file.report(faults, ("stock_policy",), "stock_policy")
    if faults:
        return None
    try:
        return policy_from(values)
    except Fault as fault:
        file.report([as_written(fault, table)], ("stock_policy",), "stock_policy")
        return None


def _rates(file: TomlFile) -> Rates | None:
    table = file.table("rates")
    if table is None:
        return None
    values, faults = check(table, RATE_KEYS)
    file.report(faults, ("rates",), "rates")
    return None if faults else rates_from(values)


def _same_names(file: TomlFile, named: Sequence[tuple[Path, str]]) -> None:
    first: dict[str, Path] = {}
    for path, name in named:
        if name in first:
            fault = _taken(file, path, name, first[name])
            where = f"{path[0]} {int(path[1]) + 1}"
            file.report([fault], path, where)
        first.setdefault(name, path)


def _named_only(
    file: TomlFile, sort: str, made: Sequence[tuple[Path, str]]
) -> list[tuple[Path, str]]:
    """Tables that nothing could be made of, by the names they have; a set's tools lack theirs."""
    done = {path for path, _ in made}
    found: list[tuple[Path, str]] = []
    tables = file.raw.get(sort)
    for at, table in enumerate(tables if isinstance(tables, list) else ()):
        name = table.get("name") if isinstance(table, dict) else None
        a_set = sort == "tool" and any(
            key in table for many in ("diameters", "sizes") for key in (f"{many}_mm", f"{many}_in")
        )
        if isinstance(name, str) and name.strip() and (sort, at) not in done and not a_set:
            found.append(((sort, at), name.strip()))
    return found


def _taken(file: TomlFile, path: Path, name: str, by: Path) -> Fault:
    if path == by:
        return Fault(None, f'makes two tools called "{name}"', "Give each size once")
    at = file.line(by)
    if "name" in file.raw[str(path[0])][path[1]]:
        return Fault("name", f'"{name}" is taken by the one in line {at}', "Give each its own name")
    return Fault(
        None,
        f'has no name, and "{name}", after what it is, is taken by the one in line {at}',
        'Add name = "..." to tell them apart',
    )


def _top_level(fault: Fault) -> Fault:
    if fault.key is None or fault.cause != "is no key here":
        return fault
    names = (*_TABLES, *_SINGLE, *(key.name for key in _TOP))
    other = _MEANT.get(fault.key)
    remedy = nearest(fault.key, names) if other is None else f"Did you mean {other}?"
    if fault.key in kinds():
        remedy = f'It is a kind of tool: write [[tool]], with kind = "{fault.key}"'
    return Fault(fault.key, "is no key or table of a shop file", remedy)
