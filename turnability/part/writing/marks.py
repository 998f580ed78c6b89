"""What an annotated STEP file is to carry besides what it had; free of the kernel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

Colour: TypeAlias = tuple[float, float, float]
"""Red, green, blue from 0 to 1, as the report's drawings show them (sRGB)."""
Ring: TypeAlias = tuple[tuple[float, float], ...]
"""Corners (z, r) of a closed outline, mm."""
Vector: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """What one face is to carry: `solid` and `face` are 1-based, `step_id` its entity number."""

    solid: int
    face: int
    step_id: int | None
    name: str = ""
    colour: Colour | None = None
    layer: str | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """What is said of a place: a shape aspect on these faces (1-based), with its attributes.

    `text` describes it; `attributes` are titles with their texts.
    """

    solid: int
    faces: tuple[int, ...]
    name: str
    text: str = ""
    attributes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Body:
    """A body beside the part, in the part's frame: a ring turned about the axis.

    With `across_flats_mm` it is a hexagonal bar over the ring's length instead.
    """

    name: str
    ring: Ring
    colour: Colour
    opacity: float = 1.0
    across_flats_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Bodies:
    """Bodies of one product, and where its axis stands in the part's coordinates (mm)."""

    product: str
    origin_mm: Vector
    direction: Vector
    bodies: tuple[Body, ...]
