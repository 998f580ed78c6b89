"""Imports point down the staircase, go round in no circle, and only two doors lead to the kernel.

Read from the source, imports inside functions included; those for type checkers alone count too.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "turnability"
STAIRS = (
    {"__main__"},
    {"cli", "cadquery", "pytest_plugin"},
    {"batch", "testing", "watch"},
    {"outputs"},
    {"analysis"},
    {"report"},
    {"standing"},
    {"rules"},
    {"setups"},
    {"stock", "reach"},
    {"features", "shop", "intent"},
    {"part"},
    {"half_plane", "toml_file"},
    {"whole_files"},
    {"errors", "cited", "units"},
)
STAIRS_OF_SETUPS = (
    {"plan", "document"},
    {"trials"},
    {"effort"},
    {"set_over"},
    {"operations", "bending"},
    {"bores", "cutting"},
    {"holding"},
    {"surfaces"},
    {"model"},
    {"taper_model", "bending_model"},
)
"""The stairs within `setups`: its rooms, and what stands beside them."""


def heights(stairs: tuple[set[str], ...]) -> dict[str, int]:
    return {room: -step for step, rooms in enumerate(stairs) for room in rooms}


HEIGHT = heights(STAIRS)
INNER_HEIGHT = heights(STAIRS_OF_SETUPS)
KERNEL = {"OCP", "cadquery"}
MAY_TOUCH_THE_KERNEL = {"part", "cadquery"}
FACE = ""
"""The package's own __init__: everybody may have its version, it may name every room."""


def module_name(file: Path) -> str:
    parts = file.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else FACE


@cache
def modules() -> dict[str, ast.Module]:
    return {
        module_name(file): ast.parse(file.read_text(encoding="utf-8"), str(file))
        for file in sorted(PACKAGE.rglob("*.py"))
    }


def imports_of(tree: ast.AST, module: str, is_package: bool) -> Iterable[str]:
    """Every module that is imported, as deep as its name can be told."""
    known = modules()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                here = module.split(".")
                up = len(here) - node.level + (1 if is_package else 0)
                base = ".".join([*here[:up], *([base] if base else [])])
            for alias in node.names:
                deeper = f"{base}.{alias.name}"
                yield deeper if deeper in known else base


@cache
def own_imports() -> dict[str, frozenset[str]]:
    """For each module the modules of this package that it imports."""
    found = {}
    for module, tree in modules().items():
        is_package = (PACKAGE.parent / Path(*module.split("."))).is_dir()
        found[module] = frozenset(
            name
            for name in imports_of(tree, module, is_package)
            if name.split(".")[0] == PACKAGE.name and name != module
        )
    return found


def test_every_room_stands_on_a_stair() -> None:
    rooms = {room_of(module) for module in modules()} - {FACE}
    assert rooms <= HEIGHT.keys(), f"no stair for {sorted(rooms - HEIGHT.keys())}"
    assert {"part", "reach", "cli", "report"} <= rooms


def test_imports_point_down() -> None:
    wrong = [
        f"{module} imports {name}"
        for module, names in own_imports().items()
        for name in sorted(names)
        if room_of(module) != FACE
        and room_of(name) not in (FACE, room_of(module))
        and HEIGHT[room_of(name)] >= HEIGHT[room_of(module)]
    ]
    assert not wrong, wrong


def inner_room_of(module: str) -> str:
    """The room within `setups` that a module stands in."""
    parts = module.split(".")
    return parts[2] if len(parts) > 2 and parts[1] == "setups" else FACE


def test_every_room_of_setups_stands_on_a_stair() -> None:
    rooms = {inner_room_of(module) for module in modules()} - {FACE}
    assert rooms == INNER_HEIGHT.keys(), rooms ^ INNER_HEIGHT.keys()


def test_imports_within_setups_point_down() -> None:
    wrong = [
        f"{module} imports {name}"
        for module, names in own_imports().items()
        for name in sorted(names)
        if inner_room_of(module) != FACE
        and inner_room_of(name) not in (FACE, inner_room_of(module))
        and INNER_HEIGHT[inner_room_of(name)] >= INNER_HEIGHT[inner_room_of(module)]
    ]
    assert not wrong, wrong


def test_only_two_doors_lead_to_the_kernel() -> None:
    wrong = []
    for module, tree in modules().items():
        is_package = (PACKAGE.parent / Path(*module.split("."))).is_dir()
        touched = {name.split(".")[0] for name in imports_of(tree, module, is_package)} & KERNEL
        if touched and room_of(module) not in MAY_TOUCH_THE_KERNEL:
            wrong.append(f"{module} imports {sorted(touched)}")
    assert not wrong, wrong


def test_no_imports_go_round_in_a_circle() -> None:
    graph = {
        module: {name for name in names if room_of(name) != FACE}
        for module, names in own_imports().items()
        if room_of(module) != FACE
    }
    done: set[str] = set()

    def visit(module: str, path: tuple[str, ...]) -> None:
        assert module not in path, " > ".join([*path[path.index(module) :], module])
        if module in done or module not in graph:
            return
        for name in sorted(graph[module]):
            visit(name, (*path, module))
        done.add(module)

    for module in graph:
        visit(module, ())
    assert done == graph.keys()


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("import OCP.gp", "OCP.gp"),
        ("def f():\n    from OCP.gp import gp_Pnt", "OCP.gp"),
        ("from turnability import analysis", "turnability.analysis"),
        ("from turnability.report import Report", "turnability.report"),
        ("from . import report", "turnability.report"),
        ("from .part.model import Part", "turnability.part.model"),
    ],
)
def test_the_reader_of_imports_sees_them(source: str, expected: str) -> None:
    assert expected in set(imports_of(ast.parse(source), "turnability.cli", is_package=False))
