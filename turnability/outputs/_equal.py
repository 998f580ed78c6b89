"""Solids of one file that are the same part, although they share no geometry in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from turnability.outputs.summary import said_lines

if TYPE_CHECKING:
    from turnability.part.model import Departure, Segment
    from turnability.report import Report

_SAME = 1e-3
"""By so much lengths (mm), angles (degrees) of equal solids may differ; nobody draws so little."""


def equal(one: Report, other: Report) -> bool:
    """Whether two reports are of the same part and say the same of it, but for face numbers.

    Same profile, features, departures and findings; what no axis carries is never compared.
    """
    a, b = one.part.profile, other.part.profile
    if a is None or b is None or len(a.segments) != len(b.segments):
        return False
    return (
        one.verdict == other.verdict
        and one.intent == other.intent
        and all(_segments(s, t) for s, t in zip(a.segments, b.segments, strict=True))
        and _near(
            [(f.kind, f.surface, f.z_mm, f.diameter_mm, f.parameters) for f in one.features],
            [(f.kind, f.surface, f.z_mm, f.diameter_mm, f.parameters) for f in other.features],
        )
        and _near(_cuts(one.part.departures), _cuts(other.part.departures))
        and said_lines(one) == said_lines(other)
    )


def _segments(one: Segment, other: Segment) -> bool:
    a, b = one.curve, other.curve
    middles = (a.at(0.5), b.at(0.5))
    return (
        type(a) is type(b)
        and one.surface == other.surface
        and _near((a.start, a.end, middles[0]), (b.start, b.end, middles[1]))
    )


def _cuts(departures: Sequence[Departure]) -> list[tuple[Any, ...]]:
    return [(d.kind, d.z_mm, d.parameters) for d in departures]


def _near(one: Any, other: Any) -> bool:
    """Equal, numbers to within the noise, however deep they lie."""
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) <= _SAME
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_near(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(_near, one, other))
    return bool(one == other)
