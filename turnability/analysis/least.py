"""The smallest number with which another shape of the part does."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from turnability.part.model import Profile
from turnability.rules.model import Change
from turnability.shop.model import Tool

SHARE = 0.01
"""A number that is smaller by this share does not do any more."""
_TRIALS = 12
_SAME_MM = 1e-3

Clears: TypeAlias = Callable[[Profile, float], bool]
"""Whether no error of such a rule stays of a changed profile, whose z count from that z."""


@dataclass(frozen=True, slots=True)
class Way:
    """A change, the part or both parts that come of it, and the volume that it changes."""

    change: Change
    profiles: tuple[Profile, ...]
    asks_mm3: float


def asks(profile: Profile, made: Profile) -> float:
    """How much a change asks of the design: the volume (mm3) that it adds or takes away."""
    return abs(made.volume_mm3 - profile.volume_mm3)


def limits_of(tools: Sequence[Tool], name: str) -> set[float]:
    """What tools say of themselves under that name."""
    return {tool.limits[name] for tool in tools if name in tool.limits}


def most(made: Callable[[float], Profile | None], begin: float, end: float) -> float:
    """The largest number with which there is a part at all, nearly."""
    if made(end) is not None:
        return end
    low, high = begin, end
    for _ in range(_TRIALS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if made(middle) is not None else (low, middle)
    return low


def least(
    made: Callable[[float], Profile | None],
    span: tuple[float, float],
    clears: Clears,
    guesses: Collection[float],
) -> float | None:
    """The smallest number that clears: a round one if one is, else to a share of the change.

    `span` are the number as drawn, which does not, and the largest of all. `guesses` are tried
    first: mostly it is a tool's own number that decides.
    """

    def does(value: float) -> bool:
        profile = made(value)
        return profile is not None and clears(profile, 0.0)

    begin, end = span
    if end <= begin + _SAME_MM or not does(end):
        return None
    fails, works = begin, end
    for guess in sorted(value for value in guesses if begin + _SAME_MM < value < end):
        if does(guess):
            works = guess
            break
        fails = guess
    less = works - SHARE * (works - begin)
    if works < end and less > fails:
        if not does(less):
            return works
        works = less
    for _ in range(_TRIALS):
        if works - fails <= SHARE * (works - begin):
            break
        middle = 0.5 * (fails + works)
        fails, works = (fails, middle) if does(middle) else (middle, works)
    step = 10.0 ** math.ceil(math.log10(works - fails))
    for digits in (step, 0.5 * step, 0.2 * step, 0.1 * step):
        rounded = round(math.floor(works / digits) * digits, 6)
        if rounded > fails:
            if rounded == works or does(rounded):
                return rounded
            fails = rounded
    told = math.ceil(works * 1000.0) / 1000.0  # as it is said
    return told if told <= end and does(told) else works
