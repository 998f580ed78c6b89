"""What faces are to carry in an annotated STEP file; free of the kernel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

Colour: TypeAlias = tuple[float, float, float]
"""Red, green, blue from 0 to 1, as the report's drawings show them (sRGB)."""


@dataclass(frozen=True, slots=True)
class Mark:
    """What one face is to carry: `solid` and `face` are 1-based, `step_id` its entity number."""

    solid: int
    face: int
    step_id: int | None
    name: str = ""
    colour: Colour | None = None
    layer: str | None = None
