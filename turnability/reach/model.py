"""The types that the room `reach` hands up, as the report contract names them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from turnability.half_plane.curves import Point
from turnability.shop.model import Cause

Toward: TypeAlias = Literal["low", "high"]
"""Which end of the part is held, toward the chuck."""
ENDS: tuple[Toward, Toward] = ("low", "high")


def other_end(end: Toward) -> Toward:
    """The end that is not this one: the free end of a part held there."""
    return "high" if end == "low" else "low"


@dataclass(frozen=True, slots=True)
class ToolReach:
    """What one tool touches over the whole length in what remains at the end."""

    tool: str
    toward_chuck: Toward
    reached_segments: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Needed:
    """The number that a tool would need to cut a region."""

    parameter: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a tool's programmed point (z, r) would stand to cut a region, and what it would hit.

    `hits` are the pieces, at any r, of its body within part and standing stock; none where
    something else keeps it away.
    """

    tool: str
    toward_chuck: Toward
    at: Point
    hits: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class Left:
    """A region of the envelope outside the part that no tool removes from either end.

    `needed_together`: overhang and thickness of a bar with which nothing would stay beside these
    segments, tapers or curves inside; empty where that is not known. `stand` is for people to look
    at, worked out for the report alone. `nearest_causes` are those of the causes that stop the
    nearest tool; the others stop others that come near.
    """

    id: str
    segments: tuple[str, ...]
    area_mm2: float
    volume_mm3: float
    polygon: tuple[Point, ...]
    deepest_mm: float
    causes: tuple[Cause, ...]
    nearest_tool: str | None
    needed: Needed | None
    stand: Stand | None = None
    needed_together: tuple[Needed, ...] = ()
    nearest_causes: tuple[Cause, ...] = ()

    @property
    def own_causes(self) -> tuple[Cause, ...]:
        """What stops the nearest tool; all causes where it is not known whose they are."""
        return self.nearest_causes or self.causes


@dataclass(frozen=True, slots=True)
class Reach:
    """What the shop's tools do with the part held by nothing, from either end."""

    tools: tuple[ToolReach, ...]
    left: tuple[Left, ...]
    chosen_tools: tuple[str, ...]
    cnc_only_segments: tuple[str, ...]
