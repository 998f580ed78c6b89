"""The types that the room `stock` hands up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class StockPiece:
    """A piece of bar or tube cut for one part; `why` says why it is (not) taken."""

    form: Literal["bar", "tube", "hex", "pipe"]
    name: str
    across_mm: float
    inner_diameter_mm: float | None
    length_mm: float
    mass_kg: float | None
    why: str


@dataclass(frozen=True, slots=True)
class Split:
    """What making a flange apart would save."""

    at_z_mm: float
    saved_mass_kg: float
    saved_fraction: float


@dataclass(frozen=True, slots=True)
class Stock:
    """The stock chosen (None where no size of the list holds the part), the others, the waste."""

    choice: StockPiece | None
    alternatives: tuple[StockPiece, ...]
    removed_fraction: float | None
    split: Split | None = None
