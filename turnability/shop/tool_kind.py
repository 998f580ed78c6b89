"""What a kind of tool is: one module in `tools/`, found by being there."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

from turnability.shop.model import Tool
from turnability.toml_file.keys import Checked, Fault, Key


@dataclass(frozen=True, slots=True)
class Example:
    """A table of the shop file; `fault` is part of what must be said of it, None if good."""

    table: Mapping[str, Any]
    fault: str | None = None


class ToolKind(Protocol):
    """A module of `tools/`.

    It may have `expand(table) -> list of tables` for sets, and `THREADS = True` where its tools
    cut threads alone.
    """

    NAME: str
    """What `kind = "..."` says in the shop file."""
    KEYS: Sequence[Key]
    """The keys beside the common ones."""
    EXAMPLES: Sequence[Example]
    """Harmless ones first."""

    def tool_from(self, table: Checked) -> Tool:
        """The tool of a checked table (absent keys are None). Raises Fault or Faults."""
        ...


def each_of_a_set(table: Checked, many: str, one: str, called: str) -> list[Checked]:
    """One table for each value of a set's key `many`, as its key `one`. Raises Fault.

    Without a name of their own they are `called` so, each with its size.
    """
    if table[many] is None:
        return [table]
    if table[one] is not None:
        raise Fault(many, f"is given beside {one}, both", "Keep one of the two")
    made = []
    for size in table[many]:
        name = f"{table['name'] or called} {table.size(many, size)}"
        each = table.but(**{many: None, one: size, "name": name})
        if many in table.in_inches:
            each.in_inches |= {one}
        made.append(each)
    return made


COMMON = (
    Key("name", "text", 'what the tool is called: name = "..."'),
    Key("kind", "text", 'which kind of tool: kind = "turning"', required=True),
    Key("weight", "number", "how dear it is to choose this tool; 1 is ordinary", least=0.01),
    Key("note", "text", "a remark shown with the tool"),
)
"""Keys that every tool may have."""


@cache
def kinds() -> Mapping[str, ToolKind]:
    """All kinds of tools by name."""
    package = importlib.import_module("turnability.shop.tools")
    found: dict[str, ToolKind] = {}
    for info in pkgutil.iter_modules(package.__path__):
        module: Any = importlib.import_module(f"{package.__name__}.{info.name}")
        found[module.NAME] = module
    return dict(sorted(found.items()))
