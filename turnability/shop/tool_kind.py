"""What a kind of tool is: one module in `tools/`, found by being there."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

from turnability.shop.model import Tool
from turnability.toml_file.keys import Checked, Key


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
