"""The project file `turnability.toml`: which rules count as what, and which findings may stay."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, get_args

from turnability.errors import ProjectUnusable
from turnability.rules.model import Weight
from turnability.standing.model import Accepted, Project
from turnability.standing.repository import LISTS, TABLES, repository_in
from turnability.toml_file.keys import Checked, Fault, Key, check, nearest
from turnability.toml_file.read import TomlFile, as_written, bytes_of, parse, where_of

NAME = "turnability.toml"
_SORT = "project file"
_WEIGHTS: tuple[Weight, ...] = get_args(Weight)
_PLACES = ("diameter_mm", "diameter_in", "z_mm", "z_in")


def project_of(step: Path) -> Path | None:
    """The project file that a STEP file falls under; None where there is none.

    It is looked for in the STEP file's folder and those above it, up to the root of the
    repository (the folder that holds `.git`), or of the disk where there is no repository.
    """
    try:
        folder = step.resolve().parent
        here = Path.cwd()
    except (OSError, ValueError, RuntimeError):
        return None  # the reader of the STEP file tells what is wrong with its path
    for place in (folder, *folder.parents):
        try:
            if (place / NAME).is_file():
                found = place / NAME
                return found.relative_to(here) if found.is_relative_to(here) else found
            if (place / ".git").exists():
                return None
        except (OSError, ValueError):
            return None
    return None


def load_project(path: Path) -> Project:
    """Read a project file. Raises ProjectUnusable with all faults at once and their lines."""
    from turnability.rules.judge import all_rules

    data = bytes_of(path, _SORT, ProjectUnusable)
    file = parse(data, str(path), _SORT, ProjectUnusable, ("accepted", *LISTS))
    rules = tuple(rule.name for rule in all_rules())
    tables = ("levels", "accepted", *TABLES)
    strange = [
        Fault(name, "is no table of a project file", nearest(name, tables))
        for name in file.raw
        if name not in tables
    ]
    file.report(strange, (), "top of the file")
    levels = _levels(file, rules)
    accepted = _accepted(file, rules)
    repository = repository_in(file)
    if file.found:
        raise file.error()
    folder = str(path.resolve().parent)
    return Project(str(path), folder, file.sha256, levels, accepted, repository)


def _levels(file: TomlFile, rules: tuple[str, ...]) -> dict[str, Weight]:
    table = file.table("levels") or {}
    keys = [Key(name, "choice", "as what it counts", choices=_WEIGHTS) for name in rules]
    checked, faults = check(table, keys)
    file.report([_no_rule(fault, rules) for fault in faults], ("levels",), "levels")
    return {rule: checked[rule] for rule in rules if checked[rule] is not None}


def _no_rule(fault: Fault, rules: tuple[str, ...]) -> Fault:
    if fault.key is None or fault.key in rules:
        return fault
    return Fault(fault.key, "is no rule", nearest(fault.key, rules))


def _accepted(file: TomlFile, rules: tuple[str, ...]) -> tuple[Accepted, ...]:
    keys = (
        Key("part", "text", 'the STEP file, such as "housing.step"', required=True),
        Key("solid", "number", "which solid of the file", least=1),
        Key("rule", "choice", "the finding's rule", required=True, choices=rules),
        Key("z_mm", "span", "where it is along the axis, as the report says", least=0.0),
        Key("diameter_mm", "span", "on which diameters it is, as the report says", least=0.0),
        Key("reason", "text", "why it may stay", required=True),
        Key("by", "text", 'the role that decided it, such as "manufacturing lead"', required=True),
        Key("until", "date", "the last day it holds, such as 2027-06-30", required=True),
    )
    made = []
    for path, table in file.tables("accepted"):
        where = where_of(path, table)
        checked, faults = check(_spread(table), keys)
        solid = checked["solid"]
        if isinstance(solid, float) and solid != int(solid):
            faults.append(Fault("solid", f"is {solid:g}", "Write a whole number"))
        file.report([as_written(fault, table) for fault in faults], path, where)
        if not faults:
            made.append(_one(checked, file.line(path)))
    return tuple(made)


def _one(checked: Checked, line: int) -> Accepted:
    solid = checked["solid"]
    return Accepted(
        part=checked["part"],
        solid=None if solid is None else int(solid),
        rule=checked["rule"],
        z_mm=checked["z_mm"],
        diameter_mm=checked["diameter_mm"],
        reason=checked["reason"],
        by=checked["by"],
        until=checked["until"],
        line=line,
    )


def _spread(table: Mapping[str, Any]) -> dict[str, Any]:
    """The table with single numbers of a place written as ranges of no width."""
    return {
        key: [value, value]
        if key in _PLACES and isinstance(value, int | float) and not isinstance(value, bool)
        else value
        for key, value in table.items()
    }
