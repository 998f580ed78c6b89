"""The tools that the whole repository asks for: the fewest that do, and what is missing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from turnability.batch.model import Judged


@dataclass(frozen=True, slots=True)
class Lacking:
    """What would clear places that no tool reaches now: by cause, parameter and nearest tool.

    `least` and `most` span the values that the parts need; None where no single number says it.
    """

    causes: tuple[str, ...]
    tool: str | None
    parameter: str | None
    unit: str | None
    least: float | None
    most: float | None
    parts: tuple[str, ...]


_Kind: TypeAlias = tuple[tuple[str, ...], str | None, str | None, str | None]
"""Causes, nearest tool, parameter and unit."""


def smallest_crib(
    parts: Iterable[tuple[str, Judged]], weights: Mapping[str, float] | None = None
) -> tuple[str, ...]:
    """The fewest tools (or the least weight) by which every surface that is reached still is.

    Exact as a cover of surfaces (`scipy.optimize.milp`). It does not say that each of these tools
    comes there without another going first, as a bar after a drill: judge the parts again with a
    shop of these tools before anything is sold.
    """
    needs: set[frozenset[str]] = set()
    for _, one in parts:
        by_segment: dict[str, set[str]] = defaultdict(set)
        for tool, segments in one.reached:
            for segment in segments:
                by_segment[segment].add(tool)
        needs |= {frozenset(tools) for tools in by_segment.values()}
    needs = {need for need in needs if not any(other < need for other in needs)}
    names = sorted(set().union(*needs)) if needs else []
    if not names:
        return ()
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    rows = np.array([[float(name in need) for name in names] for need in needs])
    cost = np.array([(weights or {}).get(name, 1.0) for name in names])
    result = milp(
        cost,
        constraints=LinearConstraint(rows, 1.0, np.inf),
        integrality=np.ones_like(cost),
        bounds=Bounds(0.0, 1.0),
    )
    assert result.x is not None  # all tools together are a cover
    return tuple(name for name, x in zip(names, result.x, strict=True) if x > 0.5)


def used_by(parts: Iterable[tuple[str, Judged]]) -> dict[str, tuple[str, ...]]:
    """By tool, the parts whose plan of tools it stands in."""
    found: dict[str, list[str]] = defaultdict(list)
    for name, one in parts:
        for tool in one.chosen_tools:
            found[tool].append(name)
    return {tool: tuple(found[tool]) for tool in sorted(found)}


def lacking(parts: Iterable[tuple[str, Judged]]) -> tuple[Lacking, ...]:
    """What one more tool would have to be, the most parts first."""
    groups: dict[_Kind, list[tuple[str, float | None]]] = defaultdict(list)
    for name, one in parts:
        for left in one.left:
            need = left.needed
            kind = (
                tuple(left.causes),
                left.nearest_tool,
                need.parameter if need else None,
                need.unit if need else None,
            )
            groups[kind].append((name, None if need is None else need.value))
    made = []
    for (causes, tool, parameter, unit), places in groups.items():
        values = [value for _, value in places if value is not None]
        names = tuple(dict.fromkeys(name for name, _ in places))
        made.append(
            Lacking(
                causes,
                tool,
                parameter,
                unit,
                min(values, default=None),
                max(values, default=None),
                names,
            )
        )
    return tuple(sorted(made, key=lambda one: (-len(one.parts), one.causes, one.tool or "")))
