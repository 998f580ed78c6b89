"""Features against the standards: every file of `standards/` that looks at their kind is asked."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from turnability.features import standards
from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import Alternative, FeatureKind, StandardMatch

Agree = Callable[[Found, Chain, Sequence[Found]], list[StandardMatch]]


@dataclass(frozen=True, slots=True)
class Standard:
    """One file of `standards/` that looks at features, and what one that agrees could be too."""

    name: str
    kinds: tuple[FeatureKind, ...]
    agree: Agree
    other_reading: Alternative | None = None


@cache
def all_standards() -> tuple[Standard, ...]:
    """Every standard by its file's name."""
    found = []
    for info in pkgutil.iter_modules(standards.__path__):
        module = importlib.import_module(f"{standards.__name__}.{info.name}")
        if hasattr(module, "KINDS"):
            other = getattr(module, "OTHER_READING", None)
            found.append(Standard(info.name, module.KINDS, module.agree, other))
    return tuple(found)


def matched(chain: Chain, found: Sequence[Found]) -> list[Found]:
    """The features with the standards' sizes that they agree with, the nearest first."""
    told = []
    for one in found:
        more: list[StandardMatch] = []
        alternative = one.alternative
        for standard in all_standards():
            if one.kind in standard.kinds:
                matches = standard.agree(one, chain, found)
                more += matches
                alternative = alternative or (standard.other_reading if matches else None)
        more.sort(key=lambda match: abs(match.residual_mm))
        told.append(replace(one, matches=(*one.matches, *more), alternative=alternative))
    return told
