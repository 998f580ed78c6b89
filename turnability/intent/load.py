"""The intent file read: TOML checked key by key, all faults told at once with their lines.

Places are read as they are named; `settle.settled` finds them on a part.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any, TypeVar

from turnability.errors import IntentUnusable
from turnability.intent.model import Intent, Named, Related
from turnability.intent.stated import (
    BAR_OUTSIDE,
    EDGE_KEYS,
    GROUND_KEYS,
    NO_GRIP_KEYS,
    PLACE_KEYS,
    RELATED_KEYS,
    ROUGHNESS_KEYS,
    THREAD_KEYS,
    TOLERANCE_KEYS,
    TOP_KEYS,
    edge_from,
    ends_of,
    ground_from,
    named_from,
    no_grip_from,
    of_sizes,
    roughness_from,
    spread,
    thread_from,
    tolerance_from,
    whole,
)
from turnability.toml_file.density import solid_density
from turnability.toml_file.keys import Fault, Faults, Key, both, check, nearest
from turnability.toml_file.lines import Path
from turnability.toml_file.read import TomlFile, as_written, bytes_of, parse, where_of

SUFFIX = ".intent.toml"
_SORT = "intent file"
_TABLES = ("tolerance", "roughness", "related", "thread", "no_grip", "edge", "ground")
_T = TypeVar("_T")


def intent_beside(step: FilePath, solid: int = 1, solids: int = 1) -> FilePath | None:
    """The intent file that lies beside a STEP file; None where there is none.

    `part.intent.toml` goes with `part.step`. Where the file holds several solids,
    `part.2.intent.toml` goes before it for the second one.
    """
    if not step.name:
        return None
    stem = step.name.rpartition(".")[0] or step.name
    names = [f"{stem}.{solid}{SUFFIX}"] if solids > 1 else []
    for name in (*names, f"{stem}{SUFFIX}"):
        beside = step.with_name(name)
        if os.path.exists(beside):  # noqa: PTH110 (False where the name is too long for a file)
            return beside
    return None


def load_intent(path: str | os.PathLike[str]) -> Intent:
    """Read an intent file. Lengths may be written in mm (`_mm`) or inches (`_in`), never both.

    Raises IntentUnusable naming the file, each wrong key with its line, the cause and the way out.
    """
    file = FilePath(path)
    data = bytes_of(file, _SORT, IntentUnusable)
    return _intent_of(parse(data, str(file), _SORT, IntentUnusable, _TABLES))


def _intent_of(file: TomlFile) -> Intent:
    top = {key: value for key, value in file.raw.items() if key not in _TABLES}
    values, faults = check(top, TOP_KEYS)
    file.report([_top_level(fault) for fault in faults], (), "top of the file")
    quantity = density = None
    try:
        quantity, density = both(
            lambda: whole(values, "quantity"),
            lambda: solid_density(values["density_kg_per_mm3"]),
        )
    except Faults as several:
        file.report(several.faults, (), "top of the file")
    intent = Intent(
        what=file.what,
        sha256=file.sha256,
        material=values["material"],
        condition=values["condition"],
        density_kg_per_mm3=density,
        quantity=quantity,
        general_tolerance=of_sizes(values["general_tolerance"]),
        ra_um=values["ra_um"],
        edges_mm=values["edges_mm"],
        centre_holes=ends_of(values["centre_holes_may_stay"]),
        parting_pip=ends_of(values["parting_pip_may_stay"]),
        bar_outside=values[BAR_OUTSIDE],
        tolerances=_each(file, "tolerance", TOLERANCE_KEYS, tolerance_from),
        roughness=_each(file, "roughness", ROUGHNESS_KEYS, roughness_from),
        related=_related(file),
        threads=_each(file, "thread", THREAD_KEYS, thread_from),
        no_grip=_each(file, "no_grip", NO_GRIP_KEYS, no_grip_from),
        edges=_each(file, "edge", EDGE_KEYS, edge_from),
        ground=_each(file, "ground", GROUND_KEYS, ground_from),
    )
    if file.found:
        raise file.error()
    return intent


def _each(
    file: TomlFile,
    name: str,
    keys: Sequence[Key],
    make: Callable[[Mapping[str, Any], Named], _T],
) -> tuple[_T, ...]:
    """What `make` makes of each table [[name]] and the place it names."""
    made = [
        one
        for path, table in file.tables(name)
        for one in _made(file, path, where_of(path, table), table, keys, make)
    ]
    return tuple(made)


def _made(
    file: TomlFile,
    path: Path,
    where: str,
    table: Mapping[str, Any],
    keys: Sequence[Key],
    make: Callable[[Mapping[str, Any], Named], _T],
) -> list[_T]:
    """One table made into what it states, or nothing and its faults reported."""
    checked, faults = check(spread(table), keys)
    file.report(faults, path, where)
    if faults:
        return []
    try:
        return [make(checked, named_from(checked, file.line(path), where))]
    except Fault as fault:
        file.report([as_written(fault, table)], path, where)
    except Faults as several:
        file.report([as_written(fault, table) for fault in several.faults], path, where)
    return []


def _related(file: TomlFile) -> tuple[Related, ...]:
    groups = []
    for path, table in file.tables("related"):
        where = where_of(path, table)
        own = {key: value for key, value in table.items() if key != "surface"}
        checked, faults = check(own, RELATED_KEYS)
        file.report(faults, path, where)
        surfaces = table.get("surface", [])
        if not isinstance(surfaces, list) or not all(isinstance(s, dict) for s in surfaces):
            way = 'Write surface = [{ diameter_mm = 20, z_mm = [10, 30] }, { end = "low" }]'
            file.report([Fault("surface", "is not a list of places", way)], path, where)
            continue
        if not surfaces:
            fault = Fault(None, "relates no surfaces", "Add surface = [{ ... }, { ... }]")
            file.report([fault], path, where)
        places: list[Named] = []
        for n, surface in enumerate(surfaces):
            at = (*path, "surface", n)
            made = _made(
                file, at, f"{where}, surface {n + 1}", surface, PLACE_KEYS, lambda _, named: named
            )
            places += made
        if not faults:
            name = checked["name"] or f"related {int(path[1]) + 1}"
            groups.append(Related(name, tuple(places), checked["run_out_mm"]))
    return tuple(groups)


def _top_level(fault: Fault) -> Fault:
    if fault.key is None or fault.cause != "is no key here":
        return fault
    names = (*_TABLES, *(key.name for key in TOP_KEYS))
    return Fault(fault.key, "is no key or table of an intent file", nearest(fault.key, names))
