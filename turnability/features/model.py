"""The type that the room `features` hands up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from turnability.part.model import Parameter

FeatureKind: TypeAlias = Literal[
    "cylinder",
    "face",
    "shoulder",
    "taper",
    "contour",
    "chamfer",
    "fillet",
    "groove",
    "end-groove",
    "recess",
    "bore",
    "drill-point",
    "thread",
    "knurl",
    "centre-hole",
]

Confidence: TypeAlias = Literal["likely", "either"]


@dataclass(frozen=True, slots=True)
class StandardMatch:
    """A standard's size that the feature agrees with, and how far off it is."""

    standard: str
    designation: str
    residual_mm: float


@dataclass(frozen=True, slots=True)
class Alternative:
    """The other sensible reading of a feature.

    `confidence` is in the reading that is given: "likely" where the other would be unusual,
    "either" where the solid alone cannot tell.
    """

    kind: FeatureKind
    why: str
    confidence: Confidence = "likely"


@dataclass(frozen=True, slots=True)
class ThreadStatement:
    """A thread that the design ("intent") or the file itself ("file") states on some segments.

    `z_mm`: from where to where, if that is stated; none runs beyond its segments.
    """

    segments: tuple[str, ...]
    designation: str
    by: Literal["intent", "file"]
    z_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Feature:
    """One place of the profile by its trade name; parameters as the report contract names them."""

    id: str
    kind: FeatureKind
    surface: Literal["outer", "inner", "end"]
    z_mm: tuple[float, float]
    diameter_mm: tuple[float, float]
    segments: tuple[str, ...]
    faces: tuple[int, ...]
    parameters: Mapping[str, Parameter] = field(default_factory=dict)
    matches: tuple[StandardMatch, ...] = ()
    parent: str | None = None
    alternative: Alternative | None = None

    def number(self, name: str) -> float | None:
        """One of its parameters that is a number; None where it has none of that name."""
        value = self.parameters.get(name)
        if isinstance(value, bool) or not isinstance(value, int | float):
            return None
        return float(value)

    @property
    def only_drawn(self) -> bool:
        """Of a thread, whether but its diameter, lead chamfer and relief make it look like one."""
        return self.parameters.get("evidence") == "cosmetic"
