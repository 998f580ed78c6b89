"""One TOML file read: its tables, and all faults collected with the lines where they stand."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any, TypeVar

from turnability.errors import TurnabilityError, printable
from turnability.toml_file.broken import Broken, mend
from turnability.toml_file.keys import Checked, Fault, Faults, Key, check, told
from turnability.toml_file.lines import Path, entry_line, key_lines, line_of

_T = TypeVar("_T")
_METRIC_KEY = re.compile(r"\b(\w+)_mm\b")


@dataclass(frozen=True, slots=True)
class Found:
    """A fault with the line and the table where it stands."""

    line: int
    where: str
    fault: Fault

    def __str__(self) -> str:
        return f"line {self.line}: {'. '.join(self.said())}"

    def subject(self) -> str:
        """What is wrong: the table, and the key where it is one."""
        if self.fault.key is None:
            return self.where
        entry = "" if self.fault.entry is None else f" value {self.fault.entry + 1},"
        return f"{self.where}, key {self.fault.key},{entry}"

    def said(self) -> tuple[str, str]:
        """Cause, with what it is the cause of, and way out."""
        cause = f"{self.subject()} {told(self.fault.cause)}".strip()
        return printable(cause), printable(told(self.fault.remedy))


@dataclass(slots=True)
class TomlFile:
    """The tables of one file, and the faults found in it so far.

    `what` names the file in messages, `unusable` is the error that is raised, `sort` how people
    call such a file ("shop file").
    """

    what: str
    sort: str
    unusable: type[TurnabilityError]
    sha256: str
    text: str
    raw: Mapping[str, Any]
    lines: Mapping[Path, int]
    found: list[Found] = field(default_factory=list)
    broken: frozenset[int] = frozenset()
    """Lines that are no TOML: of them no more is said."""

    def report(self, faults: Sequence[Fault], path: Path, where: str) -> None:
        """Remember faults of the table at `path`, called `where`."""
        for fault in faults:
            line = line_of(self.lines, path if fault.key is None else (*path, fault.key))
            if line not in self.broken or fault.key is None:
                if fault.entry is not None:
                    line = entry_line(self.text, line, fault.entry)
                self.found.append(Found(line, where, fault))

    def line(self, path: Path) -> int:
        """Where a key or table stands."""
        return line_of(self.lines, path)

    def tables(self, name: str) -> list[tuple[Path, Mapping[str, Any]]]:
        """The tables [[name]] in order; none, and a fault, where it is something else."""
        entries = self.raw.get(name, [])
        if not isinstance(entries, list) or not all(isinstance(e, dict) for e in entries):
            fault = Fault(
                None, "is not a list of tables", f"Begin each with [[{name}]] in double brackets"
            )
            self.report([fault], (name,), name)
            return []
        return [((name, i), entry) for i, entry in enumerate(entries)]

    def table(self, name: str) -> Mapping[str, Any] | None:
        """The one table [name]; None where it is missing or, with a fault, something else."""
        table = self.raw.get(name)
        if table is None:
            return None
        if not isinstance(table, dict):
            fault = Fault(None, "is not one table", f"Write [{name}] in single brackets, once")
            self.report([fault], (name,), name)
            return None
        return table

    def each(
        self, name: str, keys: Sequence[Key], make: Callable[[Checked], _T]
    ) -> list[tuple[Path, _T]]:
        """What `make` makes of each table [[name]] whose keys are all right."""
        made: list[tuple[Path, _T]] = []
        for path, table in self.tables(name):
            where = where_of(path, table)
            checked, faults = check(table, keys)
            self.report(faults, path, where)
            if lacks(checked, keys):
                continue
            try:
                one = make(checked)
            except (Fault, Faults) as told_:
                more = [as_written(fault, table) for fault in all_of(told_)]
                self.report(beside(faults, more, table), path, where)
            else:
                if not faults:
                    made.append((path, one))
        return made

    def error(self) -> TurnabilityError:
        """One error that tells all faults found, by line."""
        return error_of(self.found, self.what, self.unusable)


def all_of(raised: Fault | Faults) -> Sequence[Fault]:
    """The faults that were raised, one or several."""
    return raised.faults if isinstance(raised, Faults) else (raised,)


def lacks(values: Checked, keys: Sequence[Key]) -> bool:
    """Whether a value is missing, or wrong, that the table's meaning rests on."""
    return any(key.required and values[key.name] is None for key in keys)


def beside(
    first: Sequence[Fault], more: Sequence[Fault], table: Mapping[str, Any]
) -> Sequence[Fault]:
    """Which further faults are surely faults beside the first ones, whose values were left out.

    Those at keys that stand in the table and were read; anything else may follow from the first.
    """
    if not first:
        return more
    wrong = {fault.key for fault in first}
    return [fault for fault in more if fault.key in table and fault.key not in wrong]


def error_of(
    found: Sequence[Found], what: str, unusable: type[TurnabilityError]
) -> TurnabilityError:
    """One error that tells all faults, by line; `what` names the file."""
    found = sorted(found, key=lambda f: f.line)
    if len(found) == 1:
        (one,) = found
        return unusable(f"{what} line {one.line}", *one.said())
    listed = "".join(f"\n  {one}" for one in found)
    return unusable(what, f"{len(found)} faults", f"Mend these lines:{listed}")


def bytes_of(path: FilePath, sort: str, unusable: type[TurnabilityError]) -> bytes:
    """The file's bytes. Raises `unusable` with the cause where there are none to be had."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise unusable(
            str(path), "there is no such file", f"Check the name of the {sort}"
        ) from None
    except IsADirectoryError:
        raise unusable(str(path), "is a folder", f"Name the {sort} (TOML) in it") from None
    except ValueError:  # the only one that opening a file raises
        shown = str(path).replace("\0", r"\0")
        cause = "its path holds a NUL character, which no file's name can"
        raise unusable(shown, cause, f"Check the name of the {sort}") from None
    except OSError as error:
        raise unusable(
            str(path), f"cannot be read ({error.strerror})", "Check the file and its permissions"
        ) from None


def parse(
    data: bytes,
    what: str,
    sort: str,
    unusable: type[TurnabilityError],
    lists: Sequence[str] = (),
) -> TomlFile:
    """The file's tables; what is no TOML in it is among the faults found.

    `lists` are the tables that must stand in double brackets. Raises `unusable` where the file is
    no UTF-8, or so broken that its tables cannot be told apart.
    """
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise unusable(
            f"{what} line {line}", "is not UTF-8 text", f"Save the {sort} as UTF-8"
        ) from None
    broken: list[Broken] = []
    raw = _tables_of(text)
    if raw is None or any(isinstance(raw.get(name), dict) for name in lists):
        text, broken = mend(text, lists)
        raw = _tables_of(text)
    digest = hashlib.sha256(data).hexdigest()
    file = TomlFile(what, sort, unusable, digest, text, raw or {}, key_lines(text))
    for one in broken:
        file.found.append(Found(one.line, _place(file.raw, one), _fault(one)))
    file.broken = frozenset(one.line for one in broken)
    if raw is None:
        if not broken:
            raise unusable(what, "is not TOML", "Write keys as in width_mm = 3.0, each once")
        raise file.error()
    return file


def _tables_of(text: str) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):  # TOMLDecodeError is a ValueError
        return None


def _fault(broken: Broken) -> Fault:
    return Fault(broken.key, broken.cause, broken.remedy)


def _place(raw: Mapping[str, Any], broken: Broken) -> str:
    """The table of a broken statement as people find it."""
    if broken.key is None:
        return ""
    if not broken.table:
        return "top of the file"
    name, *index = broken.table
    entries = raw.get(str(name))
    if isinstance(entries, list) and index and int(index[0]) < len(entries):
        return where_of(broken.table, entries[int(index[0])])
    return str(name)


def where_of(path: Path, table: Mapping[str, Any]) -> str:
    """A table of a list as people find it: its place among its like, and its name."""
    name = table.get("name")
    return f"{path[0]} {int(path[1]) + 1}" + (
        f' "{name}"' if isinstance(name, str) and name.strip() else ""
    )


def as_written(fault: Fault, table: Mapping[str, Any]) -> Fault:
    """The fault told in the units of the file: lengths, and the keys that hold them.

    A key that the table does not have is told of the table itself, in inches where its other
    lengths are.
    """
    key = fault.key
    if key is not None and key not in table:
        key = key.removesuffix("_mm") + "_in"
        key = key if key in table else None
    lengths = [key] if key is not None else list(table)
    inch = any(k.endswith("_in") for k in lengths) and not any(k.endswith("_mm") for k in lengths)
    cause, remedy = told(fault.cause, inch), told(fault.remedy, inch)
    if inch:
        cause, remedy = (_METRIC_KEY.sub(lambda m: _as_in(table, m), t) for t in (cause, remedy))
    return Fault(key, cause, remedy, None if key is None else fault.entry)


def _as_in(table: Mapping[str, Any], found: re.Match[str]) -> str:
    return found[0] if found[0] in table else f"{found[1]}_in"
