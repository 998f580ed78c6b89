"""A number from a book, which cannot be made without saying which book and where in it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cited:
    """One value with its unit, source and place in the source.

    `verified` is False where the value stands from memory or rests on one unchecked source;
    what people see marks it so. A trade fact without a source says "common practice".
    """

    value: float
    unit: str
    source: str
    place: str
    verified: bool

    def __post_init__(self) -> None:
        for name in ("unit", "source", "place"):
            if not getattr(self, name).strip():
                raise ValueError(f"a cited value needs its {name}")
