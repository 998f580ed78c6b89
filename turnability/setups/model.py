"""The types that the room `setups` hands up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from turnability.reach.model import Toward
from turnability.shop.model import Cause


@dataclass(frozen=True, slots=True)
class Land:
    """A straight, unbroken cylinder of the profile that a chuck could hold."""

    segments: tuple[str, ...]
    surface: Literal["outer", "inner"]
    z_mm: tuple[float, float]
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Grip:
    """What is held: the raw bar or a land. `kind` is the holding's name, or "raw bar"."""

    kind: str
    surface: Literal["outer", "inner"]
    z_mm: tuple[float, float]
    diameter_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Datum:
    """What the setup is located on; `segment` is None for raw stock."""

    segment: str | None
    why: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One tool's work in a setup."""

    tool: str
    segments: tuple[str, ...]
    kind: str


@dataclass(frozen=True, slots=True)
class SetupLeft:
    """Segments that the plan leaves uncut, and why."""

    segments: tuple[str, ...]
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class Bending:
    """How far the worst pass bends the part."""

    worst_diametral_error_mm: float
    at_z_mm: float
    force_n: float
    unsupported_length_mm: float
    length_to_diameter: float


@dataclass(frozen=True, slots=True)
class Setup:
    """One chucking."""

    order: int
    toward_chuck: Toward
    grip: Grip
    datum: Datum
    support: Literal["none", "tailstock", "steady", "between-centres"]
    operations: tuple[Operation, ...]
    left: tuple[SetupLeft, ...]
    bending: Bending | None = None
