"""What a plan takes: minutes by item, and money by the shop's own rates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class EffortPart:
    """One part of the effort in minutes, once for the order or once for each piece, and why."""

    what: str
    minutes: float
    per: Literal["order", "piece"]
    why: str


@dataclass(frozen=True, slots=True)
class Money:
    """What one piece costs by the shop's own rates; `material` None if its stock has no price."""

    currency: str
    work: float
    material: float | None


@dataclass(frozen=True, slots=True)
class Effort:
    """An honest estimate of what the plan takes, to compare two versions of a part by.

    `minutes_per_piece` shares what is done once over the `quantity`.
    """

    quantity: int
    lathe: str | None
    parts: tuple[EffortPart, ...]
    minutes_once: float
    minutes_each: float
    minutes_per_piece: float
    money: Money | None
    basis: str
