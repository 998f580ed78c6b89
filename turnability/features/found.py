"""What a recogniser gives back, and how it shows what it knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from turnability.features.chain import spread
from turnability.features.drawing import Drawing
from turnability.features.model import (
    Alternative,
    FeatureKind,
    StandardMatch,
    ThreadStatement,
)
from turnability.features.reliefs import Relief
from turnability.features.sides import Finish
from turnability.part.model import Departure, HelicalThread, Parameter


@dataclass(frozen=True, slots=True)
class Found:
    """A feature before it is numbered.

    `owns`: the segments that are this feature and no other's. `holds`: segments of other features
    that lie in it or finish its corners; whichever feature owns them has this one as its parent
    (the smallest that holds them). `within`: a longer surface's segment that it is a part of,
    where it owns none itself. A bore that is threaded all along owns none either, and holds the
    thread's. `relief`: a hollow's shape beside a shoulder, for the standards.
    """

    kind: FeatureKind
    surface: Literal["outer", "inner", "end"]
    z_mm: tuple[float, float]
    diameter_mm: tuple[float, float]
    owns: tuple[str, ...]
    parameters: Mapping[str, Parameter] = field(default_factory=dict)
    holds: frozenset[str] = frozenset()
    matches: tuple[StandardMatch, ...] = ()
    alternative: Alternative | None = None
    within: str | None = None
    relief: Relief | None = None


@dataclass(frozen=True, slots=True)
class Example:
    """A drawn profile and all that the recogniser should find of its kind in it.

    `expected`: one mapping per feature in the report's order, each naming some of `surface`,
    `z_mm`, `diameter_mm`, `alternative` (its kind), `matches` (designations) and parameters with
    their values.
    """

    name: str
    drawing: Drawing
    expected: tuple[Mapping[str, Any], ...] = ()
    cavities: tuple[Drawing, ...] = ()
    threads: tuple[HelicalThread, ...] = ()
    statements: tuple[ThreadStatement, ...] = ()
    departures: tuple[Departure, ...] = ()


def finished(finish: Finish, size: Mapping[str, Parameter]) -> Found:
    """A corner's finish as a feature; `corner` says whether material or air fills the corner."""
    z, diameter = spread([finish.segment.curve])
    surface: Literal["outer", "inner", "end"] = "end"
    if finish.segment.surface in ("outer", "inner"):
        surface = "outer" if finish.segment.surface == "outer" else "inner"
    where: dict[str, Parameter] = {"corner": "outside" if finish.turn_deg > 0.0 else "inside"}
    if finish.corner is not None:
        where["corner_z_mm"] = finish.corner[0]
        where["corner_diameter_mm"] = 2.0 * finish.corner[1]
    return Found(finish.kind, surface, z, diameter, (finish.segment.id,), {**size, **where})
